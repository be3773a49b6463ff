/* SPDX-License-Identifier: GPL-3.0-or-later */
/** From places on the globe to points on the map: a cylindrical equal-area projection, true to
 * scale at the middle latitude. Over a few tens of kilometres shapes keep within a few parts in a
 * thousand, and areas exactly (on the sphere). */
#ifndef SB_WRITE_PROJECTION_H
#define SB_WRITE_PROJECTION_H

#include "season/season.h"

typedef struct sb_point {
    double x, y;
} sb_point;

typedef struct sb_projection {
    double lon0_deg, lat0_deg;
    double x0_m, y0_m;    /**< the upper left corner of what is shown */
    double units_per_m;   /**< scale of the drawing */
    double margin;        /**< units */
    double width, height; /**< of the drawing, margins included, units */
} sb_projection;

/** Fits all fields and yards of a season into a drawing of this width, at most max_height high. */
sb_projection sb_projection_fit(const sb_season *season, double width, double max_height,
                                double margin);
sb_point sb_project(const sb_projection *projection, sb_lonlat place);

#endif
