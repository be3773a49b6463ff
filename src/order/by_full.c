/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/by_full.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

/* Discounts on full cleanouts that are tried to find the next one after the last that pays. */
#define MOST_DISCOUNTS 8

/* The outcome's plan joins the list of full cleanouts unless it has no more than the last there. */
static sb_status add_full(sb_weigher *w)
{
    sb_curve_points *full = &w->curve->full;
    const sb_outcome *o = &w->outcome;
    if (isinf(o->cost))
        return SB_OK;
    sb_status status = sb_weigher_add(w, full);
    if (status != SB_OK)
        return status;
    sb_curve_point *point = &full->items[full->count - 1];
    if (full->count > 1 && point->trade.full_cleanouts <= point[-1].trade.full_cleanouts) {
        sb_plan_free(point->plan);
        full->count--;
        return SB_OK;
    }
    point->trade.proven = o->closed;
    point->trade.gap = o->closed ? 0 : o->cost > 0 ? fmin(1 - o->bound / o->cost, 1) : 0;
    return SB_OK;
}

static void forbid_full(sb_weigher *w)
{
    const sb_problem *p = &w->problem;
    uint8_t others = 0;
    for (int l = 0; l < p->levels; l++)
        if (!p->level_full[l])
            others |= (uint8_t)(1u << l);
    for (int at = 0; at < (p->n + 1) * p->n; at++)
        p->allowed[at] &= others;
}

static sb_status search_at_most(sb_weigher *w, int most)
{
    sb_problem *p = &w->problem;
    size_t arcs = (size_t)(p->n + 1) * (size_t)p->n;
    double most_before = p->most[SB_RES_FULL];
    bool counted_before = p->counted[SB_RES_FULL];
    if (most == 0) {
        forbid_full(w);
    } else {
        p->most[SB_RES_FULL] = most;
        p->counted[SB_RES_FULL] = true;
    }
    sb_status status = sb_weigher_search(w, w->curve->weight, 0);
    if (status == SB_OK)
        status = add_full(w);
    memcpy(p->allowed, w->allowed, arcs * sizeof *p->allowed);
    p->most[SB_RES_FULL] = most_before;
    p->counted[SB_RES_FULL] = counted_before;
    return status;
}

static double least_full_cost(const sb_problem *p)
{
    double least = INFINITY;
    for (int l = 0; l < p->levels; l++)
        if (p->level_full[l])
            least = fmin(least, p->level_cost[l]);
    return least;
}

/* A plan met on the way that has more full cleanouts than the best tells what discount would do. */
static sb_status begin_discounts(sb_weigher *w, const sb_trade *best, double *discount,
                                 sb_curve_points *found)
{
    const sb_curve_point *more = NULL;
    for (size_t i = 0; i < w->met.count; i++) {
        const sb_trade *trade = &w->met.items[i].trade;
        if (trade->full_cleanouts <= best->full_cleanouts)
            continue;
        double off =
            (sb_trade_cost(trade, w->curve->weight) - sb_trade_cost(best, w->curve->weight)) /
            (trade->full_cleanouts - best->full_cleanouts);
        if (off < *discount) {
            *discount = off;
            more = &w->met.items[i];
        }
    }
    return more != NULL ? sb_weigher_add_copy(w, more, found) : SB_OK;
}

/* What a full cleanout more than the best plan has would have to be cheaper by to pay: found by
 * discounts on full cleanouts, from the largest down, and the last of them proven. The last plan
 * that some discount brought in is the cheapest with its number. */
static sb_status search_next_full(sb_weigher *w)
{
    const sb_trade best = w->curve->points.items[w->curve->best].trade;
    double weight = w->curve->weight, best_cost = sb_trade_cost(&best, weight);
    double discount = least_full_cost(&w->problem);
    if (isinf(discount) || best.full_cleanouts + 1 > w->problem.most[SB_RES_FULL])
        return SB_OK;
    sb_curve_points found = {0};
    sb_status status = begin_discounts(w, &best, &discount, &found);
    bool glancing = true; /* while that finds more, which takes a tenth of the time */
    for (int i = 0; status == SB_OK && i < MOST_DISCOUNTS; i++) {
        status = glancing ? sb_weigher_glance(w, weight, -discount)
                          : sb_weigher_search(w, weight, -discount);
        double now = best_cost - discount * best.full_cleanouts;
        bool better = w->outcome.cost < now - SB_SAME_SHARE * fabs(best_cost);
        if (status == SB_OK && better)
            status = sb_weigher_add(w, &found);
        if (glancing && !better) {
            glancing = false;
            continue;
        }
        if (status != SB_OK || found.count == 0)
            break;
        sb_trade *more = &found.items[found.count - 1].trade;
        if (!better) {
            double cost = sb_trade_cost(more, weight);
            double floor = w->outcome.bound + discount * more->full_cleanouts;
            more->proven = w->outcome.closed;
            more->gap = more->proven ? 0 : fmin(fmax(1 - floor / cost, 0), 1);
            break;
        }
        if (more->full_cleanouts <= best.full_cleanouts)
            break;
        discount = (sb_trade_cost(more, weight) - best_cost) /
                   (more->full_cleanouts - best.full_cleanouts);
    }
    if (status == SB_OK && found.count > 0 &&
        found.items[found.count - 1].trade.full_cleanouts > best.full_cleanouts)
        status = sb_weigher_add_copy(w, &found.items[found.count - 1], &w->curve->full);
    sb_curve_points_release(&found);
    return status;
}

sb_status sb_find_by_full(sb_weigher *w)
{
    const sb_curve_point *best = &w->curve->points.items[w->curve->best];
    sb_status status = SB_OK;
    w->by_full = true;
    for (int most = 0; status == SB_OK && most < best->trade.full_cleanouts; most++)
        status = search_at_most(w, most);
    if (status == SB_OK)
        status = sb_weigher_add_copy(w, best, &w->curve->full);
    return status == SB_OK ? search_next_full(w) : status;
}
