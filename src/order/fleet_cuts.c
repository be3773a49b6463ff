/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_cuts.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

#define BROKEN_BY 0.02 /* a cut is worth a row when it is broken by so much */
#define MOST_CUTS_A_ROUND 20
#define MOST_CUTS 400

typedef struct finder {
    sb_prover *s;
    double *flow;      /* (n + 1) x n: how much of each move the present solution takes */
    double *hours;     /* n: the least a field takes, whoever cuts it */
    double most_hours; /* the most that any machine has */
    uint64_t *set, *worst_set;
    bool *inside; /* n */
    double *pull; /* n: flow between the field and the set, both ways */
} finder;

static bool finder_init(finder *x, sb_prover *s)
{
    const sb_fleet *f = s->fleet;
    size_t n = (size_t)f->n;
    *x = (finder){.s = s};
    x->flow = sb_alloc((n + 1) * n, sizeof *x->flow);
    x->hours = sb_alloc(n, sizeof *x->hours);
    x->set = sb_alloc((size_t)f->problems[0].words, sizeof *x->set);
    x->worst_set = sb_alloc((size_t)f->problems[0].words, sizeof *x->worst_set);
    x->inside = sb_alloc(n, sizeof *x->inside);
    x->pull = sb_alloc(n, sizeof *x->pull);
    if (!x->flow || !x->hours || !x->set || !x->worst_set || !x->inside || !x->pull)
        return false;
    for (int j = 0; j < f->n; j++) {
        x->hours[j] = INFINITY;
        for (int m = 0; m < f->machines; m++)
            if (f->may_cut[m * f->n + j])
                x->hours[j] = fmin(x->hours[j], f->problems[m].cut_h[j]);
    }
    for (int m = 0; m < f->machines; m++)
        x->most_hours = fmax(x->most_hours, f->problems[m].end_h - f->problems[m].start_h);
    for (size_t c = 0; c < s->master.n_columns; c++) {
        double share = sb_master_share(&s->master, c);
        const sb_route_column *column = &s->columns.items[c];
        for (int t = 0; t < column->stops && share > 1e-9; t++) {
            int from = t > 0 ? column->field[t - 1] : f->n;
            x->flow[sb_arc(&f->problems[0], from, column->field[t])] += share;
        }
    }
    return true;
}

static void finder_release(finder *x)
{
    sb_free(x->flow);
    sb_free(x->hours);
    sb_free(x->set);
    sb_free(x->worst_set);
    sb_free(x->inside);
    sb_free(x->pull);
}

static double needed(const finder *x, double hours)
{
    return ceil(hours / x->most_hours - 1e-6);
}

static bool known(const finder *x)
{
    size_t bytes = (size_t)x->s->fleet->problems[0].words * sizeof(uint64_t);
    for (size_t c = 0; c < x->s->cuts.count; c++)
        if (memcmp(x->s->cuts.items[c].set, x->set, bytes) == 0)
            return true;
    return false;
}

static void add_cut(finder *x, double least)
{
    sb_prover *s = x->s;
    size_t words = (size_t)s->fleet->problems[0].words;
    sb_entries cut = {.always = least,
                      .least = least,
                      .most = INFINITY,
                      .set = sb_alloc(words, sizeof(uint64_t))};
    bool made = cut.set != NULL;
    if (made) {
        memcpy(cut.set, x->set, words * sizeof *cut.set);
        made = SB_PUSH(&s->cuts, cut);
        if (!made)
            sb_free(cut.set);
    }
    if (!made)
        s->status = SB_ERR_NOMEM;
}

static void take_in(finder *x, int j, double *entries, double *hours)
{
    const sb_problem *p = &x->s->fleet->problems[0];
    /* Moves into j come in, but for those out of the set, and moves out of j into it no longer do.
     */
    double into = x->flow[sb_arc(p, p->n, j)];
    for (int i = 0; i < p->n; i++)
        into += x->flow[sb_arc(p, i, j)];
    *entries += into - x->pull[j];
    *hours += x->hours[j];
    x->inside[j] = true;
    sb_include(x->set, j);
    for (int i = 0; i < p->n; i++)
        if (i != j)
            x->pull[i] += x->flow[sb_arc(p, i, j)] + x->flow[sb_arc(p, j, i)];
}

/* Grows a set from one field, always by the one that is pulled most, the more so the more hours it
 * brings; the set that is broken most on the way becomes a cut. */
static void grow_from(finder *x, int seed, double weight)
{
    const sb_fleet *f = x->s->fleet;
    size_t bytes = (size_t)f->problems[0].words * sizeof *x->set;
    double entries = 0, hours = 0, worst = BROKEN_BY, worst_least = 0;
    memset(x->set, 0, bytes);
    memset(x->inside, 0, (size_t)f->n * sizeof *x->inside);
    memset(x->pull, 0, (size_t)f->n * sizeof *x->pull);
    take_in(x, seed, &entries, &hours);
    for (int size = 1; size < f->n; size++) {
        double least = needed(x, hours);
        if (least - entries > worst && !known(x)) {
            worst = least - entries;
            worst_least = least;
            memcpy(x->worst_set, x->set, bytes);
        }
        int best = -1;
        double best_worth = -INFINITY;
        for (int j = 0; j < f->n; j++) {
            double worth = x->pull[j] + weight * x->hours[j] / x->most_hours;
            if (!x->inside[j] && worth > best_worth) {
                best = j;
                best_worth = worth;
            }
        }
        take_in(x, best, &entries, &hours);
    }
    if (worst_least > 0) {
        memcpy(x->set, x->worst_set, bytes);
        add_cut(x, worst_least);
    }
}

bool sb_prover_cut(sb_prover *s)
{
    static const double WEIGHTS[] = {1e-3, 0.3, -0.3, 1};
    const sb_fleet *f = s->fleet;
    size_t before = s->cuts.count;
    finder x;
    if (!finder_init(&x, s))
        s->status = SB_ERR_NOMEM;
    for (size_t w = 0; w < sizeof WEIGHTS / sizeof *WEIGHTS && isfinite(x.most_hours); w++)
        for (int j = 0; j < f->n && s->status == SB_OK; j++)
            if (s->cuts.count < before + MOST_CUTS_A_ROUND && s->cuts.count < MOST_CUTS)
                grow_from(&x, j, WEIGHTS[w]);
    finder_release(&x);
    sb_duals *duals[] = {&s->best, &s->center, &s->lp, &s->at};
    for (size_t d = 0; d < 4 && s->status == SB_OK; d++)
        s->status = sb_duals_grow(duals[d], s->cuts.count);
    return s->status == SB_OK && s->cuts.count > before;
}
