/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/first_pass.h"

#include <math.h>

#include "write/pen.h"

static sb_point corner(const sb_ring *ring, const sb_projection *projection, size_t i)
{
    return sb_project(projection, ring->items[i % ring->count]);
}

static double between(sb_point a, sb_point b)
{
    return hypot(b.x - a.x, b.y - a.y);
}

/* The part and its corner nearest to a point. */
static const sb_ring *nearest(const sb_field *field, const sb_projection *projection, sb_point from,
                              size_t *first)
{
    const sb_ring *ring = NULL;
    double best = INFINITY;
    for (size_t i = 0; i < field->n_parts; i++)
        for (size_t v = 0; v < field->parts[i].outer.count; v++) {
            double distance = between(corner(&field->parts[i].outer, projection, v), from);
            if (!(distance < best))
                continue;
            best = distance;
            ring = &field->parts[i].outer;
            *first = v;
        }
    return ring;
}

void sb_first_pass(const sb_field *field, const sb_projection *projection, sb_lonlat from,
                   double length_m, sb_text *text)
{
    size_t first = 0;
    const sb_ring *ring = nearest(field, projection, sb_project(projection, from), &first);
    double left = length_m * projection->units_per_m;
    if (ring == NULL || !(left > 0))
        return;
    sb_point at = corner(ring, projection, first);
    sb_pen pen = {.text = text};
    sb_pen_move(&pen, at.x, at.y);
    for (size_t i = 1; i <= ring->count && left > 0; i++) {
        sb_point next = corner(ring, projection, first + i);
        double length = between(at, next);
        double share = length > left ? left / length : 1;
        sb_pen_line(&pen, at.x + share * (next.x - at.x), at.y + share * (next.y - at.y));
        left -= length;
        at = next;
    }
}
