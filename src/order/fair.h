/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The rule on what growers receive: a cap on the expected loss in the fields of any one, or the
 * least loss for the one who loses most. Price it against the cheapest plan without it. */
#ifndef SB_ORDER_FAIR_H
#define SB_ORDER_FAIR_H

#include "plan/plan.h"

typedef struct sb_fair_options {
    const sb_order_options *order; /**< seed, threads, spread_weight, least_worst, callbacks */
    int machine;                   /**< the one that cuts everything; -1: all of the season */
    double most;                   /**< the cap on each grower's loss; INFINITY: none */
    const double *grower_most;     /**< by grower: caps that name them; NULL: none does */
    double seconds;                /**< time left */
} sb_fair_options;

/** @param season with every limit but this one
 * @param free   a good plan without the rule, priced with its ledger, and its bound
 * @param plan   [out] keeps the rule, is priced and has its proof and fairness; the caller owns it
 * @param cost   [out] what the search says it costs, as weighed
 * @return SB_OK; SB_ERR_INFEASIBLE: no plan keeps the cap, or none was found, which is reported;
 *         SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_fair_order(const sb_season *season, const sb_fair_options *options,
                        const sb_plan *free, sb_report *report, sb_plan **plan, double *cost);

#endif
