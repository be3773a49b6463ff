/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Going on from where a season stands. */
#ifndef SB_LOG_RESUME_H
#define SB_LOG_RESUME_H

#include "log/season.h"
#include "plan/plan.h"

struct sb_resumed {
    const sb_season *whole;
    sb_log_state state;
    sb_season *rest; /**< NULL: nothing is left */
    int *becomes;    /**< by field of the whole: its index in the rest, -1: not in it */
    /* After sb_resumed_compare: */
    const sb_plan *plan; /**< for the rest; NULL: not compared */
    sb_plan *earlier; /**< the earlier plan's stops as far as they are left, what came in since at
                           the end, a route for each machine; cleanouts as it says, less what was
                           done already */
    double earlier_total; /**< money, what the earlier plan was to cost; NAN: it does not say */
    bool same;            /**< order and cleanouts are as they were planned */
    double going_on;      /**< money to come in the old order; INFINITY: it breaks a rule, NAN: not
                               worked out, because the plan is for one of several machines */
};

#endif
