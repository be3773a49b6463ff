/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From each corner of the trade-off curve down to the one before it: the cheapest plan at the
 * largest weight that takes less money than the last one found, until that is the corner itself.
 * At the weight at which both corners cost the same, the cheaper one would come at once: no plan
 * between them is as cheap there. */
#include "order/between.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

/* Plans whose money differs by less than this share count as taking the same. */
#define SAME_MONEY 1e-6
/* All searches together may do so many times the work of the first and the hull, in labels. */
#define MOST_TIMES 10.0

/* A neighbouring pair of corners is looked through. */
typedef struct pair {
    size_t less, more; /* of the plans met: the corner that takes less money, and the other */
} pair;

static double below(double money)
{
    return money * (1 - SAME_MONEY);
}

/* No plan that takes at most `limit` costs less at this weight: a plan costs weight / v times what
 * it costs at a smaller weight v, but for its own money, of which the limit tells the most. */
static double floor_under(const sb_weigher *w, double weight, double limit)
{
    double most = -INFINITY;
    for (size_t i = 0; i < w->floors.count; i++) {
        const sb_floor_at *floor = &w->floors.items[i];
        double times = weight / floor->weight;
        if (times >= 1)
            most = fmax(most, times * floor->bound - (times - 1) * limit);
    }
    return most;
}

static bool is_over(const sb_weigher *w, size_t found)
{
    return found >= SB_CURVE_MOST_BETWEEN || w->work > w->most_work * MOST_TIMES ||
           w->elapsed_s >= w->options->time_limit_s ||
           (w->options->stop != NULL && w->options->stop(w->options->context));
}

/* The cheapest plan that takes at most `limit`, as the last of the plans met.
 * @param closed [out] is it proven? */
static sb_status search_under(sb_weigher *w, double limit, bool *closed)
{
    sb_problem *p = &w->problem;
    double weight = w->curve->weight_high;
    p->most[SB_RES_MONEY] = limit;
    p->counted[SB_RES_MONEY] = true;
    sb_status status = sb_weigher_search(w, weight, 0);
    p->most[SB_RES_MONEY] = INFINITY;
    p->counted[SB_RES_MONEY] = false;
    *closed = false;
    if (status != SB_OK || isinf(w->outcome.cost))
        return status;
    status = sb_weigher_add(w, &w->met);
    if (status != SB_OK)
        return status;
    sb_trade *trade = &w->met.items[w->met.count - 1].trade;
    double cost = w->outcome.cost;
    double bound = fmax(w->outcome.bound, floor_under(w, weight, limit));
    double gap = w->outcome.closed || cost <= 0 ? 0 : fmin(fmax(1 - bound / cost, 0), 1);
    trade->proven = *closed = gap <= SB_SAME_SHARE;
    trade->gap = trade->proven ? 0 : gap;
    trade->between = true;
    return SB_OK;
}

static void drop_last(sb_weigher *w)
{
    sb_plan_free(w->met.items[--w->met.count].plan);
}

/* @param found [in, out] how many plans were found so far */
static sb_status look_through(sb_weigher *w, const pair *between, size_t *found)
{
    double least = w->met.items[between->less].trade.money;
    double limit = below(w->met.items[between->more].trade.money);
    bool open = false;
    while (limit >= least) {
        bool closed;
        size_t count = w->met.count;
        if (is_over(w, *found)) {
            open = true;
            break;
        }
        sb_status status = search_under(w, limit, &closed);
        if (status != SB_OK)
            return status;
        open |= !closed;
        if (w->met.count == count) /* stopped before it knew one */
            break;
        double money = w->met.items[count].trade.money;
        limit = below(money);
        if (limit < least) /* the corner again, or as good as */
            drop_last(w);
        else
            ++*found;
    }
    w->curve->open_pairs += open;
    return SB_OK;
}

sb_status sb_find_between(sb_weigher *w)
{
    struct {
        pair *items;
        size_t count, capacity;
    } pairs = {0};
    sb_status status = SB_OK;
    double weight;
    w->work = 0;
    size_t corner = sb_weigher_cheapest(w, w->curve->weight_low);
    for (long next; (next = sb_weigher_next_corner(w, corner, &weight)) >= 0;
         corner = (size_t)next) {
        pair neighbours = {corner, (size_t)next};
        if (!SB_PUSH(&pairs, neighbours))
            status = SB_ERR_NOMEM;
    }
    size_t found = 0;
    for (size_t i = pairs.count; status == SB_OK && i-- > 0;)
        status = look_through(w, &pairs.items[i], &found);
    sb_free(pairs.items);
    return status;
}

/* ---- Among the corners --------------------------------------------------------------------- */

static int by_money(const void *a, const void *b)
{
    const sb_trade *one = &((const sb_curve_point *)a)->trade;
    const sb_trade *other = &((const sb_curve_point *)b)->trade;
    if (one->money != other->money)
        return one->money < other->money ? -1 : 1;
    return (one->spread > other->spread) - (one->spread < other->spread);
}

/* Does another plan of the list, of which all corners stay, take no more money and spread no more?
 */
static bool is_beaten(const sb_curve_points *points, size_t i)
{
    const sb_trade *trade = &points->items[i].trade;
    double slack = SB_SAME_SHARE * (trade->money + trade->spread);
    for (size_t k = 0; k < points->count; k++) {
        const sb_trade *other = &points->items[k].trade;
        bool first = k < i || !other->between; /* of two that are the same, the first stays */
        if (k != i && other->money <= trade->money + (first ? slack : -slack) &&
            other->spread <= trade->spread + (first ? slack : -slack))
            return true;
    }
    return false;
}

static void drop_beaten(sb_curve_points *points)
{
    for (size_t i = points->count; i-- > 0;) {
        if (!points->items[i].trade.between || !is_beaten(points, i))
            continue;
        sb_plan_free(points->items[i].plan);
        for (size_t k = i + 1; k < points->count; k++)
            points->items[k - 1] = points->items[k];
        points->count--;
    }
}

sb_status sb_put_between(sb_weigher *w)
{
    sb_curve *curve = w->curve;
    sb_curve_points *points = &curve->points;
    const sb_plan *best = points->items[curve->best].plan;
    double least = points->items[0].trade.money;
    double most = points->items[points->count - 1].trade.money;
    for (size_t i = 0; i < w->met.count; i++) {
        const sb_trade *trade = &w->met.items[i].trade;
        if (!trade->between || trade->money <= least || trade->money >= most)
            continue;
        sb_status status = sb_weigher_add_copy(w, &w->met.items[i], points);
        if (status != SB_OK)
            return status;
    }
    drop_beaten(points);
    qsort(points->items, points->count, sizeof *points->items, by_money);
    for (size_t i = 0; i < points->count; i++)
        if (points->items[i].plan == best)
            curve->best = i;
    return SB_OK;
}
