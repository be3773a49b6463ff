/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/prove.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "order/chain.h"
#include "order/search.h"

const sb_method sb_method_default = {true, true, true, true, true, true, 4, true};

/* How boldly the rounds begin and how long they go on. What labels absorb from each other and a
 * step that is too long both cost bound in proportion to the gap. A small gap soon makes up for it;
 * a wide one does not. Closing moves takes as long as a dozen passes or more: with few fields it
 * makes all later passes quicker, with many only once the gap is small. */
typedef struct pace {
    int memory_start;    /* fields remembered near each field */
    int memory_most;     /* how many a memory may grow to, in the first round */
    double step;         /* of the distance to the known cost, by Polyak's rule (Polyak 1969, from
                            memory) */
    double least_step;   /* a round begins with no less */
    double bend;         /* share of the last direction in the next */
    double absorb_share; /* labels absorb each other within this share of the gap over all
                            positions; less every round */
    double close_at;     /* a round ends when the gap has shrunk to this share of what it was when
                            moves were last closed, */
    int passes;          /* or after so many forward passes */
} pace;
static const pace pace_usual = {8, 12, 1.0, 0.3, 0.5, 1.0, 0.5, 12};
static const pace pace_wide = {8, 12, 0.7, 0.5, 0.7, 0.3, 0.3, 200};
static const pace pace_large = {8, 12, 0.5, 0.3, 0.6, 0.3, 0.3, 200};
/* Dates forbid most cycles, and every label costs more. */
static const pace pace_dated = {5, 6, 0.2, 0.1, 0.5, 0.1, 0.5, 12};
#define MEMORY_MORE 2 /* fields more may be remembered each round */
#define MEMORY_AT 5   /* in the first round only from this pass on */
/* A round also ends when so many passes closed no more than this share of the gap. */
#define STALL_PASSES 6
#define STALL_SHARE 0.05
/* When the bound has stood still for so many passes, steps shrink. */
#define STEP_SHRINK 0.7
#define STEP_PATIENCE 7
#define ABSORB_SHRINK 0.8
/* Likewise time, as a share of all cutting, from the second round on. In the first one labels are
 * compared without time: dates then count by what they leave open at each position alone, and
 * passes are so quick that rewards are good before time is asked for. */
#define ABSORB_TIME_SHARE 0.06
#define ABSORB_TIME_SHRINK 0.4
/* Labels of one pass; about 200 bytes each with three weeds. */
#define MOST_LABELS 3000000
#define MOST_EXACT_LABELS 15000000
/* An exact search may look at this many labels for each one looked at before: when it fails, little
 * is lost. */
#define EXACT_SHARE 0.5
#define EXACT_SHARE_ORDERED 4.0 /* precedences bound walks badly and seasons well */
#define EXACT_SHARE_DATED 2.0   /* dates too, but less so */
#define EXACT_LEAST 50000
/* Far from closed, dates make no longer search worth trying. */
#define EXACT_FAR_GAP 0.06
/* The exact search is tried once a pruned pass is this small. */
#define EXACT_WORTH 300000

/* Labels a bucket keeps while looking for a better season along the best walks. */
#define BEAM 40
/* Between rounds the best season is annealed again, gently: a better one closes more. */
#define POLISH_STARTS 4
#define POLISH_MOVES 40000
#define POLISH_HEAT 0.1

typedef struct prover {
    const sb_problem *p;
    sb_crew *crew;
    const sb_root *root;
    const sb_method *method;
    const pace *pace;
    void (*tell)(void *context, const sb_outcome *outcome);
    void *context;
    sb_outcome *outcome;
    sb_walk walk;
    double cutting_h; /* all fields together: a length of time to measure others by */
    double ceiling; /* the walks look below this: the known cost, or a guess while there is none */
    double closed_gap;   /* the gap when moves were last closed; INFINITY: never */
    double absorb_share; /* grows when a pass was too large */
    int *field, *level;  /* n: the last walk */
    double *best_reward; /* n: rewards of the best bound so far */
    double *direction;   /* n: of the last step */
    double best_bound;   /* of this ceiling */
    sb_status status;
} prover;

static const pace *pace_of(const sb_problem *p)
{
    if (p->timed)
        return &pace_dated;
    if (p->n >= SB_LARGE_FIELDS)
        return &pace_large;
    return p->n >= SB_WIDE_FIELDS ? &pace_wide : &pace_usual;
}

static double limit_of(const prover *s)
{
    return s->ceiling - SB_PROOF_SHARE * fabs(s->ceiling);
}

static void raise_bound(prover *s, double bound)
{
    if (bound > s->best_bound) {
        s->best_bound = bound;
        memcpy(s->best_reward, s->walk.reward, (size_t)s->p->n * sizeof *s->best_reward);
    }
    double capped = fmin(bound, s->ceiling);
    if (capped > s->outcome->bound)
        s->outcome->bound = capped;
}

static void report(prover *s)
{
    s->outcome->labels = s->walk.labels;
    if (s->tell != NULL)
        s->tell(s->context, s->outcome);
}

/* The walk at hand visits every field once: it is a season, and may be a better one. */
static void take_season(prover *s)
{
    double chained, cost = sb_sequence_cost(s->p, s->field, s->level);
    int *level = sb_alloc((size_t)s->p->n, sizeof *level);
    s->status = level == NULL ? SB_ERR_NOMEM : sb_chain_levels(s->p, s->field, level, &chained);
    if (s->status == SB_OK && chained < cost) {
        cost = chained;
        memcpy(s->level, level, (size_t)s->p->n * sizeof *level);
    }
    sb_free(level);
    if (s->status == SB_OK && cost < s->outcome->cost) {
        s->outcome->cost = cost;
        memcpy(s->outcome->field, s->field, (size_t)s->p->n * sizeof *s->field);
        memcpy(s->outcome->level, s->level, (size_t)s->p->n * sizeof *s->level);
        s->ceiling = fmin(s->ceiling, cost);
    }
}

/* How often the walk visits each field. @return does it visit each once? */
static bool count_visits(const prover *s, int *visits)
{
    bool season = true;
    memset(visits, 0, (size_t)s->p->n * sizeof *visits);
    for (int t = 0; t < s->p->n; t++)
        visits[s->field[t]]++;
    for (int j = 0; j < s->p->n; j++)
        season &= visits[j] == 1;
    return season;
}

/* Each field first remembers those that are cheapest to go to or come from. */
static void start_memory(prover *s)
{
    const sb_problem *p = s->p;
    const double *reduced = s->root->reduced;
    size_t nodes = (size_t)(p->n + 1);
    for (int j = 0; j < p->n; j++) {
        uint64_t *memory = s->walk.memory + (size_t)j * (size_t)p->words;
        for (int k = 1; k < s->pace->memory_start && k < p->n; k++) {
            int best = -1;
            double best_cost = INFINITY;
            for (int i = 0; i < p->n; i++) {
                double cost = fmin(reduced[(size_t)i * nodes + (size_t)j],
                                   reduced[(size_t)j * nodes + (size_t)i]);
                cost += 0.05 * fmin(p->move_cost[(size_t)i * nodes + (size_t)j], 1e6);
                if (!sb_has(memory, i) && cost < best_cost) {
                    best = i;
                    best_cost = cost;
                }
            }
            if (best >= 0)
                sb_include(memory, best);
        }
    }
}

/* Closes (move, level) whose first-order reduced cost already reaches the limit. */
static void close_by_root(prover *s)
{
    const sb_problem *p = s->p;
    const sb_root *root = s->root;
    if (!isfinite(root->bound) || !isfinite(s->ceiling))
        return;
    /* The LP's numbers are good to its own tolerance, not ours. */
    double most = s->ceiling * (1 + 1e-6) - root->bound;
    for (int i = 0; i <= p->n; i++)
        for (int j = 0; j < p->n; j++) {
            size_t at = (size_t)i * (size_t)(p->n + 1) + (size_t)j;
            uint8_t keep = 0;
            for (int l = 0; l < p->levels && isfinite(root->cost[at]); l++) {
                double money = sb_first_order_cost(p, i, j, l);
                if (root->reduced[at] + money - root->cost[at] <= most)
                    keep |= (uint8_t)(1u << l);
            }
            for (int t = 0; t < p->n; t++)
                if ((t == 0) == (i == p->n))
                    *sb_walk_open(&s->walk, t, i, j) &= keep;
        }
}

static sb_pass pass_for(const prover *s, int round)
{
    double known = fmax(s->best_bound, s->root->bound);
    double gap = isfinite(s->ceiling) && isfinite(known) ? s->ceiling - known : 0;
    sb_pass pass = {.limit = limit_of(s), .most_labels = MOST_LABELS};
    if (s->method->absorb) {
        pass.absorb = s->absorb_share * pow(ABSORB_SHRINK, round) * fmax(gap, 0) / s->p->n;
        if (s->p->timed)
            pass.absorb_time =
                round == 0 ? INFINITY
                           : ABSORB_TIME_SHARE * s->cutting_h * pow(ABSORB_TIME_SHRINK, round - 1);
    }
    return pass;
}

typedef enum step { STEP_ON, STEP_PROVEN, STEP_TOO_LARGE, STEP_STOPPED } step;

static step step_of(sb_pass_end end)
{
    return end == SB_PASS_DONE ? STEP_ON : end == SB_PASS_CAPPED ? STEP_TOO_LARGE : STEP_STOPPED;
}

static step check_end(prover *s, sb_pass_end end)
{
    if (end == SB_PASS_NOMEM)
        s->status = SB_ERR_NOMEM;
    return step_of(end);
}

/* One step along the misses of this walk, bent by those of the walks before, so long that a bound
 * which rose in proportion would have risen by `rise`. */
static void step_rewards(prover *s, const int *visits, double rise)
{
    double square = 0;
    for (int j = 0; j < s->p->n; j++) {
        s->direction[j] = 1 - visits[j] + s->pace->bend * s->direction[j];
        square += s->direction[j] * s->direction[j];
    }
    for (int j = 0; j < s->p->n && square > 0; j++)
        s->walk.reward[j] += rise / square * s->direction[j];
}

/* Moves the rewards towards visiting every field once, by Polyak's step. */
static step improve_rewards(prover *s, int round, double *size)
{
    const sb_problem *p = s->p;
    int *visits = sb_alloc((size_t)p->n, sizeof *visits);
    if (visits == NULL) {
        s->status = SB_ERR_NOMEM;
        return STEP_STOPPED;
    }
    step next = STEP_ON;
    double best = -INFINITY, past_gaps[STALL_PASSES];
    int idle = 0;
    for (int k = 0; k < s->pace->passes && next == STEP_ON; k++) {
        sb_pass pass = pass_for(s, round);
        double cost;
        next = check_end(s, sb_walk_forward(&s->walk, &pass, &cost, s->field, s->level));
        if (next != STEP_ON)
            break;
        if (cost > best + 1e-4 * fabs(cost))
            idle = 0;
        else
            idle++;
        best = fmax(best, cost);
        raise_bound(s, fmin(cost, s->ceiling));
        report(s);
        if (cost >= limit_of(s)) {
            next = STEP_PROVEN;
            break;
        }
        double *past_gap = &past_gaps[k % STALL_PASSES], gap = s->ceiling - best;
        if (s->ceiling - s->best_bound < s->pace->close_at * s->closed_gap ||
            (k >= STALL_PASSES && gap > (1 - STALL_SHARE) * *past_gap))
            break;
        *past_gap = gap;
        if (count_visits(s, visits)) {
            take_season(s);
            if (s->status != SB_OK)
                next = STEP_STOPPED;
            else if (cost >= limit_of(s))
                next = STEP_PROVEN;
            break; /* a season under the limit: rewards can do no more */
        }
        if (idle >= STEP_PATIENCE) {
            *size *= STEP_SHRINK;
            idle = 0;
            memcpy(s->walk.reward, s->best_reward, (size_t)p->n * sizeof *s->best_reward);
            memset(s->direction, 0, (size_t)p->n * sizeof *s->direction);
        }
        if (s->method->grow_memory && (round > 0 || k >= MEMORY_AT)) {
            int most = s->pace->memory_most + MEMORY_MORE * round;
            sb_remember_cycles(p, s->walk.memory, s->field, p->n, most, most - 1);
        }
        step_rewards(s, visits, *size * (s->ceiling - cost));
    }
    sb_free(visits);
    return next;
}

/* Forward, backward, and forward again pruned by backward: closes what no walk under the ceiling
 * uses. */
static step close_moves(prover *s, int round, long *pruned_labels)
{
    memcpy(s->walk.reward, s->best_reward, (size_t)s->p->n * sizeof *s->best_reward);
    sb_pass pass = pass_for(s, round);
    double cost;
    step next = check_end(s, sb_walk_forward(&s->walk, &pass, &cost, s->field, s->level));
    if (next != STEP_ON)
        return next;
    raise_bound(s, fmin(cost, s->ceiling));
    if (cost >= limit_of(s))
        return STEP_PROVEN;
    next = check_end(s, sb_walk_backward(&s->walk, &pass));
    if (next != STEP_ON)
        return next;
    pass.prune = true;
    pass.close = s->method->close;
    next = check_end(s, sb_walk_forward(&s->walk, &pass, &cost, s->field, s->level));
    if (next != STEP_ON)
        return next;
    if (isinf(cost))
        return STEP_PROVEN;
    s->closed_gap = s->ceiling - s->best_bound;
    *pruned_labels = sb_walk_pass_labels(s->walk.forward, s->p->n);
    return STEP_ON;
}

/* Searches seasons themselves over what is open, with the backward labels of the round. */
static step search_exactly(prover *s, long most_labels)
{
    sb_pass pass = {
        .limit = limit_of(s), .elementary = true, .prune = true, .most_labels = most_labels};
    double cost;
    step next = check_end(s, sb_walk_forward(&s->walk, &pass, &cost, s->field, s->level));
    if (next == STEP_ON && isfinite(cost))
        take_season(s);
    return next == STEP_ON ? STEP_PROVEN : next;
}

/* A better season along the walks that look best: narrow, quick, and guided by the backward labels
 * of the round. */
static step look_for_season(prover *s)
{
    sb_pass pass = {.limit = limit_of(s),
                    .elementary = true,
                    .prune = true,
                    .beam = BEAM,
                    .most_labels = MOST_LABELS};
    double cost;
    step next = check_end(s, sb_walk_forward(&s->walk, &pass, &cost, s->field, s->level));
    if (next == STEP_ON && isfinite(cost))
        take_season(s);
    return s->status == SB_OK ? next : STEP_STOPPED;
}

static step polish(prover *s, int round)
{
    sb_outcome *o = s->outcome;
    if (isinf(o->cost) || !s->method->polish)
        return STEP_ON;
    sb_search_options options = {.seed = (uint64_t)round + 1000,
                                 .starts = POLISH_STARTS,
                                 .moves = POLISH_MOVES,
                                 .field = o->field,
                                 .level = o->level,
                                 .heat = POLISH_HEAT};
    s->status = sb_search(s->p, &options, s->crew, o->field, o->level, &o->cost);
    s->ceiling = fmin(s->ceiling, o->cost);
    if (s->status != SB_OK)
        return STEP_STOPPED;
    return s->best_bound >= limit_of(s) ? STEP_PROVEN : STEP_ON;
}

/* Rounds under one ceiling until it is proven that nothing lies below, or time is up. */
static step run_rounds(prover *s)
{
    double size = s->pace->step;
    for (int round = 0;; round++) {
        sb_walk_tighten(&s->walk);
        step next = improve_rewards(s, round, &size);
        long pruned = 0;
        if (next == STEP_ON)
            next = close_moves(s, round, &pruned);
        if (next == STEP_ON && s->method->look)
            next = look_for_season(s);
        if (next == STEP_ON)
            next = polish(s, round);
        if (next == STEP_ON && pruned < EXACT_WORTH) {
            bool near = s->ceiling - s->best_bound < EXACT_FAR_GAP * s->ceiling;
            double share = !s->p->timed ? (s->p->ordered ? EXACT_SHARE_ORDERED : EXACT_SHARE)
                           : near       ? EXACT_SHARE_DATED
                                        : EXACT_SHARE;
            double most = fmax(EXACT_LEAST, share * (double)s->walk.labels);
            sb_walk_tighten(&s->walk);
            next = search_exactly(s, (long)fmin(most, MOST_EXACT_LABELS));
            if (next == STEP_TOO_LARGE)
                next = STEP_ON;
        } else if (next == STEP_TOO_LARGE) {
            s->absorb_share *= 2;
            next = STEP_ON;
        }
        report(s);
        if (next != STEP_ON)
            return next;
        if (sb_crew_stopped(s->crew))
            return STEP_STOPPED;
        size = fmax(size, s->pace->least_step);
    }
}

/* More than any season that keeps the rules can cost. */
static double most_conceivable(const sb_problem *p)
{
    double total = 0, most_load[SB_MAX_DIMS] = {0};
    for (int i = 0; i <= p->n; i++)
        for (int d = 0; d < p->dims; d++)
            most_load[d] += p->own[(size_t)i * (size_t)p->dims + (size_t)d];
    double home = 0;
    for (int j = 0; j < p->n; j++) {
        double most = 0;
        for (int i = 0; i <= p->n; i++)
            for (int l = 0; l < p->levels; l++)
                if (p->allowed[sb_arc(p, i, j)] >> l & 1)
                    most = fmax(most, sb_fixed(p, i, j, l));
        for (int d = 0; d < p->dims; d++)
            most += most_load[d] * p->shed[(size_t)j * (size_t)p->dims + (size_t)d];
        if (p->delayed)
            most += p->delay[(size_t)(j + 1) * (size_t)p->delay_days - 1];
        if (isfinite(p->home_cost[j]))
            home = fmax(home, p->home_cost[j]);
        total += most;
    }
    return (total + home) * 1.01 + 1;
}

static sb_status start_walk(prover *s)
{
    sb_walk_release(&s->walk);
    sb_status status = sb_walk_init(&s->walk, s->p, s->crew);
    if (status != SB_OK)
        return status;
    s->best_bound = -INFINITY;
    s->closed_gap = s->ceiling - s->root->bound;
    s->absorb_share = s->pace->absorb_share;
    if (s->outcome->warm)
        memcpy(s->walk.reward, s->outcome->reward, (size_t)s->p->n * sizeof *s->walk.reward);
    else if (s->method->root_rewards && isfinite(s->root->bound))
        memcpy(s->walk.reward, s->root->reward, (size_t)s->p->n * sizeof *s->walk.reward);
    memcpy(s->best_reward, s->walk.reward, (size_t)s->p->n * sizeof *s->walk.reward);
    start_memory(s);
    if (s->method->root_close)
        close_by_root(s);
    return SB_OK;
}

sb_status sb_prove(const sb_problem *p, sb_crew *crew, const sb_root *root, const sb_method *method,
                   void (*tell)(void *context, const sb_outcome *outcome), void *context,
                   sb_outcome *outcome)
{
    prover s = {.p = p,
                .crew = crew,
                .root = root,
                .method = method,
                .pace = pace_of(p),
                .tell = tell,
                .context = context,
                .outcome = outcome,
                .status = SB_ERR_NOMEM};
    outcome->bound = fmax(outcome->bound, fmin(root->bound, outcome->cost));
    s.field = sb_alloc((size_t)p->n, sizeof *s.field);
    s.level = sb_alloc((size_t)p->n, sizeof *s.level);
    s.best_reward = sb_alloc((size_t)p->n, sizeof *s.best_reward);
    s.direction = sb_alloc((size_t)p->n, sizeof *s.direction);
    if (s.field == NULL || s.level == NULL || s.best_reward == NULL || s.direction == NULL)
        goto out;
    s.status = SB_OK;
    for (int j = 0; j < p->n; j++)
        s.cutting_h += p->cut_h[j];
    double conceivable = most_conceivable(p);
    double guess =
        isfinite(root->bound) ? fmax(root->bound * 1.2, conceivable * 1e-4) : conceivable;
    for (;;) {
        if (sb_crew_stopped(crew)) {
            outcome->method = "stopped before any walk was searched";
            break;
        }
        s.ceiling = isfinite(outcome->cost) ? outcome->cost : fmin(guess, conceivable);
        s.status = start_walk(&s);
        if (s.status != SB_OK)
            break;
        step end = run_rounds(&s);
        outcome->labels = s.walk.labels;
        if (end != STEP_PROVEN) {
            outcome->method = "stopped before the search closed";
            break;
        }
        /* Nothing lies under the ceiling, or the best found there is the best of all. */
        outcome->bound = s.ceiling;
        if (isfinite(outcome->cost) || guess >= conceivable) {
            outcome->closed = true;
            outcome->bound = outcome->cost;
            outcome->method = "every other season is ruled out by its bound";
            break;
        }
        guess *= 2;
    }
    memcpy(outcome->reward, s.best_reward, (size_t)p->n * sizeof *s.best_reward);
out:
    sb_walk_release(&s.walk);
    sb_free(s.field);
    sb_free(s.level);
    sb_free(s.best_reward);
    sb_free(s.direction);
    return s.status;
}
