/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The plan as a table 80 columns wide, with a reason for each cleanout. */
#include <math.h>

#include "write/columns.h"
#include "write/fairness.h"
#include "write/patches_out.h"
#include "write/receipts.h"
#include "write/why.h"
#include "write/words.h"
#include "write/write.h"

/* Column widths; the field's name gets what is left of the page. */
#define NUMBER 3 /* one less below a hundred stops */
#define CLEANOUT 16
#define KM 6
#define MOMENT 16
#define SEEDS 6 /* more when a weed's name needs it and there is room */
#define MOST_SEEDS 9
#define MIN_NAME 12
#define GROWER 24
/* More weeds than this beside the dates would leave no room for the field's name. */
#define WEEDS_BESIDE 3
/* Assumptions shown before `check` is recommended for the rest. */
#define ASSUMPTIONS 6
/* A field that stands ripe so many days is named below the table. */
#define LONG_RIPE_DAYS 7

/* The table being written: which weeds have columns, and a scratch text for cells. */
typedef struct table {
    const sb_season *season;
    sb_text *text;
    sb_text cell;
    int number; /* column width */
    int weeds[SB_MAX_WEEDS];
    int widths[SB_MAX_WEEDS]; /* of their columns */
    int n_weeds;
} table;

static void add_cell(table *t, int width, bool right)
{
    sb_columns_add(t->text, sb_text_get(&t->cell), width, right);
    sb_text_clear(&t->cell);
}

static void add_blank(table *t)
{
    sb_text_add(t->text, " ", 1);
}

static void end_line(table *t)
{
    sb_text *text = t->text;
    while (text->count > 0 && text->bytes[text->count - 1] == ' ')
        text->bytes[--text->count] = '\0';
    sb_text_add(text, "\n", 1);
}

static bool weeds_beside(const table *t)
{
    return t->n_weeds <= WEEDS_BESIDE;
}

/* Room for the field's name: in the seed table, or in the table of stops. */
static int name_width(const table *t, bool seed_table)
{
    int width = SB_PAGE_COLUMNS - t->number - 1;
    if (!seed_table)
        width -= CLEANOUT + KM + MOMENT + 3;
    for (int i = 0; i < t->n_weeds && (seed_table || weeds_beside(t)); i++)
        width -= t->widths[i] + 1;
    return width;
}

/* Seed columns as wide as their heads ask for, as long as no field's name is cut for it. */
static void choose_widths(table *t)
{
    int names = MIN_NAME;
    for (size_t f = 0; f < t->season->n_fields; f++) {
        int width = sb_columns_width(t->season->fields[f].name);
        names = width > names ? width : names;
    }
    for (int i = 0; i < t->n_weeds; i++)
        t->widths[i] = SEEDS;
    for (int i = 0; i < t->n_weeds; i++) {
        int wanted = sb_columns_longest_word(t->season->setup.weeds[t->weeds[i]].name);
        int spare = name_width(t, !weeds_beside(t)) - names;
        int more = wanted < MOST_SEEDS ? wanted - SEEDS : MOST_SEEDS - SEEDS;
        if (more > 0 && more <= spare)
            t->widths[i] += more;
    }
}

/* The heads of the table: the line that was laid out in t->cell, and the weeds' names. */
static void add_heads(table *t, bool with_weeds)
{
    const char *names[SB_MAX_WEEDS];
    for (int i = 0; i < t->n_weeds; i++)
        names[i] = t->season->setup.weeds[t->weeds[i]].name;
    sb_columns_heads(t->text, sb_text_get(&t->cell), names, t->widths, with_weeds ? t->n_weeds : 0);
    sb_text_clear(&t->cell);
}

static void add_seeds(table *t, const double *seeds)
{
    for (int i = 0; i < t->n_weeds; i++) {
        add_blank(t);
        sb_words_seeds(&t->cell, seeds[t->weeds[i]]);
        add_cell(t, t->widths[i], true);
    }
}

static void add_level(table *t, int cleanout)
{
    if (cleanout > 0) {
        const sb_cleanout *level = &t->season->setup.cleanouts[cleanout];
        sb_text minutes = {0};
        sb_text_addf(&minutes, " %.0f min", level->minutes);
        int room = CLEANOUT - sb_columns_width(sb_text_get(&minutes));
        int wanted = sb_columns_width(level->id);
        sb_columns_add(&t->cell, level->id, wanted < room ? wanted : room, false);
        sb_text_addf(&t->cell, "%s", sb_text_get(&minutes));
        t->text->failed |= minutes.failed;
        sb_text_release(&minutes);
    } else {
        sb_text_addf(&t->cell, "-");
    }
    add_cell(t, CLEANOUT, false);
}

/* number, name, cleanout, km, moment: what every line of the table has. */
static void add_line_start(table *t, const char *name, int cleanout, double km, double hours,
                           bool is_end)
{
    add_cell(t, t->number, true);
    add_blank(t);
    sb_columns_add(t->text, name, name_width(t, false), false);
    add_blank(t);
    add_level(t, cleanout);
    add_blank(t);
    if (isfinite(km))
        sb_text_addf(&t->cell, "%.1f", km);
    else
        sb_text_addf(&t->cell, "no way");
    add_cell(t, KM, true);
    add_blank(t);
    sb_words_moment(&t->cell, &t->season->setup.calendar, hours, is_end);
    add_cell(t, MOMENT, false);
}

/* Which fields stand ripe for long: the price of an order when no best-before date prices it. */
static void add_long_ripe(table *t, const sb_route *route)
{
    size_t n = 0, undated = 0;
    sb_text line = {0};
    for (size_t i = 0; i < route->n_stops; i++) {
        const sb_field *field = &t->season->fields[route->stops[i].field];
        int days = sb_days_ripe(t->season, &route->stops[i]);
        if (days < LONG_RIPE_DAYS)
            continue;
        sb_text_addf(&line, "%s%s %d day%s",
                     n++ > 0 ? ", " : "Ripe before they are cut: ", field->name, days,
                     days == 1 ? "" : "s");
        undated += field->best_before_day == SB_NO_DAY;
    }
    if (undated > 0)
        sb_text_addf(&line, ". Standing costs nothing in %s: no best-before date is given.",
                     undated == n ? "them" : "those without a best-before date");
    if (n > 0) {
        sb_columns_add(t->text, "", t->number + 1, false);
        sb_columns_wrap(t->text, sb_text_get(&line), t->number + 1, t->number + 1);
    }
    t->text->failed |= line.failed;
    sb_text_release(&line);
}

static void add_stops(table *t, const sb_route *route)
{
    bool beside = weeds_beside(t);
    sb_columns_add(&t->cell, "#", t->number, true);
    sb_text_addf(&t->cell, " ");
    sb_columns_add(&t->cell, "Field", name_width(t, false), false);
    sb_text_addf(&t->cell, " ");
    sb_columns_add(&t->cell, "Cleanout before", CLEANOUT, false);
    sb_text_addf(&t->cell, " ");
    sb_columns_add(&t->cell, "km", KM, true);
    sb_text_addf(&t->cell, " ");
    sb_columns_add(&t->cell, "Arrives", MOMENT, false);
    add_heads(t, beside);
    for (size_t i = 0; i < route->n_stops; i++) {
        const sb_stop *stop = &route->stops[i];
        sb_text_addf(&t->cell, "%zu", i + 1);
        add_line_start(t, t->season->fields[stop->field].name, stop->cleanout, stop->km,
                       stop->arrive_h, false);
        if (beside)
            add_seeds(t, stop->trace.ground);
        end_line(t);
    }
    const char *yard = t->season->yards[t->season->joins[route->machine].yard].name;
    add_line_start(t, yard, route->final_cleanout, route->km_home, route->home_h, true);
    end_line(t);
    sb_columns_add(t->text, "", t->number + 1, false);
    sb_columns_wrap(t->text,
                    beside && t->n_weeds > 0
                        ? "Under each weed: seeds brought to the ground of that field (~0: fewer "
                          "than 1). The last line is the way home, its cleanout done in the yard."
                        : "The last line is the way home, its cleanout done in the yard.",
                    t->number + 1, t->number + 1);
    add_long_ripe(t, route);
}

/* The seed columns on their own, when there are too many to stand beside the dates. */
static void add_seed_table(table *t, const sb_route *route)
{
    sb_text_addf(t->text, "\nSeeds brought to the ground of each field (~0: fewer than 1)\n");
    sb_columns_add(&t->cell, "#", t->number, true);
    sb_text_addf(&t->cell, " ");
    sb_columns_add(&t->cell, "Field", name_width(t, true), false);
    add_heads(t, true);
    for (size_t i = 0; i < route->n_stops; i++) {
        const sb_stop *stop = &route->stops[i];
        sb_text_addf(&t->cell, "%zu", i + 1);
        add_cell(t, t->number, true);
        add_blank(t);
        sb_columns_add(t->text, t->season->fields[stop->field].name, name_width(t, true), false);
        add_seeds(t, stop->trace.ground);
        end_line(t);
    }
}

static void add_reasons(table *t, const sb_route *route)
{
    bool any = false;
    sb_text line = {0};
    for (size_t i = 0; i < route->n_stops; i++) {
        const sb_stop *stop = &route->stops[i];
        if (stop->cleanout <= 0)
            continue;
        if (!any)
            sb_text_addf(t->text, "\nWhy the cleanouts are where they are\n");
        any = true;
        sb_text_clear(&line);
        const sb_cleanout *level = &t->season->setup.cleanouts[stop->cleanout];
        sb_text_addf(&line, "%s (%s) before %s: ", level->name, level->id,
                     t->season->fields[stop->field].name);
        sb_why(t->season, route, i, sb_add_plain_name, &line);
        sb_text_addf(&t->cell, "%zu", i + 1);
        add_cell(t, t->number, true);
        add_blank(t);
        sb_columns_wrap(t->text, sb_text_get(&line), t->number + 1, t->number + 1);
    }
    if (!any)
        sb_text_addf(t->text, "\nNo cleanout before any move.\n");
    t->text->failed |= line.failed;
    sb_text_release(&line);
}

static void add_idle(table *t, const sb_route *route)
{
    sb_text line = {0};
    sb_words_machine(&line, t->season, route->machine, sb_add_plain_name);
    sb_text_addf(&line, ": no field to cut, it stays in its yard");
    sb_columns_wrap(t->text, sb_text_get(&line), 0, 0);
    t->text->failed |= line.failed;
    sb_text_release(&line);
}

static void add_route(table *t, const sb_route *route)
{
    sb_text line = {0};
    sb_words_machine(&line, t->season, route->machine, sb_add_plain_name);
    sb_text_addf(&line, ": %zu field%s, ", route->n_stops, route->n_stops == 1 ? "" : "s");
    sb_words_km(&line, route->km_total);
    sb_text_addf(&line, ", done ");
    sb_words_moment(&line, &t->season->setup.calendar, route->end_h, true);
    sb_columns_wrap(t->text, sb_text_get(&line), 0, 0);
    t->text->failed |= line.failed;
    sb_text_release(&line);
    add_stops(t, route);
    if (t->n_weeds > WEEDS_BESIDE)
        add_seed_table(t, route);
    add_reasons(t, route);
}

static void add_money_line(table *t, const char *what, double money)
{
    sb_columns_add(t->text, what, 10, false);
    sb_words_money(&t->cell, t->season, money);
    add_cell(t, 18, true);
    sb_text_addf(t->text, "  ");
}

/* Kilometres, cleanouts, the full ones among them, and their minutes over all machines. */
static void count_work(const sb_season *season, const sb_plan *plan, double *km, size_t *cleanouts,
                       size_t *full, double *minutes)
{
    for (size_t r = 0; r < plan->n_routes; r++) {
        const sb_route *route = &plan->routes[r];
        *km += route->km_total;
        for (size_t i = 0; i <= route->n_stops && sb_route_moves(season, route); i++) {
            int level = i < route->n_stops ? route->stops[i].cleanout : route->final_cleanout;
            if (level <= 0)
                continue;
            ++*cleanouts;
            *full += season->setup.cleanouts[level].full;
            *minutes += season->setup.cleanouts[level].minutes;
        }
    }
}

static double seeds_brought(const sb_plan *plan)
{
    double seeds = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < plan->routes[r].n_stops; i++)
            for (int k = 0; k < SB_MAX_WEEDS; k++)
                seeds += plan->routes[r].stops[i].trace.ground[k];
    return seeds;
}

static void add_totals(table *t, const sb_plan *plan)
{
    double km = 0, minutes = 0;
    size_t cleanouts = 0, full = 0;
    count_work(t->season, plan, &km, &cleanouts, &full, &minutes);
    sb_text_addf(t->text, "\n");
    add_money_line(t, "Travel", plan->cost.travel);
    sb_words_km(t->text, km);
    sb_text_addf(t->text, "\n");
    add_money_line(t, "Cleanouts", plan->cost.cleanout);
    sb_text_addf(t->text, "%zu", cleanouts);
    if (full > 0) {
        sb_text_addf(t->text, " (%zu full: ", full);
        sb_words_full_cleanouts(t->text, t->season, sb_add_plain_name);
        sb_text_addf(t->text, ")");
    }
    sb_text_addf(t->text, ", ");
    sb_words_minutes(t->text, minutes);
    sb_text_addf(t->text, " in all\n");
    add_money_line(t, "Spread", plan->cost.spread);
    sb_text_addf(t->text, "expected loss from ");
    sb_words_seeds(t->text, seeds_brought(plan));
    sb_text_addf(t->text, " seeds brought\n");
    add_money_line(t, "Delay", plan->cost.delay);
    sb_text_addf(t->text, "grain lost after best-before dates\n");
    add_money_line(t, "Total", plan->cost.total);
    end_line(t);
}

/* What a robust plan costs where everything is as planned, and what it is worth elsewhere. */
static void add_insurance(table *t, const sb_plan *plan)
{
    const sb_insurance *insurance = &plan->insurance;
    const char *aim =
        insurance->aim == SB_AIM_MEAN ? "mean cost" : "mean cost of the dearest fifth";
    sb_text words = {0};
    sb_text_addf(&words, "Made for the least %s of %zu sampled seasons, ", aim,
                 insurance->scenarios);
    sb_words_money(&words, t->season, insurance->value);
    if (insurance->proven)
        sb_text_addf(&words, ": proven, no plan has less there.");
    else if (insurance->searched)
        sb_text_addf(&words, ": the best found for all machines together; how far above the least "
                             "it is, is not known.");
    else if (!isfinite(insurance->bound))
        sb_text_addf(&words, ": the best found before the search stopped; how far above the least "
                             "it is cannot be said.");
    else
        sb_text_addf(&words, ": the best found, at most %.1f %% above the least.",
                     100 * (insurance->value - insurance->bound) / insurance->value);
    sb_text_addf(&words, " Where everything is as planned that costs ");
    sb_words_money(&words, t->season, plan->cost.total - insurance->cheapest_cost);
    sb_text_addf(&words, " more than the cheapest plan. In %zu other seasons it has ",
                 insurance->judged);
    sb_words_money(&words, t->season, insurance->judged_value);
    sb_text_addf(&words, ", the cheapest plan ");
    sb_words_money(&words, t->season, insurance->judged_cheapest);
    sb_text_addf(&words, ".");
    sb_columns_wrap(t->text, sb_text_get(&words), 0, 0);
    t->text->failed |= words.failed;
    sb_text_release(&words);
}

/* Who receives what, and what the rule about it costs. */
static void add_fairness(table *t, const sb_plan *plan)
{
    const sb_fairness *fairness = &plan->fairness;
    bool named = sb_fairness_names(fairness);
    sb_text words = {0};
    sb_text_addf(t->text, "\nExpected loss in ");
    sb_words_currency(t->text, t->season);
    sb_text_addf(t->text, " that each grower receives, and of it from others' fields\n");
    sb_columns_add(t->text, "", GROWER, false);
    sb_text_addf(t->text, "%18s%s %26s\n", "in this plan", named ? "          " : "",
                 "cheapest without the rule");
    sb_columns_add(t->text, "Grower", GROWER, false);
    sb_text_addf(t->text, "     loss   others%s          loss   others\n",
                 named ? "  may lose" : "");
    for (size_t g = 0; g < fairness->n_takers; g++) {
        const sb_taker *taker = &fairness->takers[g];
        const double amounts[] = {taker->loss, taker->from_others, taker->free_loss,
                                  taker->free_from_others};
        sb_columns_add(t->text,
                       taker->grower < 0 ? "no grower named" : t->season->growers[taker->grower],
                       GROWER, false);
        for (size_t i = 0; i < 4; i++) {
            if (i == 2 && named) {
                if (isfinite(taker->most))
                    sb_text_add_amount(&t->cell, taker->most);
                else
                    sb_text_addf(&t->cell, "-");
                add_cell(t, 10, true);
            }
            sb_text_add_amount(&t->cell, amounts[i]);
            add_cell(t, i == 2 ? 14 : 9, true);
        }
        end_line(t);
    }
    sb_fairness_words(t->season, plan, sb_add_plain_name, &words);
    sb_columns_wrap(t->text, sb_text_get(&words), 0, 0);
    t->text->failed |= words.failed;
    sb_text_release(&words);
}

static void add_assumptions(table *t)
{
    size_t n = t->season->assumptions.count;
    if (n == 0)
        return;
    sb_text_addf(t->text, "\nAssumed, because no file says otherwise:\n");
    for (size_t i = 0; i < n && i < ASSUMPTIONS; i++) {
        sb_text_addf(t->text, "- ");
        sb_columns_wrap(t->text, t->season->assumptions.items[i].text, 2, 2);
    }
    if (n > ASSUMPTIONS)
        sb_text_addf(t->text, "... and %zu more; ", n - ASSUMPTIONS);
    sb_text_addf(t->text, "`seedbreak check` lists them all with their sources\n");
}

sb_status sb_render_plan_text(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    table t = {.season = season, .text = text};
    for (int k = 0; k < (int)season->setup.n_weeds; k++)
        if (sb_weed_in_play(season, k))
            t.weeds[t.n_weeds++] = k;
    for (size_t r = 0; r < plan->n_routes; r++) {
        if (r > 0)
            sb_text_addf(text, "\n");
        t.number = plan->routes[r].n_stops < 100 ? NUMBER - 1 : NUMBER;
        choose_widths(&t);
        if (sb_route_moves(season, &plan->routes[r]))
            add_route(&t, &plan->routes[r]);
        else
            add_idle(&t, &plan->routes[r]);
    }
    add_totals(&t, plan);
    sb_patches_left_text(season, text);
    sb_text proof = {0};
    if (plan->insurance.aim != 0) {
        add_insurance(&t, plan);
    } else {
        sb_proof_words(season, plan, &proof);
        sb_columns_wrap(text, sb_text_get(&proof), 0, 0);
    }
    if (plan->fairness.n_takers > 0)
        add_fairness(&t, plan);
    add_assumptions(&t);
    bool failed = text->failed || t.cell.failed || proof.failed;
    sb_text_release(&proof);
    sb_text_release(&t.cell);
    return failed ? SB_ERR_NOMEM : SB_OK;
}
