/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Who lies where on the map: boxes that nothing else may touch, lines that no name may be crossed
 * by, and shapes better left in sight. A thing that may stand in several places asks what each
 * would cost. Everything in units of the drawing. */
#ifndef SB_WRITE_MAP_ROOM_H
#define SB_WRITE_MAP_ROOM_H

#include "write/projection.h"

typedef struct sb_map_box {
    double left, top, right, bottom; /**< left == right: empty */
} sb_map_box;

/** A line of several straight pieces, and the box around it. */
#define SB_LINE_PIECES 12
typedef struct sb_map_line {
    sb_point points[SB_LINE_PIECES + 1];
    sb_map_box bounds;
} sb_map_line;

/** A list that SB_PUSH appends to. */
typedef struct sb_map_boxes {
    sb_map_box *items;
    size_t count, capacity;
} sb_map_boxes;

/** A map less wide than this, units, is drawn for a phone: with smaller signs. */
#define SB_WIDE_MAP 800.0

typedef struct sb_map_room {
    double width, height; /**< nothing leaves this */
    double sign;          /**< size of signs: 1 on a wide map */
    sb_map_boxes taken;   /**< no two of them touch */
    sb_map_boxes shapes;  /**< fields */
    struct {
        sb_map_line *items;
        size_t count, capacity;
    } lines;
} sb_map_room;

/** What a line across a box costs; what hides a field costs up to 1. */
#define SB_CROSSED 10.0

/** An empty map. The caller releases it. */
sb_map_room sb_map_room_new(double width, double height);
void sb_map_room_release(sb_map_room *room);

sb_map_box sb_map_box_around(sb_point centre, double half_width, double half_height);
/** The smallest box that holds both. */
sb_map_box sb_map_box_both(const sb_map_box *a, const sb_map_box *b);
bool sb_map_box_meets(const sb_map_box *a, const sb_map_box *b);
/** Makes a box hold a point. */
void sb_map_box_add(sb_map_box *box, sb_point point);

/** What it costs to put a thing there: INFINITY where it may not stand at all.
 * @param most nobody wants to know more than that it costs so much */
double sb_map_room_cost(const sb_map_room *room, const sb_map_box *box, double most);

#endif
