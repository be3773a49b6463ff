/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The trade-off curve as tables 80 columns wide, and every step in words. */
#include <math.h>

#include "write/columns.h"
#include "write/trade.h"
#include "write/why.h"
#include "write/words.h"

typedef struct table {
    const sb_season *season;
    const sb_curve *curve;
    sb_text *text;
    sb_text line;
} table;

/* The lines that were put together in t->line, wrapped, and an empty line to begin with. */
static void add_wrapped(table *t, int indent)
{
    sb_columns_wrap(t->text, sb_text_get(&t->line), 0, indent);
    sb_text_clear(&t->line);
}

static void add_seeds(table *t, double seeds)
{
    sb_text cell = {0};
    sb_words_seeds(&cell, seeds);
    sb_text_addf(t->text, " %7s", sb_text_get(&cell));
    t->text->failed |= cell.failed;
    sb_text_release(&cell);
}

static void add_numbers(table *t, const sb_trade *trade)
{
    sb_text_addf(t->text, " %8.0f %8.0f %6d %4d %9.0f", trade->money, trade->cleaning,
                 trade->cleanouts, trade->full_cleanouts, trade->spread);
    add_seeds(t, trade->seeds);
    sb_text_addf(t->text, " %9.0f", trade->money + trade->spread);
}

static void add_heads(table *t, const char *first, const char *last)
{
    sb_text_addf(t->text, "%s    Money Cleaning Cleans Full    Spread   Seeds     Total%s\n", first,
                 last);
}

/* How far a plan may be from the best of its kind, in a few columns. */
static void add_proof(table *t, const sb_trade *trade)
{
    if (!trade->proven)
        sb_text_addf(t->text, ", gap %.2g %%", 100 * trade->gap);
}

/* A star where the search stopped looking: nothing was found there. */
static void add_weights(table *t, const sb_trade *trade)
{
    bool first = trade->weight_from <= t->curve->weight_low;
    bool last = trade->weight_to >= t->curve->weight_high;
    sb_text_addf(t->text, " %c%.2f to %.2f%s", first ? '*' : ' ', trade->weight_from,
                 trade->weight_to, last ? "*" : "");
}

static void add_hull(table *t)
{
    const sb_curve_points *points = &t->curve->points;
    sb_text_addf(t->text, "Money against spread, in %s\n", t->season->setup.currency);
    add_heads(t, "   #", "  Best at weight");
    for (size_t i = 0; i < points->count; i++) {
        const sb_trade *trade = &points->items[i].trade;
        sb_text_addf(t->text, "%s%2zu", i == t->curve->best ? ">" : " ", i + 1);
        add_numbers(t, trade);
        if (trade->between)
            sb_text_addf(t->text, "  by limit");
        else
            add_weights(t, trade);
        add_proof(t, trade);
        sb_text_addf(t->text, "\n");
    }
    sb_text_addf(&t->line, "Money: driving, cleaning and delay. Full: full cleanouts (");
    sb_words_full_cleanouts(&t->line, t->season, sb_add_plain_name);
    sb_text_addf(&t->line,
                 ") among the Cleans, the final one not counted. Seeds: brought to the ground of "
                 "all fields. Best at "
                 "weight: no plan is better while spread counts that many times. * is where the "
                 "search stopped looking, at weights %.2f and %.2f: other plans may be best "
                 "beyond. > is what order gives. No plan spends less and spreads less than one of "
                 "these.",
                 t->curve->weight_low, t->curve->weight_high);
    if (t->curve->every_plan)
        sb_text_addf(&t->line,
                     " By limit: best at no weight, only where money is limited: no plan that "
                     "takes no more money costs less while spread counts %.3g times.",
                     t->curve->weight_high);
    add_wrapped(t, 0);
}

static void add_steps(table *t)
{
    const sb_curve_points *points = &t->curve->points;
    if (points->count < 2)
        return;
    sb_text_addf(t->text, "\nStep by step\n");
    for (size_t i = 1; i < points->count; i++) {
        sb_text_addf(&t->line, "%zu to %zu: ", i, i + 1);
        sb_trade_step(t->season, &points->items[i - 1], &points->items[i], t->curve->weight,
                      sb_add_plain_name, &t->line);
        add_wrapped(t, 3);
    }
}

static void add_full(table *t)
{
    const sb_curve_points *full = &t->curve->full;
    if (full->count < 2)
        return;
    sb_text_addf(t->text, "\nWhat one more full cleanout buys\n");
    add_heads(t, "    ", "");
    for (size_t i = 0; i < full->count; i++) {
        const sb_trade *trade = &full->items[i].trade;
        sb_text_addf(t->text, "    ");
        add_numbers(t, trade);
        add_proof(t, trade);
        sb_text_addf(t->text, "\n");
    }
    for (size_t i = 1; i < full->count; i++) {
        int count = full->items[i].trade.full_cleanouts;
        int before = full->items[i - 1].trade.full_cleanouts;
        if (count == before + 1)
            sb_text_addf(&t->line, "The ");
        else
            sb_text_addf(&t->line, "From %d to the ", before);
        sb_trade_full_name(count, &t->line);
        sb_text_addf(&t->line, ": ");
        sb_trade_step(t->season, &full->items[i - 1], &full->items[i], t->curve->weight,
                      sb_add_plain_name, &t->line);
        add_wrapped(t, 3);
    }
}

/* What the curve was asked to keep to. */
static void add_limits(table *t)
{
    const sb_curve *curve = t->curve;
    if (curve->weight != 1)
        sb_text_addf(&t->line, "Spread counts %g times in what pays. ", curve->weight);
    if (isfinite(curve->spend_limit)) {
        sb_text_addf(&t->line, "At most ");
        sb_words_money(&t->line, t->season, curve->spend_limit);
        sb_text_addf(&t->line, " for cleaning. ");
    }
    if (isfinite(curve->full_limit))
        sb_text_addf(&t->line, "At most %.0f full cleanouts. ", curve->full_limit);
    if (t->line.count > 0)
        add_wrapped(t, 0);
}

static void add_closing(table *t)
{
    const sb_curve_points *lists[] = {&t->curve->points, &t->curve->full};
    size_t open = 0;
    for (size_t l = 0; l < 2; l++)
        for (size_t i = 0; i < lists[l]->count; i++)
            open += !lists[l]->items[i].trade.proven;
    if (open == 0)
        sb_text_addf(&t->line, "Every plan is proven best of its kind (%.1f s).",
                     t->curve->seconds);
    else
        sb_text_addf(&t->line,
                     "gap: at most so much of the plan's cost might be saved by one that was not "
                     "found, with spread counted at the weight that suits the line best%s; %zu of "
                     "%zu plans are proven (%.1f s).",
                     t->curve->every_plan ? " or, by limit, as said above" : "",
                     lists[0]->count + lists[1]->count - open, lists[0]->count + lists[1]->count,
                     t->curve->seconds);
    if (t->curve->open_share > 0)
        sb_text_addf(&t->line,
                     " Further plans on the curve are not ruled out: none could save more than "
                     "%.2g %% of what these cost.",
                     100 * t->curve->open_share);
    if (t->curve->open_pairs > 0)
        sb_text_addf(&t->line,
                     " There may be more plans that only a limit picks; stretches between two "
                     "plans with weights that were not looked through to the end: %zu.",
                     t->curve->open_pairs);
    sb_text_addf(t->text, "\n");
    add_wrapped(t, 0);
}

sb_status sb_render_curve_text(const sb_season *season, const sb_curve *curve, sb_text *text)
{
    table t = {.season = season, .curve = curve, .text = text};
    add_limits(&t);
    add_hull(&t);
    add_full(&t);
    add_steps(&t);
    add_closing(&t);
    bool failed = text->failed || t.line.failed;
    sb_text_release(&t.line);
    return failed ? SB_ERR_NOMEM : SB_OK;
}
