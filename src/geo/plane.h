/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Outlines as GEOS geometries, in a plane of degrees with longitudes unwrapped. */
#ifndef SB_GEO_PLANE_H
#define SB_GEO_PLANE_H

#include <geos_c.h>

#include "geo/geo.h"

/** A GEOS context that neither prints nor remembers; NULL when out of memory.
 * The caller ends it with GEOS_finish_r. */
GEOSContextHandle_t sb_plane_begin(void);

/** The parts as a MULTIPOLYGON, x = longitude unwrapped beside beside_deg, times lon_scale.
 * Every ring must have at least 3 vertices. The caller destroys it; NULL when out of memory. */
GEOSGeometry *sb_plane_parts(GEOSContextHandle_t geos, const sb_part *parts, size_t n,
                             double beside_deg, double lon_scale);

/** Longitude back in -180..180. */
double sb_plane_lon_deg(double x, double lon_scale);

#endif
