/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A trade-off curve's memory, and what the public header tells of it. */
#include "base/mem.h"
#include "order/tradeoff.h"

void sb_curve_points_release(sb_curve_points *points)
{
    for (size_t i = 0; i < points->count; i++)
        sb_plan_free(points->items[i].plan);
    sb_free(points->items);
    *points = (sb_curve_points){0};
}

void sb_curve_free(sb_curve *curve)
{
    if (curve == NULL)
        return;
    sb_curve_points_release(&curve->points);
    sb_curve_points_release(&curve->full);
    sb_free(curve);
}

size_t sb_curve_count(const sb_curve *curve)
{
    return curve->points.count;
}

sb_trade sb_curve_trade(const sb_curve *curve, size_t i)
{
    return curve->points.items[i].trade;
}

const sb_plan *sb_curve_plan(const sb_curve *curve, size_t i)
{
    return curve->points.items[i].plan;
}

size_t sb_curve_best(const sb_curve *curve)
{
    return curve->best;
}

size_t sb_curve_full_count(const sb_curve *curve)
{
    return curve->full.count;
}

sb_trade sb_curve_full_trade(const sb_curve *curve, size_t i)
{
    return curve->full.items[i].trade;
}

const sb_plan *sb_curve_full_plan(const sb_curve *curve, size_t i)
{
    return curve->full.items[i].plan;
}
