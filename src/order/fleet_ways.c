/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_ways.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

/* Numbers that come from memory at once. */
#define AT_ONCE 8

static void fill_way(sb_ways *ways, const sb_problem *p, int from, int to)
{
    size_t arc = sb_arc(p, from, to), levels = (size_t)p->levels;
    double *way = ways->way + arc * (size_t)ways->size;
    way[0] = sb_move_h(p, from, to);
    way[1] = p->allowed[arc];
    memcpy(way + 2, p->fixed + arc * levels, levels * sizeof *way);
    double least = sb_first_order_least(p, from, to);
    if (isinf(least))
        least = sb_first_order_cost(p, from, to, 0);
    ways->least[arc] = nextafterf((float)least, -INFINITY);
}

sb_status sb_ways_init(sb_ways *ways, const sb_problem *p)
{
    size_t arcs = (size_t)(p->n + 1) * (size_t)p->n;
    *ways = (sb_ways){.n = p->n, .size = (2 + p->levels + AT_ONCE - 1) / AT_ONCE * AT_ONCE};
    ways->way = sb_alloc_aligned(arcs, (size_t)ways->size * sizeof *ways->way);
    ways->least = sb_alloc(arcs, sizeof *ways->least);
    ways->first_limit = sb_alloc((size_t)p->n + 1, sizeof *ways->first_limit);
    if (ways->way == NULL || ways->least == NULL || ways->first_limit == NULL)
        return SB_ERR_NOMEM;
    for (int i = 0; i <= p->n; i++)
        for (int j = 0; j < p->n; j++)
            fill_way(ways, p, i, j);
    for (int j = 0, k = 0; j <= p->n;
         j++) { /* a problem's limits stand in the order of its fields */
        while (k < p->n_limits && p->limits[k].field < j)
            k++;
        ways->first_limit[j] = k;
    }
    return SB_OK;
}

void sb_ways_release(sb_ways *ways)
{
    sb_free(ways->way);
    sb_free(ways->least);
    sb_free(ways->first_limit);
    *ways = (sb_ways){0};
}
