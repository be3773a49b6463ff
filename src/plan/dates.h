/* SPDX-License-Identifier: GPL-3.0-or-later */
/** When everything in a plan happens, waiting included. Part of sb_plan_price. */
#ifndef SB_PLAN_DATES_H
#define SB_PLAN_DATES_H

#include "plan/plan.h"

/** Fills in km and all moments of every route, each as early as can be:
 *
 * - a machine is free where it starts when its window opens;
 * - a cleanout begins when the machine is free and, if it needs resources, one of each is; who
 * comes first gets them first, of those who come together the machine declared first; whoever waits
 * for one resource already holds the others it needs;
 * - it drives off when it is clean, and not before it would arrive on the field's ready day or,
 * when another machine cuts what must be cut earlier, after that is finished;
 * - on its own route it never waits for a field that comes later. Machines that all wait for each
 *   other do not: the plan then breaks its `after` rules.
 *
 * A missing way takes no time. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_plan_dates(const sb_season *season, sb_plan *plan);

#endif
