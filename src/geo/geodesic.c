/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Areas and distances over the ellipsoid: geodesic routines of PROJ, after C. F. F. Karney,
 * Algorithms for geodesics, J. Geodesy 87 (2013) 43-55, doi 10.1007/s00190-012-0578-z. */
#include <geodesic.h>
#include <math.h>
#include <pthread.h>

#include "geo/geo.h"

/* WGS84: NGA.STND.0036. */
#define WGS84_RADIUS_M 6378137.0
#define WGS84_FLATTENING (1 / 298.257223563)

static struct geod_geodesic wgs84;
static pthread_once_t wgs84_once = PTHREAD_ONCE_INIT;

static void wgs84_init(void)
{
    geod_init(&wgs84, WGS84_RADIUS_M, WGS84_FLATTENING);
}

/* geod_init fills constants of its own on the first call: only one thread may make it. */
static const struct geod_geodesic *ellipsoid(void)
{
    pthread_once(&wgs84_once, wgs84_init);
    return &wgs84;
}

/* Signed area, counter-clockwise positive. */
static double measure(const sb_ring *ring, double *perimeter_m)
{
    double signed_area_m2 = 0;
    struct geod_polygon polygon;
    geod_polygon_init(&polygon, 0);
    for (size_t i = 0; i < ring->count; i++)
        geod_polygon_addpoint(ellipsoid(), &polygon, ring->items[i].lat_deg,
                              ring->items[i].lon_deg);
    geod_polygon_compute(ellipsoid(), &polygon, 0, 1, &signed_area_m2, perimeter_m);
    return ring->count < 3 ? 0 : signed_area_m2;
}

double sb_ring_area_m2(const sb_ring *ring)
{
    return fabs(measure(ring, NULL));
}

int sb_ring_winding(const sb_ring *ring)
{
    double signed_area_m2 = measure(ring, NULL);
    return (signed_area_m2 > 0) - (signed_area_m2 < 0);
}

double sb_ring_perimeter_m(const sb_ring *ring)
{
    double perimeter_m = 0;
    measure(ring, &perimeter_m);
    return perimeter_m;
}

double sb_part_area_m2(const sb_part *part)
{
    double area_m2 = sb_ring_area_m2(&part->outer);
    for (size_t i = 0; i < part->n_holes; i++)
        area_m2 -= sb_ring_area_m2(&part->holes[i]);
    return area_m2;
}

double sb_distance_m(sb_lonlat a, sb_lonlat b)
{
    double distance_m = 0;
    geod_inverse(ellipsoid(), a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg, &distance_m, NULL, NULL);
    return distance_m;
}
