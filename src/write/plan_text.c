/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The plan as a table 80 columns wide, with a reason for each cleanout. */
#include <math.h>

#include "write/columns.h"
#include "write/why.h"
#include "write/words.h"
#include "write/write.h"

/* Column widths; the field's name gets what is left of the page. */
#define NUMBER 3
#define CLEANOUT 16
#define KM 6
#define MOMENT 16
#define SEEDS 6
#define MIN_NAME 12
/* More weeds than this beside the dates would leave no room for the field's name. */
#define WEEDS_BESIDE 3
/* Assumptions shown before `check` is recommended for the rest. */
#define ASSUMPTIONS 6

/* The table being written: which weeds have columns, and a scratch text for cells. */
typedef struct table {
    const sb_season *season;
    sb_text *text;
    sb_text cell;
    int weeds[SB_MAX_WEEDS];
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

/* Room for the field's name when so many seed columns stand beside the dates. */
static int name_width(int weeds_beside)
{
    int width = SB_PAGE_COLUMNS - NUMBER - CLEANOUT - KM - MOMENT - 4 - weeds_beside * (SEEDS + 1);
    return width < MIN_NAME ? MIN_NAME : width;
}

static void add_weed_heads(table *t)
{
    for (int i = 0; i < t->n_weeds; i++) {
        add_blank(t);
        sb_columns_add(t->text, t->season->setup.weeds[t->weeds[i]].id, SEEDS, true);
    }
}

static void add_seeds(table *t, const double *seeds)
{
    for (int i = 0; i < t->n_weeds; i++) {
        add_blank(t);
        sb_words_seeds(&t->cell, seeds[t->weeds[i]]);
        add_cell(t, SEEDS, true);
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
                           bool is_end, bool weeds_beside)
{
    add_cell(t, NUMBER, true);
    add_blank(t);
    sb_columns_add(t->text, name, name_width(weeds_beside ? t->n_weeds : 0), false);
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

static void add_stops(table *t, const sb_route *route)
{
    bool beside = t->n_weeds <= WEEDS_BESIDE;
    sb_columns_add(t->text, "#", NUMBER, true);
    add_blank(t);
    sb_columns_add(t->text, "Field", name_width(beside ? t->n_weeds : 0), false);
    add_blank(t);
    sb_columns_add(t->text, "Cleanout before", CLEANOUT, false);
    add_blank(t);
    sb_columns_add(t->text, "km", KM, true);
    add_blank(t);
    sb_columns_add(t->text, "Arrives", MOMENT, false);
    if (beside)
        add_weed_heads(t);
    end_line(t);
    for (size_t i = 0; i < route->n_stops; i++) {
        const sb_stop *stop = &route->stops[i];
        sb_text_addf(&t->cell, "%zu", i + 1);
        add_line_start(t, t->season->fields[stop->field].name, stop->cleanout, stop->km,
                       stop->arrive_h, false, beside);
        if (beside)
            add_seeds(t, stop->trace.ground);
        end_line(t);
    }
    const char *yard = t->season->yards[t->season->joins[route->machine].yard].name;
    add_line_start(t, yard, route->final_cleanout, route->km_home, route->home_h, true, beside);
    end_line(t);
    if (beside && t->n_weeds > 0)
        sb_text_addf(t->text, "    Under each weed: seeds brought to the ground of that field (~0: "
                              "less than a\n    tenth). The last line is the way home, its "
                              "cleanout done in the yard.\n");
    else
        sb_text_addf(t->text,
                     "    The last line is the way home, its cleanout done in the yard.\n");
}

/* The seed columns on their own, when there are too many to stand beside the dates. */
static void add_seed_table(table *t, const sb_route *route)
{
    int name = SB_PAGE_COLUMNS - NUMBER - 1 - t->n_weeds * (SEEDS + 1);
    sb_text_addf(t->text, "\nSeeds brought to the ground of each field\n");
    sb_columns_add(t->text, "#", NUMBER, true);
    add_blank(t);
    sb_columns_add(t->text, "Field", name, false);
    add_weed_heads(t);
    end_line(t);
    for (size_t i = 0; i < route->n_stops; i++) {
        const sb_stop *stop = &route->stops[i];
        sb_text_addf(&t->cell, "%zu", i + 1);
        add_cell(t, NUMBER, true);
        add_blank(t);
        sb_columns_add(t->text, t->season->fields[stop->field].name, name, false);
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
        sb_text_addf(&line, "%s before %s: ", t->season->setup.cleanouts[stop->cleanout].name,
                     t->season->fields[stop->field].name);
        sb_why(t->season, route, i, sb_add_plain_name, &line);
        sb_text_addf(&t->cell, "%zu", i + 1);
        add_cell(t, NUMBER, true);
        add_blank(t);
        sb_columns_wrap(t->text, sb_text_get(&line), NUMBER + 1, NUMBER + 1);
    }
    if (!any)
        sb_text_addf(t->text, "\nNo cleanout before any move.\n");
    t->text->failed |= line.failed;
    sb_text_release(&line);
}

static void add_route(table *t, const sb_route *route)
{
    sb_text line = {0};
    sb_text_addf(&line, "%s: %zu field%s, ", t->season->setup.machines[route->machine].name,
                 route->n_stops, route->n_stops == 1 ? "" : "s");
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

/* Kilometres, cleanouts and their minutes over all machines. */
static void count_work(const sb_season *season, const sb_plan *plan, double *km, size_t *cleanouts,
                       double *minutes)
{
    for (size_t r = 0; r < plan->n_routes; r++) {
        const sb_route *route = &plan->routes[r];
        *km += route->km_total;
        for (size_t i = 0; i <= route->n_stops; i++) {
            int level = i < route->n_stops ? route->stops[i].cleanout : route->final_cleanout;
            if (level <= 0)
                continue;
            ++*cleanouts;
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
    size_t cleanouts = 0;
    count_work(t->season, plan, &km, &cleanouts, &minutes);
    sb_text_addf(t->text, "\n");
    add_money_line(t, "Travel", plan->cost.travel);
    sb_words_km(t->text, km);
    sb_text_addf(t->text, "\n");
    add_money_line(t, "Cleanouts", plan->cost.cleanout);
    sb_text_addf(t->text, "%zu, ", cleanouts);
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

static void add_assumptions(table *t)
{
    size_t n = t->season->assumptions.count;
    if (n == 0)
        return;
    sb_text_addf(t->text, "\nAssumed, because no file says otherwise:\n");
    for (size_t i = 0; i < n && i < ASSUMPTIONS; i++) {
        sb_text_addf(t->text, "  ");
        sb_columns_add(t->text, t->season->assumptions.items[i].text, SB_PAGE_COLUMNS - 2, false);
        end_line(t);
    }
    if (n > ASSUMPTIONS)
        sb_text_addf(t->text, "  ... and %zu more; ", n - ASSUMPTIONS);
    else
        sb_text_addf(t->text, "  ");
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
        add_route(&t, &plan->routes[r]);
    }
    add_totals(&t, plan);
    sb_text proof = {0};
    sb_proof_words(season, plan, &proof);
    sb_columns_wrap(text, sb_text_get(&proof), 0, 0);
    add_assumptions(&t);
    bool failed = text->failed || t.cell.failed || proof.failed;
    sb_text_release(&proof);
    sb_text_release(&t.cell);
    return failed ? SB_ERR_NOMEM : SB_OK;
}
