/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The door's part for several machines: from a season to a plan that still wants its check. */
#ifndef SB_ORDER_FLEET_ORDER_H
#define SB_ORDER_FLEET_ORDER_H

#include "order/parallel.h"
#include "plan/plan.h"

/** @param plan [out] a priced plan with one route for each machine, empty ones included; the caller
 *              owns it, NULL on error
 * @param cost [out] what the search says it costs
 * @return SB_OK; SB_ERR_INFEASIBLE, SB_ERR_ARG, SB_ERR_INPUT with a message; SB_ERR_NOMEM;
 *         SB_ERR_INTERNAL */
sb_status sb_fleet_order(const sb_season *season, const sb_order_options *options, sb_crew *crew,
                         sb_report *report, sb_plan **plan, double *cost);

#endif
