/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Geometry on the WGS84 ellipsoid: areas and distances by PROJ's geodesic routines (Karney 2013,
 * doi 10.1007/s00190-012-0578-z), validity of rings by GEOS. */
#ifndef SB_GEO_GEO_H
#define SB_GEO_GEO_H

#include <stdbool.h>
#include <stddef.h>

#include "seedbreak.h"

/** A place on WGS84. lon_deg in -180..180, lat_deg in -90..90. */
typedef struct sb_lonlat {
    double lon_deg, lat_deg;
} sb_lonlat;

/** A closed ring; the first vertex is not repeated at the end. */
typedef struct sb_ring {
    sb_lonlat *items;
    size_t count, capacity;
    size_t line; /**< where its coordinates stand in the file; 0 unknown */
} sb_ring;

/** One outer ring and its holes. */
typedef struct sb_part {
    sb_ring outer;
    sb_ring *holes;
    size_t n_holes, hole_capacity;
} sb_part;

/** A copy of its own. @return SB_OK; SB_ERR_NOMEM (then *copy is empty) */
sb_status sb_part_copy(const sb_part *part, sb_part *copy);
/** Frees what a part owns (not the part itself). */
void sb_part_release(sb_part *part);

/** Area inside a ring in m2, >= 0 for either winding; 0 for fewer than 3 vertices. */
double sb_ring_area_m2(const sb_ring *ring);
/** > 0: counter-clockwise, < 0: clockwise. */
int sb_ring_winding(const sb_ring *ring);
double sb_ring_perimeter_m(const sb_ring *ring);
/** Outer minus holes, m2. */
double sb_part_area_m2(const sb_part *part);
/** Shortest distance over the ellipsoid, m. */
double sb_distance_m(sb_lonlat a, sb_lonlat b);
/** Is the place inside a part (holes excluded)? Edges are straight in degrees; longitudes may
 * straddle 180. */
bool sb_part_contains(const sb_part *part, sb_lonlat place);
/** A place inside the largest part, near its centroid: where the map numbers it and distances
 * start. @return SB_OK, SB_ERR_NOMEM */
sb_status sb_parts_place(const sb_part *parts, size_t n, sb_lonlat *place);

/** What is wrong with a field's outline, if anything. */
typedef struct sb_flaw {
    bool found;
    bool
        touches_only; /**< the ring touches itself without crossing: doubtful, yet its area holds */
    char reason[64];  /**< e.g. "ring crosses itself" */
    sb_lonlat where;  /**< the place of it */
} sb_flaw;
/** Verdict of GEOS on all parts of one field: each must be valid by the OGC's simple features, and
 * together they may share edges but no land.
 * Longitudes are unwrapped first, so a field across 180 degrees is judged like any other.
 * @return SB_OK (see flaw->found), SB_ERR_NOMEM */
sb_status sb_parts_flaw(const sb_part *parts, size_t n, sb_flaw *flaw);

/** The box of longitudes and latitudes around parts; lon_deg of west and east unwrapped beside
 * beside_deg, so east >= west. n >= 1 and every part has vertices. */
typedef struct sb_box {
    double west_deg, east_deg, south_deg, north_deg;
} sb_box;
sb_box sb_parts_box(const sb_part *parts, size_t n, double beside_deg);

/** How much of one outline lies inside another: shares of the first's and of the second's area,
 * 0..1; NAN when GEOS cannot tell. Both outlines must be sound (sb_parts_flaw).
 * @return SB_OK, SB_ERR_NOMEM */
sb_status sb_parts_overlap(const sb_part *a, size_t n_a, const sb_part *b, size_t n_b,
                           double *share_of_a, double *share_of_b);

/** What two outlines have in common, and what of the first does not lie in the second; pieces below
 * 1 m2 are left out. Both must be sound (sb_parts_flaw).
 * @param parts [out] n of them, perhaps none; the caller frees them with sb_parts_free
 * @return SB_OK; SB_ERR_NOMEM, nothing to free */
sb_status sb_parts_common(const sb_part *a, size_t n_a, const sb_part *b, size_t n_b,
                          sb_part **parts, size_t *n);
sb_status sb_parts_without(const sb_part *a, size_t n_a, const sb_part *b, size_t n_b,
                           sb_part **parts, size_t *n);
/** The land of an outline within width_m of the edges of its outer rings that face a side, with
 * their outward normal within 45 degrees of it.
 * @param side 'n', 'e', 's' or 'w'
 * @return as sb_parts_common */
sb_status sb_parts_side(const sb_part *parts, size_t n, char side, double width_m, sb_part **strip,
                        size_t *n_strip);
/** The land of an outline within radius_m of places: circles, drawn as 32-gons, clipped to it.
 * @param around n_around places, at least one
 * @return as sb_parts_common */
sb_status sb_parts_around(const sb_part *parts, size_t n, const sb_lonlat *around, size_t n_around,
                          double radius_m, sb_part **land, size_t *n_land);
/** Frees parts and the list. */
void sb_parts_free(sb_part *parts, size_t n);

#endif
