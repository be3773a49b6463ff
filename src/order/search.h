/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A good plan soon: annealing over orders and levels, many starts. It proves nothing. */
#ifndef SB_ORDER_SEARCH_H
#define SB_ORDER_SEARCH_H

#include "order/parallel.h"
#include "order/problem.h"

typedef struct sb_search_options {
    uint64_t seed;
    int starts;       /**< independent runs; the best is kept, ties to the earliest */
    long moves;       /**< tried in each run: a count and not a time, so that one seed gives
                           one plan on every machine */
    const int *field; /**< n: begin every run here instead of at random, or NULL */
    const int *level;
    double heat; /**< 1: from molten; less: stay near the start */
} sb_search_options;

/** Looks for a cheap sequence; levels of the result are exact for its order.
 * @param field, level [out] n each; untouched when none was found
 * @param cost  [in, out] INFINITY or the cost of the sequence in field and level; improved or kept
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_search(const sb_problem *p, const sb_search_options *options, sb_crew *crew,
                    int *field, int *level, double *cost);

#endif
