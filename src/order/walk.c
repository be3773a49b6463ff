/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/walk.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

typedef struct pass_run {
    sb_pass_run base;
    sb_walk *w;
    const sb_pass *pass;
    double limit; /* pass->limit less all rewards: what label costs compare with */
    int t;        /* position being filled */
} pass_run;

static pass_run begin(sb_walk *w, const sb_pass *pass, double limit)
{
    return (pass_run){
        .base = {.p = w->p,
                 .crew = w->crew,
                 .most_labels = pass != NULL ? pass->most_labels : 0,
                 .sift_early = true},
        .w = w,
        .pass = pass,
        .limit = limit,
    };
}

static size_t cell(const sb_walk *w, int t, int j)
{
    return (size_t)t * (size_t)w->p->n + (size_t)j;
}

static double *box(const sb_walk *w, double *rows, int t, int j)
{
    return rows + cell(w, t, j) * (size_t)w->p->dims;
}

/* Below so many fields a position is done sooner than other threads wake up. */
#define WORTH_SHARING 20

static void for_every_field(pass_run *run, void (*piece)(void *context, int j, int worker))
{
    sb_pass_share(&run->base, WORTH_SHARING, piece, run);
}

/* ---- Making one ---------------------------------------------------------------------------- */

static void open_everything(sb_walk *w)
{
    const sb_problem *p = w->p;
    for (int t = 0; t < p->n; t++)
        for (int j = 0; j < p->n; j++) {
            /* Everything before j needs a place before it, everything behind a place behind. */
            if (t < sb_set_size(sb_set_of(p, p->before, j), p->words) ||
                t >= p->n - sb_set_size(sb_set_of(p, p->behind, j), p->words))
                continue;
            if (t == p->n - 1 && isinf(p->home_cost[j]))
                continue;
            for (int i = t == 0 ? p->n : 0; i < (t == 0 ? p->n + 1 : p->n); i++)
                *sb_walk_open(w, t, i, j) = p->allowed[sb_arc(p, i, j)];
        }
}

sb_status sb_walk_init(sb_walk *w, const sb_problem *p, sb_crew *crew)
{
    size_t n = (size_t)p->n, dims = (size_t)p->dims, words = (size_t)p->words;
    *w = (sb_walk){.p = p, .crew = crew};
    w->reward = sb_alloc(n, sizeof *w->reward);
    w->memory = sb_alloc(n * words, sizeof *w->memory);
    w->open = sb_alloc(n * (n + 1) * n, sizeof *w->open);
    w->load_high = sb_alloc_aligned(n * n * dims, sizeof *w->load_high);
    w->load_low = sb_alloc_aligned(n * n * dims, sizeof *w->load_low);
    w->price_high = sb_alloc_aligned(n * n * dims, sizeof *w->price_high);
    w->price_low = sb_alloc_aligned(n * n * dims, sizeof *w->price_low);
    w->earliest_h = sb_alloc(n * n, sizeof *w->earliest_h);
    w->latest_h = sb_alloc(n * n, sizeof *w->latest_h);
    w->rest = sb_alloc(n * n, sizeof *w->rest);
    w->forward = sb_alloc(n * n, sizeof *w->forward);
    w->backward = sb_alloc(n * n, sizeof *w->backward);
    w->workers = sb_label_workers_new(p, crew);
    if (!w->reward || !w->memory || !w->open || !w->load_high || !w->load_low || !w->price_high ||
        !w->price_low || !w->earliest_h || !w->latest_h || !w->rest || !w->forward ||
        !w->backward || !w->workers)
        return SB_ERR_NOMEM;
    sb_label start = {.parent = -1};
    if (!sb_bucket_push(&w->yard, p->dims, p->words, &start, p->own + n * dims, w->workers[0].set))
        return SB_ERR_NOMEM;
    for (int j = 0; j < p->n; j++)
        sb_include(w->memory + (size_t)j * words, j);
    open_everything(w);
    sb_walk_tighten(w);
    return SB_OK;
}

static void release_buckets(sb_bucket *buckets, size_t count)
{
    for (size_t i = 0; buckets != NULL && i < count; i++)
        sb_bucket_release(&buckets[i]);
}

void sb_walk_release(sb_walk *w)
{
    if (w->p == NULL)
        return;
    size_t n = (size_t)w->p->n;
    release_buckets(w->forward, n * n);
    release_buckets(w->backward, n * n);
    sb_bucket_release(&w->yard);
    sb_label_workers_free(w->workers, w->crew);
    void *owned[] = {w->reward,   w->memory,     w->open,      w->load_high,
                     w->load_low, w->price_high, w->price_low, w->earliest_h,
                     w->latest_h, w->rest,       w->forward,   w->backward};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
    *w = (sb_walk){0};
}

long sb_walk_pass_labels(const sb_bucket *buckets, int n)
{
    long count = 0;
    for (int i = 0; i < n * n; i++)
        count += buckets[i].count;
    return count;
}

/* ---- Boxes and times ----------------------------------------------------------------------- */

/* Loads on leaving j at position t, over everything open; also the earliest finish. */
static void tighten_forward(void *context, int j, int worker)
{
    (void)worker;
    pass_run *run = context;
    sb_walk *w = run->w;
    const sb_problem *p = w->p;
    int t = run->t;
    size_t dims = (size_t)p->dims;
    double *high = box(w, w->load_high, t, j), *low = box(w, w->load_low, t, j);
    const double *left = p->left + (size_t)j * dims, *own = p->own + (size_t)j * dims;
    bool any = false;
    double earliest = INFINITY;
    for (int i = t == 0 ? p->n : 0; i < (t == 0 ? p->n + 1 : p->n); i++) {
        uint8_t *open = sb_walk_open(w, t, i, j);
        double free_h = t == 0 ? 0 : w->earliest_h[cell(w, t - 1, i)];
        for (int l = 0; l < p->levels; l++) {
            if (!(*open >> l & 1))
                continue;
            if (p->timed) {
                double finish = sb_finish_h(p, i, j, l, free_h);
                if (!(finish <=
                      p->latest_h[j] + SB_SAME_TIME_H)) { /* also when free_h is INFINITY */
                    *open &= (uint8_t) ~(1u << l);
                    continue;
                }
                earliest = fmin(earliest, finish);
            }
            const double *keep = p->keep + (size_t)l * dims;
            const double *from_high =
                t == 0 ? p->own + (size_t)p->n * dims : box(w, w->load_high, t - 1, i);
            const double *from_low =
                t == 0 ? p->own + (size_t)p->n * dims : box(w, w->load_low, t - 1, i);
            for (size_t d = 0; d < dims; d++) {
                double share = keep[d] * left[d];
                double most = from_high[d] * share + own[d], least = from_low[d] * share + own[d];
                high[d] = any && high[d] > most ? high[d] : most;
                low[d] = any && low[d] < least ? low[d] : least;
            }
            any = true;
        }
    }
    w->earliest_h[cell(w, t, j)] = p->timed ? earliest : 0;
    if (!any) {
        memcpy(high, own, dims * sizeof *high);
        memcpy(low, own, dims * sizeof *low);
    }
}

/* Prices of the load on leaving i at position t; also the latest finish that can go on. */
static void tighten_backward(void *context, int i, int worker)
{
    (void)worker;
    pass_run *run = context;
    sb_walk *w = run->w;
    const sb_problem *p = w->p;
    int t = run->t;
    size_t dims = (size_t)p->dims;
    double *high = box(w, w->price_high, t, i), *low = box(w, w->price_low, t, i);
    memset(high, 0, dims * sizeof *high);
    memset(low, 0, dims * sizeof *low);
    double *latest = &w->latest_h[cell(w, t, i)];
    if (t == p->n - 1) {
        *latest = fmin(p->latest_h[i], p->end_h - p->home_h[i]);
        return;
    }
    *latest = -INFINITY;
    bool any = false;
    for (int j = 0; j < p->n; j++) {
        uint8_t *open = sb_walk_open(w, t + 1, i, j);
        if (*open == 0)
            continue;
        const double *shed = p->shed + (size_t)j * dims, *left = p->left + (size_t)j * dims;
        const double *next_high = box(w, w->price_high, t + 1, j);
        const double *next_low = box(w, w->price_low, t + 1, j);
        for (int l = 0; l < p->levels; l++) {
            if (!(*open >> l & 1))
                continue;
            if (p->timed) {
                double begin = w->latest_h[cell(w, t + 1, j)] - p->cut_h[j];
                double free_h = begin - p->level_h[l] - sb_move_h(p, i, j);
                if (begin < p->ready_h[j] - SB_SAME_TIME_H ||
                    free_h < w->earliest_h[cell(w, t, i)] - SB_SAME_TIME_H) {
                    *open &= (uint8_t) ~(1u << l);
                    continue;
                }
                *latest = fmax(*latest, fmin(free_h, p->latest_h[i]));
            }
            const double *keep = p->keep + (size_t)l * dims;
            for (size_t d = 0; d < dims; d++) {
                double most = keep[d] * (shed[d] + left[d] * next_high[d]);
                double least = keep[d] * (shed[d] + left[d] * next_low[d]);
                high[d] = any && high[d] > most ? high[d] : most;
                low[d] = any && low[d] < least ? low[d] : least;
            }
            any = true;
        }
    }
}

/* Closes moves whose lightest possible load already breaks a seed limit. */
static void close_by_limits(sb_walk *w)
{
    const sb_problem *p = w->p;
    for (int r = 0; r < p->n_limits; r++) {
        int j = p->limits[r].field;
        for (int t = 0; t < p->n; t++)
            for (int i = t == 0 ? p->n : 0; i < (t == 0 ? p->n + 1 : p->n); i++) {
                uint8_t *open = sb_walk_open(w, t, i, j);
                const double *load = t == 0 ? p->own + (size_t)p->n * (size_t)p->dims
                                            : box(w, w->load_low, t - 1, i);
                for (int l = 0; l < p->levels; l++)
                    if ((*open >> l & 1) && !sb_limits_kept(p, i, j, l, load))
                        *open &= (uint8_t) ~(1u << l);
            }
    }
}

void sb_walk_tighten(sb_walk *w)
{
    pass_run run = begin(w, NULL, INFINITY);
    int n = w->p->n;
    /* The backward sweep closes moves on time alone; a second forward sweep then has less. */
    for (int sweep = 0; sweep < (w->p->timed ? 2 : 1); sweep++) {
        for (run.t = 0; run.t < n; run.t++)
            for_every_field(&run, tighten_forward);
        close_by_limits(w);
        for (run.t = n - 1; run.t >= 0; run.t--)
            for_every_field(&run, tighten_backward);
    }
}

/* ---- Labels -------------------------------------------------------------------------------- */

static sb_sieve sieve_for(const pass_run *run, const double *high, const double *low, bool forward)
{
    sb_sieve sieve = sb_pass_sieve(run->w->p, run->pass->elementary, forward, high, low);
    sieve.absorb = run->pass->absorb;
    sieve.absorb_time = run->pass->absorb_time;
    return sieve;
}

/* Sieves what is left into the bucket and keeps count. */
static void close_bucket(pass_run *run, sb_label_worker *worker)
{
    if (!sb_pass_sift(&run->base, worker))
        return;
    if (run->pass->beam > 0)
        sb_bucket_keep_promising(worker->kept, run->w->p->dims, run->w->p->words, run->pass->beam,
                                 &worker->room);
    sb_pass_count(&run->base, worker->kept);
}

/* A season that has little left to do can be no better for being earlier still: while every field
 * that can come next must be waited for, or while only the season's end presses and the money left
 * under the limit cannot buy that many hours, time stands at its useful minimum. */
static double useful_time(const sb_walk *w, int t, int j, const uint64_t *set, double time)
{
    const sb_problem *p = w->p;
    if (t == p->n - 1)
        return time;
    double useful = INFINITY, longest_level = 0;
    for (int l = 0; l < p->levels; l++)
        longest_level = fmax(longest_level, p->level_h[l]);
    for (int next = 0; next < p->n; next++) {
        if (sb_has(set, next) || !*sb_walk_open((sb_walk *)w, t + 1, j, next))
            continue;
        double pointless = p->ready_h[next] - sb_move_h(p, j, next) - longest_level;
        if (pointless <= time)
            return time;
        useful = fmin(useful, pointless);
    }
    /* Never past the latest finish here, which the rest of the season was measured against. */
    return isfinite(useful) ? fmin(useful, fmax(time, w->latest_h[cell(w, t, j)])) : time;
}

/* Extends one label along i -> j after level l into the worker's scratch; false: breaks a rule or
 * cannot end under the limit. */
static inline bool step_forward(pass_run *run, sb_label_worker *worker, const sb_label *from,
                                const double *load, int i, int j, int l, sb_label *label)
{
    sb_walk *w = run->w;
    const sb_problem *p = w->p;
    if (run->pass->elementary && !sb_limits_kept(p, i, j, l, load))
        return false;
    label->level = (unsigned char)l;
    label->lowered = label->lowered_h = 0;
    label->cost = from->cost - w->reward[j];
    label->res[SB_RES_TIME] = 0;
    double delay = 0;
    if (p->timed) {
        label->res[SB_RES_TIME] = sb_finish_h(p, i, j, l, from->res[SB_RES_TIME]);
        if (label->res[SB_RES_TIME] > w->latest_h[cell(w, run->t, j)] + SB_SAME_TIME_H)
            return false;
        delay = sb_delay(p, j, label->res[SB_RES_TIME]);
        label->cost += delay;
    }
    double home = run->t == p->n - 1 ? p->home_cost[j] : 0;
    if (!sb_pass_spend(p, from, l, label) ||
        (p->counted[SB_RES_MONEY] &&
         !sb_pass_pay(p, from, sb_move_money(p, i, j, l) + delay, home, label)))
        return false;
    label->cost += sb_move_load(p, i, j, l, load, worker->load);
    return label->cost + w->rest[cell(w, run->t, j)] < run->limit;
}

SB_VECTORISED
static void extend_bucket(pass_run *run, sb_label_worker *worker, const sb_bucket *from, int i,
                          int j)
{
    sb_walk *w = run->w;
    const sb_problem *p = w->p;
    int t = run->t;
    uint8_t levels = *sb_walk_open(w, t, i, j), used = 0;
    const sb_bucket *rest = &w->backward[cell(w, t, j)];
    double least_rest =
        run->pass->prune && rest->count > 0 ? rest->keys[0] - rest->most_lowered : INFINITY;
    for (int a = 0; a < from->count; a++) {
        const uint64_t *seen = sb_set_of(p, from->sets, a);
        if (sb_has(seen, j) || sb_sets_meet(seen, sb_set_of(p, p->behind, j), p->words) ||
            (run->pass->elementary && !sb_is_subset(sb_set_of(p, p->before, j), seen, p->words)))
            continue;
        const uint64_t *memory = sb_set_of(p, w->memory, j);
        for (int word = 0; word < p->words; word++)
            worker->set[word] = seen[word] & (run->pass->elementary ? ~(uint64_t)0 : memory[word]);
        sb_include(worker->set, j);
        for (int l = 0; l < p->levels; l++) {
            sb_label label = {.parent = a, .parent_field = (short)i};
            if (!(levels >> l & 1) ||
                !step_forward(run, worker, &from->labels[a],
                              from->loads + (size_t)a * (size_t)p->dims, i, j, l, &label))
                continue;
            if (run->pass->prune) {
                if (label.cost + least_rest >= run->limit)
                    continue;
                label.promise = sb_pass_completion(p, rest, j, &label, worker->load, worker->set,
                                                   run->limit, run->pass->beam == 0);
                if (isinf(label.promise))
                    continue;
            }
            used |= (uint8_t)(1u << l);
            label.safe = !run->pass->elementary || sb_limits_safe(p, worker->load);
            if (p->timed)
                label.res[SB_RES_TIME] = useful_time(w, t, j, worker->set, label.res[SB_RES_TIME]);
            if (!sb_pass_take(&run->base, worker, &label))
                return;
        }
    }
    if (run->pass->close)
        *sb_walk_open(w, t, i, j) = used;
}

static void fill_forward(void *context, int j, int number)
{
    pass_run *run = context;
    sb_walk *w = run->w;
    const sb_problem *p = w->p;
    sb_label_worker *worker = &w->workers[number];
    int t = run->t;
    sb_sieve sieve = sieve_for(run, box(w, w->price_high, t, j), box(w, w->price_low, t, j), true);
    sb_pass_open(worker, &w->forward[cell(w, t, j)], &sieve);
    if (sb_pass_is_over(&run->base))
        return;
    if (t == 0) {
        extend_bucket(run, worker, &w->yard, p->n, j);
    } else {
        for (int i = 0; i < p->n; i++)
            if (*sb_walk_open(w, t, i, j))
                extend_bucket(run, worker, &w->forward[cell(w, t - 1, i)], i, j);
    }
    close_bucket(run, worker);
}

static void read_walk(const sb_walk *w, int last, int label, int *field, int *level)
{
    int n = w->p->n;
    for (int t = n - 1; t >= 0; t--) {
        sb_trail trail = sb_bucket_trail(&w->forward[cell(w, t, last)], label);
        field[t] = last;
        level[t] = trail.level;
        last = trail.parent_field;
        label = trail.parent;
    }
}

static double all_rewards(const sb_walk *w)
{
    double sum = 0;
    for (int j = 0; j < w->p->n; j++)
        sum += w->reward[j];
    return sum;
}

/* Least cost of going on, backward over positions: a plain shortest path. */
static void fill_rest(void *context, int i, int worker)
{
    (void)worker;
    pass_run *run = context;
    sb_walk *w = run->w;
    const sb_problem *p = w->p;
    double least = INFINITY;
    if (run->t == p->n - 1)
        least = p->home_cost[i];
    else
        for (int j = 0; j < p->n; j++) {
            uint8_t open = *sb_walk_open(w, run->t + 1, i, j);
            double after = w->rest[cell(w, run->t + 1, j)] - w->reward[j];
            for (int l = 0; l < p->levels; l++)
                if (open >> l & 1)
                    least = fmin(least, after + sb_first_order_cost(p, i, j, l));
        }
    w->rest[cell(w, run->t, i)] = least;
}

sb_pass_end sb_walk_forward(sb_walk *w, const sb_pass *pass, double *cost, int *field, int *level)
{
    const sb_problem *p = w->p;
    double rewards = all_rewards(w);
    pass_run run = begin(w, pass, pass->limit - rewards);
    *cost = INFINITY;
    for (run.t = p->n - 1; run.t >= 0; run.t--)
        for_every_field(&run, fill_rest);
    for (run.t = 0; run.t < p->n && !sb_pass_is_over(&run.base); run.t++) {
        for_every_field(&run, fill_forward);
        if (pass->elementary && run.t > 0)
            for (int i = 0; i < p->n; i++)
                if (!sb_bucket_keep_trails(&w->forward[cell(w, run.t - 1, i)]))
                    sb_pass_fail(&run.base, SB_PASS_NOMEM);
    }
    (void)sb_pass_is_over(&run.base); /* also when told to stop during the last position */
    sb_pass_end end = sb_pass_finish(&run.base, &w->labels);
    if (end != SB_PASS_DONE)
        return end;
    int best_field = -1, best_label = -1;
    for (int j = 0; j < p->n; j++) {
        const sb_bucket *bucket = &w->forward[cell(w, p->n - 1, j)];
        for (int a = 0; a < bucket->count; a++) {
            double whole = bucket->labels[a].cost + p->home_cost[j] + rewards;
            if (whole < *cost) {
                *cost = whole;
                best_field = j;
                best_label = a;
            }
        }
    }
    if (best_field >= 0)
        read_walk(w, best_field, best_label, field, level);
    return SB_PASS_DONE;
}

/* ---- Backward ------------------------------------------------------------------------------ */

/* The rest of a season that ends in p: home. */
static void end_label(pass_run *run, sb_label_worker *worker, int here)
{
    sb_walk *w = run->w;
    const sb_problem *p = w->p;
    sb_label label = {.cost = p->home_cost[here], .parent = -1};
    label.res[SB_RES_TIME] = -w->latest_h[cell(w, run->t, here)];
    label.res[SB_RES_MONEY] = p->home_cost[here];
    memset(worker->load, 0, (size_t)p->dims * sizeof *worker->load);
    memset(worker->set, 0, (size_t)p->words * sizeof *worker->set);
    sb_include(worker->set, here);
    if (!isinf(label.cost) &&
        !sb_bucket_push(&worker->candidates, p->dims, p->words, &label, worker->load, worker->set))
        sb_pass_fail(&run->base, SB_PASS_NOMEM);
}

/* Puts the move here -> j after level l in front of a rest that begins when j is finished. */
static inline bool step_backward(pass_run *run, sb_label_worker *worker, const sb_label *from,
                                 const double *price, double own_money, int here, int j, int l,
                                 sb_label *label)
{
    sb_walk *w = run->w;
    const sb_problem *p = w->p;
    label->level = (unsigned char)l;
    label->lowered = label->lowered_h = 0;
    label->cost = from->cost + sb_fixed(p, here, j, l) - w->reward[j] + own_money;
    label->res[SB_RES_TIME] = 0;
    double delay = 0;
    if (p->timed) {
        double begin = -from->res[SB_RES_TIME] - p->cut_h[j];
        double free_h = begin - p->level_h[l] - sb_move_h(p, here, j);
        double latest = fmin(free_h, w->latest_h[cell(w, run->t, here)]);
        if (begin < p->ready_h[j] - SB_SAME_TIME_H ||
            latest < w->earliest_h[cell(w, run->t, here)] - SB_SAME_TIME_H)
            return false;
        label->res[SB_RES_TIME] = -latest;
        delay = sb_delay(p, j, w->earliest_h[cell(w, run->t + 1, j)]);
        label->cost += delay;
    }
    sb_pass_price(p, j, l, price, worker->load);
    return sb_pass_spend(p, from, l, label) &&
           (!p->counted[SB_RES_MONEY] ||
            sb_pass_pay(p, from, sb_move_money(p, here, j, l) + delay, 0, label));
}

SB_VECTORISED
static void extend_rest(pass_run *run, sb_label_worker *worker, const sb_bucket *from, int here,
                        int j)
{
    sb_walk *w = run->w;
    const sb_problem *p = w->p;
    uint8_t levels = *sb_walk_open(w, run->t + 1, here, j);
    const sb_bucket *past = &w->forward[cell(w, run->t, here)];
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
            if (!(levels >> l & 1) ||
                !step_backward(run, worker, &from->labels[a], price, own_money, here, j, l, &label))
                continue;
            if (isinf(sb_pass_completion(p, past, here, &label, worker->load, worker->set,
                                         run->limit, true)))
                continue;
            if (!sb_pass_take(&run->base, worker, &label))
                return;
        }
    }
}

static void fill_backward(void *context, int here, int number)
{
    pass_run *run = context;
    sb_walk *w = run->w;
    const sb_problem *p = w->p;
    sb_label_worker *worker = &w->workers[number];
    sb_sieve sieve = sieve_for(run, box(w, w->load_high, run->t, here),
                               box(w, w->load_low, run->t, here), false);
    sb_pass_open(worker, &w->backward[cell(w, run->t, here)], &sieve);
    if (sb_pass_is_over(&run->base))
        return;
    if (run->t == p->n - 1)
        end_label(run, worker, here);
    else
        for (int j = 0; j < p->n; j++)
            if (*sb_walk_open(w, run->t + 1, here, j))
                extend_rest(run, worker, &w->backward[cell(w, run->t + 1, j)], here, j);
    close_bucket(run, worker);
}

sb_pass_end sb_walk_backward(sb_walk *w, const sb_pass *pass)
{
    pass_run run = begin(w, pass, pass->limit - all_rewards(w));
    for (run.t = w->p->n - 1; run.t >= 0 && !sb_pass_is_over(&run.base); run.t--)
        for_every_field(&run, fill_backward);
    (void)sb_pass_is_over(&run.base); /* also when told to stop during the last position */
    return sb_pass_finish(&run.base, &w->labels);
}
