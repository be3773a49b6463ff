/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Seeds in a machine all along its way, for the ribbon. */
#ifndef SB_WRITE_LOAD_CURVE_H
#define SB_WRITE_LOAD_CURVE_H

#include "plan/plan.h"

/** Points of the curve in one field: from entry to exit, evenly in grain harvested. */
#define SB_CURVE_POINTS 13

/** Seeds in the machine at one moment, by weed. */
typedef struct sb_held {
    double loose[SB_MAX_WEEDS], lodged[SB_MAX_WEEDS];
} sb_held;

/** Follows all seeds of a route, those of the field being cut included.
 * @param curve [out] n_stops * SB_CURVE_POINTS points, stop by stop */
void sb_load_curve(const sb_season *season, const sb_route *route, sb_held *curve);

#endif
