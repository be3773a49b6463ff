/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Plans side by side in one table 80 columns wide; more than fit beside each other go into further
 * blocks of the same lines. */
#include <math.h>

#include "write/columns.h"
#include "write/compare.h"
#include "write/words.h"

#define LABEL 20
#define COLUMN 14
#define BESIDE 4 /* (80 - LABEL) / (COLUMN + 1) */
#define FIELDS 8 /* whose losses are shown */

typedef struct table {
    const sb_season *season;
    const sb_compared *plans; /* of the block */
    size_t n;                 /* at most BESIDE */
    sb_text *text;
    sb_text cell;
} table;

static void begin_line(table *t, const char *label)
{
    sb_columns_add(t->text, label, LABEL, false);
}

static void add_cell(table *t, bool right)
{
    sb_text_add(t->text, " ", 1);
    sb_columns_add(t->text, sb_text_get(&t->cell), COLUMN, right);
    sb_text_clear(&t->cell);
}

static void end_cell(table *t)
{
    add_cell(t, true);
}

static void end_line(table *t)
{
    sb_text *text = t->text;
    while (text->count > 0 && text->bytes[text->count - 1] == ' ')
        text->bytes[--text->count] = '\0';
    sb_text_add(text, "\n", 1);
}

static void add_heads(table *t)
{
    const char *names[BESIDE];
    int widths[BESIDE];
    for (size_t p = 0; p < t->n; p++) {
        names[p] = t->plans[p].name;
        widths[p] = COLUMN;
    }
    sb_columns_add(&t->cell, t->season->setup.currency, LABEL, false);
    sb_columns_heads(t->text, sb_text_get(&t->cell), names, widths, (int)t->n);
    sb_text_clear(&t->cell);
}

static double travel_of(const sb_compared *c)
{
    return c->plan->cost.travel;
}

static double cleanouts_of(const sb_compared *c)
{
    return c->plan->cost.cleanout;
}

static double spread_of(const sb_compared *c)
{
    return c->plan->cost.spread;
}

static double delay_of(const sb_compared *c)
{
    return c->plan->cost.delay;
}

static double total_of(const sb_compared *c)
{
    return c->plan->cost.total;
}

static void add_money(table *t, const char *label, double (*of)(const sb_compared *c))
{
    begin_line(t, label);
    for (size_t p = 0; p < t->n; p++) {
        double money = of(&t->plans[p]);
        if (isfinite(money))
            sb_text_addf(&t->cell, "%.0f", money);
        else
            sb_text_addf(&t->cell, "no way");
        end_cell(t);
    }
    end_line(t);
}

static void add_costs(table *t)
{
    add_money(t, "Travel", travel_of);
    add_money(t, "Cleanouts", cleanouts_of);
    add_money(t, "Spread", spread_of);
    add_money(t, "Delay", delay_of);
    add_money(t, "Total", total_of);
    begin_line(t, "Dearer than the best");
    for (size_t p = 0; p < t->n; p++) {
        if (t->plans[p].dearer == 0)
            sb_text_addf(&t->cell, "the best");
        else if (isnan(t->plans[p].dearer))
            sb_text_addf(&t->cell, "-");
        else
            sb_text_addf(&t->cell, "%.1f %%", 100 * t->plans[p].dearer);
        end_cell(t);
    }
    end_line(t);
    begin_line(t, "Rules broken");
    for (size_t p = 0; p < t->n; p++) {
        sb_text_addf(&t->cell, "%zu", t->plans[p].broken);
        end_cell(t);
    }
    end_line(t);
}

static void add_work(table *t)
{
    begin_line(t, "Road");
    for (size_t p = 0; p < t->n; p++) {
        sb_words_km(&t->cell, t->plans[p].km);
        end_cell(t);
    }
    end_line(t);
    begin_line(t, "Cleanouts (full)");
    for (size_t p = 0; p < t->n; p++) {
        sb_text_addf(&t->cell, "%d (%d)", t->plans[p].cleanouts, t->plans[p].full_cleanouts);
        end_cell(t);
    }
    end_line(t);
    begin_line(t, "Time cleaning");
    for (size_t p = 0; p < t->n; p++) {
        sb_words_minutes(&t->cell, t->plans[p].minutes);
        end_cell(t);
    }
    end_line(t);
    begin_line(t, "Back and clean");
    for (size_t p = 0; p < t->n; p++) {
        sb_words_day(&t->cell,
                     sb_calendar_day(&t->season->setup.calendar, t->plans[p].end_h, true));
        end_cell(t);
    }
    end_line(t);
}

static void add_seeds(table *t)
{
    bool any = false;
    for (size_t k = 0; k < t->season->setup.n_weeds; k++) {
        if (!sb_weed_in_play(t->season, (int)k))
            continue;
        if (!any)
            sb_text_addf(t->text, "Seeds brought to the ground\n");
        any = true;
        sb_text_addf(t->text, "  ");
        sb_columns_add(t->text, t->season->setup.weeds[k].name, LABEL - 2, false);
        for (size_t p = 0; p < t->n; p++) {
            sb_words_seeds(&t->cell, t->plans[p].seeds[k]);
            end_cell(t);
        }
        end_line(t);
    }
}

/* How far the losses of a field lie apart over all plans compared. */
static double apart(const sb_compared *all, size_t n_all, size_t field)
{
    double least = INFINITY, most = 0;
    for (size_t p = 0; p < n_all; p++) {
        least = fmin(least, all[p].loss[field]);
        most = fmax(most, all[p].loss[field]);
    }
    return most - least;
}

/* The fields that the plans treat most differently, the same in every block. */
static void add_losses(table *t, const sb_compared *all, size_t n_all)
{
    double last = INFINITY;
    size_t last_field = 0;
    for (int shown = 0; shown < FIELDS; shown++) {
        long next = -1;
        double most = 0;
        for (size_t j = 0; j < t->season->n_fields; j++) {
            double here = apart(all, n_all, j);
            bool after = here < last || (here == last && j > last_field);
            if (after && here > most) {
                most = here;
                next = (long)j;
            }
        }
        if (next < 0)
            break;
        if (shown == 0)
            sb_text_addf(t->text, "Spread, where the plans differ most\n");
        last = most;
        last_field = (size_t)next;
        sb_text_addf(t->text, "  ");
        sb_columns_add(t->text, t->season->fields[next].name, LABEL - 2, false);
        for (size_t p = 0; p < t->n; p++) {
            sb_text_addf(&t->cell, "%.0f", t->plans[p].loss[next]);
            end_cell(t);
        }
        end_line(t);
    }
}

/* The i-th stop of a plan, machine after machine; NULL: it has no more. */
static const sb_stop *stop_at(const sb_plan *plan, size_t i)
{
    for (size_t r = 0; r < plan->n_routes; r++) {
        if (i < plan->routes[r].n_stops)
            return &plan->routes[r].stops[i];
        i -= plan->routes[r].n_stops;
    }
    return NULL;
}

/* Stop by stop, a sign for the cleanout before it. */
static void add_orders(table *t)
{
    sb_text_addf(t->text, "Order (+ cleanout before, # full cleanout before)\n");
    for (size_t i = 0;; i++) {
        bool any = false;
        for (size_t p = 0; p < t->n; p++)
            any |= stop_at(t->plans[p].plan, i) != NULL;
        if (!any)
            break;
        sb_text number = {0};
        sb_text_addf(&number, "  %zu", i + 1);
        begin_line(t, sb_text_get(&number));
        t->text->failed |= number.failed;
        sb_text_release(&number);
        for (size_t p = 0; p < t->n; p++) {
            const sb_stop *stop = stop_at(t->plans[p].plan, i);
            if (stop != NULL)
                sb_text_addf(&t->cell, "%s",
                             stop->cleanout == 0                               ? " "
                             : t->season->setup.cleanouts[stop->cleanout].full ? "#"
                                                                               : "+");
            if (stop != NULL)
                sb_text_addf(&t->cell, "%s", t->season->fields[stop->field].name);
            add_cell(t, false);
        }
        end_line(t);
    }
}

sb_status sb_render_comparison_text(const sb_season *season, const sb_compared *plans, size_t n,
                                    sb_text *text)
{
    table t = {.season = season, .text = text};
    for (size_t first = 0; first < n; first += BESIDE) {
        t.plans = plans + first;
        t.n = n - first < BESIDE ? n - first : BESIDE;
        if (first > 0)
            sb_text_addf(text, "\n");
        add_heads(&t);
        add_costs(&t);
        add_work(&t);
        add_seeds(&t);
        add_losses(&t, plans, n);
        add_orders(&t);
    }
    bool failed = text->failed || t.cell.failed;
    sb_text_release(&t.cell);
    return failed ? SB_ERR_NOMEM : SB_OK;
}
