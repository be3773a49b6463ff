/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_rest.h"

#include <stdlib.h>
#include <string.h>

/* Moves out of each field and into it that a sparse pass looks at. */
#define NEAR_WIDTH 8

typedef struct filling {
    sb_pricer *w;
    int stops; /* at most, still to come */
} filling;

/* The least that a move into j costs: it gets the seeds of the field just left and no others. */
static void fill_arcs(void *context, int j, int worker)
{
    (void)worker;
    sb_pricer *w = ((filling *)context)->w;
    const sb_problem *p = w->p;
    for (int i = 0; i <= p->n; i++) {
        uint8_t open = w->open[sb_arc(p, i, j)];
        double least = INFINITY, least_h = INFINITY;
        for (int l = 0; l < p->levels; l++) {
            if (!(open >> l & 1))
                continue;
            least = fmin(least, sb_first_order_cost(p, i, j, l) + sb_pricer_surcharge(w, i, j, l));
            least_h = fmin(least_h, p->level_h[l]);
        }
        w->arc[sb_arc(p, i, j)] = least;
        w->work_h[sb_arc(p, i, j)] = least_h + sb_move_h(p, i, j) + p->cut_h[j];
    }
}

static int compare_doubles(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The so-manieth smallest of n numbers, which are put about. */
static double nth_smallest(double *numbers, int n, int nth)
{
    qsort(numbers, (size_t)n, sizeof *numbers, compare_doubles);
    return numbers[nth < n ? nth : n - 1];
}

/* Moves whose reduced cost is among the least out of a node or into one; the others are taken off
 * what the bounds on the rest see as well. */
static void choose_near(sb_pricer *w)
{
    const sb_problem *p = w->p;
    double *numbers = w->scratch;
    memset(w->near, 0, (size_t)(p->n + 1) * (size_t)p->n);
    for (int i = 0; i <= p->n; i++) {
        memcpy(numbers, w->arc + sb_arc(p, i, 0), (size_t)p->n * sizeof *numbers);
        double most = nth_smallest(numbers, p->n, i < p->n ? NEAR_WIDTH : 2 * NEAR_WIDTH);
        for (int j = 0; j < p->n; j++)
            w->near[sb_arc(p, i, j)] = w->arc[sb_arc(p, i, j)] <= most;
    }
    for (int j = 0; j < p->n; j++) {
        for (int i = 0; i <= p->n; i++)
            numbers[i] = w->arc[sb_arc(p, i, j)];
        double most = nth_smallest(numbers, p->n + 1, NEAR_WIDTH);
        for (int i = 0; i <= p->n; i++)
            w->near[sb_arc(p, i, j)] |= w->arc[sb_arc(p, i, j)] <= most;
    }
    for (size_t a = 0; a < (size_t)(p->n + 1) * (size_t)p->n; a++)
        if (!w->near[a])
            w->arc[a] = INFINITY;
}

/* The best and the second best way on from i, with at most so many stops and hours; none of them
 * comes straight back. */
static void fill_rest_at(const filling *r, int i, int slice)
{
    const sb_pricer *w = r->w;
    const sb_problem *p = w->p;
    double hours = (slice + 1) * w->slice_h; /* INFINITY where hours do not matter */
    struct sb_rest here = {INFINITY, INFINITY, -1};
    if (isinf(w->slice_h) || p->home_h[i] <= hours + SB_SAME_TIME_H)
        here.best = sb_pricer_home(w, i);
    for (int j = 0; j < p->n && r->stops > 0; j++) {
        double money = w->arc[sb_arc(p, i, j)];
        if (isinf(money))
            continue;
        int after = sb_rest_slice(w, hours - w->work_h[sb_arc(p, i, j)]);
        if (after < 0)
            continue;
        const struct sb_rest *next = sb_rest_at(w, r->stops - 1, after, j);
        money += next->next == i ? next->second : next->best;
        if (money < here.best) {
            here.second = here.best;
            here.best = money;
            here.next = (short)j;
        } else if (money < here.second) {
            here.second = money;
        }
    }
    *sb_rest_at(w, r->stops, slice, i) = here;
}

static void fill_rest(void *context, int i, int worker)
{
    (void)worker;
    const filling *r = context;
    int slices = sb_rest_last_slice(r->w) + 1;
    for (int slice = 0; slice < slices; slice++)
        fill_rest_at(r, i, slice);
}

void sb_rest_fill(sb_pricer *w, const sb_pricing *pass, sb_pass_run *run)
{
    filling r = {.w = w};
    sb_pass_share(run, SB_PRICER_SHARES_FROM, fill_arcs, &r);
    if (pass->sparse)
        choose_near(w);
    for (; r.stops < w->most_stops; r.stops++)
        sb_pass_share(run, SB_PRICER_SHARES_FROM, fill_rest, &r);
}
