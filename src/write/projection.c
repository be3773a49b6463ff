/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/projection.h"

#include <math.h>

#define RADIUS_M 6371007.2           /* sphere with the area of the WGS84 ellipsoid */
#define RADIANS 0.017453292519943295 /* one degree */
#define SMALLEST_M 200.0             /* a single yard still gets a map of this size */

typedef struct box {
    double left, right, bottom, top; /* m */
} box;

/* Metres east and north of the centre; longitudes go the short way round. */
static sb_point metres(const sb_projection *projection, sb_lonlat place)
{
    double scale = cos(projection->lat0_deg * RADIANS);
    double east_deg = remainder(place.lon_deg - projection->lon0_deg, 360);
    return (sb_point){
        RADIUS_M * east_deg * RADIANS * scale,
        RADIUS_M * (sin(place.lat_deg * RADIANS) - sin(projection->lat0_deg * RADIANS)) / scale};
}

static void include(box *b, sb_point p, double reach)
{
    b->left = fmin(b->left, p.x - reach);
    b->right = fmax(b->right, p.x + reach);
    b->bottom = fmin(b->bottom, p.y - reach);
    b->top = fmax(b->top, p.y + reach);
}

static void include_field(const sb_projection *projection, const sb_field *field, box *b)
{
    double radius_m = field->n_parts == 0 ? sqrt(field->area_ha * 1e4 / 3.141592653589793) : 0;
    include(b, metres(projection, field->place), radius_m);
    for (size_t i = 0; i < field->n_parts; i++)
        for (size_t v = 0; v < field->parts[i].outer.count; v++)
            include(b, metres(projection, field->parts[i].outer.items[v]), 0);
}

sb_projection sb_projection_fit(const sb_season *season, double width, double max_height,
                                double margin)
{
    sb_lonlat centre = season->n_fields > 0 ? season->fields[0].place : season->yards[0].place;
    sb_projection projection = {.lon0_deg = centre.lon_deg, .lat0_deg = centre.lat_deg};
    box b = {INFINITY, -INFINITY, INFINITY, -INFINITY};
    double low = 90, high = -90;
    for (size_t f = 0; f < season->n_fields; f++) {
        low = fmin(low, season->fields[f].place.lat_deg);
        high = fmax(high, season->fields[f].place.lat_deg);
    }
    if (low <= high)
        projection.lat0_deg = fmin(fmax((low + high) / 2, -89), 89);
    for (size_t f = 0; f < season->n_fields; f++)
        include_field(&projection, &season->fields[f], &b);
    for (size_t y = 0; y < season->n_yards; y++)
        include(&b, metres(&projection, season->yards[y].place), SMALLEST_M / 2);
    double across = width - 2 * margin, down = max_height - 2 * margin;
    projection.units_per_m = fmin(across / (b.right - b.left), down / (b.top - b.bottom));
    projection.margin = margin;
    projection.width = width;
    projection.height = (b.top - b.bottom) * projection.units_per_m + 2 * margin;
    /* What is high rather than wide stands in the middle. */
    projection.x0_m = (b.left + b.right - across / projection.units_per_m) / 2;
    projection.y0_m = b.top;
    return projection;
}

sb_point sb_project(const sb_projection *projection, sb_lonlat place)
{
    sb_point p = metres(projection, place);
    return (sb_point){projection->margin + (p.x - projection->x0_m) * projection->units_per_m,
                      projection->margin + (projection->y0_m - p.y) * projection->units_per_m};
}
