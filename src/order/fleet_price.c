/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_price.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

/* Moves out of each field and into it that a sparse pass looks at. */
#define NEAR_WIDTH 8
/* Below so many fields a generation is done sooner than other threads wake up. */
#define WORTH_SHARING 12

typedef struct run {
    sb_pass_run base;
    sb_pricer *w;
    const sb_pricing *pass;
    int t; /* generation being filled: stops before (forward) or behind (backward) */
} run;

static run begin(sb_pricer *w, const sb_pricing *pass)
{
    return (run){
        .base = {.p = w->p, .crew = w->crew, .most_labels = pass->most_labels},
        .w = w,
        .pass = pass,
    };
}

static size_t cell(const sb_pricer *w, int t, int j)
{
    return (size_t)t * (size_t)w->p->n + (size_t)j;
}

static double *box(const sb_pricer *w, double *rows, int j)
{
    return rows + (size_t)j * (size_t)w->p->dims;
}

static uint8_t open_levels(const run *r, int i, int j)
{
    size_t arc = sb_arc(r->w->p, i, j);
    return r->pass->sparse && !r->w->near[arc] ? 0 : r->w->open[arc];
}

static double home_toll(const sb_pricer *w, int j)
{
    size_t n = (size_t)w->p->n;
    return w->p->home_cost[j] + w->toll[(size_t)j * (n + 1) + n];
}

/* What is paid for a move beyond its cost, less the reward of the visit. */
static double surcharge(const sb_pricer *w, int i, int j, int l)
{
    const sb_problem *p = w->p;
    return w->toll[(size_t)i * (size_t)(p->n + 1) + (size_t)j] + w->spend_price * p->level_cost[l] +
           (p->level_full[l] ? w->full_price : 0) - w->reward[j];
}

static void for_every_field(run *r, void (*piece)(void *context, int j, int worker))
{
    sb_pass_share(&r->base, WORTH_SHARING, piece, r);
}

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
    w->work_h = sb_alloc((n + 1) * n, sizeof *w->work_h);
    w->rest = sb_alloc(stops * SB_REST_SLICES * n, sizeof *w->rest);
    w->forward = sb_alloc(stops * n, sizeof *w->forward);
    w->backward = sb_alloc(stops * n, sizeof *w->backward);
    w->workers = sb_label_workers_new(p, w->crew);
    return w->reward && w->toll && w->memory && w->near && w->open && w->load_high && w->load_low &&
           w->price_high && w->zero && w->scratch && w->earliest_h && w->latest_h && w->arc &&
           w->work_h && w->rest && w->forward && w->backward && w->workers;
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
    double *high = box(w, w->load_high, j), *low = box(w, w->load_low, j), moved = 0;
    const double *left = p->left + (size_t)j * dims, *own = p->own + (size_t)j * dims;
    for (int i = 0; i <= p->n; i++) {
        uint8_t open = w->open[sb_arc(p, i, j)];
        const double *from_high = i == p->n ? p->own + (size_t)i * dims : box(w, w->load_high, i);
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
    double *high = box(w, w->price_high, i), moved = 0;
    for (int j = 0; j < p->n; j++) {
        uint8_t open = w->open[sb_arc(p, i, j)];
        const double *shed = p->shed + (size_t)j * dims, *left = p->left + (size_t)j * dims;
        const double *next = box(w, w->price_high, j);
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

/* ---- Life ---------------------------------------------------------------------------------- */

sb_status sb_pricer_init(sb_pricer *w, const sb_problem *p, sb_crew *crew)
{
    size_t n = (size_t)p->n, words = (size_t)p->words;
    *w = (sb_pricer){.p = p, .crew = crew};
    int stops = most_stops(p);
    w->most_stops = stops < 0 ? 0 : stops;
    if (stops < 0 || !allocate(w))
        return SB_ERR_NOMEM;
    sb_label start = {.parent = -1};
    if (!sb_bucket_push(&w->yard, p->dims, p->words, &start, p->own + n * (size_t)p->dims,
                        w->workers[0].set))
        return SB_ERR_NOMEM;
    for (int j = 0; j < p->n; j++)
        sb_include(w->memory + (size_t)j * words, j);
    w->slice_h =
        p->timed && isfinite(p->end_h) ? (p->end_h - p->start_h) / SB_REST_SLICES : INFINITY;
    memcpy(w->open, p->allowed, (n + 1) * n);
    memset(w->near, 1, (n + 1) * n);
    tighten_boxes(w);
    tighten_times(w);
    return SB_OK;
}

void sb_pricer_release(sb_pricer *w)
{
    if (w->p == NULL)
        return;
    size_t cells = (size_t)w->most_stops * (size_t)w->p->n;
    for (size_t i = 0; i < cells && w->forward != NULL; i++)
        sb_bucket_release(&w->forward[i]);
    for (size_t i = 0; i < cells && w->backward != NULL; i++)
        sb_bucket_release(&w->backward[i]);
    sb_bucket_release(&w->yard);
    sb_label_workers_free(w->workers, w->crew);
    void *owned[] = {w->reward,   w->toll,       w->memory, w->near,    w->open,       w->load_high,
                     w->load_low, w->price_high, w->zero,   w->scratch, w->earliest_h, w->latest_h,
                     w->arc,      w->rest,       w->work_h, w->forward, w->backward};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
    *w = (sb_pricer){0};
}

/* ---- Bounds on the rest -------------------------------------------------------------------- */

/* The least that a move into j costs: it gets the seeds of the field just left and no others. */
static void fill_arcs(void *context, int j, int worker)
{
    (void)worker;
    run *r = context;
    sb_pricer *w = r->w;
    const sb_problem *p = w->p;
    for (int i = 0; i <= p->n; i++) {
        uint8_t open = w->open[sb_arc(p, i, j)];
        double least = INFINITY, least_h = INFINITY;
        for (int l = 0; l < p->levels; l++) {
            if (!(open >> l & 1))
                continue;
            least = fmin(least, sb_first_order_cost(p, i, j, l) + surcharge(w, i, j, l));
            least_h = fmin(least_h, p->level_h[l]);
        }
        w->arc[sb_arc(p, i, j)] = least;
        w->work_h[sb_arc(p, i, j)] = least_h + sb_move_h(p, i, j) + p->cut_h[j];
    }
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

static struct sb_rest *rest_at(const sb_pricer *w, int stops, int slice, int j)
{
    return &w->rest[((size_t)stops * SB_REST_SLICES + (size_t)slice) * (size_t)w->p->n + (size_t)j];
}

/* The slice that holds so many hours; -1: none left. */
static int slice_of(const sb_pricer *w, double hours)
{
    if (isinf(w->slice_h))
        return 0;
    int slice = (int)ceil(hours / w->slice_h - 1e-9) - 1;
    return hours < -SB_SAME_TIME_H  ? -1
           : slice < 0              ? 0
           : slice < SB_REST_SLICES ? slice
                                    : SB_REST_SLICES - 1;
}

/* The best and the second best way on from i, with at most so many stops and hours; none of them
 * comes straight back. */
static void fill_rest_at(run *r, int i, int slice)
{
    sb_pricer *w = r->w;
    const sb_problem *p = w->p;
    double hours = (slice + 1) * w->slice_h; /* INFINITY where hours do not matter */
    struct sb_rest here = {INFINITY, INFINITY, -1};
    if (isinf(w->slice_h) || p->home_h[i] <= hours + SB_SAME_TIME_H)
        here.best = home_toll(w, i);
    for (int j = 0; j < p->n && r->t > 0; j++) {
        double money = w->arc[sb_arc(p, i, j)];
        if (isinf(money))
            continue;
        int after = slice_of(w, hours - w->work_h[sb_arc(p, i, j)]);
        if (after < 0)
            continue;
        const struct sb_rest *next = rest_at(w, r->t - 1, after, j);
        money += next->next == i ? next->second : next->best;
        if (money < here.best) {
            here.second = here.best;
            here.best = money;
            here.next = (short)j;
        } else if (money < here.second) {
            here.second = money;
        }
    }
    *rest_at(w, r->t, slice, i) = here;
}

static void fill_rest(void *context, int i, int worker)
{
    (void)worker;
    run *r = context;
    int slices = isinf(r->w->slice_h) ? 1 : SB_REST_SLICES;
    for (int slice = 0; slice < slices; slice++)
        fill_rest_at(r, i, slice);
}

static int last_slice(const sb_pricer *w)
{
    return isinf(w->slice_h) ? 0 : SB_REST_SLICES - 1;
}

/* What a label that has just cut j may still come to. */
static inline double least_rest(const run *r, int j, double finish_h, const uint64_t *seen)
{
    const sb_pricer *w = r->w;
    int slice = slice_of(w, w->p->end_h - finish_h);
    if (slice < 0)
        return INFINITY;
    const struct sb_rest *rest = rest_at(w, w->most_stops - 1 - r->t, slice, j);
    return rest->next >= 0 && sb_has(seen, rest->next) ? rest->second : rest->best;
}

/* ---- Labels -------------------------------------------------------------------------------- */

/* Does a label of the opposite pass complete this one under the limit, in any generation that
 * leaves the walk short enough? */
static inline bool completes(const run *r, const sb_bucket *opposite, int here,
                             const sb_label *label, const double *load, const uint64_t *set)
{
    for (int k = 0; k + r->t + 1 <= r->w->most_stops; k++)
        if (isfinite(sb_pass_completion(r->w->p, &opposite[cell(r->w, k, here)], here, label, load,
                                        set, r->pass->limit, true)))
            return true;
    return false;
}

static sb_sieve sieve_for(const run *r, const double *high, const double *low, bool forward)
{
    sb_sieve sieve = sb_pass_sieve(r->w->p, r->pass->elementary, forward, high, low);
    sieve.absorb = r->pass->absorb;
    sieve.absorb_time = r->pass->absorb_h;
    return sieve;
}

/* Drops labels that one of an earlier generation makes pointless. That one has been gone on from
 * already, so it may not be lowered any more. */
static void compare_generations(run *r, const sb_sieve *sieve, sb_bucket *generations, int here)
{
    const sb_problem *p = r->w->p;
    size_t dims = (size_t)p->dims, words = (size_t)p->words;
    sb_sieve exact = *sieve;
    exact.absorb = exact.absorb_time = 0;
    sb_bucket *b = &generations[cell(r->w, r->t, here)];
    int kept = 0;
    for (int a = 0; a < b->count; a++) {
        const double *load = b->loads + (size_t)a * dims;
        const uint64_t *set = b->sets + (size_t)a * words;
        bool refused = false;
        for (int t = r->t - 1; t >= 0 && !refused; t--)
            refused = sb_sieve_refuses(&exact, &generations[cell(r->w, t, here)], &b->labels[a],
                                       load, set);
        if (refused)
            continue;
        if (kept < a) {
            b->labels[kept] = b->labels[a];
            memcpy(b->loads + (size_t)kept * dims, load, dims * sizeof *load);
            memcpy(b->sets + (size_t)kept * words, set, words * sizeof *set);
            b->keys[kept] = b->keys[a];
            b->high_keys[kept] = b->high_keys[a];
        }
        kept++;
    }
    b->count = kept;
}

/* Without a sieve: every candidate stays. */
static bool keep_candidates(const sb_problem *p, const sb_bucket *from, sb_bucket *to)
{
    sb_bucket_clear(to);
    for (int a = 0; a < from->count; a++)
        if (!sb_bucket_push(to, p->dims, p->words, &from->labels[a],
                            from->loads + (size_t)a * (size_t)p->dims, sb_set_of(p, from->sets, a)))
            return false;
    return true;
}

static void keep_labels(run *r, sb_label_worker *worker, sb_bucket *generations, int here)
{
    if (!r->pass->keep_all) {
        if (!sb_pass_sift(&r->base, worker))
            return;
        if (!r->pass->elementary)
            compare_generations(r, &worker->sieve, generations, here);
    } else if (!keep_candidates(r->w->p, &worker->candidates, worker->kept)) {
        sb_pass_fail(&r->base, SB_PASS_NOMEM);
        return;
    }
    sb_pass_count(&r->base, worker->kept);
}

/* ---- Forward ------------------------------------------------------------------------------- */

static inline bool step_forward(run *r, sb_label_worker *worker, const sb_label *from,
                                const double *load, int i, int j, int l, sb_label *label)
{
    sb_pricer *w = r->w;
    const sb_problem *p = w->p;
    if (r->pass->elementary && !sb_limits_kept(p, i, j, l, load))
        return false;
    label->level = (unsigned char)l;
    label->cost = from->cost + surcharge(w, i, j, l);
    if (p->timed) {
        label->res[SB_RES_TIME] = sb_finish_h(p, i, j, l, from->res[SB_RES_TIME]);
        if (label->res[SB_RES_TIME] > w->latest_h[j] + SB_SAME_TIME_H)
            return false;
        label->cost += sb_delay(p, j, label->res[SB_RES_TIME]);
    }
    if (!sb_pass_spend(p, from, l, label))
        return false;
    label->cost += sb_move_load(p, i, j, l, load, worker->load);
    return label->cost + least_rest(r, j, label->res[SB_RES_TIME], worker->set) < r->pass->limit;
}

SB_VECTORISED
static void extend_bucket(run *r, sb_label_worker *worker, const sb_bucket *from, int i, int j)
{
    sb_pricer *w = r->w;
    const sb_problem *p = w->p;
    uint8_t levels = open_levels(r, i, j);
    const struct sb_rest *rest = rest_at(w, w->most_stops - 1 - r->t, last_slice(w), j);
    double least_ahead = w->arc[sb_arc(p, i, j)] + rest->best;
    for (int a = 0; a < from->count; a++) {
        const uint64_t *seen = sb_set_of(p, from->sets, a);
        if (from->labels[a].cost + least_ahead >= r->pass->limit)
            continue;
        if (sb_has(seen, j) || sb_sets_meet(seen, sb_set_of(p, p->behind, j), p->words))
            continue;
        const uint64_t *memory = sb_set_of(p, w->memory, j);
        for (int word = 0; word < p->words; word++)
            worker->set[word] = seen[word] & (r->pass->elementary ? ~(uint64_t)0 : memory[word]);
        sb_include(worker->set, j);
        for (int l = 0; l < p->levels; l++) {
            sb_label label = {.parent = a, .parent_field = (short)i};
            if (!(levels >> l & 1) ||
                !step_forward(r, worker, &from->labels[a],
                              from->loads + (size_t)a * (size_t)p->dims, i, j, l, &label))
                continue;
            if (r->pass->prune && !completes(r, w->backward, j, &label, worker->load, worker->set))
                continue;
            label.safe = !r->pass->elementary || sb_limits_safe(p, worker->load);
            if (!sb_pass_take(&r->base, worker, &label))
                return;
        }
    }
}

static void fill_forward(void *context, int j, int number)
{
    run *r = context;
    sb_pricer *w = r->w;
    sb_label_worker *worker = &w->workers[number];
    sb_sieve sieve = sieve_for(r, box(w, w->price_high, j), w->zero, true);
    sb_pass_open(worker, &w->forward[cell(w, r->t, j)], &sieve);
    if (sb_pass_is_over(&r->base))
        return;
    if (r->t == 0)
        extend_bucket(r, worker, &w->yard, w->p->n, j);
    else
        for (int i = 0; i < w->p->n; i++)
            if (w->forward[cell(w, r->t - 1, i)].count > 0 && open_levels(r, i, j))
                extend_bucket(r, worker, &w->forward[cell(w, r->t - 1, i)], i, j);
    keep_labels(r, worker, w->forward, j);
}

static void clear_from(sb_pricer *w, sb_bucket *buckets, int t)
{
    for (; t < w->most_stops; t++)
        for (int j = 0; j < w->p->n; j++)
            sb_bucket_clear(&buckets[cell(w, t, j)]);
}

static bool any_labels(const sb_pricer *w, const sb_bucket *buckets, int t)
{
    for (int j = 0; j < w->p->n; j++)
        if (buckets[cell(w, t, j)].count > 0)
            return true;
    return false;
}

static bool home_in_time(const sb_pricer *w, const sb_label *label, int last)
{
    const sb_problem *p = w->p;
    return !p->timed || label->res[SB_RES_TIME] + p->home_h[last] <= p->end_h + SB_SAME_TIME_H;
}

static double least_end(const sb_pricer *w)
{
    double least = INFINITY;
    for (int t = 0; t < w->most_stops; t++)
        for (int j = 0; j < w->p->n; j++) {
            const sb_bucket *bucket = &w->forward[cell(w, t, j)];
            for (int a = 0; a < bucket->count; a++)
                if (home_in_time(w, &bucket->labels[a], j))
                    least = fmin(least, bucket->labels[a].cost + home_toll(w, j));
        }
    return least;
}

sb_pass_end sb_pricer_forward(sb_pricer *w, const sb_pricing *pass, double *least)
{
    const sb_problem *p = w->p;
    run r = begin(w, pass);
    *least = INFINITY;
    for_every_field(&r, fill_arcs);
    if (pass->sparse)
        choose_near(w);
    for (r.t = 0; r.t < w->most_stops; r.t++)
        for_every_field(&r, fill_rest);
    bool more = true;
    for (r.t = 0; r.t < w->most_stops && more; r.t++) {
        for_every_field(&r, fill_forward);
        if (pass->elementary && r.t > 0)
            for (int i = 0; i < p->n; i++)
                sb_bucket_forget_loads(&w->forward[cell(w, r.t - 1, i)]);
        more = !sb_pass_is_over(&r.base) && any_labels(w, w->forward, r.t);
    }
    clear_from(w, w->forward, r.t);
    sb_pass_end end = sb_pass_finish(&r.base, &w->labels);
    if (end == SB_PASS_DONE)
        *least = least_end(w);
    return end;
}

/* ---- Backward ------------------------------------------------------------------------------ */

/* The rest of a walk that ends here: home. */
static void end_label(run *r, sb_label_worker *worker, int here)
{
    sb_pricer *w = r->w;
    const sb_problem *p = w->p;
    sb_label label = {.cost = home_toll(w, here), .parent = -1};
    double latest_h = fmin(p->latest_h[here], p->end_h - p->home_h[here]);
    label.res[SB_RES_TIME] = -latest_h;
    if (isinf(label.cost) || (p->timed && latest_h < w->earliest_h[here] - SB_SAME_TIME_H))
        return;
    memset(worker->load, 0, (size_t)p->dims * sizeof *worker->load);
    memset(worker->set, 0, (size_t)p->words * sizeof *worker->set);
    sb_include(worker->set, here);
    if (completes(r, w->forward, here, &label, worker->load, worker->set))
        sb_pass_take(&r->base, worker, &label);
}

/* Puts the move here -> j after level l in front of a rest that begins when j is finished. */
static inline bool step_backward(run *r, sb_label_worker *worker, const sb_label *from,
                                 const double *price, double own_money, int here, int j, int l,
                                 sb_label *label)
{
    sb_pricer *w = r->w;
    const sb_problem *p = w->p;
    label->level = (unsigned char)l;
    label->cost = from->cost + sb_fixed(p, here, j, l) + surcharge(w, here, j, l) + own_money;
    if (p->timed) {
        double begin_h = -from->res[SB_RES_TIME] - p->cut_h[j];
        double latest_h = fmin(begin_h - p->level_h[l] - sb_move_h(p, here, j), p->latest_h[here]);
        if (begin_h < p->ready_h[j] - SB_SAME_TIME_H ||
            latest_h < w->earliest_h[here] - SB_SAME_TIME_H)
            return false;
        label->res[SB_RES_TIME] = -latest_h;
        label->cost += sb_delay(p, j, w->earliest_h[j]);
    }
    sb_pass_price(p, j, l, price, worker->load);
    return sb_pass_spend(p, from, l, label);
}

SB_VECTORISED
static void extend_rest(run *r, sb_label_worker *worker, const sb_bucket *from, int here, int j)
{
    sb_pricer *w = r->w;
    const sb_problem *p = w->p;
    uint8_t levels = open_levels(r, here, j);
    for (int a = 0; a < from->count; a++) {
        const uint64_t *seen = sb_set_of(p, from->sets, a);
        if (sb_has(seen, here) || sb_sets_meet(seen, sb_set_of(p, p->before, here), p->words))
            continue;
        const uint64_t *memory = sb_set_of(p, w->memory, here);
        for (int word = 0; word < p->words; word++)
            worker->set[word] = seen[word] & memory[word];
        sb_include(worker->set, here);
        const double *price = from->loads + (size_t)a * (size_t)p->dims;
        double own_money = sb_vector_dot(price, p->own + (size_t)j * (size_t)p->dims, p->dims);
        for (int l = 0; l < p->levels; l++) {
            sb_label label = {.parent = a, .parent_field = (short)j};
            if ((levels >> l & 1) &&
                step_backward(r, worker, &from->labels[a], price, own_money, here, j, l, &label) &&
                completes(r, w->forward, here, &label, worker->load, worker->set) &&
                !sb_pass_take(&r->base, worker, &label))
                return;
        }
    }
}

static void fill_backward(void *context, int here, int number)
{
    run *r = context;
    sb_pricer *w = r->w;
    sb_label_worker *worker = &w->workers[number];
    sb_sieve sieve = sieve_for(r, box(w, w->load_high, here), box(w, w->load_low, here), false);
    sb_pass_open(worker, &w->backward[cell(w, r->t, here)], &sieve);
    if (sb_pass_is_over(&r->base))
        return;
    if (r->t == 0)
        end_label(r, worker, here);
    else
        for (int j = 0; j < w->p->n; j++)
            if (w->backward[cell(w, r->t - 1, j)].count > 0 && open_levels(r, here, j))
                extend_rest(r, worker, &w->backward[cell(w, r->t - 1, j)], here, j);
    keep_labels(r, worker, w->backward, here);
}

sb_pass_end sb_pricer_backward(sb_pricer *w, const sb_pricing *pass)
{
    run r = begin(w, pass);
    bool more = true;
    for (r.t = 0; r.t < w->most_stops && more; r.t++) {
        for_every_field(&r, fill_backward);
        more = !sb_pass_is_over(&r.base) && any_labels(w, w->backward, r.t);
    }
    clear_from(w, w->backward, r.t);
    return sb_pass_finish(&r.base, &w->labels);
}

/* ---- Reading walks ------------------------------------------------------------------------- */

static int cheaper_end(const void *a, const void *b)
{
    const sb_walk_end *x = a, *y = b;
    if (x->reduced != y->reduced)
        return x->reduced < y->reduced ? -1 : 1;
    if (x->field != y->field)
        return x->field - y->field;
    return x->stops != y->stops ? x->stops - y->stops : x->label - y->label;
}

sb_status sb_pricer_ends(const sb_pricer *w, double limit, bool every, sb_walk_end **ends,
                         size_t *count)
{
    const sb_problem *p = w->p;
    struct {
        sb_walk_end *items;
        size_t count, capacity;
    } list = {0};
    *ends = NULL;
    *count = 0;
    for (int j = 0; j < p->n; j++) {
        sb_walk_end best = {.reduced = INFINITY};
        for (int t = 0; t < w->most_stops; t++) {
            const sb_bucket *bucket = &w->forward[cell(w, t, j)];
            for (int a = 0; a < bucket->count; a++) {
                sb_walk_end end = {bucket->labels[a].cost + home_toll(w, j), t + 1, j, a};
                if (!(end.reduced < limit) || !home_in_time(w, &bucket->labels[a], j))
                    continue;
                if (!every) {
                    if (cheaper_end(&end, &best) < 0)
                        best = end;
                } else if (!SB_PUSH(&list, end)) {
                    sb_free(list.items);
                    return SB_ERR_NOMEM;
                }
            }
        }
        if (!every && isfinite(best.reduced) && !SB_PUSH(&list, best)) {
            sb_free(list.items);
            return SB_ERR_NOMEM;
        }
    }
    if (list.count > 0)
        qsort(list.items, list.count, sizeof *list.items, cheaper_end);
    *ends = list.items;
    *count = list.count;
    return SB_OK;
}

void sb_pricer_read(const sb_pricer *w, const sb_walk_end *end, int *field, int *level)
{
    int at = end->field, label = end->label;
    for (int t = end->stops - 1; t >= 0; t--) {
        const sb_label *l = &w->forward[cell(w, t, at)].labels[label];
        field[t] = at;
        level[t] = l->level;
        at = l->parent_field;
        label = l->parent;
    }
}
