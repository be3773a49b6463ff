/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What a field takes on the map. One too small to show its texture is drawn larger, about its own
 * middle: on a map of a phone's width most are. */
#ifndef SB_WRITE_FIELD_SHAPE_H
#define SB_WRITE_FIELD_SHAPE_H

#include "write/map_room.h"

typedef struct sb_field_shape {
    sb_map_box box; /**< as it is drawn */
    sb_point middle;
    double grown; /**< times as large as it is, at least 1 */
} sb_field_shape;

sb_field_shape sb_field_shape_on(const sb_projection *projection, const sb_field *field);

/** A corner of the field, where it is drawn. */
sb_point sb_shape_corner(const sb_field_shape *shape, const sb_projection *projection,
                         sb_lonlat corner);

#endif
