/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What the parts of the trade-off curve share. Private to tradeoff.c, between.c and by_full.c. */
#ifndef SB_ORDER_TRADEOFF_PARTS_H
#define SB_ORDER_TRADEOFF_PARTS_H

#include "order/parallel.h"
#include "order/solve.h"
#include "order/tradeoff.h"

/** Two costs closer than this share of each other are one: twice what a proof leaves open. */
#define SB_SAME_SHARE (2 * SB_PROOF_SHARE)

/** min (money + weight x spread) over all plans is at least `bound`, as the walks saw with these
 * rewards. */
typedef struct sb_floor_at {
    double weight, bound;
    double *reward; /**< n */
    bool hard;      /**< they were not to be had from the linear program */
} sb_floor_at;

typedef struct sb_weigher {
    const sb_order_options *options;
    sb_report *report;
    sb_season season; /**< the caller's with the limits that were asked for; owns nothing */
    sb_problem problem;
    uint8_t *allowed; /**< of the problem, before levels were forbidden */
    int *level;       /**< n: scratch */
    sb_outcome outcome;
    sb_crew *crew;
    sb_curve *curve;
    sb_curve_points met; /**< every plan found, in any order; borrowed by no one */
    struct {
        sb_floor_at *items;
        size_t count, capacity;
    } floors;
    double weight;    /**< of the search at hand */
    double surcharge; /**< on full cleanouts, likewise */
    bool by_full; /**< likewise: full cleanouts are forbidden, counted or cheaper than they are */
    double elapsed_s; /**< of the searches before */
    long most_labels; /**< of the search at hand */
    double work;      /**< of all searches but the first, in labels */
    double most_work; /**< what they may come to before small gains are left alone */
    bool enough;      /**< it has looked at as many */
} sb_weigher;

static inline double sb_trade_cost(const sb_trade *trade, double weight)
{
    return trade->money + weight * trade->spread;
}

/** The cheapest plan at a weight, with full cleanouts dearer by a surcharge, from the plans met so
 * far. The outcome says what is proven. */
sb_status sb_weigher_search(sb_weigher *w, double weight, double surcharge);
/** What such a search begins with, and no more: the best of the orders met with levels that suit
 * it, annealed. Takes a tenth of the time and proves nothing. */
sb_status sb_weigher_glance(sb_weigher *w, double weight, double surcharge);
/** The plan of the last search as a new point of the list. */
sb_status sb_weigher_add(sb_weigher *w, sb_curve_points *list);
sb_status sb_weigher_add_copy(sb_weigher *w, const sb_curve_point *point, sb_curve_points *list);
/** The plan met that is cheapest at a weight. */
size_t sb_weigher_cheapest(const sb_weigher *w, double weight);
/** The corner of the hull that follows one: of the plans that spend more and spread less, the one
 * that is first to be as cheap when the weight grows.
 * @param weight [out] at which it is
 * @return -1: none is before the curve's end */
long sb_weigher_next_corner(const sb_weigher *w, size_t corner, double *weight);

#endif
