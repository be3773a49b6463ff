/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_rest.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "order/vector.h"

/* Moves out of each field and into it that a sparse pass looks at. */
#define NEAR_WIDTH 8

/* Moves on are told apart by what came before for so many fields near each. */
#define MOST_ONTO 40
/* Ticks of each clock. Every move is rounded down to ticks: what that gives away grows with the
 * moves of a walk. */
static const int clock_ticks[SB_REST_CLOCKS] = {64, 256};
/* Sets of seen fields and a fine clock are worth their while in passes of so many labels. */
#define MOST_BITS 4
#define MANY_LABELS 20000
/* Numbers in the table at most. */
#define MOST_CELLS 1.5e7

/* ---- Making it ----------------------------------------------------------------------------- */

/* Moves take whole ticks off the clock, rounded down but at least one. A route goes but once into
 * each field that takes less: the clock shows a spare tick for it. */
static void set_clock(const sb_pricer *w, sb_rest_clock *clock, int ticks_most)
{
    const sb_problem *p = w->p;
    bool by_hours = w->rest.by_hours;
    clock->tick_h = (p->end_h - p->start_h) / ticks_most;
    clock->most = by_hours ? ticks_most : w->most_stops;
    for (int j = 0; j < p->n; j++) {
        bool short_one = false;
        for (int i = 0; i < p->n; i++) {
            size_t arc = sb_arc(p, i, j);
            clock->fewest[arc] = (short)(ticks_most + 1);
            for (int l = 0; l < p->levels; l++) {
                double hours = p->level_h[l] + sb_move_h(p, i, j) + p->cut_h[j];
                double ticks = by_hours ? floor(hours / clock->tick_h + 1e-9) : 1;
                short_one |= ticks < 1 && i != j && (w->open[arc] >> l & 1);
                short taken = (short)fmin(fmax(ticks, 1), ticks_most + 1);
                clock->ticks[arc * (size_t)p->levels + (size_t)l] = taken;
                if (taken < clock->fewest[arc])
                    clock->fewest[arc] = taken;
            }
        }
        clock->spare += short_one;
    }
    clock->most += clock->spare;
    clock->block = clock->most > 0 ? clock->most : 1;
    for (int i = 0; i < p->n; i++)
        for (int j = 0; j < p->n; j++)
            if (i != j && clock->fewest[sb_arc(p, i, j)] < clock->block)
                clock->block = clock->fewest[sb_arc(p, i, j)];
}

static bool set_clocks(sb_pricer *w)
{
    const sb_problem *p = w->p;
    sb_rest *rest = &w->rest;
    size_t n = (size_t)p->n;
    rest->by_hours = p->timed && isfinite(p->end_h) && p->end_h > p->start_h;
    for (int c = 0; c < SB_REST_CLOCKS; c++) {
        sb_rest_clock *clock = &rest->clocks[c];
        clock->ticks = sb_alloc(n * n * (size_t)p->levels, sizeof *clock->ticks);
        clock->fewest = sb_alloc(n * n, sizeof *clock->fewest);
        if (clock->ticks == NULL || clock->fewest == NULL)
            return false;
        set_clock(w, clock, clock_ticks[c]);
    }
    return true;
}

/* What a walk that stands in i and has seen these members of it has seen of j's once it is there.
 */
static unsigned carry(const sb_rest *rest, int i, int j, unsigned set)
{
    const int *from = rest->member + i * rest->most_bits, *to = rest->member + j * rest->most_bits;
    unsigned carried = 0;
    for (int b = 0; b < rest->members[j]; b++) {
        bool seen = to[b] == i;
        for (int a = 0; a < rest->members[i]; a++)
            seen |= from[a] == to[b] && (set >> a & 1);
        carried |= (unsigned)seen << b;
    }
    return carried;
}

static void fill_carried(sb_pricer *w)
{
    sb_rest *rest = &w->rest;
    for (int i = 0; i < w->p->n; i++)
        for (int j = 0; j < w->p->n; j++)
            for (unsigned set = 0; set < 1u << rest->members[i]; set++)
                rest->carried[(sb_arc(w->p, i, j) << rest->most_bits) + set] =
                    (uint8_t)carry(rest, i, j, set);
}

sb_status sb_rest_init(sb_pricer *w)
{
    const sb_problem *p = w->p;
    sb_rest *rest = &w->rest;
    *rest = (sb_rest){.onto = p->n < MOST_ONTO ? p->n : MOST_ONTO};
    size_t n = (size_t)p->n;
    rest->next = sb_alloc(n * n, sizeof *rest->next);
    sb_near_field *all = sb_alloc(n, sizeof *all);
    bool made = rest->next && all;
    for (int j = 0; j < p->n && made; j++) {
        sb_order_next_fields(p, j, all);
        for (int k = 0; k < p->n; k++)
            rest->next[j * p->n + k] = all[k].field;
    }
    made = made && set_clocks(w) && sb_rest_choose_rows(w) == SB_OK;
    int most = 0;
    for (int c = 0; c < SB_REST_CLOCKS; c++)
        most = rest->clocks[c].most > most ? rest->clocks[c].most : most;
    double numbers = (double)(most + 1) * (double)n * rest->rows;
    while (rest->most_bits < MOST_BITS && ldexp(numbers, rest->most_bits + 1) <= MOST_CELLS)
        rest->most_bits++;
    rest->ahead = sb_alloc(n * n, sizeof *rest->ahead);
    rest->row_least = sb_alloc(n * (size_t)rest->rows, sizeof *rest->row_least);
    rest->anyhow = sb_alloc((size_t)(most + 1) * n, sizeof *rest->anyhow);
    rest->least = sb_alloc((size_t)numbers << rest->most_bits, sizeof *rest->least);
    rest->member = sb_alloc(n * (size_t)rest->most_bits, sizeof *rest->member);
    rest->members = sb_alloc(n, sizeof *rest->members);
    rest->walk = sb_alloc((size_t)most + 1, sizeof *rest->walk);
    rest->carried = sb_alloc((n * n) << rest->most_bits, 1);
    made = made && rest->ahead && rest->row_least && rest->anyhow && rest->least && rest->member &&
           rest->members && rest->walk && rest->carried;
    sb_free(all);
    return made ? SB_OK : SB_ERR_NOMEM;
}

void sb_rest_release(sb_rest *rest)
{
    for (int c = 0; c < SB_REST_CLOCKS; c++) {
        sb_free(rest->clocks[c].ticks);
        sb_free(rest->clocks[c].fewest);
    }
    void *owned[] = {rest->row,     rest->next,   rest->onward,   rest->dearest, rest->plain,
                     rest->carried, rest->member, rest->ahead,    rest->anyhow,  rest->least,
                     rest->members, rest->walk,   rest->row_least};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
    *rest = (sb_rest){0};
}

/* ---- Filling it ---------------------------------------------------------------------------- */

typedef struct filling {
    sb_pricer *w;
    const sb_rest_clock *clock;
    int left;      /* ticks on it */
    double behind; /* the least of what comes with less on the clock, anywhere */
} filling;

/* The least that a move into j costs: it gets the seeds of the field just left and no others. */
static void fill_arcs(void *context, int j, int worker)
{
    (void)worker;
    sb_pricer *w = ((filling *)context)->w;
    const sb_problem *p = w->p;
    for (int i = 0; i <= p->n; i++) {
        uint8_t open = w->open[sb_arc(p, i, j)];
        double least = INFINITY;
        for (int l = 0; l < p->levels; l++)
            if (open >> l & 1)
                least =
                    fmin(least, sb_first_order_cost(p, i, j, l) + sb_pricer_surcharge(w, i, j, l));
        w->arc[sb_arc(p, i, j)] = least;
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

static double home_cost(const filling *r, int j)
{
    const sb_rest *rest = &r->w->rest;
    bool in_time =
        !rest->by_hours || r->w->p->home_h[j] <= r->left * r->clock->tick_h + SB_SAME_TIME_H;
    return in_time ? sb_pricer_home(r->w, j) : INFINITY;
}

/* How many members of a field this filling looks at. */
static int members_of(const sb_rest *rest, int j)
{
    return rest->members[j] < rest->bits ? rest->members[j] : rest->bits;
}

static bool has_seen(const sb_rest *rest, int j, unsigned set, int k)
{
    for (int b = 0; set >> b != 0; b++)
        if ((set >> b & 1) && rest->member[j * rest->most_bits + b] == k)
            return true;
    return false;
}

static unsigned carried(const sb_rest *rest, size_t arc, unsigned set)
{
    return rest->carried[(arc << rest->most_bits) + set] & ((1u << rest->bits) - 1);
}

/* What is paid for the move j -> k after a level and behind it. */
static double beyond(const filling *r, int j, unsigned set, int k, int level)
{
    const sb_pricer *w = r->w;
    const sb_rest *rest = &w->rest;
    size_t arc = sb_arc(w->p, j, k);
    int after = r->left - r->clock->ticks[arc * (size_t)w->p->levels + (size_t)level];
    if (after < 0)
        return INFINITY;
    return (double)sb_rest_at(rest, w->p->n, after, k,
                              carried(rest, arc, set))[sb_rest_row(w, j, k, level)] +
           sb_pricer_surcharge(w, j, k, level);
}

/* The same at least, whatever came before. */
static double anyhow_beyond(const filling *r, int j, int k, int level)
{
    const sb_pricer *w = r->w;
    int after =
        r->left - r->clock->ticks[sb_arc(w->p, j, k) * (size_t)w->p->levels + (size_t)level];
    return after < 0 ? INFINITY
                     : w->rest.anyhow[after * w->p->n + k] + sb_pricer_surcharge(w, j, k, level);
}

/* Takes a move into the least of all rows. */
SB_VECTORISED
static void take_move(double *restrict least, const double *restrict onward, double beyond,
                      int rows)
{
    for (int r = 0; r < rows; r += 4) {
        sb_four_numbers *now = (sb_four_numbers *)(least + r);
        sb_four_numbers cost = *sb_fours(onward + r) + beyond;
        sb_four_sets less = cost < *now;
        *now = (sb_four_numbers)((less & (sb_four_sets)cost) | (~less & (sb_four_sets)*now));
    }
}

/* Floats that are no larger. */
SB_VECTORISED
static void round_down(const double *restrict from, int count, float *restrict to)
{
    for (int r = 0; r < count; r++)
        to[r] = (float)(from[r] * (from[r] > 0 ? 1 - 1e-7 : 1 + 1e-7));
}

/* What the rows of a field come to while moves on from it are taken in. */
typedef struct taking {
    int j;
    unsigned set;
    double *least; /* rows */
    double far;    /* home, or a move that all rows price alike */
    double best;   /* of the moves so far to one near field, for the row that it costs most */
    double most;   /* no row comes to more: far, or the second best of these; a row lacks one at
                      most, the one straight back */
} taking;

static void take_field(const filling *r, taking *now, int t)
{
    const sb_pricer *w = r->w;
    const sb_rest *rest = &w->rest;
    int n = w->p->n, levels = w->p->levels, j = now->j, k = rest->next[j * n + t];
    bool near = t < rest->onto;
    double least = INFINITY;
    for (int m = 0; m < levels; m++) {
        double plain = rest->plain[(j * n + t) * levels + m];
        if (isinf(plain) || !(plain + anyhow_beyond(r, j, k, m) <= now->most))
            continue;
        double behind = beyond(r, j, now->set, k, m);
        if (!(plain + behind <= now->most))
            continue;
        size_t move = (size_t)((j * rest->onto + t) * levels + m);
        if (near)
            take_move(now->least, rest->onward + move * (size_t)rest->rows, behind, rest->rows);
        least = fmin(least, behind + (near ? rest->dearest[move] : plain));
    }
    if (!near) {
        now->far = fmin(now->far, least);
        now->most = fmin(now->most, least);
    } else {
        now->most = fmin(now->most, fmax(now->best, least));
        now->best = fmin(now->best, least);
    }
}

/* The best way on from j with so much on the clock, by set and row. */
static void fill_cell(const filling *r, int j)
{
    const sb_pricer *w = r->w;
    const sb_rest *rest = &w->rest;
    int n = w->p->n, rows = rest->rows;
    double home = home_cost(r, j);
    const sb_rest_move *ahead = rest->ahead + (size_t)j * (size_t)n;
    taking now = {.j = j, .least = rest->row_least + (size_t)j * (size_t)rows};
    for (; now.set < 1u << members_of(rest, j); now.set++) {
        now.far = now.most = home;
        now.best = INFINITY;
        for (int row = 0; row < rows; row++)
            now.least[row] = INFINITY;
        for (int a = 0; a < n && isfinite(ahead[a].least); a++) {
            if (!(ahead[a].least + r->behind <= now.most))
                break;
            int t = ahead[a].at, k = rest->next[j * n + t];
            int after = r->left - r->clock->fewest[sb_arc(w->p, j, k)];
            if (after >= 0 && ahead[a].least + rest->anyhow[after * n + k] <= now.most &&
                !has_seen(rest, j, now.set, k))
                take_field(r, &now, t);
        }
        for (int row = 0; row < rows; row++)
            now.least[row] = now.least[row] < now.far ? now.least[row] : now.far;
        round_down(now.least, rows, sb_rest_at(rest, n, r->left, j, now.set));
    }
    rest->anyhow[r->left * n + j] = (double)sb_rest_at(rest, n, r->left, j, 0)[0];
}

/* A field's cells of one block: none looks at another, and what moves cost is read but once. */
static void fill_block(void *context, int j, int worker)
{
    (void)worker;
    filling r = *(const filling *)context;
    for (int end = r.left + r.clock->block; r.left < end && r.left <= r.clock->most; r.left++)
        fill_cell(&r, j);
}

static int cheaper_move(const void *a, const void *b)
{
    const sb_rest_move *x = a, *y = b;
    if (x->least != y->least)
        return x->least < y->least ? -1 : 1;
    return x->at - y->at;
}

/* The cheapest moves on from j first. */
static void look_ahead(void *context, int j, int worker)
{
    (void)worker;
    const sb_pricer *w = ((const filling *)context)->w;
    int n = w->p->n;
    sb_rest_move *ahead = w->rest.ahead + (size_t)j * (size_t)n;
    for (int t = 0; t < n; t++) {
        int k = w->rest.next[j * n + t];
        ahead[t] = (sb_rest_move){k == j ? INFINITY : w->arc[sb_arc(w->p, j, k)], t};
    }
    qsort(ahead, (size_t)n, sizeof *ahead, cheaper_move);
}

/* Of fewer fields than shares_from the work is not shared with other threads. */
static void fill(sb_pricer *w, bool sparse, int clock, int bits, sb_pass_run *run, int shares_from)
{
    w->rest.clock = clock;
    w->rest.bits = bits;
    filling r = {.w = w, .clock = sb_rest_clock_of(&w->rest), .behind = INFINITY};
    sb_pass_share(run, shares_from, fill_arcs, &r);
    if (sparse)
        choose_near(w);
    sb_pass_share(run, shares_from, look_ahead, &r);
    while (r.left <= r.clock->most) {
        sb_pass_share(run, shares_from, fill_block, &r);
        for (int end = r.left + r.clock->block; r.left < end && r.left <= r.clock->most; r.left++)
            for (int j = 0; j < w->p->n; j++)
                r.behind = fmin(r.behind, w->rest.anyhow[r.left * w->p->n + j]);
    }
}

/* ---- The cheapest walk --------------------------------------------------------------------- */

/* Where a walk stands in the table. */
typedef struct place {
    int field, left, row;
    unsigned set;
} place;

/* The first move of the cheapest walk. @return what the walk costs; INFINITY: there is none */
static double first_move(const sb_pricer *w, place *first)
{
    const sb_problem *p = w->p;
    const double *load = p->own + (size_t)p->n * (size_t)p->dims;
    double least = INFINITY;
    for (int j = 0; j < p->n; j++)
        for (int l = 0; l < p->levels; l++) {
            if (!(w->open[sb_arc(p, p->n, j)] >> l & 1))
                continue;
            double finish_h = sb_finish_h(p, p->n, j, l, 0);
            int left = sb_rest_ticks(&w->rest, w->most_stops - 1, p->end_h - finish_h);
            if (left < 0)
                continue;
            double cost = sb_pricer_surcharge(w, p->n, j, l) +
                          sb_move_load(p, p->n, j, l, load, w->workers[0].load) +
                          (double)sb_rest_at(&w->rest, p->n, left, j, 0)[0];
            if (cost < least) {
                least = cost;
                *first = (place){.field = j, .left = left};
            }
        }
    return least;
}

/* The best move on. @return false: home */
static bool next_move(sb_pricer *w, place *at)
{
    const sb_problem *p = w->p;
    const sb_rest *rest = &w->rest;
    const filling r = {.w = w, .clock = sb_rest_clock_of(rest), .left = at->left};
    int n = p->n, j = at->field, to = -1, level = 0;
    double least = home_cost(&r, j);
    for (int t = 0; t < n; t++) {
        int k = rest->next[j * n + t];
        if (k == j || isinf(w->arc[sb_arc(p, j, k)]) || has_seen(rest, j, at->set, k))
            continue;
        for (int m = 0; m < p->levels; m++) {
            size_t near = (size_t)((j * rest->onto + t) * p->levels + m);
            double cost =
                beyond(&r, j, at->set, k, m) +
                (t < rest->onto ? rest->onward[near * (size_t)rest->rows + (size_t)at->row]
                                : rest->plain[(j * n + t) * p->levels + m]);
            if (cost < least) {
                least = cost;
                to = k;
                level = m;
            }
        }
    }
    if (to < 0)
        return false;
    size_t arc = sb_arc(p, j, to);
    *at = (place){.field = to,
                  .left = at->left - r.clock->ticks[arc * (size_t)p->levels + (size_t)level],
                  .row = sb_rest_row(w, j, to, level),
                  .set = carried(rest, arc, at->set)};
    return true;
}

/* Is this field a member there, or is there room for it? */
static bool may_remember(const sb_rest *rest, int there, int field)
{
    for (int b = 0; b < rest->members[there]; b++)
        if (rest->member[there * rest->most_bits + b] == field)
            return true;
    return rest->members[there] < rest->most_bits;
}

static void remember(sb_rest *rest, int there, int field)
{
    int *member = rest->member + there * rest->most_bits, b = 0;
    while (b < rest->members[there] && member[b] != field)
        b++;
    member[b] = field;
    rest->members[there] += b == rest->members[there];
}

/* Remembers, along each cycle of the walk, the field it came back to. @return was there room? */
static bool remember_cycles(sb_pricer *w, int stops)
{
    sb_rest *rest = &w->rest;
    bool grown = false;
    for (int a = 0; a < stops; a++) {
        int b = a + 1;
        bool room = true;
        for (; b < stops && rest->walk[b] != rest->walk[a]; b++)
            room &= may_remember(rest, rest->walk[b], rest->walk[a]);
        if (b == stops || !room)
            continue;
        for (int t = a + 1; t < b; t++)
            remember(rest, rest->walk[t], rest->walk[a]);
        grown = true;
    }
    return grown;
}

/* What the last filling took for the cheapest walk teaches the next one: the cells of this one know
 * nothing of new members. */
static void learn_from_walk(sb_pricer *w)
{
    sb_rest *rest = &w->rest;
    sb_remember_cycles(w->p, w->memory, rest->walk, rest->stops, SB_PRICER_MEMORY, rest->stops);
    if (remember_cycles(w, rest->stops))
        fill_carried(w);
    rest->stops = 0;
}

static void look_at_walk(sb_pricer *w, sb_pass_run *run)
{
    sb_rest *rest = &w->rest;
    place at = {0};
    rest->walk_least = sb_pass_is_over(run) ? INFINITY : first_move(w, &at);
    if (isinf(rest->walk_least))
        return;
    do
        rest->walk[rest->stops++] = at.field;
    while (next_move(w, &at));
}

static int most_members(const sb_rest *rest, int n)
{
    int most = 0;
    for (int j = 0; j < n; j++)
        most = rest->members[j] > most ? rest->members[j] : most;
    return most;
}

void sb_rest_fill(sb_pricer *w, const sb_pricing *pass, sb_pass_run *run)
{
    learn_from_walk(w);
    bool few = pass->sparse || w->last_labels < MANY_LABELS;
    fill(w, pass->sparse, 1, few ? 0 : most_members(&w->rest, w->p->n), run, SB_PRICER_SHARES_FROM);
    if (!pass->sparse)
        look_at_walk(w, run);
}

double sb_rest_walk(sb_pricer *w, int clock, sb_pass_run *run, int *visits)
{
    memset(visits, 0, (size_t)w->p->n * sizeof *visits);
    learn_from_walk(w);
    fill(w, false, clock, most_members(&w->rest, w->p->n), run, INT_MAX);
    look_at_walk(w, run);
    for (int t = 0; t < w->rest.stops; t++)
        visits[w->rest.walk[t]]++;
    return w->rest.walk_least;
}
