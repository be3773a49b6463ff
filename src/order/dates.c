/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two fields whose dates leave only one order are as good as a stated precedence, and every
 * precedence moves dates: what comes first takes its time, what comes after wants its own. The two
 * are worked out in turn until nothing changes (the preprocessing of tours with time windows:
 * Desrosiers, Dumas, Solomon & Soumis 1995; from memory). */
#include "order/dates.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

/* Dates are narrowed by a little less than worked out: sums differ in their last digits. */
#define ROUNDING_H 1e-9

typedef struct narrower {
    sb_problem *p;
    double *road_h;   /* (n + 1) x (n + 1): the quickest way, other places passed without cutting */
    double *earliest; /* n: finish */
    double *latest;   /* n: finish */
    uint64_t *before; /* n x words: as stated, to go back to */
} narrower;

void sb_close_precedence(sb_problem *p)
{
    size_t words = (size_t)p->words;
    for (int k = 0; k < p->n; k++) /* Warshall */
        for (int j = 0; j < p->n; j++)
            if (sb_has(sb_set_of(p, p->before, j), k))
                for (size_t w = 0; w < words; w++)
                    p->before[(size_t)j * words + w] |= p->before[(size_t)k * words + w];
    memset(p->behind, 0, (size_t)p->n * words * sizeof *p->behind);
    for (int j = 0; j < p->n; j++)
        for (int i = 0; i < p->n; i++)
            if (sb_has(sb_set_of(p, p->before, j), i))
                sb_include(sb_set_of(p, p->behind, i), j);
}

static double road(const narrower *w, int i, int j)
{
    return w->road_h[(size_t)i * (size_t)(w->p->n + 1) + (size_t)j];
}

static void find_roads(narrower *w)
{
    size_t nodes = (size_t)(w->p->n + 1);
    memcpy(w->road_h, w->p->move_h, nodes * nodes * sizeof *w->road_h);
    for (size_t i = 0; i < nodes * nodes; i++)
        if (isnan(w->road_h[i]) || isinf(w->p->move_cost[i]))
            w->road_h[i] = INFINITY;
    for (size_t k = 0; k < nodes; k++) /* Floyd */
        for (size_t i = 0; i < nodes; i++)
            for (size_t j = 0; j < nodes; j++)
                w->road_h[i * nodes + j] = fmin(
                    w->road_h[i * nodes + j], w->road_h[i * nodes + k] + w->road_h[k * nodes + j]);
}

/* @return did a field have to come before another that it did not yet? */
static bool order_pairs(narrower *w)
{
    sb_problem *p = w->p;
    bool more = false;
    for (int i = 0; i < p->n; i++)
        for (int j = 0; j < p->n; j++) {
            if (i == j || sb_has(sb_set_of(p, p->before, j), i))
                continue;
            double start = fmax(w->earliest[j] + road(w, j, i), p->ready_h[i]);
            if (start + p->cut_h[i] <= w->latest[i] + SB_SAME_TIME_H)
                continue;
            sb_include(sb_set_of(p, p->before, j), i);
            more = true;
        }
    return more;
}

static void narrow_dates(narrower *w)
{
    sb_problem *p = w->p;
    for (int j = 0; j < p->n; j++) {
        double first_h = p->start_h + p->cut_h[j], after_h = 0, last = -INFINITY;
        for (int i = 0; i < p->n; i++) {
            if (sb_has(sb_set_of(p, p->before, j), i)) {
                first_h += p->cut_h[i];
                w->earliest[j] = fmax(w->earliest[j], w->earliest[i] + road(w, i, j) + p->cut_h[j]);
            }
            if (sb_has(sb_set_of(p, p->behind, j), i)) {
                after_h += p->cut_h[i];
                last = fmax(last, w->latest[i]);
                w->latest[j] = fmin(w->latest[j], w->latest[i] - p->cut_h[i] - road(w, j, i));
            }
        }
        w->earliest[j] = fmax(w->earliest[j], first_h);
        if (after_h > 0)
            w->latest[j] = fmin(w->latest[j], last - after_h);
    }
}

static bool contradicts(const sb_problem *p)
{
    for (int j = 0; j < p->n; j++)
        if (sb_has(sb_set_of(p, p->before, j), j))
            return true;
    return false;
}

static void narrow(narrower *w)
{
    sb_problem *p = w->p;
    size_t bytes = (size_t)p->n * (size_t)p->words * sizeof *p->before;
    memcpy(w->before, p->before, bytes);
    find_roads(w);
    for (int j = 0; j < p->n; j++) {
        double arrive = road(w, p->n, j); /* from start_h on: it is in the moves out of the yard */
        w->earliest[j] = fmax(arrive, p->ready_h[j]) + p->cut_h[j];
        w->latest[j] = fmin(p->latest_h[j], p->end_h);
    }
    bool more = true;
    while (more && !contradicts(p)) {
        more = order_pairs(w);
        sb_close_precedence(p);
        narrow_dates(w);
    }
    if (contradicts(p)) {
        memcpy(p->before, w->before, bytes);
        sb_close_precedence(p);
        p->dates_contradict = true;
        return;
    }
    for (int j = 0; j < p->n; j++) {
        for (int word = 0; word < p->words; word++)
            p->ordered |= sb_set_of(p, p->before, j)[word] != 0;
        p->ready_h[j] = fmax(p->ready_h[j], w->earliest[j] - p->cut_h[j] - ROUNDING_H);
        if (isfinite(w->latest[j]))
            p->latest_h[j] = fmin(p->latest_h[j], w->latest[j] + ROUNDING_H);
    }
}

sb_status sb_dates_narrow(sb_problem *p)
{
    size_t n = (size_t)p->n;
    narrower w = {.p = p};
    w.road_h = sb_alloc((n + 1) * (n + 1), sizeof *w.road_h);
    w.earliest = sb_alloc(n, sizeof *w.earliest);
    w.latest = sb_alloc(n, sizeof *w.latest);
    w.before = sb_alloc(n * (size_t)p->words, sizeof *w.before);
    sb_status status = SB_ERR_NOMEM;
    if (w.road_h != NULL && w.earliest != NULL && w.latest != NULL && w.before != NULL) {
        narrow(&w);
        status = SB_OK;
    }
    sb_free(w.road_h);
    sb_free(w.earliest);
    sb_free(w.latest);
    sb_free(w.before);
    return status;
}
