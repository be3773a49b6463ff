/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The moves of the fleet's annealing: each brings two fields together that go well one after the
 * other, wherever they are now. */
#ifndef SB_ORDER_FLEET_MOVES_H
#define SB_ORDER_FLEET_MOVES_H

#include "base/random.h"
#include "order/fleet_route.h"

/** Fields that are cheap to go on to, from every field and from every machine's yard. */
typedef struct sb_near {
    int width; /**< at most n - 1 */
    int *to;   /**< (n + machines) x width, cheapest first; -1: none */
} sb_near;

/** @param ways by machine; only those of each kind are looked at
 * @return SB_OK; SB_ERR_NOMEM. Release in any case. */
sb_status sb_near_init(sb_near *near, const sb_fleet *fleet, const sb_ways *ways);
void sb_near_release(sb_near *near);

/** All routes under search. */
typedef struct sb_routes_state {
    const sb_fleet *fleet;
    const sb_near *near;
    sb_random random;
    sb_route_state *routes;     /**< machines */
    int *machine_of, *place_of; /**< n: who cuts the field, and as which stop */
} sb_routes_state;

/** A move changes one route or two. */
typedef struct sb_fleet_move {
    int n_changes;
    int machine[2];
    sb_change change[2]; /**< their arrays belong to the search and have room for n stops */
} sb_fleet_move;

/** Draws a move; false: nothing came of it, draw again. */
bool sb_fleet_move_propose(sb_routes_state *state, sb_fleet_move *move);

#endif
