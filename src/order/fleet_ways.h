/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What the moves of one machine take, side by side in memory: the search tries them in no order,
 * and a season's tables are larger than what the processor keeps at hand. */
#ifndef SB_ORDER_FLEET_WAYS_H
#define SB_ORDER_FLEET_WAYS_H

#include "order/problem.h"

typedef struct sb_ways {
    int n;
    int size;     /**< numbers of one way */
    double *way;  /**< (n + 1) x n x size: hours, levels allowed, money at each level (`fixed`) */
    float *least; /**< (n + 1) x n: sb_first_order_least, rounded down; of a move that is not open
                       the same without a cleanout */
    int *first_limit; /**< n + 1: field j's seed limits are first_limit[j] .. first_limit[j+1]-1 */
} sb_ways;

/** @return SB_OK; SB_ERR_NOMEM. Release in any case. */
sb_status sb_ways_init(sb_ways *ways, const sb_problem *p);
void sb_ways_release(sb_ways *ways);

static inline const double *sb_way(const sb_ways *ways, int from, int to)
{
    return ways->way + ((size_t)from * (size_t)ways->n + (size_t)to) * (size_t)ways->size;
}

static inline double sb_way_h(const double *way)
{
    return way[0];
}

/** Bit l: level l is allowed. */
static inline unsigned sb_way_allowed(const double *way)
{
    return (unsigned)way[1];
}

/** Money by level: road, cleanout and forgotten pools. */
static inline const double *sb_way_fixed(const double *way)
{
    return way + 2;
}

/** What the move costs at least, whatever came before. */
static inline double sb_way_least(const sb_ways *ways, int from, int to)
{
    return ways->least[(size_t)from * (size_t)ways->n + (size_t)to];
}

/** Is the move open to the machine at any level? */
static inline bool sb_way_open(const sb_ways *ways, int from, int to)
{
    return sb_way_allowed(sb_way(ways, from, to)) != 0;
}

#endif
