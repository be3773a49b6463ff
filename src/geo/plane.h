/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Outlines as GEOS geometries, in a plane of degrees with longitudes unwrapped. */
#ifndef SB_GEO_PLANE_H
#define SB_GEO_PLANE_H

#include <geos_c.h>
#include <stdbool.h>

#include "geo/geo.h"

/** GEOS at work: it neither prints nor remembers. Must stay where it is from begin to end. */
typedef struct sb_plane {
    GEOSContextHandle_t geos;
    bool no_memory; /**< GEOS has failed for want of memory */
} sb_plane;

/** @return false: out of memory, nothing to end */
bool sb_plane_begin(sb_plane *plane);
/** Ends it. @return status, or SB_ERR_NOMEM when memory ran out on the way: what GEOS could not
 * find then is not missing */
sb_status sb_plane_end(sb_plane *plane, sb_status status);

/** The parts as a MULTIPOLYGON, x = longitude unwrapped beside beside_deg, times lon_scale.
 * Every ring must have at least 3 vertices. The caller destroys it; NULL when out of memory. */
GEOSGeometry *sb_plane_parts(GEOSContextHandle_t geos, const sb_part *parts, size_t n,
                             double beside_deg, double lon_scale);

/** Longitude back in -180..180. */
double sb_plane_lon_deg(double x, double lon_scale);

#endif
