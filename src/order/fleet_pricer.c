/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_pricer.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "order/fleet_rest.h"

/* ---- Making one ---------------------------------------------------------------------------- */

static int compare_doubles(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* As many of the shortest fields as the hours allow; -1: out of memory. */
static int most_stops(const sb_problem *p)
{
    double *hours = sb_alloc((size_t)p->n, sizeof *hours), sum = 0;
    if (hours == NULL)
        return -1;
    int able = 0, stops = 0;
    for (int j = 0; j < p->n; j++)
        for (int i = 0; i <= p->n; i++)
            if (p->allowed[sb_arc(p, i, j)]) {
                hours[able++] = p->cut_h[j];
                break;
            }
    qsort(hours, (size_t)able, sizeof *hours, compare_doubles);
    while (stops < able &&
           (!p->timed || (sum += hours[stops]) <= p->end_h - p->start_h + SB_SAME_TIME_H))
        stops++;
    sb_free(hours);
    return stops;
}

static bool allocate(sb_pricer *w)
{
    const sb_problem *p = w->p;
    size_t n = (size_t)p->n, dims = (size_t)p->dims, stops = (size_t)w->most_stops;
    w->reward = sb_alloc(n, sizeof *w->reward);
    w->toll = sb_alloc((n + 1) * (n + 1), sizeof *w->toll);
    w->memory = sb_alloc(n * (size_t)p->words, sizeof *w->memory);
    w->near = sb_alloc((n + 1) * n, 1);
    w->open = sb_alloc((n + 1) * n, 1);
    w->load_high = sb_alloc_aligned(n * dims, sizeof *w->load_high);
    w->load_low = sb_alloc_aligned(n * dims, sizeof *w->load_low);
    w->price_high = sb_alloc_aligned(n * dims, sizeof *w->price_high);
    w->scratch = sb_alloc(n + 1, sizeof *w->scratch);
    w->zero = sb_alloc_aligned(dims, sizeof *w->zero);
    w->earliest_h = sb_alloc(n, sizeof *w->earliest_h);
    w->latest_h = sb_alloc(n, sizeof *w->latest_h);
    w->arc = sb_alloc((n + 1) * n, sizeof *w->arc);
    w->forward = sb_alloc(stops * n, sizeof *w->forward);
    w->backward = sb_alloc(stops * n, sizeof *w->backward);
    w->workers = sb_label_workers_new(p, w->crew);
    return w->reward && w->toll && w->memory && w->near && w->open && w->load_high && w->load_low &&
           w->price_high && w->zero && w->scratch && w->earliest_h && w->latest_h && w->arc &&
           w->forward && w->backward && w->workers;
}

static int nearer(const void *a, const void *b)
{
    const sb_near_field *x = a, *y = b;
    if (x->cost != y->cost)
        return x->cost < y->cost ? -1 : 1;
    return x->field - y->field;
}

void sb_order_near_fields(const sb_problem *p, int j, bool both_ways, sb_near_field *all)
{
    for (int i = 0; i < p->n; i++) {
        double cost = i == j ? INFINITY : sb_first_order_least(p, i, j);
        if (both_ways && i != j)
            cost = fmin(cost, sb_first_order_least(p, j, i));
        all[i] = (sb_near_field){cost, i};
    }
    qsort(all, (size_t)p->n, sizeof *all, nearer);
}

void sb_order_next_fields(const sb_problem *p, int i, sb_near_field *all)
{
    for (int j = 0; j < p->n; j++)
        all[j] = (sb_near_field){i == j ? INFINITY : sb_first_order_least(p, i, j), j};
    qsort(all, (size_t)p->n, sizeof *all, nearer);
}

/* Each field first remembers itself and those that are nearest. */
static bool start_memory(sb_pricer *w)
{
    const sb_problem *p = w->p;
    sb_near_field *all = sb_alloc((size_t)p->n, sizeof *all);
    for (int j = 0; j < p->n && all != NULL; j++) {
        uint64_t *memory = sb_set_of(p, w->memory, j);
        sb_order_near_fields(p, j, true, all);
        sb_include(memory, j);
        for (int k = 0; k < SB_PRICER_NEAREST - 1 && k < p->n && isfinite(all[k].cost); k++)
            sb_include(memory, all[k].field);
    }
    bool made = all != NULL;
    sb_free(all);
    return made;
}

/* ---- Boxes and times ----------------------------------------------------------------------- */

/* Sweeps until nothing moves by more than this share; boxes are then widened by as much. */
#define BOX_STILL 1e-6
#define MOST_SWEEPS 200

/* One sweep over loads on leaving j, from all nodes it may be entered from. */
static double sweep_loads(sb_pricer *w, int j, bool first)
{
    const sb_problem *p = w->p;
    size_t dims = (size_t)p->dims;
    double *high = sb_pricer_box(w, w->load_high, j), *low = sb_pricer_box(w, w->load_low, j),
           moved = 0;
    const double *left = p->left + (size_t)j * dims, *own = p->own + (size_t)j * dims;
    for (int i = 0; i <= p->n; i++) {
        uint8_t open = w->open[sb_arc(p, i, j)];
        const double *from_high =
            i == p->n ? p->own + (size_t)i * dims : sb_pricer_box(w, w->load_high, i);
        for (int l = 0; l < p->levels; l++) {
            if (!(open >> l & 1))
                continue;
            const double *keep = p->keep + (size_t)l * dims;
            for (size_t d = 0; d < dims; d++) {
                double most = from_high[d] * keep[d] * left[d] + own[d];
                if (most > high[d]) {
                    moved = fmax(moved, (most - high[d]) / most);
                    high[d] = most;
                }
            }
        }
    }
    if (first)
        memcpy(low, own, dims * sizeof *low);
    return moved;
}

static double sweep_prices(sb_pricer *w, int i)
{
    const sb_problem *p = w->p;
    size_t dims = (size_t)p->dims;
    double *high = sb_pricer_box(w, w->price_high, i), moved = 0;
    for (int j = 0; j < p->n; j++) {
        uint8_t open = w->open[sb_arc(p, i, j)];
        const double *shed = p->shed + (size_t)j * dims, *left = p->left + (size_t)j * dims;
        const double *next = sb_pricer_box(w, w->price_high, j);
        for (int l = 0; l < p->levels; l++) {
            if (!(open >> l & 1))
                continue;
            const double *keep = p->keep + (size_t)l * dims;
            for (size_t d = 0; d < dims; d++) {
                double most = keep[d] * (shed[d] + left[d] * next[d]);
                if (most > high[d]) {
                    moved = fmax(moved, (most - high[d]) / most);
                    high[d] = most;
                }
            }
        }
    }
    return moved;
}

static void tighten_boxes(sb_pricer *w)
{
    const sb_problem *p = w->p;
    size_t dims = (size_t)p->dims;
    memset(w->price_high, 0, (size_t)p->n * dims * sizeof *w->price_high);
    memcpy(w->load_high, p->own, (size_t)p->n * dims * sizeof *w->load_high);
    double moved = 1;
    for (int sweep = 0; sweep < MOST_SWEEPS && moved > BOX_STILL && dims > 0; sweep++) {
        moved = 0;
        for (int j = 0; j < p->n; j++)
            moved = fmax(moved, fmax(sweep_loads(w, j, sweep == 0), sweep_prices(w, j)));
    }
    /* Contractions: what is still to come is of the size of the last step. */
    for (size_t d = 0; d < (size_t)p->n * dims; d++) {
        w->load_high[d] *= 1 + 100 * BOX_STILL;
        w->price_high[d] *= 1 + 100 * BOX_STILL;
    }
}

static void tighten_times(sb_pricer *w)
{
    const sb_problem *p = w->p;
    for (int j = 0; j < p->n; j++) {
        w->earliest_h[j] = INFINITY;
        w->latest_h[j] = fmin(p->latest_h[j], p->end_h - p->home_h[j]);
    }
    bool moved = p->timed;
    for (int sweep = 0; sweep < p->n && moved; sweep++) {
        moved = false;
        for (int j = 0; j < p->n; j++)
            for (int i = 0; i <= p->n; i++) {
                uint8_t open = w->open[sb_arc(p, i, j)];
                for (int l = 0; l < p->levels; l++) {
                    if (!(open >> l & 1))
                        continue;
                    double free_h = i == p->n ? 0 : w->earliest_h[i];
                    double finish_h = sb_finish_h(p, i, j, l, free_h);
                    if (finish_h < w->earliest_h[j]) {
                        w->earliest_h[j] = finish_h;
                        moved = true;
                    }
                    if (i == p->n)
                        continue;
                    double begin_h = w->latest_h[j] - p->cut_h[j];
                    double late_h = begin_h < p->ready_h[j]
                                        ? -INFINITY
                                        : begin_h - p->level_h[l] - sb_move_h(p, i, j);
                    late_h = fmin(late_h, p->latest_h[i]);
                    if (late_h > w->latest_h[i]) {
                        w->latest_h[i] = late_h;
                        moved = true;
                    }
                }
            }
    }
}

void sb_pricer_restrict(sb_pricer *w, const uint8_t *open)
{
    size_t n = (size_t)w->p->n;
    memcpy(w->open, open, (n + 1) * n);
    tighten_boxes(w);
    tighten_times(w);
}

/* Room for more labels than this is not kept from pass to pass: several machines may each have as
 * many. */
#define MANY_LABELS 200000

/* ---- Life ---------------------------------------------------------------------------------- */

sb_status sb_pricer_init(sb_pricer *w, const sb_problem *p, sb_crew *crew)
{
    size_t n = (size_t)p->n;
    *w = (sb_pricer){.p = p, .crew = crew};
    int stops = most_stops(p);
    w->most_stops = stops < 0 ? 0 : stops;
    if (stops < 0 || !allocate(w))
        return SB_ERR_NOMEM;
    sb_label start = {.parent = -1};
    if (!sb_bucket_push(&w->yard, p->dims, p->words, &start, p->own + n * (size_t)p->dims,
                        w->workers[0].set))
        return SB_ERR_NOMEM;
    memset(w->near, 1, (n + 1) * n);
    sb_pricer_restrict(w, p->allowed);
    return start_memory(w) ? sb_rest_init(w) : SB_ERR_NOMEM;
}

static void release_labels(sb_pricer *w)
{
    size_t cells = (size_t)w->most_stops * (size_t)w->p->n;
    for (size_t i = 0; i < cells && w->forward != NULL; i++)
        sb_bucket_release(&w->forward[i]);
    for (size_t i = 0; i < cells && w->backward != NULL; i++)
        sb_bucket_release(&w->backward[i]);
}

void sb_pricer_forget(sb_pricer *w)
{
    size_t cells = (size_t)w->most_stops * (size_t)w->p->n;
    long room = 0;
    for (size_t i = 0; i < cells; i++)
        room += w->forward[i].capacity + w->backward[i].capacity;
    if (room > MANY_LABELS)
        release_labels(w);
}

void sb_pricer_release(sb_pricer *w)
{
    if (w->p == NULL)
        return;
    release_labels(w);
    sb_bucket_release(&w->yard);
    sb_rest_release(&w->rest);
    sb_label_workers_free(w->workers, w->crew);
    void *owned[] = {w->reward,     w->toll,     w->memory,     w->near,    w->open,
                     w->load_high,  w->load_low, w->price_high, w->zero,    w->scratch,
                     w->earliest_h, w->latest_h, w->arc,        w->forward, w->backward};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
    *w = (sb_pricer){0};
}
