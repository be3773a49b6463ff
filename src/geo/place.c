/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A place inside a field: its centroid when that lies inside, else the middle of a wide chord. */
#include <math.h>

#include "geo/geo.h"
#include "geo/plane.h"

#define RAD_PER_DEG 0.017453292519943295

/* The place of a GEOS point. @return false: empty or NULL, *place untouched */
static bool read_point(GEOSContextHandle_t geos, GEOSGeometry *point, double lon_scale,
                       sb_lonlat *place)
{
    double x = NAN, lat_deg = NAN;
    bool good = point != NULL && GEOSisEmpty_r(geos, point) == 0 &&
                GEOSGeomGetX_r(geos, point, &x) == 1 &&
                GEOSGeomGetY_r(geos, point, &lat_deg) == 1 && isfinite(x) && isfinite(lat_deg);
    if (good)
        *place = (sb_lonlat){sb_plane_lon_deg(x, lon_scale), lat_deg};
    GEOSGeom_destroy_r(geos, point);
    return good;
}

sb_status sb_parts_place(const sb_part *parts, size_t n, sb_lonlat *place)
{
    const sb_part *largest = NULL;
    double largest_m2 = -1;
    for (size_t i = 0; i < n; i++) {
        double area_m2 = n > 1 ? sb_part_area_m2(&parts[i]) : 0;
        if (parts[i].outer.count >= 3 && area_m2 > largest_m2) {
            largest = &parts[i];
            largest_m2 = area_m2;
        }
    }
    if (largest == NULL) {
        *place = n > 0 && parts[0].outer.count > 0 ? parts[0].outer.items[0] : (sb_lonlat){0, 0};
        return SB_OK;
    }
    *place = largest->outer.items[0]; /* for an outline so flat that GEOS finds no inside */
    sb_plane plane;
    if (!sb_plane_begin(&plane))
        return SB_ERR_NOMEM;
    GEOSContextHandle_t geos = plane.geos;
    /* Degrees of longitude are shrunk to the length of degrees of latitude, for a fair centroid. */
    double lon_scale = fmax(cos(place->lat_deg * RAD_PER_DEG), 1e-3);
    GEOSGeometry *shape = sb_plane_parts(geos, largest, 1, place->lon_deg, lon_scale);
    if (shape != NULL) {
        sb_lonlat centroid;
        if (read_point(geos, GEOSGetCentroid_r(geos, shape), lon_scale, &centroid) &&
            sb_part_contains(largest, centroid))
            *place = centroid;
        else
            read_point(geos, GEOSPointOnSurface_r(geos, shape), lon_scale, place);
    }
    sb_status status = shape != NULL ? SB_OK : SB_ERR_NOMEM;
    GEOSGeom_destroy_r(geos, shape);
    return sb_plane_end(&plane, status);
}
