/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rivals of a plan for several machines: what would be cheapest in other seasons.
 *
 * In each drawn season the machines' routes are annealed anew. What every run ends with goes into a
 * pool, and all of the pool is priced in all of these seasons. The rivals are those of the pool
 * with which one would most often be better off. */
#include <math.h>
#include <stdint.h>

#include "base/mem.h"
#include "doubt/scenarios.h"
#include "order/fleet_search.h"

/* Runs of each drawn season, from anywhere and near the best of the pool there. They are short: the
 * pool holds what all other seasons found, too. */
#define STARTS 2
#define FRESH_EFFORT 0.1
#define NEAR_EFFORT 0.03
#define NEAR_HEAT 0.1
/* Costs that differ by a smaller share are equal: alike machines that swap routes, fields that are
 * as clean and as near. */
#define SAME_SHARE 1e-9

typedef struct met {
    sb_routes routes;
    double *cost; /* by drawn season */
    double sum;
} met;

typedef struct rivals {
    const sb_season *season;
    const sb_order_options *options;
    sb_crew *crew;
    sb_spreads spreads;
    sb_scenarios scenarios;
    struct {
        met *items;
        size_t count, capacity;
    } pool; /* first the plan itself */
} rivals;

static bool same_cost(double a, double b)
{
    return a == b || fabs(a - b) <= SAME_SHARE * fmin(fabs(a), fabs(b)); /* one may be infinite */
}

/* Does the pool hold a plan that costs the same in every season? */
static bool is_met(const rivals *r, const double *cost)
{
    for (size_t p = 0; p < r->pool.count; p++) {
        size_t s = 0;
        while (s < r->scenarios.n && same_cost(r->pool.items[p].cost[s], cost[s]))
            s++;
        if (s == r->scenarios.n)
            return true;
    }
    return false;
}

static void met_release(met *plan)
{
    sb_routes_release(&plan->routes);
    sb_free(plan->cost);
}

/* Adds routes to the pool, unless they are there or break a rule; the first are the plan's and
 * stay in any case. */
static sb_status add(void *context, const sb_routes *routes)
{
    rivals *r = context;
    met next = {0};
    sb_status status = sb_routes_init(&next.routes, &r->scenarios.central);
    next.cost = sb_alloc(r->scenarios.n, sizeof *next.cost);
    if (status == SB_OK && next.cost == NULL)
        status = SB_ERR_NOMEM;
    if (status == SB_OK) {
        sb_routes_copy(&r->scenarios.central, routes, &next.routes);
        status = sb_scenario_costs(&r->scenarios, routes, next.cost);
    }
    for (size_t s = 0; status == SB_OK && s < r->scenarios.n; s++)
        next.sum += next.cost[s];
    bool wanted = r->pool.count == 0 || (isfinite(next.sum) && !is_met(r, next.cost));
    if (status == SB_OK && wanted) {
        if (SB_PUSH(&r->pool, next))
            return SB_OK;
        status = SB_ERR_NOMEM;
    }
    met_release(&next);
    return status;
}

static bool cheaper(double a, double b)
{
    return a < b && !same_cost(a, b);
}

/* The first of the cheapest of the pool in a season. */
static size_t cheapest_in(const rivals *r, size_t season)
{
    size_t best = 0;
    for (size_t p = 1; p < r->pool.count; p++)
        if (cheaper(r->pool.items[p].cost[season], r->pool.items[best].cost[season]))
            best = p;
    return best;
}

/* Orders one drawn season anew: from anywhere, and near the best that is known for it. */
static sb_status order_season(rivals *r, size_t season)
{
    sb_fleet fleet = {0};
    sb_routes found = {0};
    double weight[SB_RIVAL_SEASONS] = {0};
    weight[season] = 1;
    sb_status status = sb_scenarios_mean(&r->scenarios, weight, &fleet);
    if (status == SB_OK)
        status = sb_routes_init(&found, &fleet);
    for (int near = 0; near <= 1 && status == SB_OK; near++) {
        const met *best = &r->pool.items[cheapest_in(r, season)];
        sb_fleet_search_options how = {.seed = r->options->seed + 2 * season + (uint64_t)near,
                                       .starts = STARTS,
                                       .moves = (long)((near ? NEAR_EFFORT : FRESH_EFFORT) *
                                                       (double)sb_fleet_search_moves(fleet.n)) +
                                                1,
                                       .heat = near ? NEAR_HEAT : 1};
        sb_routes_copy(&fleet, &best->routes, &found);
        status = sb_fleet_cost(&fleet, &found, &found.cost);
        if (status == SB_OK)
            status = sb_fleet_search(&fleet, &how, r->crew, add, r, &found);
    }
    sb_routes_release(&found);
    sb_fleet_release(&fleet);
    return status;
}

static sb_status order_seasons(rivals *r)
{
    sb_status status = SB_OK;
    for (size_t s = 0; s < r->scenarios.n && status == SB_OK && !sb_crew_stopped(r->crew); s++) {
        status = order_season(r, s);
        sb_progress now = {sb_crew_elapsed_s(r->crew), INFINITY, -INFINITY,
                           (double)(s + 1) / (double)r->scenarios.n};
        if (r->options->progress != NULL)
            r->options->progress(&now, r->options->context);
    }
    return status;
}

/* In how many seasons a plan is cheaper than the cheapest of those that are chosen. */
static size_t cheaper_in(const met *plan, const double *least, size_t n)
{
    size_t seasons = 0;
    for (size_t s = 0; s < n; s++)
        seasons += cheaper(plan->cost[s], least[s]);
    return seasons;
}

/* The plan that is cheaper than all chosen ones in most seasons, of equals that of the least mean;
 * SIZE_MAX: none is in any. */
static size_t best_choice(const rivals *r, const double *least)
{
    size_t best = SIZE_MAX, most = 0;
    for (size_t p = 0; p < r->pool.count; p++) {
        const met *plan = &r->pool.items[p];
        size_t seasons = cheaper_in(plan, least, r->scenarios.n);
        if (seasons > most ||
            (seasons > 0 && seasons == most && plan->sum < r->pool.items[best].sum)) {
            best = p;
            most = seasons;
        }
    }
    return best;
}

static sb_status write_plan(const rivals *r, const sb_routes *routes, sb_plan **plan)
{
    sb_status status = sb_fleet_write_plan(&r->scenarios.central, routes, plan);
    return status == SB_OK ? sb_plan_price(r->season, *plan) : status;
}

/* Takes rivals one by one, and counts in which seasons each of them, or the plan, is cheapest. */
static sb_status choose(rivals *r, size_t most, sb_plan **plans, size_t *best_in, size_t *n)
{
    double least[SB_RIVAL_SEASONS];
    size_t cheapest[SB_RIVAL_SEASONS] = {0}, seasons = r->scenarios.n;
    sb_status status = SB_OK;
    for (size_t s = 0; s < seasons; s++)
        least[s] = r->pool.items[0].cost[s];
    while (*n < most && status == SB_OK) {
        size_t next = best_choice(r, least);
        if (next == SIZE_MAX)
            break;
        const met *plan = &r->pool.items[next];
        status = write_plan(r, &plan->routes, &plans[*n]);
        ++*n;
        for (size_t s = 0; s < seasons; s++)
            if (cheaper(plan->cost[s], least[s])) {
                least[s] = plan->cost[s];
                cheapest[s] = *n;
            }
    }
    for (size_t p = 0; p <= most; p++)
        best_in[p] = 0;
    for (size_t s = 0; s < seasons; s++)
        best_in[cheapest[s]]++;
    return status;
}

static sb_status rivals_init(rivals *r, const sb_plan *plan)
{
    sb_routes routes = {0};
    sb_status status = sb_crew_new(r->options, &r->crew);
    if (status == SB_OK)
        status = sb_spreads_of(r->season, &r->spreads);
    if (status == SB_OK)
        status = sb_scenarios_init(&r->scenarios, r->season, -1, &r->spreads, r->options->seed,
                                   SB_SCENARIO_STREAM, 1, SB_RIVAL_SEASONS, NULL);
    if (status == SB_OK)
        status = sb_routes_of_plan(&routes, &r->scenarios.central, plan);
    if (status == SB_OK)
        status = add(r, &routes);
    sb_routes_release(&routes);
    return status;
}

static void rivals_release(rivals *r)
{
    for (size_t p = 0; p < r->pool.count; p++)
        met_release(&r->pool.items[p]);
    sb_free(r->pool.items);
    sb_scenarios_release(&r->scenarios);
    sb_free(r->spreads.items);
    sb_crew_free(r->crew);
}

sb_status sb_find_rivals(const sb_season *season, const sb_plan *plan,
                         const sb_order_options *options, size_t most, sb_plan **plans,
                         size_t *best_in, size_t *n)
{
    if (season == NULL || plan == NULL || options == NULL || plans == NULL || best_in == NULL ||
        n == NULL)
        return SB_ERR_ARG;
    *n = 0;
    for (size_t p = 0; p < most; p++)
        plans[p] = NULL;
    sb_order_options how = *options;
    how.time_limit_s = INFINITY; /* the rivals must not depend on the clock */
    rivals r = {.season = season, .options = &how};
    sb_status status = rivals_init(&r, plan);
    if (status == SB_OK)
        status = order_seasons(&r);
    if (status == SB_OK)
        status = choose(&r, most, plans, best_in, n);
    for (size_t p = 0; status != SB_OK && p < most; p++) {
        sb_plan_free(plans[p]);
        plans[p] = NULL;
    }
    rivals_release(&r);
    return status;
}
