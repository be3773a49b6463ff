/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/field_shape.h"

#include <math.h>

#define LEAST 11.0 /* units, longer side: five strokes of a texture can still be counted */

static sb_map_box true_box(const sb_projection *projection, const sb_field *field)
{
    double radius = 0;
    if (field->n_parts == 0)
        radius = sqrt(field->area_ha * 1e4 / 3.141592653589793) * projection->units_per_m;
    sb_map_box box = sb_map_box_around(sb_project(projection, field->place), radius, radius);
    for (size_t i = 0; i < field->n_parts; i++)
        for (size_t v = 0; v < field->parts[i].outer.count; v++)
            sb_map_box_add(&box, sb_project(projection, field->parts[i].outer.items[v]));
    return box;
}

sb_field_shape sb_field_shape_on(const sb_projection *projection, const sb_field *field)
{
    sb_map_box box = true_box(projection, field);
    double width = box.right - box.left, height = box.bottom - box.top;
    double longer = fmax(width, height);
    sb_field_shape shape = {.middle = {(box.left + box.right) / 2, (box.top + box.bottom) / 2},
                            .grown = longer > 0 ? fmax(LEAST / longer, 1) : 1};
    double half_width = longer > 0 ? shape.grown * width / 2 : LEAST / 2;
    double half_height = longer > 0 ? shape.grown * height / 2 : LEAST / 2;
    shape.box = sb_map_box_around(shape.middle, half_width, half_height);
    return shape;
}

sb_point sb_shape_corner(const sb_field_shape *shape, const sb_projection *projection,
                         sb_lonlat corner)
{
    sb_point p = sb_project(projection, corner);
    return (sb_point){shape->middle.x + shape->grown * (p.x - shape->middle.x),
                      shape->middle.y + shape->grown * (p.y - shape->middle.y)};
}
