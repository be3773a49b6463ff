/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What a machine waits for, read out of a priced plan. */
#ifndef SB_PLAN_WAIT_H
#define SB_PLAN_WAIT_H

#include "plan/plan.h"

typedef enum sb_wait_cause {
    SB_WAIT_UNKNOWN, /**< the plan does not say, as after a log that begins in the middle */
    SB_WAIT_RIPE,    /**< the field to come is not ready before its day */
    SB_WAIT_EARLIER, /**< another machine cuts first what must be cut earlier */
    SB_WAIT_SHARED,  /**< what the cleanout needs is in use */
} sb_wait_cause;

typedef struct sb_wait {
    sb_wait_cause cause;
    int which;    /**< ripe: the field to come; earlier: the other field; shared: the resource */
    size_t route; /**< earlier, shared: of the other machine */
    double begin_h, end_h; /**< working hours */
} sb_wait;

/** When the work for a stop begins, working hours: its cleanout, or else the drive to it.
 * i = n_stops: the way home. INFINITY when the plan has no dates. */
double sb_work_begin_h(const sb_route *route, size_t i);

/** The wait before the machine drives to stop i of a route, between its cleanout and then; of no
 * length when it drives as soon as it can. The plan must have dates. */
sb_wait sb_wait_to_drive(const sb_season *season, const sb_plan *plan, size_t route, size_t i);

/** The same before its cleanout for stop i, or the final one (i = n_stops). Before its first work a
 * machine stands in the yard and does not wait. */
sb_wait sb_wait_to_clean(const sb_season *season, const sb_plan *plan, size_t route, size_t i);

#endif
