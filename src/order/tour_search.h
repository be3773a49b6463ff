/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Good tours soon, for seasons in which nothing is remembered: exchange of neighbouring stretches
 * (the part of 3-opt that turns no stretch round, Lin 1965; from memory) with near neighbours only,
 * repeated from locally shaken tours. Far better at this than annealing. */
#ifndef SB_ORDER_TOUR_SEARCH_H
#define SB_ORDER_TOUR_SEARCH_H

#include "order/parallel.h"
#include "order/problem.h"

/** @param arc_cost (n + 1) x (n + 1), yard = n; INFINITY: no way
 * @param field [in, out] n: the tour to start from; replaced when a cheaper one is found
 * @param cost  [in, out] its cost over arc_cost
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_tour_search(const sb_problem *p, sb_crew *crew, const double *arc_cost, uint64_t seed,
                         int *field, double *cost);

#endif
