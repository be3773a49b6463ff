/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The driver for several machines: search, bound, proof. */
#ifndef SB_ORDER_FLEET_SOLVE_H
#define SB_ORDER_FLEET_SOLVE_H

#include "order/fleet.h"
#include "order/parallel.h"

/** What is known about the best routes. */
typedef struct sb_fleet_outcome {
    sb_routes routes;   /**< the best known; cost INFINITY: none */
    double bound;       /**< no plan costs less; INFINITY with cost INFINITY: there is none */
    bool closed;        /**< bound and cost are the same to SB_PROOF_SHARE */
    long labels;        /**< partial routes looked at */
    int branches;       /**< looked at; 0: none had to be */
    const char *method; /**< what closed it or why it stopped; a literal */
} sb_fleet_outcome;

typedef struct sb_fleet_options {
    uint64_t seed;
    void (*tell)(void *context, const sb_fleet_outcome *outcome); /**< may be NULL */
    void *context;
    bool branch_only;  /**< list no routes: what is left is proven by branching alone */
    int most_branches; /**< stop after so many; 0: no limit */
} sb_fleet_options;

/** No routes known, no bound. @return SB_OK; SB_ERR_NOMEM. Release in any case. */
sb_status sb_fleet_outcome_init(sb_fleet_outcome *outcome, const sb_fleet *fleet);
void sb_fleet_outcome_release(sb_fleet_outcome *outcome);

/** @return SB_OK: see outcome->closed and the routes' cost; SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_fleet_solve(const sb_fleet *fleet, sb_crew *crew, const sb_fleet_options *options,
                         sb_fleet_outcome *outcome);

#endif
