/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One search at given multipliers: the season with the losses in each taker's fields counted so
 * many times, ordered as any other. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "order/chain.h"
#include "order/fair_parts.h"
#include "order/fleet_prove.h"
#include "order/fleet_search.h"
#include "order/solve.h"

/* One machine's annealing: it begins with a good plan and is proven anyway. */
#define ONE_EFFORT 0.2
/* A fleet's annealing at each multiplier: from anywhere, then near the best plan known. */
#define STARTS 8
#define FRESH_EFFORT 0.1
#define NEAR_EFFORT 0.2
#define NEAR_HEAT 0.1
/* Where cleaning money is limited it has to stay in the price; losses then count so many times
 * more that it does not matter. */
#define LOSS_SCALE 1e4

/* The season as priced for one search. It borrows everything but these lists. */
typedef struct priced {
    sb_season season;
    sb_field *fields;
    sb_machine *machines;
    sb_cleanout *cleanouts;
    double scale, offset; /* of the bound: scale x what is asked for + at most offset */
} priced;

static void take_money_away(const sb_fair *f, priced *p)
{
    sb_setup *setup = &p->season.setup;
    for (size_t m = 0; m < setup->n_machines; m++)
        p->machines[m].cost_per_km = p->machines[m].cost_per_hour = 0;
    for (size_t j = 0; j < p->season.n_fields; j++)
        p->fields[j].delay_cost_per_day = 0;
    if (isfinite(setup->limits.cleaning_cost)) {
        p->scale = LOSS_SCALE;
        p->offset = setup->limits.cleaning_cost;
        for (size_t m = 0; m < setup->n_machines; m++)
            if (f->season.joins[m].final_cleanout >= 0)
                p->offset += sb_season_cleanout_cost(&f->season, f->season.joins[m].final_cleanout);
        return;
    }
    setup->wage_per_hour = setup->lost_time_per_hour = 0;
    for (size_t c = 0; c < setup->n_cleanouts; c++)
        p->cleanouts[c].supplies_cost = 0;
}

static sb_status price(const sb_fair *f, bool money, const double *y, priced *p)
{
    const sb_setup *setup = &f->season.setup;
    *p = (priced){.season = f->season, .scale = 1};
    p->fields = sb_alloc(f->season.n_fields, sizeof *p->fields);
    p->machines = sb_alloc(setup->n_machines, sizeof *p->machines);
    p->cleanouts = sb_alloc(setup->n_cleanouts, sizeof *p->cleanouts);
    if (p->fields == NULL || p->machines == NULL || p->cleanouts == NULL)
        return SB_ERR_NOMEM;
    memcpy(p->fields, f->season.fields, f->season.n_fields * sizeof *p->fields);
    memcpy(p->machines, setup->machines, setup->n_machines * sizeof *p->machines);
    memcpy(p->cleanouts, setup->cleanouts, setup->n_cleanouts * sizeof *p->cleanouts);
    p->season.fields = p->fields;
    p->season.setup.machines = p->machines;
    p->season.setup.cleanouts = p->cleanouts;
    if (!money)
        take_money_away(f, p);
    for (size_t j = 0; j < f->season.n_fields; j++) {
        double times = p->scale * y[f->taker_of[j]] + (money ? f->weight : 0);
        for (size_t k = 0; k < setup->n_weeds; k++)
            p->fields[j].loss_per_seed[k] *= times;
    }
    return SB_OK;
}

static void priced_release(priced *p)
{
    sb_free(p->fields);
    sb_free(p->machines);
    sb_free(p->cleanouts);
}

/* ---- The search ---------------------------------------------------------------------------- */

static bool stop_search(void *context)
{
    const sb_fair *f = context;
    const sb_order_options *o = f->options->order;
    return f->enough || (o->stop != NULL && o->stop(o->context));
}

static void hear_one(void *context, const sb_outcome *outcome)
{
    sb_fair *f = context;
    f->enough |= outcome->labels > f->most_labels;
}

static void hear_fleet(void *context, const sb_fleet_outcome *outcome)
{
    sb_fair *f = context;
    f->enough |= outcome->labels > f->most_labels;
}

/* One machine: the order of the plan to begin with, its levels as these prices like them. */
static sb_status search_one(sb_fair *f, const priced *p, sb_crew *crew, sb_routes *routes,
                            double *bound)
{
    sb_problem problem = {0};
    sb_outcome o = {0};
    sb_status status = sb_problem_init(&problem, &p->season, 0);
    if (status == SB_OK)
        status = sb_outcome_init(&o, &problem);
    size_t bytes = p->season.n_fields * sizeof(int);
    if (status == SB_OK) {
        memcpy(o.field, routes->field, bytes);
        status = sb_chain_levels(&problem, o.field, o.level, &o.cost);
    }
    sb_solve_options how = sb_solve_options_default();
    how.seed = f->options->order->seed;
    how.effort = ONE_EFFORT;
    how.tell = hear_one;
    how.context = f;
    if (status == SB_OK)
        status = sb_solve(&problem, crew, &how, &o);
    if (status == SB_OK) {
        *bound = o.closed ? o.cost : fmin(o.bound, o.cost);
        f->labels += o.labels;
        if (isfinite(o.cost)) {
            memcpy(routes->field, o.field, bytes);
            memcpy(routes->level, o.level, bytes);
        }
    }
    sb_outcome_release(&o);
    sb_problem_release(&problem);
    return status;
}

static sb_status anneal(const sb_fair *f, const sb_fleet *fleet, sb_crew *crew, double effort,
                        double heat, sb_routes *routes)
{
    sb_fleet_search_options search = {
        .seed = f->options->order->seed + f->met.count, .starts = STARTS, .heat = heat};
    search.moves = (long)(effort * (double)sb_fleet_search_moves(fleet->n)) + 1;
    return sb_fleet_search(fleet, &search, crew, NULL, NULL, routes);
}

static sb_status search_fleet(sb_fair *f, const priced *p, sb_crew *crew, sb_routes *routes,
                              double *bound)
{
    sb_fleet fleet = {0};
    sb_fleet_outcome o = {0};
    sb_status status = sb_fleet_init(&fleet, &p->season);
    if (status == SB_OK)
        status = sb_fleet_outcome_init(&o, &fleet);
    if (status == SB_OK) {
        sb_routes_copy(&fleet, routes, &o.routes);
        status = sb_fleet_best_levels(&fleet, &o.routes);
    }
    if (status == SB_OK)
        status = anneal(f, &fleet, crew, FRESH_EFFORT, 1, &o.routes);
    if (status == SB_OK && isfinite(o.routes.cost))
        status = anneal(f, &fleet, crew, NEAR_EFFORT, NEAR_HEAT, &o.routes);
    sb_fleet_options how = {.seed = f->options->order->seed, .tell = hear_fleet, .context = f};
    if (status == SB_OK)
        status = sb_fleet_prove(&fleet, crew, &how, &o);
    if (status == SB_OK) {
        *bound = o.closed ? o.routes.cost : fmin(o.bound, o.routes.cost);
        f->labels += o.labels;
        if (isfinite(o.routes.cost))
            sb_routes_copy(&fleet, &o.routes, routes);
    }
    sb_fleet_outcome_release(&o);
    sb_fleet_release(&fleet);
    return status;
}

sb_status sb_fair_search(sb_fair *f, bool money, const double *y, size_t begin, double seconds,
                         double *bound, size_t *index)
{
    priced p;
    sb_routes routes = {0};
    sb_crew *crew = NULL;
    sb_order_options how = *f->options->order;
    how.time_limit_s = fmax(seconds, 1e-9);
    how.stop = stop_search;
    how.context = f;
    f->enough = false;
    *bound = -INFINITY;
    *index = SIZE_MAX;
    sb_status status = price(f, money, y, &p);
    if (status == SB_OK)
        status = sb_routes_init(&routes, &f->fleet);
    if (status == SB_OK)
        status = sb_crew_new(&how, &crew);
    if (status == SB_OK) {
        sb_routes_copy(&f->fleet, &f->met.items[begin].routes, &routes);
        status = f->alone ? search_one(f, &p, crew, &routes, bound)
                          : search_fleet(f, &p, crew, &routes, bound);
    }
    f->searches++;
    f->cut_short |= crew != NULL && sb_crew_elapsed_s(crew) >= seconds;
    *bound = (*bound - p.offset) / p.scale;
    if (status == SB_OK)
        status = sb_fair_meet(f, &routes, index);
    sb_crew_free(crew);
    sb_routes_release(&routes);
    priced_release(&p);
    return status;
}
