/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Inequalities that a tour keeps and a fractional one breaks: connectivity, and for precedences
 * the predecessor and successor inequalities of Balas, Fischetti & Pulleyblank (1995, Math.
 * Programming 68:241-265; from memory). Found by maximum flow. */
#ifndef SB_ORDER_CUTS_H
#define SB_ORDER_CUTS_H

#include "order/problem.h"

/** Nodes are fields 0..n-1 and the yard n. Arcs from `from` to `to` sum to at least 1; or, when
 * `inside`, arcs within from (= to) sum to at most size - 1. Sets have sb_cut_words words. */
typedef struct sb_cut {
    uint64_t *from, *to;
    bool inside;
    int size;
} sb_cut;

typedef struct sb_cut_pool {
    sb_cut *items;
    size_t count, capacity;
} sb_cut_pool;

void sb_cut_pool_release(sb_cut_pool *pool);

static inline int sb_cut_words(const sb_problem *p)
{
    return (p->n + 1 + 63) / 64;
}

/** Does an arc stand in the cut's row (with coefficient 1)? */
static inline bool sb_cut_has(const sb_cut *cut, int from, int to)
{
    return sb_has(cut->from, from) && sb_has(cut->to, to);
}

/** A fractional tour: arcs with their values. */
typedef struct sb_support {
    const int *from, *to;
    const double *value;
    int count;
} sb_support;

/** Adds up to `most` broken inequalities to the pool. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_cuts_find(const sb_problem *p, const sb_support *support, int most, sb_cut_pool *pool);

#endif
