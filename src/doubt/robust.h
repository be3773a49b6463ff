/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A plan that holds up: cheapest over many seasons instead of the central one. */
#ifndef SB_DOUBT_ROBUST_H
#define SB_DOUBT_ROBUST_H

#include "seedbreak.h"

/** Share of the scenarios that SB_AIM_WORST_FIFTH looks at. */
#define SB_WORST_SHARE 0.2

/** What a plan is aimed at, of what it costs in n scenarios: their mean, or that of the dearest
 * fifth; of the scenario on the edge only the part counts that makes it a fifth.
 * @param cost    n
 * @param weight  [out] n, or NULL: how much each counts in it, 1 in all */
sb_status sb_aim_value(sb_aim aim, const double *cost, size_t n, double *weight, double *value);

#endif
