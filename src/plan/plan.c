/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A plan's memory, and what the public header tells of it. */
#include "plan/plan.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

sb_status sb_plan_new(const sb_season *season, size_t n_routes, sb_plan **plan)
{
    *plan = NULL;
    sb_plan *made = sb_alloc(1, sizeof *made);
    if (made == NULL)
        return SB_ERR_NOMEM;
    made->proof.bound = -INFINITY;
    made->n_routes = n_routes;
    made->routes = sb_alloc(n_routes, sizeof *made->routes);
    if (made->routes == NULL || sb_ledger_init(&made->ledger, season) != SB_OK) {
        made->n_routes = 0;
        sb_plan_free(made);
        return SB_ERR_NOMEM;
    }
    *plan = made;
    return SB_OK;
}

sb_status sb_route_init(const sb_season *season, int machine, size_t n_stops, sb_route *route)
{
    route->machine = machine;
    route->final_cleanout = season->joins[machine].final_cleanout;
    route->stops = sb_alloc(n_stops, sizeof *route->stops);
    route->n_stops = route->stops != NULL ? n_stops : 0;
    return route->stops != NULL ? SB_OK : SB_ERR_NOMEM;
}

bool sb_route_moves(const sb_season *season, const sb_route *route)
{
    return route->n_stops > 0 || season->joins[route->machine].goes_home;
}

sb_status sb_plan_new_single(const sb_season *season, int machine, size_t n_stops, sb_plan **plan)
{
    sb_status status = sb_plan_new(season, 1, plan);
    if (status == SB_OK)
        status = sb_route_init(season, machine, n_stops, &(*plan)->routes[0]);
    if (status != SB_OK) {
        sb_plan_free(*plan);
        *plan = NULL;
    }
    return status;
}

void sb_plan_free(sb_plan *plan)
{
    if (plan == NULL)
        return;
    for (size_t r = 0; r < plan->n_routes; r++) {
        sb_free(plan->routes[r].stops);
        sb_free(plan->routes[r].reasons);
        sb_free(plan->routes[r].moves);
    }
    sb_free(plan->routes);
    sb_free(plan->fairness.takers);
    sb_ledger_release(&plan->ledger);
    sb_free(plan);
}

static sb_status copy_route(const sb_season *season, const sb_route *from, sb_route *to)
{
    sb_status status = sb_route_init(season, from->machine, from->n_stops, to);
    if (status != SB_OK)
        return status;
    sb_stop *stops = to->stops;
    *to = *from;
    to->stops = stops;
    to->reasons = NULL;
    to->moves = NULL;
    memcpy(stops, from->stops, from->n_stops * sizeof *stops);
    if (from->reasons == NULL)
        return SB_OK;
    to->reasons = sb_alloc(from->n_stops, sizeof *to->reasons);
    if (to->reasons == NULL)
        return SB_ERR_NOMEM;
    memcpy(to->reasons, from->reasons, from->n_stops * sizeof *to->reasons);
    return SB_OK;
}

static void copy_ledger(const sb_ledger *from, sb_ledger *to)
{
    size_t origins = (from->n_fields + 1) * from->n_weeds;
    size_t pairs = origins * from->n_fields;
    memcpy(to->ground, from->ground, pairs * sizeof *to->ground);
    memcpy(to->tank, from->tank, pairs * sizeof *to->tank);
    memcpy(to->site, from->site, origins * sizeof *to->site);
    memcpy(to->left, from->left, origins * sizeof *to->left);
    memcpy(to->taken, from->taken, origins * sizeof *to->taken);
}

static sb_status copy_fairness(const sb_fairness *from, sb_fairness *to)
{
    if (from->n_takers == 0)
        return SB_OK;
    sb_taker *takers = sb_alloc(from->n_takers, sizeof *takers);
    if (takers == NULL)
        return SB_ERR_NOMEM;
    memcpy(takers, from->takers, from->n_takers * sizeof *takers);
    *to = *from;
    to->takers = takers;
    return SB_OK;
}

sb_status sb_plan_copy(const sb_season *season, const sb_plan *plan, sb_plan **copy)
{
    sb_plan *made;
    sb_status status = sb_plan_new(season, plan->n_routes, &made);
    *copy = NULL;
    for (size_t r = 0; status == SB_OK && r < plan->n_routes; r++)
        status = copy_route(season, &plan->routes[r], &made->routes[r]);
    if (status == SB_OK)
        status = copy_fairness(&plan->fairness, &made->fairness);
    if (status != SB_OK) {
        sb_plan_free(made);
        return status;
    }
    made->cost = plan->cost;
    made->proof = plan->proof;
    made->insurance = plan->insurance;
    if (plan->ledger.ground != NULL)
        copy_ledger(&plan->ledger, &made->ledger);
    else
        sb_ledger_release(&made->ledger);
    *copy = made;
    return SB_OK;
}

double sb_plan_weighed_cost(const sb_plan *plan)
{
    double weight = plan->proof.spread_weight > 0 ? plan->proof.spread_weight : 1;
    return plan->cost.total + (weight - 1) * plan->cost.spread;
}

sb_cost sb_plan_cost(const sb_plan *plan)
{
    return plan->cost;
}

double sb_plan_bound(const sb_plan *plan)
{
    return plan->proof.bound;
}

bool sb_plan_optimal(const sb_plan *plan)
{
    return plan->proof.optimal;
}
