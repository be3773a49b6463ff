/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Several machines over one season: who cuts what, in which order, after which cleanouts.
 *
 * Every machine has an sb_problem over all fields of the season; fields it may not cut have no move
 * open. A route is one machine's fields in order with the level before the move to each; it costs
 * what the machine's problem says, and an empty route costs nothing: the way home that a machine
 * on its way has in any case is `home_in_any_case`, and taken off every route of it. Rules that
 * look at all routes together (limits on full cleanouts and on cleaning money, `after` between
 * machines, things they share) are in sb_fleet_cost and not in the cost of a route. */
#ifndef SB_ORDER_FLEET_H
#define SB_ORDER_FLEET_H

#include "order/problem.h"
#include "plan/plan.h"

/** `later` may be begun only when `earlier` is finished, whoever cuts them. */
typedef struct sb_after {
    int earlier, later;
} sb_after;

typedef struct sb_fleet {
    const sb_season *season;
    int n;        /**< fields */
    int machines; /**< all of the season */
    sb_problem *problems;
    int *kind;     /**< by machine: the first machine whose problem is the same in every number */
    bool *may_cut; /**< machines x n: is any move into the field open to the machine? */
    sb_after *after;
    size_t n_after;
    bool coupled;                 /**< may machines have to wait for each other? */
    double most_spend, most_full; /**< over all routes; INFINITY: no limit */
    double home_in_any_case; /**< money; routes and plans cost so much less here than they do */
} sb_fleet;

/** @return SB_OK; SB_ERR_NOMEM. Release in any case. */
sb_status sb_fleet_init(sb_fleet *fleet, const sb_season *season);
/** A fleet of one machine of the season, which cuts every field: number 0 here. Its way home is in
 * the cost of its route in any case, and home_in_any_case is 0. @return as sb_fleet_init */
sb_status sb_fleet_init_alone(sb_fleet *fleet, const sb_season *season, int machine);
void sb_fleet_release(sb_fleet *fleet);

/** The routes of all machines: stop t of machine m is field[m * n + t]. */
typedef struct sb_routes {
    int *count;         /**< machines */
    int *field, *level; /**< machines x n */
    double cost;        /**< INFINITY: none known */
} sb_routes;

/** The routes of a plan for the fleet's machines; cost INFINITY. @return SB_OK; SB_ERR_NOMEM.
 * Release in any case. */
sb_status sb_routes_of_plan(sb_routes *routes, const sb_fleet *fleet, const sb_plan *plan);
/** No route, no cost known. @return SB_OK; SB_ERR_NOMEM. Release in any case. */
sb_status sb_routes_init(sb_routes *routes, const sb_fleet *fleet);
void sb_routes_release(sb_routes *routes);
void sb_routes_copy(const sb_fleet *fleet, const sb_routes *from, sb_routes *to);

/** What a route takes besides money. */
typedef struct sb_route_use {
    double spend, full, end_h;
} sb_route_use;

/** The cost of one machine's route; INFINITY when it breaks a rule of its machine.
 * @param use  [out] may be NULL
 * @param arrive_h, finish_h [out] by field, of the route's fields only; may be NULL */
double sb_fleet_route_cost(const sb_fleet *fleet, int machine, const int *field, const int *level,
                           int count, sb_route_use *use, double *arrive_h, double *finish_h);

/** The cost of all routes together, with the waits of machines for each other; INFINITY when a rule
 * is broken or a field is not cut exactly once. Never less than the costs of the routes alone. The
 * routes' own `cost` is not looked at. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_fleet_cost(const sb_fleet *fleet, const sb_routes *routes, double *cost);

/** Routes as a plan, without prices, dates or reasons. The caller frees it with sb_plan_free.
 * @return SB_OK; SB_ERR_NOMEM: *plan is NULL */
sb_status sb_fleet_write_plan(const sb_fleet *fleet, const sb_routes *routes, sb_plan **plan);

/** Gives every route its cheapest levels, as long as all rules are kept together, and prices the
 * routes anew. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_fleet_best_levels(const sb_fleet *fleet, sb_routes *routes);

#endif
