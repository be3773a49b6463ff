/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Drafts made by code, for tests of the join: what a reader would have filled in. Out of memory
 * ends the test program. */
#ifndef SUPPORT_MADE_FEATURES_H
#define SUPPORT_MADE_FEATURES_H

#include "season/draft.h"

/** A square of land, side in degrees, lower left corner given; about 1 km2 for 0.01. It stands in
 * "fields.kml" at the line given. The feature is borrowed until the next one is added. */
sb_feature *support_add_square(sb_draft *draft, const char *name, double lon_deg, double lat_deg,
                               double side_deg, size_t line);
/** A point of "points.gpx": a waypoint. */
sb_feature *support_add_waypoint(sb_draft *draft, const char *name, double lon_deg, double lat_deg,
                                 size_t line);
/** An attribute one line below the feature. */
void support_say(sb_feature *feature, const char *key, const char *value);

#endif
