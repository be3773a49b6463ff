/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Annealing. A state is a sequence; a move replaces the stretch [begin, end) of it and lets the
 * level in front of every new neighbour be chosen greedily. Because the rest of the season costs
 * K + V . load, a move is priced by walking its stretch alone; time, seed limits and precedence
 * are looked at only where the season has them. Broken rules cost money while searching and are
 * never accepted as a result. */
#include "order/search.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/random.h"
#include "order/chain.h"
#include "order/vector.h"

/* Temperatures, as multiples of the mean cost per field of a random plan. */
#define HOTTEST 1.0
#define COLDEST 1e-3
/* Pieces longer than this are rarely worth moving. */
#define LONGEST_PIECE 10
/* Farthest a piece travels, in places. */
#define FARTHEST 60
/* A broken rule costs this many times the mean cost per field, and as much again for each full
 * limit or so many hours of excess. Every start weighs rules heavier than the one before: light
 * ones cross plans that are a little late, heavy ones find a plan where few keep the rules. */
#define RULE_PRICE 0.2
#define RULE_PRICE_GROWTH 1.5
#define RULE_PRICES 8
#define EXCESS_HOURS 10.0

typedef struct walker {
    const sb_problem *p;
    sb_random random;
    int *field, *level;         /* n: the current sequence */
    int *new_field, *new_level; /* n: the stretch under trial, at its own positions */
    double *load;               /* (n + 1) x dims: load before position t */
    double *cost;               /* n + 1: money before position t */
    double *free_h;             /* n + 1: time before position t */
    double *late;               /* n + 1: penalties and delay money before position t */
    double *rest;               /* n + 1: K of the rest from position t on */
    double *price;              /* (n + 1) x dims: V of the rest */
    double *spend;              /* n + 1: cleaning money before position t */
    double *money;              /* n + 1: road and cleaning money, likewise */
    int *full;                  /* n + 1 */
    uint64_t *seen;             /* words: scratch */
    double unit;                /* mean cost per field: the scale of temperatures and penalties */
    double rule_price;
    double current;
    bool watched; /* time, limits or counts must be looked at */
} walker;

static double *row(double *rows, const sb_problem *p, int t)
{
    return rows + (size_t)t * (size_t)p->dims;
}

static bool walker_init(walker *w, const sb_problem *p)
{
    size_t n = (size_t)p->n, dims = (size_t)p->dims;
    *w = (walker){.p = p};
    w->field = sb_alloc(n, sizeof *w->field);
    w->level = sb_alloc(n, sizeof *w->level);
    w->new_field = sb_alloc(n, sizeof *w->new_field);
    w->new_level = sb_alloc(n, sizeof *w->new_level);
    w->load = sb_alloc_aligned((n + 1) * dims, sizeof *w->load);
    w->cost = sb_alloc(n + 1, sizeof *w->cost);
    w->free_h = sb_alloc(n + 1, sizeof *w->free_h);
    w->late = sb_alloc(n + 1, sizeof *w->late);
    w->rest = sb_alloc(n + 1, sizeof *w->rest);
    w->price = sb_alloc_aligned((n + 1) * dims, sizeof *w->price);
    w->spend = sb_alloc(n + 1, sizeof *w->spend);
    w->money = sb_alloc(n + 1, sizeof *w->money);
    w->full = sb_alloc(n + 1, sizeof *w->full);
    w->seen = sb_alloc((size_t)p->words, sizeof *w->seen);
    w->watched = p->timed || p->n_limits > 0 || p->counted[SB_RES_SPEND] ||
                 p->counted[SB_RES_FULL] || p->counted[SB_RES_MONEY];
    return w->field && w->level && w->new_field && w->new_level && w->load && w->cost &&
           w->free_h && w->late && w->rest && w->price && w->spend && w->money && w->full &&
           w->seen;
}

static void walker_release(walker *w)
{
    void *owned[] = {w->field, w->level, w->new_field, w->new_level, w->load,  w->cost, w->free_h,
                     w->late,  w->rest,  w->price,     w->spend,     w->money, w->full, w->seen};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
}

static double broken(const walker *w, double excess)
{
    return excess <= 0 ? 0 : w->rule_price * (1 + excess);
}

/* Road and level of a move as money, rules that forbid it as a penalty. */
static double move_money(const walker *w, int from, int to, int level)
{
    const sb_problem *p = w->p;
    if (p->allowed[sb_arc(p, from, to)] >> level & 1)
        return 0;
    return broken(w, p->allowed[sb_arc(p, from, to)] ? 1 : 10);
}

/* Road and cleaning money; a missing way takes none, its penalty is move_money's. */
static double move_spent(const sb_problem *p, int from, int to, int level)
{
    double money = sb_move_money(p, from, to, level);
    return isinf(money) ? 0 : money;
}

/* Money for the way home from the last field; a missing way is priced like any other. */
static double home_money(const walker *w, int last)
{
    double money = w->p->home_cost[last];
    return isinf(money) ? broken(w, 10) : money;
}

static double seed_limit_money(const walker *w, int from, int to, int level, const double *load)
{
    const sb_problem *p = w->p;
    double money = 0;
    for (int r = 0; r < p->n_limits; r++) {
        const sb_load_limit *limit = &p->limits[r];
        if (limit->field != to)
            continue;
        double sum = sb_limit_sum(p, limit, from, level, load);
        money += broken(w, fmin(sum / limit->most - 1, 10));
    }
    return money;
}

/* Delay and lateness of a field finished at this moment. */
static double time_money(const walker *w, int field, double finish_h)
{
    return sb_delay(w->p, field, finish_h) +
           broken(w, (finish_h - w->p->latest_h[field]) / EXCESS_HOURS);
}

/* Over a limit by such a share of it. */
static double overspent(const walker *w, int resource, double spent)
{
    double most = w->p->most[resource];
    return w->p->counted[resource] ? broken(w, (spent - most) / (most + w->unit) - 1e-12) : 0;
}

/* The limit on all money sees no delay here: what exceeds it for that alone is not kept. */
static double end_money(const walker *w, int last, double free_h, double spend, double spent,
                        int full)
{
    const sb_problem *p = w->p;
    double money = broken(w, (free_h + p->home_h[last] - p->end_h) / EXCESS_HOURS);
    money += overspent(w, SB_RES_SPEND, spend);
    double home = isinf(p->home_cost[last]) ? 0 : p->home_cost[last]; /* home_money's matter */
    money += overspent(w, SB_RES_MONEY, spent + home);
    if (p->counted[SB_RES_FULL])
        money += broken(w, full - p->most[SB_RES_FULL]);
    return money;
}

/* Everything that pricing a move needs, from position `from` on forward and all of it backward. */
SB_VECTORISED
static void refresh(walker *w, int from_position)
{
    const sb_problem *p = w->p;
    int n = p->n;
    if (from_position == 0) {
        memcpy(w->load, p->own + (size_t)n * (size_t)p->dims, (size_t)p->dims * sizeof *w->load);
        w->cost[0] = w->free_h[0] = w->late[0] = w->spend[0] = w->money[0] = 0;
        w->full[0] = 0;
    }
    for (int t = from_position; t < n; t++) {
        int i = t ? w->field[t - 1] : n, j = w->field[t], l = w->level[t];
        w->late[t + 1] = w->late[t] + move_money(w, i, j, l);
        if (p->n_limits > 0)
            w->late[t + 1] += seed_limit_money(w, i, j, l, row(w->load, p, t));
        w->cost[t + 1] =
            w->cost[t] + sb_move_load(p, i, j, l, row(w->load, p, t), row(w->load, p, t + 1));
        if (p->timed) {
            w->free_h[t + 1] = sb_finish_h(p, i, j, l, w->free_h[t]);
            w->late[t + 1] += time_money(w, j, w->free_h[t + 1]);
        }
        w->spend[t + 1] = w->spend[t] + p->level_cost[l];
        w->money[t + 1] = w->money[t] + move_spent(p, i, j, l);
        w->full[t + 1] = w->full[t] + p->level_full[l];
    }
    w->rest[n] = home_money(w, w->field[n - 1]);
    memset(row(w->price, p, n), 0, (size_t)p->dims * sizeof *w->price);
    for (int t = n - 1; t >= 0; t--) {
        int i = t ? w->field[t - 1] : n, j = w->field[t], l = w->level[t];
        const double *keep = p->keep + (size_t)l * (size_t)p->dims, *next = row(w->price, p, t + 1);
        const double *shed = row(p->shed, p, j), *left = row(p->left, p, j);
        double *here = row(w->price, p, t);
        w->rest[t] =
            w->rest[t + 1] + sb_fixed(p, i, j, l) + sb_vector_dot(row(p->own, p, j), next, p->dims);
        for (int d = 0; d < p->dims; d++)
            here[d] = keep[d] * (shed[d] + left[d] * next[d]);
    }
    w->current = w->cost[n] + w->rest[n] + w->late[n] +
                 end_money(w, w->field[n - 1], w->free_h[n], w->spend[n], w->money[n], w->full[n]);
}

static bool precedence_kept(walker *w, int begin, int end)
{
    const sb_problem *p = w->p;
    if (!p->ordered)
        return true;
    memset(w->seen, 0, (size_t)p->words * sizeof *w->seen);
    for (int t = begin; t < end; t++) {
        const uint64_t *behind = p->behind + (size_t)w->new_field[t] * (size_t)p->words;
        for (int word = 0; word < p->words; word++)
            if (behind[word] & w->seen[word])
                return false;
        sb_include(w->seen, w->new_field[t]);
    }
    return true;
}

/* A move: positions begin..end-1 hold new_field / new_level; levels are chosen anew at the
 * positions in fresh (ascending), and at `end` when it is among them. */
typedef struct trial {
    int begin, end;
    int fresh[4];
    int n_fresh;
    int tail_level; /* level at position end after the move */
} trial;

/* Time after the stretch: follows the old fields until the clock reads what it read before. */
static double time_after(const walker *w, const trial *m, double free_h, double *end_free_h)
{
    const sb_problem *p = w->p;
    double money = 0;
    for (int t = m->end; t < p->n; t++) {
        int i = t == m->end ? w->new_field[t - 1] : w->field[t - 1];
        int l = t == m->end ? m->tail_level : w->level[t];
        free_h = sb_finish_h(p, i, w->field[t], l, free_h);
        money += time_money(w, w->field[t], free_h);
    }
    *end_free_h = free_h;
    return money;
}

/* Seed limits after the stretch, with the loads the move brings there. */
static double limits_after(const walker *w, const trial *m, double *load)
{
    const sb_problem *p = w->p;
    double money = 0;
    for (int t = m->end; t < p->n; t++) {
        int i = t == m->end ? w->new_field[t - 1] : w->field[t - 1];
        int l = t == m->end ? m->tail_level : w->level[t];
        money += seed_limit_money(w, i, w->field[t], l, load);
        sb_move_load(p, i, w->field[t], l, load, load);
    }
    return money;
}

/* What the whole sequence would cost after the move, penalties included. Fills in the levels. */
SB_VECTORISED
static double price_trial(walker *w, trial *m, const int *position)
{
    const sb_problem *p = w->p;
    int n = p->n;
    double load[SB_MAX_DIMS];
    memcpy(load, row(w->load, p, m->begin), (size_t)p->dims * sizeof *load);
    double money = w->cost[m->begin], free_h = w->free_h[m->begin], late = w->late[m->begin];
    double spend = w->spend[m->begin], spent = w->money[m->begin];
    int full = w->full[m->begin], fresh = 0;
    m->tail_level = m->end < n ? w->level[m->end] : 0;
    for (int t = m->begin; t <= m->end && t < n; t++) {
        int i = t == 0 ? n : t == m->begin ? w->field[t - 1] : w->new_field[t - 1];
        int j = t < m->end ? w->new_field[t] : w->field[t];
        int l = t < m->end ? w->new_level[t] : m->tail_level;
        while (fresh < m->n_fresh && m->fresh[fresh] < t)
            fresh++;
        if (fresh < m->n_fresh && m->fresh[fresh] == t)
            /* j keeps the successors it has today. */
            l = sb_greedy_level(p, i, j, load, row(w->price, p, position[j] + 1));
        if (t < m->end)
            w->new_level[t] = l;
        else
            m->tail_level = l;
        late += move_money(w, i, j, l);
        if (t == m->end) { /* the move into the old tail: the rest is K + V . load */
            if (w->watched)
                break;
            money += sb_move_load(p, i, j, l, load, load);
            return money + late + w->late[n] - w->late[m->end + 1] + w->rest[t + 1] +
                   sb_vector_dot(row(w->price, p, t + 1), load, p->dims);
        }
        if (p->n_limits > 0)
            late += seed_limit_money(w, i, j, l, load);
        money += sb_move_load(p, i, j, l, load, load);
        if (p->timed) {
            free_h = sb_finish_h(p, i, j, l, free_h);
            late += time_money(w, j, free_h);
        }
        spend += p->level_cost[l];
        spent += move_spent(p, i, j, l);
        full += p->level_full[l];
    }
    if (!w->watched) /* the stretch reaches the end of the season */
        return money + late + home_money(w, w->new_field[n - 1]);
    int last = m->end < n ? w->field[n - 1] : w->new_field[n - 1];
    if (m->end < n) {
        double tail[SB_MAX_DIMS];
        int i = m->end > 0 ? w->new_field[m->end - 1] : n;
        money += sb_move_load(p, i, w->field[m->end], m->tail_level, load, tail);
        money += w->rest[m->end + 1] + sb_vector_dot(row(w->price, p, m->end + 1), tail, p->dims);
        for (int t = m->end + 1; t < n; t++)
            late += move_money(w, w->field[t - 1], w->field[t], w->level[t]);
        if (p->n_limits > 0)
            late += limits_after(w, m, load);
        if (p->timed)
            late += time_after(w, m, free_h, &free_h);
        spend += p->level_cost[m->tail_level] + w->spend[n] - w->spend[m->end + 1];
        spent +=
            move_spent(p, i, w->field[m->end], m->tail_level) + w->money[n] - w->money[m->end + 1];
        full += p->level_full[m->tail_level] + w->full[n] - w->full[m->end + 1];
    } else {
        money += home_money(w, last);
    }
    return money + late + end_money(w, last, free_h, spend, spent, full);
}

static void copy_stretch(walker *w, int at, int from, int count, bool turned)
{
    for (int k = 0; k < count; k++) {
        w->new_field[at + k] = w->field[turned ? from + count - 1 - k : from + k];
        /* A turned piece keeps its levels between the same neighbours. */
        w->new_level[at + k] = turned ? (k ? w->level[from + count - k] : 0) : w->level[from + k];
    }
}

/* Moves a piece of the sequence earlier or later, sometimes turned round. */
static bool propose_shift(walker *w, trial *m)
{
    int n = w->p->n;
    int longest = sb_random_unit(&w->random) < 0.3 ? LONGEST_PIECE : 3;
    int piece = 1 + sb_random_below(&w->random, longest);
    if (piece > n - 1)
        piece = n - 1;
    int at = sb_random_below(&w->random, n - piece + 1);
    int distance = 1 + sb_random_below(&w->random, n < FARTHEST ? n : FARTHEST);
    bool turned = sb_random_unit(&w->random) < 0.3;
    if (sb_random_unit(&w->random) < 0.5) {
        int end = at + piece + distance;
        if (end > n)
            return false;
        copy_stretch(w, at, at + piece, distance, false);
        copy_stretch(w, at + distance, at, piece, turned);
        *m = (trial){at, end, {at, at + distance, end, 0}, 3, 0};
    } else {
        int begin = at - distance;
        if (begin < 0)
            return false;
        copy_stretch(w, begin, at, piece, turned);
        copy_stretch(w, begin + piece, begin, distance, false);
        *m = (trial){begin, at + piece, {begin, begin + piece, at + piece, 0}, 3, 0};
    }
    return true;
}

static bool propose_turn(walker *w, trial *m)
{
    int n = w->p->n, begin = sb_random_below(&w->random, n);
    int end = begin + 2 + sb_random_below(&w->random, n < FARTHEST ? n : FARTHEST);
    if (end > n)
        return false;
    copy_stretch(w, begin, begin, end - begin, true);
    *m = (trial){begin, end, {begin, end, 0, 0}, 2, 0};
    return true;
}

static bool propose_swap(walker *w, trial *m)
{
    int n = w->p->n, a = sb_random_below(&w->random, n);
    int b = a + 2 + sb_random_below(&w->random, n < FARTHEST ? n : FARTHEST);
    if (b >= n)
        return false;
    copy_stretch(w, a, a, b + 1 - a, false);
    w->new_field[a] = w->field[b];
    w->new_field[b] = w->field[a];
    *m = (trial){a, b + 1, {a, a + 1, b, b + 1}, 4, 0};
    return true;
}

static bool propose_level(walker *w, trial *m)
{
    const sb_problem *p = w->p;
    if (p->levels < 2)
        return false;
    int t = sb_random_below(&w->random, p->n);
    w->new_field[t] = w->field[t];
    w->new_level[t] = (w->level[t] + 1 + sb_random_below(&w->random, p->levels - 1)) % p->levels;
    *m = (trial){t, t + 1, {0, 0, 0, 0}, 0, 0};
    return true;
}

static bool propose(walker *w, trial *m)
{
    double kind = sb_random_unit(&w->random);
    if (kind < 0.15 || w->p->n < 3)
        return kind < 0.5 || w->p->n < 2 ? propose_level(w, m) : propose_shift(w, m);
    return kind < 0.70   ? propose_shift(w, m)
           : kind < 0.85 ? propose_turn(w, m)
                         : propose_swap(w, m);
}

static void accept(walker *w, const trial *m, int *position)
{
    for (int t = m->begin; t < m->end; t++) {
        w->field[t] = w->new_field[t];
        w->level[t] = w->new_level[t];
        position[w->field[t]] = t;
    }
    if (m->end < w->p->n)
        w->level[m->end] = m->tail_level;
    refresh(w, m->begin);
}

/* A random order that keeps the precedences and follows the dates, all levels "none". */
static void random_start(walker *w)
{
    const sb_problem *p = w->p;
    int n = p->n;
    double *wish = w->cost; /* free until refresh */
    memset(w->seen, 0, (size_t)p->words * sizeof *w->seen);
    for (int j = 0; j < n; j++) {
        double date = isfinite(p->latest_h[j]) ? p->latest_h[j] : p->ready_h[j];
        wish[j] = (p->timed ? date : 0) + sb_random_unit(&w->random) * (p->timed ? 20 : 1);
    }
    for (int t = 0; t < n; t++) {
        int best = -1;
        for (int j = 0; j < n; j++) {
            if (sb_has(w->seen, j) || (best >= 0 && wish[j] >= wish[best]))
                continue;
            bool free_to_go = true;
            for (int word = 0; word < p->words; word++)
                free_to_go &=
                    !(p->before[(size_t)j * (size_t)p->words + (size_t)word] & ~w->seen[word]);
            if (free_to_go)
                best = j;
        }
        w->field[t] = best;
        w->level[t] = 0;
        sb_include(w->seen, best);
    }
}

/* The mean cost of a move and what it brings at worst: a scale for temperatures. */
static double cost_unit(const sb_problem *p)
{
    double sum = 0;
    long count = 0;
    for (int i = 0; i <= p->n; i++)
        for (int j = 0; j < p->n; j++)
            if (p->allowed[sb_arc(p, i, j)]) {
                double least = INFINITY;
                for (int l = 0; l < p->levels; l++) {
                    least = fmin(least, sb_first_order_cost(p, i, j, l));
                }
                sum += least;
                count++;
            }
    return count > 0 && sum > 0 ? sum / (double)count : 1;
}

typedef struct search {
    const sb_problem *p;
    const sb_search_options *options;
    sb_crew *crew;
    double unit;
    int *field, *level; /* starts x n */
    double *cost;       /* starts */
    atomic_bool out_of_memory;
} search;

static void keep_best(search *s, int start, const walker *w, double *best)
{
    if (w->current >= *best - 1e-12 * fabs(*best))
        return;
    double honest = sb_sequence_cost(w->p, w->field, w->level);
    if (isinf(honest))
        return;
    *best = w->current;
    s->cost[start] = honest;
    size_t bytes = (size_t)w->p->n * sizeof(int), at = (size_t)start * (size_t)w->p->n;
    memcpy(s->field + at, w->field, bytes);
    memcpy(s->level + at, w->level, bytes);
}

static void anneal(search *s, walker *w, int start, int *position)
{
    const sb_search_options *o = s->options;
    double best = INFINITY;
    double hottest = HOTTEST * w->unit * o->heat, cooling = log(COLDEST / (HOTTEST * o->heat));
    double heat = hottest;
    keep_best(s, start, w, &best);
    for (long move = 0; move < o->moves; move++) {
        if ((move & 255) == 0) {
            heat = hottest * exp(cooling * (double)move / (double)o->moves);
            if (sb_crew_stopped(s->crew))
                return;
        }
        trial m;
        if (!propose(w, &m) || !precedence_kept(w, m.begin, m.end))
            continue;
        double cost = price_trial(w, &m, position);
        if (cost < w->current || sb_random_unit(&w->random) < exp((w->current - cost) / heat)) {
            accept(w, &m, position);
            keep_best(s, start, w, &best);
        }
    }
}

static void run_start(void *context, int start, int worker)
{
    (void)worker;
    search *s = context;
    const sb_problem *p = s->p;
    size_t n = (size_t)p->n;
    walker w;
    int *position = sb_alloc(n, sizeof *position);
    if (!walker_init(&w, p) || position == NULL) {
        atomic_store(&s->out_of_memory, true);
        goto out;
    }
    w.random = sb_random_init(s->options->seed, (uint64_t)start);
    w.unit = s->unit;
    w.rule_price = RULE_PRICE * s->unit;
    for (int k = 0; k < start % RULE_PRICES; k++)
        w.rule_price *= RULE_PRICE_GROWTH;
    if (s->options->field != NULL) {
        memcpy(w.field, s->options->field, n * sizeof *w.field);
        memcpy(w.level, s->options->level, n * sizeof *w.level);
    } else {
        random_start(&w);
    }
    for (int t = 0; t < p->n; t++)
        position[w.field[t]] = t;
    refresh(&w, 0);
    anneal(s, &w, start, position);
    if (isfinite(s->cost[start])) {
        double exact;
        if (sb_chain_levels(p, s->field + (size_t)start * n, s->level + (size_t)start * n,
                            &exact) != SB_OK)
            atomic_store(&s->out_of_memory, true);
        else
            s->cost[start] = fmin(s->cost[start], exact);
    }
out:
    walker_release(&w);
    sb_free(position);
}

sb_status sb_search(const sb_problem *p, const sb_search_options *options, sb_crew *crew,
                    int *field, int *level, double *cost)
{
    size_t n = (size_t)p->n, starts = (size_t)options->starts;
    search s = {.p = p, .options = options, .crew = crew, .unit = cost_unit(p)};
    sb_status status = SB_ERR_NOMEM;
    s.field = sb_alloc(starts * n, sizeof *s.field);
    s.level = sb_alloc(starts * n, sizeof *s.level);
    s.cost = sb_alloc(starts, sizeof *s.cost);
    if (s.field == NULL || s.level == NULL || s.cost == NULL)
        goto out;
    for (size_t i = 0; i < starts; i++)
        s.cost[i] = INFINITY;
    sb_crew_share(crew, options->starts, run_start, &s);
    if (atomic_load(&s.out_of_memory))
        goto out;
    for (size_t i = 0; i < starts; i++)
        if (s.cost[i] < *cost) {
            *cost = s.cost[i];
            memcpy(field, s.field + i * n, n * sizeof *field);
            memcpy(level, s.level + i * n, n * sizeof *level);
        }
    status = SB_OK;
out:
    sb_free(s.field);
    sb_free(s.level);
    sb_free(s.cost);
    return status;
}
