/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The data of an SVG path in few bytes: tenths of a unit, each point relative to the last. A page
 * holds tens of thousands of points. */
#ifndef SB_WRITE_PEN_H
#define SB_WRITE_PEN_H

#include <stdbool.h>

#include "base/text.h"

typedef struct sb_pen {
    sb_text *text;
    long x, y; /* where it stands, tenths of a unit: what readers of the path work out too */
    bool drawing;
} sb_pen;

/** Lifts the pen and sets it down at a point: a new shape begins. */
void sb_pen_move(sb_pen *pen, double x, double y);
/** Draws a straight line to a point; nothing when that is less than a tenth of a unit away. */
void sb_pen_line(sb_pen *pen, double x, double y);
/** Draws a box as a shape of its own. */
void sb_pen_box(sb_pen *pen, double x, double y, double width, double height);
/** Back to where the shape began. */
void sb_pen_close(sb_pen *pen);

#endif
