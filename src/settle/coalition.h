/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What a coalition of growers would pay for a season of its own.
 *
 * Its fields may be cut as the plan splits them, each machine driving for the coalition alone; or
 * all by one machine. Each of these is a season of one machine, solved like any other; those that
 * several coalitions need are solved once. */
#ifndef SB_SETTLE_COALITION_H
#define SB_SETTLE_COALITION_H

#include "order/parallel.h"
#include "settle/parts.h"

/** One machine's season for the fields of some growers. */
typedef struct sb_partial {
    uint64_t members;
    int machine;
    bool all; /**< all fields of the members; else those that the plan gives this machine */
    /* Found by sb_partials_solve: */
    double cost; /**< of the best season found; INFINITY: none; 0 without fields */
    bool proven; /**< no season of these fields on this machine costs less */
    bool cut;    /**< the search was cut short by the crew, not by its own limit on work */
    sb_status status;
} sb_partial;

typedef struct sb_partials {
    const sb_season *season;
    const sb_plan *plan;
    const sb_settlement *settlement;
    int *machine_of;  /**< by field: its machine in the plan */
    int *field_order; /**< n_fields, as the plan cuts them */
    uint64_t *served; /**< by machine: growers whose fields it cuts in the plan */
    sb_partial *items;
    size_t count, capacity;
} sb_partials;

/** Room for the partial seasons of a priced plan's coalitions. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_partials_init(sb_partials *partials, const sb_season *season, const sb_plan *plan,
                           const sb_settlement *settlement);
void sb_partials_release(sb_partials *partials);

/** Adds what a coalition's cost needs; what is there already may be added again.
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_partials_want(sb_partials *partials, uint64_t members);

/** Solves them all, shared out among the crew. How hard each is searched is counted in moves and
 * labels, not seconds: the answer is the same on every machine unless the crew is stopped.
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_partials_solve(sb_partials *partials, sb_crew *crew, uint64_t seed);

/** Solves one in this thread; writes what was found into it, its status too (partial.c).
 * @param crew asked whether to stop; any thread may solve */
void sb_partial_solve(const sb_partials *partials, sb_crew *crew, uint64_t seed,
                      sb_partial *partial);

/** The cheapest way of a coalition that was asked for before solving.
 * @param machine [out] the one that cuts all; -1: as the plan splits them. May be NULL
 * @param proven  [out] may be NULL */
double sb_partials_cost(const sb_partials *partials, uint64_t members, int *machine, bool *proven);

#endif
