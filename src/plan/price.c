/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a plan costs. */
#include <math.h>

#include "base/mem.h"
#include "plan/dates.h"

/** Money of a route whose dates are known; adds to the plan's travel, cleanout and delay. */
static void price_moves(const sb_season *season, sb_route *route, sb_cost *cost)
{
    for (size_t i = 0; i < route->n_stops; i++) {
        sb_stop *stop = &route->stops[i];
        stop->delay_cost = sb_season_delay_cost(season, stop->field, stop->finish_h);
        cost->travel += sb_season_travel_cost(season, route->machine, stop->km);
        cost->cleanout += sb_season_cleanout_cost(season, stop->cleanout);
        cost->delay += stop->delay_cost;
    }
    cost->travel += sb_season_travel_cost(season, route->machine, route->km_home);
    if (sb_route_moves(season, route) && route->final_cleanout >= 0)
        cost->cleanout += sb_season_cleanout_cost(season, route->final_cleanout);
}

/** Seeds and their loss; adds to the plan's spread. The ledger may be NULL. */
static sb_status price_seeds(const sb_season *season, sb_route *route, sb_ledger *ledger,
                             sb_cost *cost)
{
    size_t n = route->n_stops;
    sb_visit *visits = sb_alloc(n, sizeof *visits);
    sb_stop_trace *traces = sb_alloc(n + 1, sizeof *traces);
    sb_status status = SB_ERR_NOMEM;
    if (visits == NULL || traces == NULL)
        goto out;
    for (size_t i = 0; i < n; i++)
        visits[i] = (sb_visit){route->stops[i].field, route->stops[i].cleanout};
    status =
        sb_carry_follow(season, route->machine, visits, n,
                        sb_route_moves(season, route) ? route->final_cleanout : -1, ledger, traces);
    if (status != SB_OK)
        goto out;
    for (size_t i = 0; i < n; i++) {
        sb_stop *stop = &route->stops[i];
        stop->trace = traces[i];
        stop->loss = 0;
        for (size_t w = 0; w < season->setup.n_weeds; w++)
            stop->loss += traces[i].ground[w] * season->fields[stop->field].loss_per_seed[w];
        cost->spread += stop->loss;
    }
    route->final_trace = traces[n];
out:
    sb_free(visits);
    sb_free(traces);
    return status;
}

static sb_status price(const sb_season *season, sb_plan *plan, sb_ledger *ledger)
{
    sb_cost cost = {0};
    sb_status status = sb_plan_dates(season, plan);
    for (size_t r = 0; r < plan->n_routes && status == SB_OK; r++) {
        price_moves(season, &plan->routes[r], &cost);
        status = price_seeds(season, &plan->routes[r], ledger, &cost);
    }
    if (status != SB_OK)
        return status;
    cost.total = cost.travel + cost.cleanout + cost.spread + cost.delay;
    plan->cost = cost;
    return SB_OK;
}

sb_status sb_plan_price(const sb_season *season, sb_plan *plan)
{
    sb_ledger_release(&plan->ledger);
    sb_status status = sb_ledger_init(&plan->ledger, season);
    return status == SB_OK ? price(season, plan, &plan->ledger) : status;
}

sb_status sb_plan_price_only(const sb_season *season, sb_plan *plan)
{
    sb_ledger_release(&plan->ledger);
    return price(season, plan, NULL);
}
