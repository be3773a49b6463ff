/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_price.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "order/fleet_rest.h"

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

static uint8_t open_levels(const run *r, int i, int j)
{
    size_t arc = sb_arc(r->w->p, i, j);
    return r->pass->sparse && !r->w->near[arc] ? 0 : r->w->open[arc];
}

static void for_every_field(run *r, void (*piece)(void *context, int j, int worker))
{
    sb_pass_share(&r->base, SB_PRICER_SHARES_FROM, piece, r);
}

/* ---- Labels -------------------------------------------------------------------------------- */

/* Does a label of the opposite pass complete this one under the limit, in any generation that
 * leaves the walk short enough? */
SB_INLINED bool completes(const run *r, const sb_bucket *opposite, int here, const sb_label *label,
                          const double *load, const uint64_t *set)
{
    for (int k = 0; k + r->t + 1 <= r->w->most_stops; k++)
        if (isfinite(sb_pass_completion(r->w->p, &opposite[sb_pricer_cell(r->w, k, here)], here,
                                        label, load, set, r->pass->limit, true)))
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
    sb_bucket *b = &generations[sb_pricer_cell(r->w, r->t, here)];
    int kept = 0;
    for (int a = 0; a < b->count; a++) {
        const double *load = b->loads + (size_t)a * dims;
        const uint64_t *set = b->sets + (size_t)a * words;
        bool refused = false;
        for (int t = r->t - 1; t >= 0 && !refused; t--)
            refused = sb_sieve_refuses(&exact, &generations[sb_pricer_cell(r->w, t, here)],
                                       &b->labels[a], load, set);
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

SB_INLINED bool step_forward(run *r, sb_label_worker *worker, const sb_label *from,
                             const double *load, int i, int j, int l, sb_label *label)
{
    sb_pricer *w = r->w;
    const sb_problem *p = w->p;
    if (r->pass->elementary && !sb_limits_kept(p, i, j, l, load))
        return false;
    label->level = (unsigned char)l;
    label->cost = from->cost + sb_pricer_surcharge(w, i, j, l);
    if (p->timed) {
        label->res[SB_RES_TIME] = sb_finish_h(p, i, j, l, from->res[SB_RES_TIME]);
        if (label->res[SB_RES_TIME] > w->latest_h[j] + SB_SAME_TIME_H)
            return false;
        label->cost += sb_delay(p, j, label->res[SB_RES_TIME]);
    }
    if (!sb_pass_spend(p, from, l, label))
        return false;
    label->cost += sb_move_load(p, i, j, l, load, worker->load);
    return label->cost + sb_rest_least(w, w->most_stops - 1 - r->t, i, j, l,
                                       label->res[SB_RES_TIME], worker->set) <
           r->pass->limit;
}

SB_VECTORISED
static void extend_bucket(run *r, sb_label_worker *worker, const sb_bucket *from, int i, int j)
{
    sb_pricer *w = r->w;
    const sb_problem *p = w->p;
    uint8_t levels = open_levels(r, i, j);
    double least_move = w->arc[sb_arc(p, i, j)];
    for (int a = 0; a < from->count; a++) {
        const uint64_t *seen = sb_set_of(p, from->sets, a);
        if (from->labels[a].cost + least_move +
                sb_rest_anyhow(w, w->most_stops - 1 - r->t, i, j,
                               from->labels[a].res[SB_RES_TIME]) >=
            r->pass->limit)
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
    sb_sieve sieve = sieve_for(r, sb_pricer_box(w, w->price_high, j), w->zero, true);
    sb_pass_open(worker, &w->forward[sb_pricer_cell(w, r->t, j)], &sieve);
    if (sb_pass_is_over(&r->base))
        return;
    if (r->t == 0)
        extend_bucket(r, worker, &w->yard, w->p->n, j);
    else
        for (int i = 0; i < w->p->n; i++)
            if (w->forward[sb_pricer_cell(w, r->t - 1, i)].count > 0 && open_levels(r, i, j))
                extend_bucket(r, worker, &w->forward[sb_pricer_cell(w, r->t - 1, i)], i, j);
    keep_labels(r, worker, w->forward, j);
}

static void clear_from(sb_pricer *w, sb_bucket *buckets, int t)
{
    for (; t < w->most_stops; t++)
        for (int j = 0; j < w->p->n; j++)
            sb_bucket_clear(&buckets[sb_pricer_cell(w, t, j)]);
}

static bool any_labels(const sb_pricer *w, const sb_bucket *buckets, int t)
{
    for (int j = 0; j < w->p->n; j++)
        if (buckets[sb_pricer_cell(w, t, j)].count > 0)
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
            const sb_bucket *bucket = &w->forward[sb_pricer_cell(w, t, j)];
            for (int a = 0; a < bucket->count; a++)
                if (home_in_time(w, &bucket->labels[a], j))
                    least = fmin(least, bucket->labels[a].cost + sb_pricer_home(w, j));
        }
    return least;
}

sb_pass_end sb_pricer_forward(sb_pricer *w, const sb_pricing *pass, double *least)
{
    const sb_problem *p = w->p;
    run r = begin(w, pass);
    *least = INFINITY;
    sb_rest_fill(w, pass, &r.base);
    bool more = true;
    for (r.t = 0; r.t < w->most_stops && more; r.t++) {
        for_every_field(&r, fill_forward);
        if (pass->elementary && r.t > 0)
            for (int i = 0; i < p->n; i++)
                sb_bucket_forget_loads(&w->forward[sb_pricer_cell(w, r.t - 1, i)]);
        more = !sb_pass_is_over(&r.base) && any_labels(w, w->forward, r.t);
    }
    clear_from(w, w->forward, r.t);
    long before = w->labels;
    sb_pass_end end = sb_pass_finish(&r.base, &w->labels);
    if (!pass->sparse)
        w->last_labels = w->labels - before;
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
    sb_label label = {.cost = sb_pricer_home(w, here), .parent = -1};
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
SB_INLINED bool step_backward(run *r, sb_label_worker *worker, const sb_label *from,
                              const double *price, double own_money, int here, int j, int l,
                              sb_label *label)
{
    sb_pricer *w = r->w;
    const sb_problem *p = w->p;
    label->level = (unsigned char)l;
    label->cost =
        from->cost + sb_fixed(p, here, j, l) + sb_pricer_surcharge(w, here, j, l) + own_money;
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
    sb_sieve sieve = sieve_for(r, sb_pricer_box(w, w->load_high, here),
                               sb_pricer_box(w, w->load_low, here), false);
    sb_pass_open(worker, &w->backward[sb_pricer_cell(w, r->t, here)], &sieve);
    if (sb_pass_is_over(&r->base))
        return;
    if (r->t == 0)
        end_label(r, worker, here);
    else
        for (int j = 0; j < w->p->n; j++)
            if (w->backward[sb_pricer_cell(w, r->t - 1, j)].count > 0 && open_levels(r, here, j))
                extend_rest(r, worker, &w->backward[sb_pricer_cell(w, r->t - 1, j)], here, j);
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
            const sb_bucket *bucket = &w->forward[sb_pricer_cell(w, t, j)];
            for (int a = 0; a < bucket->count; a++) {
                sb_walk_end end = {bucket->labels[a].cost + sb_pricer_home(w, j), t + 1, j, a};
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
        const sb_label *l = &w->forward[sb_pricer_cell(w, t, at)].labels[label];
        field[t] = at;
        level[t] = l->level;
        at = l->parent_field;
        label = l->parent;
    }
}
