/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_order.h"

#include <math.h>
#include <string.h>

#include "base/report.h"
#include "order/asked.h"
#include "order/conflict.h"
#include "order/fleet_solve.h"

typedef struct job {
    const sb_season *season;
    const sb_order_options *options;
    sb_crew *crew;
    sb_report *report;
    sb_fleet fleet;
    sb_fleet_outcome outcome;
} job;

static void tell_progress(void *context, const sb_fleet_outcome *outcome)
{
    const job *j = context;
    double home = j->fleet.home_in_any_case;
    sb_progress now = {sb_crew_elapsed_s(j->crew), outcome->routes.cost + home,
                       outcome->bound + home, 0};
    if (j->options->progress != NULL)
        j->options->progress(&now, j->options->context);
}

static sb_status find_routes(job *j)
{
    sb_fleet_options options = {.seed = j->options->seed, .tell = tell_progress, .context = j};
    sb_status status = sb_fleet_solve(&j->fleet, j->crew, &options, &j->outcome);
    if (status != SB_OK || isfinite(j->outcome.routes.cost))
        return status;
    return sb_conflict_explain(j->season, -1, j->crew, j->outcome.closed, j->report);
}

/* The routes of a given plan with their cheapest cleanouts. */
static sb_status keep_plan_order(job *j)
{
    const sb_plan *plan = j->options->keep_order;
    sb_routes *routes = &j->outcome.routes;
    if (plan == NULL)
        return SB_ERR_ARG;
    for (size_t r = 0; r < plan->n_routes; r++) {
        const sb_route *route = &plan->routes[r];
        int m = route->machine;
        if (routes->count[m] > 0 || route->n_stops > (size_t)j->fleet.n)
            return SB_ERR_ARG;
        for (size_t t = 0; t < route->n_stops; t++) {
            routes->field[m * j->fleet.n + (int)t] = route->stops[t].field;
            routes->level[m * j->fleet.n + (int)t] = route->stops[t].cleanout;
        }
        routes->count[m] = (int)route->n_stops;
    }
    sb_status status = sb_fleet_best_levels(&j->fleet, routes);
    if (status != SB_OK)
        return status;
    if (isinf(routes->cost)) {
        sb_say(j->report, SB_ERROR, NULL, 0, "no cleanouts let this order keep every rule");
        return SB_ERR_INFEASIBLE;
    }
    j->outcome.method = SB_METHOD_ORDER_GIVEN;
    return SB_OK;
}

static sb_status write_down(job *j, sb_plan **plan)
{
    const sb_fleet *f = &j->fleet;
    const sb_fleet_outcome *o = &j->outcome;
    sb_status status = sb_fleet_write_plan(f, &o->routes, plan);
    if (status == SB_OK)
        status = sb_plan_price(j->season, *plan);
    if (status != SB_OK) {
        sb_plan_free(*plan);
        *plan = NULL;
        return status;
    }
    sb_proof *proof = &(*plan)->proof;
    proof->optimal = o->closed;
    proof->bound =
        o->closed ? (*plan)->cost.total : fmin(o->bound + f->home_in_any_case, (*plan)->cost.total);
    proof->seconds = sb_crew_elapsed_s(j->crew);
    proof->labels = o->labels;
    strncpy(proof->method, o->method, sizeof proof->method - 1);
    return SB_OK;
}

sb_status sb_fleet_order(const sb_season *season, const sb_order_options *options, sb_crew *crew,
                         sb_report *report, sb_plan **plan, double *cost)
{
    job j = {.season = season, .options = options, .crew = crew, .report = report};
    *plan = NULL;
    int machine;
    if (options->by != SB_BY_COST && options->by != SB_BY_PLAN)
        return sb_machine_meant(season, NULL, "a rule orders the fields", report, &machine);
    sb_status status = sb_fleet_init(&j.fleet, season);
    if (status == SB_OK)
        status = sb_fleet_outcome_init(&j.outcome, &j.fleet);
    if (status == SB_OK)
        status = options->by == SB_BY_PLAN ? keep_plan_order(&j) : find_routes(&j);
    if (status == SB_OK)
        status = write_down(&j, plan);
    *cost = j.outcome.routes.cost + j.fleet.home_in_any_case;
    sb_fleet_outcome_release(&j.outcome);
    sb_fleet_release(&j.fleet);
    return status;
}
