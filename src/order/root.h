/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The first-order bound: every move priced with the seeds of the field just left and no others,
 * as a linear program in GLPK with cuts found and columns priced in as needed. */
#ifndef SB_ORDER_ROOT_H
#define SB_ORDER_ROOT_H

#include "order/cuts.h"
#include "order/parallel.h"

typedef struct sb_root {
    double *cost;    /**< (n + 1) x (n + 1), yard = n: least first-order cost of an arc over its
                          levels; INFINITY: no way or forbidden */
    double bound;    /**< no season costs less; -INFINITY when the LP was not finished; INFINITY
                          when ways and precedences alone leave no season */
    double *reduced; /**< (n + 1) x (n + 1): bound + reduced <= any season that uses the arc */
    double *reward;  /**< n: what the LP would pay for a visit; start for sb_walk's rewards */
    sb_cut_pool cuts;
} sb_root;

/** @param field n fields of a known season whose arcs start the LP, or NULL
 * @return SB_OK (also when stopped: see bound); SB_ERR_NOMEM; SB_ERR_INTERNAL (GLPK aborted) */
sb_status sb_root_solve(const sb_problem *p, sb_crew *crew, const int *field, sb_root *root);
void sb_root_release(sb_root *root);

/** Without memory, time and limits a season is a tour: proves the cheapest one by GLPK's branch
 * and cut over the arcs that reduced costs leave open.
 * @param field, cost [in, out] the best known season (cost INFINITY: none); improved or kept
 * @param bound [out] proven lower bound; equals cost when closed
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_root_branch(const sb_problem *p, sb_crew *crew, const sb_root *root, int *field,
                         double *cost, double *bound);

#endif
