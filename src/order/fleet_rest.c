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
static const int clock_ticks[SB_REST_CLOCKS] = {64, 128, 256};
/* Sets of seen fields are worth their while in passes of so many labels. */
#define MOST_BITS 3
#define MANY_LABELS 20000
/* Numbers in the table at most. */
#define MOST_CELLS 2e7

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

void sb_rest_fill_carried(sb_pricer *w)
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
    rest->row_most = sb_alloc(n, sizeof *rest->row_most);
    rest->anyhow = sb_alloc((size_t)(most + 1) * n, sizeof *rest->anyhow);
    rest->least = sb_alloc((size_t)numbers << rest->most_bits, sizeof *rest->least);
    rest->member = sb_alloc(n * (size_t)rest->most_bits, sizeof *rest->member);
    rest->kept = sb_alloc(n * (size_t)rest->most_bits, sizeof *rest->kept);
    rest->members = sb_alloc(n, sizeof *rest->members);
    rest->walk = sb_alloc((size_t)most + 1, sizeof *rest->walk);
    rest->steps = sb_alloc(SB_REST_WALKS * ((size_t)most + 1), sizeof *rest->steps);
    rest->starts = sb_alloc(n, sizeof *rest->starts);
    rest->carried = sb_alloc((n * n) << rest->most_bits, 1);
    made = made && rest->kept && rest->ahead && rest->row_least && rest->row_most && rest->anyhow &&
           rest->least && rest->member && rest->members && rest->walk && rest->steps &&
           rest->starts && rest->carried;
    sb_free(all);
    return made ? SB_OK : SB_ERR_NOMEM;
}

void sb_rest_release(sb_rest *rest)
{
    for (int c = 0; c < SB_REST_CLOCKS; c++) {
        sb_free(rest->clocks[c].ticks);
        sb_free(rest->clocks[c].fewest);
    }
    void *owned[] = {rest->row,       rest->group,    rest->owner,   rest->used,   rest->next,
                     rest->onward,    rest->plain,    rest->members, rest->kept,   rest->member,
                     rest->carried,   rest->walk,     rest->steps,   rest->starts, rest->ahead,
                     rest->row_least, rest->row_most, rest->anyhow,  rest->least};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
    *rest = (sb_rest){0};
}

/* ---- Filling it ---------------------------------------------------------------------------- */

typedef struct filling {
    sb_pricer *w;
    const sb_rest_clock *clock;
    int left; /* ticks on it */
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

/* What is paid for the move j -> k after a level and behind it at least, whatever came before. */
static double anyhow_beyond(const filling *r, int j, int k, int level)
{
    const sb_pricer *w = r->w;
    int after =
        r->left - r->clock->ticks[sb_arc(w->p, j, k) * (size_t)w->p->levels + (size_t)level];
    return after < 0 ? INFINITY
                     : w->rest.anyhow[after * w->p->n + k] + sb_pricer_surcharge(w, j, k, level);
}

/* Takes a move into the least of all rows. @return the most that one of them comes to now */
SB_VECTORISED
static double take_move(double *restrict least, const double *restrict onward, double beyond,
                        int rows)
{
    sb_four_numbers most = {-INFINITY, -INFINITY, -INFINITY, -INFINITY};
    for (int r = 0; r < rows; r += 4) {
        sb_four_numbers *now = (sb_four_numbers *)(least + r);
        sb_four_numbers cost = *sb_fours(onward + r) + beyond;
        sb_four_sets less = cost < *now;
        cost = (sb_four_numbers)((less & (sb_four_sets)cost) | (~less & (sb_four_sets)*now));
        sb_four_sets more = cost > most;
        most = (sb_four_numbers)((more & (sb_four_sets)cost) | (~more & (sb_four_sets)most));
        *now = cost;
    }
    return fmax(fmax(most[0], most[1]), fmax(most[2], most[3]));
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
    double most;   /* no row comes to more */
} taking;

static void take_field(const filling *r, taking *now, int t)
{
    const sb_pricer *w = r->w;
    const sb_rest *rest = &w->rest;
    int n = w->p->n, levels = w->p->levels, rows = rest->rows, j = now->j;
    int k = rest->next[j * n + t];
    for (int m = 0; m < levels; m++) {
        double plain = rest->plain[(j * n + t) * levels + m];
        if (isinf(plain) || !(plain + anyhow_beyond(r, j, k, m) < now->most))
            continue;
        double beyond = sb_rest_beyond(w, r->left, j, now->set, k, m);
        if (!(plain + beyond < now->most))
            continue;
        if (t < rest->onto) {
            size_t move = (size_t)((j * rest->onto + t) * levels + m);
            double most = take_move(now->least, rest->onward + move * (size_t)rows, beyond, rows);
            now->most = fmin(now->most, most);
        } else {
            now->most = now->far = plain + beyond;
        }
    }
}

/* What moves on from j come to at least with so much on the clock: first those that come to less
 * than `most`, in ascending order, which changes little from one tick to the next.
 * @return how many these are */
static int sort_ahead(const filling *r, int j, double most)
{
    const sb_rest *rest = &r->w->rest;
    int n = r->w->p->n, sorted = 0;
    sb_rest_move *ahead = rest->ahead + (size_t)j * (size_t)n;
    for (int a = 0; a < n; a++) {
        sb_rest_move move = ahead[a];
        int after = r->left - move.fewest;
        move.value = after < 0 ? INFINITY : move.least + rest->anyhow[after * n + move.field];
        ahead[a].value = move.value;
        if (!(move.value < most))
            continue;
        ahead[a] = ahead[sorted];
        int b = sorted++;
        for (; b > 0 && ahead[b - 1].value > move.value; b--)
            ahead[b] = ahead[b - 1];
        ahead[b] = move;
    }
    return sorted;
}

/* The best way on from j with so much on the clock, by set and row. */
static void fill_cell(const filling *r, int j)
{
    const sb_pricer *w = r->w;
    const sb_rest *rest = &w->rest;
    int n = w->p->n, rows = rest->rows, sorted = sort_ahead(r, j, rest->row_most[j]);
    double home = sb_rest_home(w, r->left, j);
    const sb_rest_move *ahead = rest->ahead + (size_t)j * (size_t)n;
    taking now = {.j = j, .least = rest->row_least + (size_t)j * (size_t)rows};
    rest->row_most[j] = -INFINITY;
    for (; now.set < 1u << sb_rest_members(rest, j); now.set++) {
        now.far = now.most = home;
        for (int row = 0; row < rows; row++)
            now.least[row] = INFINITY;
        for (int a = 0; a < n && (a >= sorted || ahead[a].value < now.most); a++)
            if (ahead[a].value < now.most && !sb_rest_has_seen(rest, j, now.set, ahead[a].field))
                take_field(r, &now, ahead[a].at);
        for (int row = 0; row < rows; row++)
            now.least[row] = now.least[row] < now.far ? now.least[row] : now.far;
        round_down(now.least, rows, sb_rest_at(rest, n, r->left, j, now.set));
        rest->row_most[j] = fmax(rest->row_most[j], now.most);
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

static void look_ahead(void *context, int j, int worker)
{
    (void)worker;
    const filling *r = context;
    const sb_pricer *w = r->w;
    int n = w->p->n;
    for (int t = 0; t < n; t++) {
        int k = w->rest.next[j * n + t];
        size_t arc = sb_arc(w->p, j, k);
        w->rest.ahead[j * n + t] = (sb_rest_move){.least = k == j ? INFINITY : w->arc[arc],
                                                  .at = t,
                                                  .field = k,
                                                  .fewest = r->clock->fewest[arc]};
    }
    w->rest.row_most[j] = INFINITY;
}

/* Of fewer fields than shares_from the work is not shared with other threads. */
static void fill(sb_pricer *w, bool sparse, int clock, int bits, sb_pass_run *run, int shares_from)
{
    w->rest.clock = clock;
    w->rest.bits = bits;
    filling r = {.w = w, .clock = sb_rest_clock_of(&w->rest)};
    sb_pass_share(run, shares_from, fill_arcs, &r);
    if (sparse)
        choose_near(w);
    sb_pass_share(run, shares_from, look_ahead, &r);
    for (; r.left <= r.clock->most; r.left += r.clock->block)
        sb_pass_share(run, shares_from, fill_block, &r);
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
    sb_rest_learn_from_walks(w);
    bool few = pass->sparse || w->last_labels < MANY_LABELS;
    fill(w, pass->sparse, SB_REST_CLOCKS - 1, few ? 0 : most_members(&w->rest, w->p->n), run,
         SB_PRICER_SHARES_FROM);
    if (!pass->sparse)
        sb_rest_look_at_walks(w, run);
}

/* Hours get a price: on the road and at work as tolls. */
static void charge_hours(sb_pricer *w, double hour)
{
    const sb_problem *p = w->p;
    w->hour_price = hour;
    for (int i = 0; i <= p->n && hour != 0; i++) {
        double *toll = w->toll + (size_t)i * (size_t)(p->n + 1);
        for (int j = 0; j < p->n; j++)
            toll[j] += hour * (sb_move_h(p, i, j) + p->cut_h[j]);
        if (i < p->n)
            toll[p->n] += hour * p->home_h[i];
    }
}

double sb_rest_walk(sb_pricer *w, int clock, double hour, sb_pass_run *run, int *visits,
                    double *over_h)
{
    const sb_rest *rest = &w->rest;
    memset(visits, 0, (size_t)w->p->n * sizeof *visits);
    sb_rest_learn_from_walks(w);
    charge_hours(w, hour);
    fill(w, false, clock, most_members(rest, w->p->n), run, INT_MAX);
    sb_rest_look_at_walks(w, run);
    w->hour_price = 0;
    for (int t = 0; t < rest->stops; t++)
        visits[rest->walk[t]]++;
    *over_h = rest->by_hours ? rest->walk_h - w->p->end_h : 0;
    return rest->walk_least - (hour > 0 ? hour * w->p->end_h : 0);
}
