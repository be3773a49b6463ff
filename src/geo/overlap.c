/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "geo/geo.h"
#include "geo/plane.h"
#include "geo/unwrap.h"

sb_box sb_parts_box(const sb_part *parts, size_t n, double beside_deg)
{
    sb_box box = {INFINITY, -INFINITY, INFINITY, -INFINITY};
    for (size_t p = 0; p < n; p++) {
        const sb_ring *outer = &parts[p].outer;
        double lon_deg = beside_deg;
        for (size_t i = 0; i < outer->count; i++) {
            lon_deg = sb_unwrap_deg(outer->items[i].lon_deg, lon_deg);
            box.west_deg = fmin(box.west_deg, lon_deg);
            box.east_deg = fmax(box.east_deg, lon_deg);
            box.south_deg = fmin(box.south_deg, outer->items[i].lat_deg);
            box.north_deg = fmax(box.north_deg, outer->items[i].lat_deg);
        }
    }
    return box;
}

sb_status sb_parts_overlap(const sb_part *a, size_t n_a, const sb_part *b, size_t n_b,
                           double *share_of_a, double *share_of_b)
{
    *share_of_a = *share_of_b = NAN;
    sb_plane plane;
    if (!sb_plane_begin(&plane))
        return SB_ERR_NOMEM;
    GEOSContextHandle_t geos = plane.geos;
    double beside_deg = a[0].outer.items[0].lon_deg;
    GEOSGeometry *shape_a = sb_plane_parts(geos, a, n_a, beside_deg, 1);
    GEOSGeometry *shape_b = sb_plane_parts(geos, b, n_b, beside_deg, 1);
    sb_status status = shape_a != NULL && shape_b != NULL ? SB_OK : SB_ERR_NOMEM;
    if (status == SB_OK) {
        /* Areas in square degrees are wrong all by the same factor, so their ratios are right. */
        GEOSGeometry *common = GEOSIntersection_r(geos, shape_a, shape_b);
        double area_a, area_b, area_common;
        if (common != NULL && GEOSArea_r(geos, shape_a, &area_a) == 1 &&
            GEOSArea_r(geos, shape_b, &area_b) == 1 &&
            GEOSArea_r(geos, common, &area_common) == 1) {
            *share_of_a = fmin(area_common / area_a, 1);
            *share_of_b = fmin(area_common / area_b, 1);
        }
        GEOSGeom_destroy_r(geos, common);
    }
    GEOSGeom_destroy_r(geos, shape_a);
    GEOSGeom_destroy_r(geos, shape_b);
    return sb_plane_end(&plane, status);
}
