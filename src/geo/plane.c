/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "geo/plane.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "geo/unwrap.h"

#define CONTEXT_BYTES 8192 /* several times what a context takes */

/* All that GEOS tells of an exception is its text. */
static void listen(const char *message, void *user)
{
    sb_plane *plane = user;
    if (strstr(message, "bad_alloc") != NULL)
        plane->no_memory = true;
}

bool sb_plane_begin(sb_plane *plane)
{
    /* GEOS throws through C, and so ends the process, when it has no memory for its context; all
     * its other calls catch. */
    if (!sb_mem_room(CONTEXT_BYTES))
        return false;
    *plane = (sb_plane){GEOS_init_r(), false};
    if (plane->geos != NULL)
        GEOSContext_setErrorMessageHandler_r(plane->geos, listen, plane);
    return plane->geos != NULL;
}

sb_status sb_plane_end(sb_plane *plane, sb_status status)
{
    GEOS_finish_r(plane->geos);
    return plane->no_memory ? SB_ERR_NOMEM : status;
}

double sb_plane_lon_deg(double x, double lon_scale)
{
    return remainder(x / lon_scale, 360);
}

static GEOSGeometry *plane_ring(GEOSContextHandle_t geos, const sb_ring *ring, double beside_deg,
                                double lon_scale)
{
    unsigned count = (unsigned)ring->count;
    GEOSCoordSequence *sequence = GEOSCoordSeq_create_r(geos, count + 1, 2);
    if (sequence == NULL)
        return NULL;
    double lon_deg = beside_deg, first_x = 0;
    for (unsigned i = 0; i < count; i++) {
        lon_deg = sb_unwrap_deg(ring->items[i].lon_deg, lon_deg);
        double x = lon_deg * lon_scale;
        if (i == 0)
            first_x = x;
        GEOSCoordSeq_setXY_r(geos, sequence, i, x, ring->items[i].lat_deg);
    }
    GEOSCoordSeq_setXY_r(geos, sequence, count, first_x, ring->items[0].lat_deg);
    return GEOSGeom_createLinearRing_r(geos, sequence);
}

static void destroy(GEOSContextHandle_t geos, GEOSGeometry **items, size_t n)
{
    for (size_t i = 0; i < n; i++)
        GEOSGeom_destroy_r(geos, items[i]);
}

static GEOSGeometry *plane_part(GEOSContextHandle_t geos, const sb_part *part, double beside_deg,
                                double lon_scale)
{
    GEOSGeometry **holes = sb_alloc(part->n_holes, sizeof *holes);
    GEOSGeometry *outer = plane_ring(geos, &part->outer, beside_deg, lon_scale);
    size_t n = 0;
    while (holes != NULL && outer != NULL && n < part->n_holes) {
        holes[n] = plane_ring(geos, &part->holes[n], beside_deg, lon_scale);
        if (holes[n] == NULL)
            break;
        n++;
    }
    GEOSGeometry *polygon = NULL;
    if (holes != NULL && outer != NULL && n == part->n_holes) {
        /* Takes the rings over, on failure too. */
        polygon = GEOSGeom_createPolygon_r(geos, outer, holes, (unsigned)n);
    } else {
        GEOSGeom_destroy_r(geos, outer);
        destroy(geos, holes, n);
    }
    sb_free(holes);
    return polygon;
}

GEOSGeometry *sb_plane_parts(GEOSContextHandle_t geos, const sb_part *parts, size_t n,
                             double beside_deg, double lon_scale)
{
    GEOSGeometry **polygons = sb_alloc(n, sizeof *polygons);
    if (polygons == NULL)
        return NULL;
    GEOSGeometry *all = NULL;
    size_t built = 0;
    while (built < n) {
        polygons[built] = plane_part(geos, &parts[built], beside_deg, lon_scale);
        if (polygons[built] == NULL)
            break;
        built++;
    }
    if (built == n)
        all = GEOSGeom_createCollection_r(geos, GEOS_MULTIPOLYGON, polygons, (unsigned)n);
    else
        destroy(geos, polygons, built);
    sb_free(polygons);
    return all;
}
