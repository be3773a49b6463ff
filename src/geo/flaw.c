/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is wrong with an outline: the verdict of GEOS in the words of the trade. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "geo/geo.h"
#include "geo/plane.h"
#include "geo/unwrap.h"

/* Land that parts may share before it is more than rounding: 0.1 m2 of 100 ha. */
#define SHARED_SHARE 1e-7

/* GEOS's reasons (operation/valid/TopologyValidationError.cpp) and ours. */
static const struct {
    const char *geos, *ours;
} reasons[] = {
    {"Self-intersection", "ring crosses itself"},
    {"Ring Self-intersection", "ring touches itself"},
    {"Interior is disconnected", "ring pinches the area into separate pieces"},
    {"Hole lies outside shell", "hole lies outside its outer ring"},
    {"Holes are nested", "hole lies inside another hole"},
    {"Duplicate Rings", "the same ring occurs twice"},
    {"Too few points", "ring has fewer than 3 vertices"},
};

static void state(sb_flaw *flaw, const char *reason, sb_lonlat where)
{
    flaw->found = true;
    flaw->where = where;
    snprintf(flaw->reason, sizeof flaw->reason, "%s", reason);
}

/* Verdicts that need no plane: too few vertices, and a ring that no plane holds. */
static void look_at_ring(const sb_ring *ring, sb_flaw *flaw)
{
    if (flaw->found)
        return;
    if (ring->count < 3) {
        state(flaw, "ring has fewer than 3 vertices",
              ring->count > 0 ? ring->items[0] : (sb_lonlat){0, 0});
        return;
    }
    double lon_deg = ring->items[0].lon_deg;
    for (size_t i = 1; i <= ring->count; i++)
        lon_deg = sb_unwrap_deg(ring->items[i % ring->count].lon_deg, lon_deg);
    if (fabs(lon_deg - ring->items[0].lon_deg) > 180)
        state(flaw, "ring goes round a pole", ring->items[0]);
}

static sb_status judge(GEOSContextHandle_t geos, const GEOSGeometry *shape, int flags,
                       sb_flaw *flaw)
{
    char *reason = NULL;
    GEOSGeometry *place = NULL;
    char valid = GEOSisValidDetail_r(geos, shape, flags, &reason, &place);
    if (valid == 2)
        return SB_ERR_NOMEM; /* an exception inside GEOS: on sane input only memory can fail */
    if (valid == 0) {
        double x = NAN, lat_deg = NAN;
        GEOSGeomGetX_r(geos, place, &x);
        GEOSGeomGetY_r(geos, place, &lat_deg);
        const char *ours = reason;
        for (size_t i = 0; i < sizeof reasons / sizeof *reasons; i++)
            if (strcmp(reason, reasons[i].geos) == 0)
                ours = reasons[i].ours;
        state(flaw, ours, (sb_lonlat){sb_plane_lon_deg(x, 1), lat_deg});
    }
    GEOSFree_r(geos, reason);
    GEOSGeom_destroy_r(geos, place);
    return SB_OK;
}

/* Parts may share an edge, as neighbours drawn one by one do; they may not share land. */
static sb_status judge_together(GEOSContextHandle_t geos, const GEOSGeometry *all, sb_flaw *flaw)
{
    double area_apart = 0, area_together = 0;
    GEOSGeometry *together = GEOSUnaryUnion_r(geos, all);
    bool known = together != NULL && GEOSArea_r(geos, all, &area_apart) == 1 &&
                 GEOSArea_r(geos, together, &area_together) == 1;
    GEOSGeom_destroy_r(geos, together);
    if (!known)
        return SB_OK; /* GEOS cannot tell: nothing is claimed */
    if (area_apart - area_together <= SHARED_SHARE * area_apart)
        return SB_OK;
    sb_status status = judge(geos, all, 0, flaw); /* for the place */
    if (flaw->found)
        state(flaw, "part overlaps another part", flaw->where);
    return status;
}

static sb_status judge_part(GEOSContextHandle_t geos, const sb_part *part, double beside_deg,
                            int flags, sb_flaw *flaw)
{
    if (flaw->found)
        return SB_OK;
    GEOSGeometry *shape = sb_plane_parts(geos, part, 1, beside_deg, 1);
    sb_status status = shape != NULL ? judge(geos, shape, flags, flaw) : SB_ERR_NOMEM;
    GEOSGeom_destroy_r(geos, shape);
    return status;
}

static sb_status judge_all(GEOSContextHandle_t geos, const sb_part *parts, size_t n, sb_flaw *flaw)
{
    double beside_deg = parts[0].outer.items[0].lon_deg;
    sb_status status = SB_OK;
    for (size_t i = 0; i < n && status == SB_OK; i++)
        status = judge_part(geos, &parts[i], beside_deg,
                            GEOSVALID_ALLOW_SELFTOUCHING_RING_FORMING_HOLE, flaw);
    if (status != SB_OK || flaw->found)
        return status;
    if (n > 1) {
        GEOSGeometry *all = sb_plane_parts(geos, parts, n, beside_deg, 1);
        status = all != NULL ? judge_together(geos, all, flaw) : SB_ERR_NOMEM;
        GEOSGeom_destroy_r(geos, all);
    }
    if (status != SB_OK || flaw->found)
        return status;
    /* A ring that only touches itself comes last: it is doubtful, its area is not. */
    for (size_t i = 0; i < n && status == SB_OK; i++)
        status = judge_part(geos, &parts[i], beside_deg, 0, flaw);
    flaw->touches_only = flaw->found;
    return status;
}

sb_status sb_parts_flaw(const sb_part *parts, size_t n, sb_flaw *flaw)
{
    *flaw = (sb_flaw){0};
    for (size_t i = 0; i < n; i++) {
        look_at_ring(&parts[i].outer, flaw);
        for (size_t h = 0; h < parts[i].n_holes; h++)
            look_at_ring(&parts[i].holes[h], flaw);
    }
    if (flaw->found || n == 0)
        return SB_OK;
    sb_plane plane;
    if (!sb_plane_begin(&plane))
        return SB_ERR_NOMEM;
    return sb_plane_end(&plane, judge_all(plane.geos, parts, n, flaw));
}
