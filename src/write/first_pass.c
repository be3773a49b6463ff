/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/first_pass.h"

#include <math.h>

#include "write/pen.h"

/* A field as it is drawn. */
typedef struct drawn {
    const sb_field *field;
    const sb_field_shape *shape;
    const sb_projection *projection;
} drawn;

static sb_point corner(const drawn *d, const sb_ring *ring, size_t i)
{
    return sb_shape_corner(d->shape, d->projection, ring->items[i % ring->count]);
}

static double between(sb_point a, sb_point b)
{
    return hypot(b.x - a.x, b.y - a.y);
}

/* The part and its corner nearest to a point. */
static const sb_ring *nearest(const drawn *d, sb_point from, size_t *first)
{
    const sb_ring *ring = NULL;
    double best = INFINITY;
    for (size_t i = 0; i < d->field->n_parts; i++)
        for (size_t v = 0; v < d->field->parts[i].outer.count; v++) {
            double distance = between(corner(d, &d->field->parts[i].outer, v), from);
            if (!(distance < best))
                continue;
            best = distance;
            ring = &d->field->parts[i].outer;
            *first = v;
        }
    return ring;
}

void sb_first_pass(const sb_field *field, const sb_field_shape *shape,
                   const sb_projection *projection, sb_lonlat from, double length_m, sb_text *text)
{
    drawn d = {field, shape, projection};
    size_t first = 0;
    const sb_ring *ring = nearest(&d, sb_project(projection, from), &first);
    double left = length_m * projection->units_per_m * shape->grown;
    if (ring == NULL || !(left > 0))
        return;
    sb_point at = corner(&d, ring, first);
    sb_pen pen = {.text = text};
    sb_pen_move(&pen, at.x, at.y);
    for (size_t i = 1; i <= ring->count && left > 0; i++) {
        sb_point next = corner(&d, ring, first + i);
        double length = between(at, next);
        double share = length > left ? left / length : 1;
        sb_pen_line(&pen, at.x + share * (next.x - at.x), at.y + share * (next.y - at.y));
        left -= length;
        at = next;
    }
}
