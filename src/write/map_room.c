/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/map_room.h"

#include <math.h>

#include "base/mem.h"

#define APART 2.0 /* units: a line nearer than this touches */
#define SMALL_SIGN 0.7

sb_map_room sb_map_room_new(double width, double height)
{
    return (sb_map_room){
        .width = width, .height = height, .sign = width < SB_WIDE_MAP ? SMALL_SIGN : 1};
}

void sb_map_room_release(sb_map_room *room)
{
    sb_free(room->taken.items);
    sb_free(room->shapes.items);
    sb_free(room->lines.items);
    *room = (sb_map_room){0};
}

sb_map_box sb_map_box_around(sb_point centre, double half_width, double half_height)
{
    return (sb_map_box){centre.x - half_width, centre.y - half_height, centre.x + half_width,
                        centre.y + half_height};
}

sb_map_box sb_map_box_both(const sb_map_box *a, const sb_map_box *b)
{
    return (sb_map_box){fmin(a->left, b->left), fmin(a->top, b->top), fmax(a->right, b->right),
                        fmax(a->bottom, b->bottom)};
}

bool sb_map_box_meets(const sb_map_box *a, const sb_map_box *b)
{
    return a->left < b->right && b->left < a->right && a->top < b->bottom && b->top < a->bottom;
}

void sb_map_box_add(sb_map_box *box, sb_point point)
{
    box->left = fmin(box->left, point.x);
    box->top = fmin(box->top, point.y);
    box->right = fmax(box->right, point.x);
    box->bottom = fmax(box->bottom, point.y);
}

/* Cuts the stretch [from, to] of a piece down to what lies above a limit: value + t * slope >= 0.
 */
static void keep_above(double value, double slope, double *from, double *to)
{
    if (slope > 0)
        *from = fmax(*from, -value / slope);
    else if (slope < 0)
        *to = fmin(*to, -value / slope);
    else if (value < 0)
        *to = -1;
}

/* Does a straight piece run through a box? */
static bool crosses(const sb_map_box *box, sb_point a, sb_point b)
{
    double from = 0, to = 1;
    keep_above(a.x - box->left, b.x - a.x, &from, &to);
    keep_above(box->right - a.x, a.x - b.x, &from, &to);
    keep_above(a.y - box->top, b.y - a.y, &from, &to);
    keep_above(box->bottom - a.y, a.y - b.y, &from, &to);
    return from <= to;
}

static bool is_crossed(const sb_map_box *box, const sb_map_line *line)
{
    sb_map_box wide = {box->left - APART, box->top - APART, box->right + APART,
                       box->bottom + APART};
    if (!sb_map_box_meets(&wide, &line->bounds))
        return false;
    for (int i = 0; i < SB_LINE_PIECES; i++)
        if (crosses(&wide, line->points[i], line->points[i + 1]))
            return true;
    return false;
}

/* The share of a box that lies on a shape that it meets. */
static double share_on(const sb_map_box *box, const sb_map_box *shape)
{
    double width = fmin(box->right, shape->right) - fmax(box->left, shape->left);
    double height = fmin(box->bottom, shape->bottom) - fmax(box->top, shape->top);
    return width * height / ((box->right - box->left) * (box->bottom - box->top));
}

double sb_map_room_cost(const sb_map_room *room, const sb_map_box *box, double most)
{
    double cost = 0;
    if (box->left < 0 || box->top < 0 || box->right > room->width || box->bottom > room->height)
        return INFINITY;
    for (size_t i = 0; i < room->taken.count; i++)
        if (sb_map_box_meets(box, &room->taken.items[i]))
            return INFINITY;
    for (size_t i = 0; i < room->lines.count && cost < most; i++)
        cost += is_crossed(box, &room->lines.items[i]) ? SB_CROSSED : 0;
    for (size_t i = 0; i < room->shapes.count && cost < most; i++)
        if (sb_map_box_meets(box, &room->shapes.items[i]))
            cost += share_on(box, &room->shapes.items[i]);
    return cost;
}
