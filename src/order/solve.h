/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The driver: decides what to run on a problem and keeps account of the proof. */
#ifndef SB_ORDER_SOLVE_H
#define SB_ORDER_SOLVE_H

#include "order/prove.h"

typedef struct sb_solve_options {
    uint64_t seed;
    double effort;               /**< annealing moves relative to the default, > 0 */
    bool first_season_is_enough; /**< stop as soon as any season is known */
    sb_method method;
    void (*tell)(void *context, const sb_outcome *outcome); /**< may be NULL */
    void *context;
} sb_solve_options;

/** Defaults: seed 1, effort 1, the whole method, nobody told. */
sb_solve_options sb_solve_options_default(void);

/** Room for a problem's outcome: no season known, no bound. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_outcome_init(sb_outcome *outcome, const sb_problem *p);
void sb_outcome_release(sb_outcome *outcome);

/** Annealing, the GLPK root bound, then GLPK's branch and cut where nothing is remembered and
 * walks where something is. A season known beforehand in outcome is improved on.
 * @return SB_OK: see outcome->closed and outcome->cost; SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_solve(const sb_problem *p, sb_crew *crew, const sb_solve_options *options,
                   sb_outcome *outcome);

#endif
