/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_columns.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

static bool visits_twice(const int *field, int stops)
{
    for (int a = 0; a < stops; a++)
        for (int b = a + 1; b < stops; b++)
            if (field[a] == field[b])
                return true;
    return false;
}

/* What a walk costs that comes back to fields or breaks seed limits; INFINITY: it breaks dates, or
 * goes where it may not. */
static double walk_cost(const sb_problem *p, const int *field, const int *level, int stops)
{
    double load[SB_MAX_DIMS], cost = 0, free_h = 0;
    memcpy(load, p->own + (size_t)p->n * (size_t)p->dims, (size_t)p->dims * sizeof *load);
    int from = p->n;
    for (int t = 0; t < stops; t++) {
        int to = field[t], l = level[t];
        free_h = sb_finish_h(p, from, to, l, free_h);
        if (!(p->allowed[sb_arc(p, from, to)] >> l & 1) ||
            free_h > p->latest_h[to] + SB_SAME_TIME_H)
            return INFINITY;
        cost += sb_move_load(p, from, to, l, load, load) + sb_delay(p, to, free_h);
        from = to;
    }
    return free_h + p->home_h[from] > p->end_h + SB_SAME_TIME_H ? INFINITY
                                                                : cost + p->home_cost[from];
}

sb_status sb_column_pool_add(sb_column_pool *columns, const sb_fleet *f, int machine,
                             const int *field, const int *level, int stops)
{
    const sb_problem *p = &f->problems[machine];
    sb_route_column c = {.machine = f->kind[machine], .stops = stops, .cost = INFINITY};
    if (!visits_twice(field, stops))
        c.cost = sb_fleet_route_cost(f, machine, field, level, stops, NULL, NULL, NULL);
    c.is_route = isfinite(c.cost);
    if (!c.is_route)
        c.cost = walk_cost(p, field, level, stops);
    if (isinf(c.cost))
        return SB_OK;
    c.field = sb_alloc(2 * (size_t)stops, sizeof *c.field);
    if (c.field == NULL)
        return SB_ERR_NOMEM;
    c.level = c.field + stops;
    memcpy(c.field, field, (size_t)stops * sizeof *field);
    memcpy(c.level, level, (size_t)stops * sizeof *level);
    for (int t = 0; t < stops; t++) {
        c.spend += p->level_cost[level[t]];
        c.full += p->level_full[level[t]];
    }
    if (SB_PUSH(columns, c))
        return SB_OK;
    sb_free(c.field);
    return SB_ERR_NOMEM;
}

sb_status sb_column_pool_add_routes(sb_column_pool *columns, const sb_fleet *f,
                                    const sb_routes *routes)
{
    sb_status status = SB_OK;
    for (int m = 0; m < f->machines && status == SB_OK; m++)
        if (routes->count[m] > 0)
            status = sb_column_pool_add(columns, f, m, routes->field + m * f->n,
                                        routes->level + m * f->n, routes->count[m]);
    return status;
}

void sb_column_pool_drop(sb_column_pool *columns, const bool *mark)
{
    size_t kept = 0;
    for (size_t i = 0; i < columns->count; i++) {
        if (mark[i])
            sb_free(columns->items[i].field);
        else
            columns->items[kept++] = columns->items[i];
    }
    columns->count = kept;
}

void sb_column_pool_drop_last(sb_column_pool *columns)
{
    sb_free(columns->items[--columns->count].field);
}

void sb_column_pool_release(sb_column_pool *columns)
{
    for (size_t i = 0; i < columns->count; i++)
        sb_free(columns->items[i].field);
    sb_free(columns->items);
    *columns = (sb_column_pool){0};
}
