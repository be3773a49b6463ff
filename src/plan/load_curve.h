/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Seeds in a machine all along its way. */
#ifndef SB_PLAN_LOAD_CURVE_H
#define SB_PLAN_LOAD_CURVE_H

#include "plan/plan.h"

/** Points of the curve in one field: from entry to exit, evenly in grain harvested. */
#define SB_CURVE_POINTS 13

/** Those of its points that are enough for a picture: loads change most in the first tonnes. */
#define SB_DRAWN_POINTS 4
extern const int sb_drawn_points[SB_DRAWN_POINTS];

/** Seeds in the machine at one moment, by weed. */
typedef struct sb_held {
    double loose[SB_MAX_WEEDS], lodged[SB_MAX_WEEDS];
} sb_held;

/** Follows all seeds of a route, those of the field being cut included.
 * @param curve [out] n_stops * SB_CURVE_POINTS points, stop by stop */
void sb_load_curve(const sb_season *season, const sb_route *route, sb_held *curve);

/** Points in one field of an origin's curve: on entry, soon after, on leaving. Loads change most
 * in the first tonnes. */
#define SB_ORIGIN_POINTS 3
extern const double sb_origin_shares[SB_ORIGIN_POINTS]; /**< of the field's grain */

/** Follows the seeds that came aboard in one field, from that stop on.
 * @param passages n_stops, as sb_passage_of fills them
 * @param curve    [out] (n_stops - stop) * SB_ORIGIN_POINTS points, loose and lodged in one number
 *                 a weed */
void sb_origin_curve(const sb_season *season, const sb_route *route, size_t stop,
                     const sb_passage *passages, double (*curve)[SB_MAX_WEEDS]);

#endif
