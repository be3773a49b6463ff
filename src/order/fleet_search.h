/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Good routes for all machines soon: annealing over assignment, order and levels. It proves
 * nothing. */
#ifndef SB_ORDER_FLEET_SEARCH_H
#define SB_ORDER_FLEET_SEARCH_H

#include "order/fleet.h"
#include "order/parallel.h"

typedef struct sb_fleet_search_options {
    uint64_t seed;
    int starts;  /**< independent runs; the best is kept, ties to the earliest */
    long moves;  /**< tried in each run: a count and not a time, so that one seed gives one plan on
                      every machine */
    double heat; /**< 1: from molten and at random; less: from the routes at hand, staying near */
} sb_fleet_search_options;

/** Moves of one run that serve a season of so many fields: grows as n log n. */
long sb_fleet_search_moves(int n_fields);

/** @param routes [in, out] the best known routes (cost INFINITY: none); improved or kept
 * @param keep called, one at a time and in the same order on every machine, with the best routes of
 *             each run that found any; may be NULL
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_fleet_search(const sb_fleet *fleet, const sb_fleet_search_options *options,
                          sb_crew *crew, sb_status (*keep)(void *context, const sb_routes *routes),
                          void *context, sb_routes *routes);

#endif
