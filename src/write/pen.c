/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/pen.h"

#include <math.h>
#include <stdlib.h>

/* A number of tenths as "-3.5", ".2" or "17"; the blank before it only where one is needed. */
static void add_tenths(sb_text *text, long tenths, bool after_number)
{
    long whole = labs(tenths) / 10, rest = labs(tenths) % 10;
    sb_text_addf(text, "%s", tenths < 0 ? "-" : after_number ? " " : "");
    if (whole > 0 || rest == 0)
        sb_text_addf(text, "%ld", whole);
    if (rest > 0)
        sb_text_addf(text, ".%ld", rest);
}

void sb_pen_move(sb_pen *pen, double x, double y)
{
    pen->x = lround(x * 10);
    pen->y = lround(y * 10);
    pen->drawing = false;
    sb_text_add(pen->text, "M", 1);
    add_tenths(pen->text, pen->x, false);
    add_tenths(pen->text, pen->y, true);
}

void sb_pen_line(sb_pen *pen, double x, double y)
{
    long right = lround(x * 10) - pen->x, down = lround(y * 10) - pen->y;
    if (right == 0 && down == 0)
        return;
    if (down == 0 || right == 0) {
        sb_text_add(pen->text, down == 0 ? "h" : "v", 1);
        add_tenths(pen->text, down == 0 ? right : down, false);
        pen->drawing = false;
    } else {
        if (!pen->drawing)
            sb_text_add(pen->text, "l", 1);
        add_tenths(pen->text, right, pen->drawing);
        add_tenths(pen->text, down, true);
        pen->drawing = true;
    }
    pen->x += right;
    pen->y += down;
}

void sb_pen_box(sb_pen *pen, double x, double y, double width, double height)
{
    sb_pen_move(pen, x, y);
    sb_pen_line(pen, x + width, y);
    sb_pen_line(pen, x + width, y + height);
    sb_pen_line(pen, x, y + height);
    sb_pen_close(pen);
}

void sb_pen_close(sb_pen *pen)
{
    sb_text_add(pen->text, "z", 1);
    pen->drawing = false;
}
