/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Outlines cut out of each other by GEOS, and the land of one near its side or near places. */
#include <math.h>

#include "base/mem.h"
#include "geo/geo.h"
#include "geo/plane.h"
#include "geo/unwrap.h"

#define LEAST_PIECE_M2 1.0 /* smaller pieces are what is left where two outlines share an edge */
#define ROUND_SEGMENTS 8   /* of a quarter of a circle */

/* ---- Back from GEOS ---------------------------------------------------------------------------
 */

static bool take_ring(GEOSContextHandle_t geos, const GEOSGeometry *from, double lon_scale,
                      sb_ring *ring)
{
    const GEOSCoordSequence *sequence = GEOSGeom_getCoordSeq_r(geos, from);
    unsigned n = 0;
    if (sequence == NULL || GEOSCoordSeq_getSize_r(geos, sequence, &n) != 1)
        return false;
    for (unsigned i = 0; i + 1 < n; i++) { /* the last is the first again */
        double x, y;
        if (GEOSCoordSeq_getXY_r(geos, sequence, i, &x, &y) != 1)
            return false;
        sb_lonlat place = {sb_plane_lon_deg(x, lon_scale), y};
        if (!SB_PUSH(ring, place))
            return false;
    }
    return true;
}

static bool take_polygon(GEOSContextHandle_t geos, const GEOSGeometry *polygon, double lon_scale,
                         sb_part *part)
{
    int n_holes = GEOSGetNumInteriorRings_r(geos, polygon);
    if (n_holes < 0 ||
        !take_ring(geos, GEOSGetExteriorRing_r(geos, polygon), lon_scale, &part->outer))
        return false;
    part->holes = sb_alloc((size_t)n_holes, sizeof *part->holes);
    if (part->holes == NULL)
        return false;
    part->n_holes = part->hole_capacity = (size_t)n_holes;
    for (int i = 0; i < n_holes; i++)
        if (!take_ring(geos, GEOSGetInteriorRingN_r(geos, polygon, i), lon_scale, &part->holes[i]))
            return false;
    return true;
}

void sb_parts_free(sb_part *parts, size_t n)
{
    for (size_t i = 0; i < n; i++)
        sb_part_release(&parts[i]);
    sb_free(parts);
}

/* Every polygon in it that is more than a sliver. */
static sb_status take_parts(GEOSContextHandle_t geos, const GEOSGeometry *from, double lon_scale,
                            sb_part **parts, size_t *n)
{
    int pieces = GEOSGetNumGeometries_r(geos, from);
    *n = 0;
    *parts = pieces >= 0 ? sb_alloc((size_t)pieces, sizeof **parts) : NULL;
    if (*parts == NULL)
        return SB_ERR_NOMEM;
    for (int i = 0; i < pieces; i++) {
        const GEOSGeometry *piece = GEOSGetGeometryN_r(geos, from, i);
        if (GEOSGeomTypeId_r(geos, piece) != GEOS_POLYGON || GEOSisEmpty_r(geos, piece) != 0)
            continue;
        sb_part part = {0};
        if (!take_polygon(geos, piece, lon_scale, &part)) {
            sb_part_release(&part);
            sb_parts_free(*parts, *n);
            *parts = NULL;
            *n = 0;
            return SB_ERR_NOMEM;
        }
        if (sb_part_area_m2(&part) >= LEAST_PIECE_M2)
            (*parts)[(*n)++] = part;
        else
            sb_part_release(&part);
    }
    return SB_OK;
}

/* ---- Two outlines -----------------------------------------------------------------------------
 */

typedef GEOSGeometry *combination(GEOSContextHandle_t geos, const GEOSGeometry *a,
                                  const GEOSGeometry *b);

static sb_status combine(combination *how, const sb_part *a, size_t n_a, const sb_part *b,
                         size_t n_b, sb_part **parts, size_t *n)
{
    *parts = NULL;
    *n = 0;
    sb_plane plane;
    if (!sb_plane_begin(&plane))
        return SB_ERR_NOMEM;
    double beside_deg = a[0].outer.items[0].lon_deg;
    GEOSGeometry *shape_a = sb_plane_parts(plane.geos, a, n_a, beside_deg, 1);
    GEOSGeometry *shape_b = sb_plane_parts(plane.geos, b, n_b, beside_deg, 1);
    sb_status status = shape_a != NULL && shape_b != NULL ? SB_OK : SB_ERR_NOMEM;
    GEOSGeometry *made = status == SB_OK ? how(plane.geos, shape_a, shape_b) : NULL;
    if (made != NULL)
        status = take_parts(plane.geos, made, 1, parts, n);
    GEOSGeom_destroy_r(plane.geos, made);
    GEOSGeom_destroy_r(plane.geos, shape_a);
    GEOSGeom_destroy_r(plane.geos, shape_b);
    return sb_plane_end(&plane, status);
}

sb_status sb_parts_common(const sb_part *a, size_t n_a, const sb_part *b, size_t n_b,
                          sb_part **parts, size_t *n)
{
    return combine(GEOSIntersection_r, a, n_a, b, n_b, parts, n);
}

sb_status sb_parts_without(const sb_part *a, size_t n_a, const sb_part *b, size_t n_b,
                           sb_part **parts, size_t *n)
{
    return combine(GEOSDifference_r, a, n_a, b, n_b, parts, n);
}

/* ---- A strip along a side ---------------------------------------------------------------------
 */

/* A plane in which a degree of latitude is 1 either way. */
typedef struct scale {
    double lon_scale, m_per_unit, beside_deg;
} scale;

static scale scale_at(sb_lonlat place)
{
    const double step_deg = 0.001;
    double lat_deg = fmin(fmax(place.lat_deg, -89), 89);
    sb_lonlat here = {0, lat_deg}, north = {0, lat_deg + step_deg}, east = {step_deg, lat_deg};
    double m_per_lat = sb_distance_m(here, north) / step_deg;
    return (scale){sb_distance_m(here, east) / step_deg / m_per_lat, m_per_lat, place.lon_deg};
}

/* Does an edge face that way: its outward normal within 45 degrees of it? */
static bool faces(double dx, double dy, int winding, char side)
{
    double out_x = winding > 0 ? dy : -dy, out_y = winding > 0 ? -dx : dx;
    double along = side == 'n' ? out_y : side == 's' ? -out_y : side == 'e' ? out_x : -out_x;
    return along > 0 && along >= hypot(dx, dy) * sqrt(0.5);
}

static GEOSGeometry *edge(GEOSContextHandle_t geos, double x1, double y1, double x2, double y2)
{
    GEOSCoordSequence *sequence = GEOSCoordSeq_create_r(geos, 2, 2);
    if (sequence == NULL)
        return NULL;
    GEOSCoordSeq_setXY_r(geos, sequence, 0, x1, y1);
    GEOSCoordSeq_setXY_r(geos, sequence, 1, x2, y2);
    return GEOSGeom_createLineString_r(geos, sequence);
}

/* All edges of the outer rings that face that way. */
static GEOSGeometry *facing_edges(GEOSContextHandle_t geos, const sb_part *parts, size_t n,
                                  char side, const scale *in)
{
    size_t room = 0, found = 0;
    for (size_t p = 0; p < n; p++)
        room += parts[p].outer.count;
    GEOSGeometry **edges = sb_alloc(room, sizeof *edges), *all = NULL;
    bool whole = edges != NULL;
    for (size_t p = 0; p < n && whole; p++) {
        const sb_ring *ring = &parts[p].outer;
        int winding = sb_ring_winding(ring);
        double lon = sb_unwrap_deg(ring->items[ring->count - 1].lon_deg, in->beside_deg);
        double x1 = lon * in->lon_scale, y1 = ring->items[ring->count - 1].lat_deg;
        for (size_t i = 0; i < ring->count && whole; i++) {
            lon = sb_unwrap_deg(ring->items[i].lon_deg, lon);
            double x2 = lon * in->lon_scale, y2 = ring->items[i].lat_deg;
            if (faces(x2 - x1, y2 - y1, winding, side)) {
                edges[found] = edge(geos, x1, y1, x2, y2);
                whole = edges[found++] != NULL;
            }
            x1 = x2;
            y1 = y2;
        }
    }
    if (whole) /* takes them over */
        all = GEOSGeom_createCollection_r(geos, GEOS_MULTILINESTRING, edges, (unsigned)found);
    else
        for (size_t i = 0; edges != NULL && i < found; i++)
            GEOSGeom_destroy_r(geos, edges[i]);
    sb_free(edges);
    return all;
}

/* The land of an outline within width_m of what `draw` draws there. */
typedef GEOSGeometry *drawing(GEOSContextHandle_t geos, const void *context, const scale *in);

static sb_status near_drawing(const sb_part *parts, size_t n, drawing *draw, const void *context,
                              double width_m, sb_part **land, size_t *n_land)
{
    *land = NULL;
    *n_land = 0;
    sb_plane plane;
    if (!sb_plane_begin(&plane))
        return SB_ERR_NOMEM;
    scale in = scale_at(parts[0].outer.items[0]);
    GEOSGeometry *field = sb_plane_parts(plane.geos, parts, n, in.beside_deg, in.lon_scale);
    GEOSGeometry *drawn = draw(plane.geos, context, &in);
    GEOSGeometry *near = NULL, *made = NULL;
    sb_status status = field != NULL && drawn != NULL ? SB_OK : SB_ERR_NOMEM;
    if (status == SB_OK)
        near = GEOSBuffer_r(plane.geos, drawn, width_m / in.m_per_unit, ROUND_SEGMENTS);
    if (near != NULL)
        made = GEOSIntersection_r(plane.geos, field, near);
    if (made != NULL)
        status = take_parts(plane.geos, made, in.lon_scale, land, n_land);
    GEOSGeom_destroy_r(plane.geos, made);
    GEOSGeom_destroy_r(plane.geos, near);
    GEOSGeom_destroy_r(plane.geos, drawn);
    GEOSGeom_destroy_r(plane.geos, field);
    return sb_plane_end(&plane, status);
}

typedef struct side_of {
    const sb_part *parts;
    size_t n;
    char side;
} side_of;

static GEOSGeometry *draw_side(GEOSContextHandle_t geos, const void *context, const scale *in)
{
    const side_of *of = context;
    return facing_edges(geos, of->parts, of->n, of->side, in);
}

sb_status sb_parts_side(const sb_part *parts, size_t n, char side, double width_m, sb_part **strip,
                        size_t *n_strip)
{
    side_of of = {parts, n, side};
    return near_drawing(parts, n, draw_side, &of, width_m, strip, n_strip);
}

/* ---- Around places ----------------------------------------------------------------------------
 */

typedef struct places {
    const sb_lonlat *items;
    size_t n;
} places;

static GEOSGeometry *draw_places(GEOSContextHandle_t geos, const void *context, const scale *in)
{
    const places *of = context;
    GEOSGeometry **points = sb_alloc(of->n, sizeof *points), *all = NULL;
    size_t drawn = 0;
    while (points != NULL && drawn < of->n) {
        double x = sb_unwrap_deg(of->items[drawn].lon_deg, in->beside_deg) * in->lon_scale;
        points[drawn] = GEOSGeom_createPointFromXY_r(geos, x, of->items[drawn].lat_deg);
        if (points[drawn] == NULL)
            break;
        drawn++;
    }
    if (points != NULL && drawn == of->n) /* takes them over */
        all = GEOSGeom_createCollection_r(geos, GEOS_MULTIPOINT, points, (unsigned)drawn);
    else
        for (size_t i = 0; i < drawn; i++)
            GEOSGeom_destroy_r(geos, points[i]);
    sb_free(points);
    return all;
}

sb_status sb_parts_around(const sb_part *parts, size_t n, const sb_lonlat *around, size_t n_around,
                          double radius_m, sb_part **land, size_t *n_land)
{
    places of = {around, n_around};
    return near_drawing(parts, n, draw_places, &of, radius_m, land, n_land);
}
