/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_rest.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

/* Moves out of each field and into it that a sparse pass looks at. */
#define NEAR_WIDTH 8

/* Moves on are told apart by what came before for so many fields near each; their costs are kept
 * for at most so many triples of fields, and filling the table takes at most so many additions. */
#define MOST_ONTO 40
#define MOST_ONWARD 2e6
#define MOST_WORK 4.5e8
#define CLOCK_TICKS 64
/* Sets of seen fields are worth their while in passes of so many labels. */
#define MOST_BITS 3
#define BITS_FROM 20000

/* ---- Making it ----------------------------------------------------------------------------- */

/* Hours from finishing i to finishing j at least. */
static double work_h(const sb_pricer *w, int i, int j)
{
    const sb_problem *p = w->p;
    double least_h = INFINITY;
    for (int l = 0; l < p->levels; l++)
        if (w->open[sb_arc(p, i, j)] >> l & 1)
            least_h = fmin(least_h, p->level_h[l]);
    return least_h + sb_move_h(p, i, j) + p->cut_h[j];
}

/* Moves take whole ticks off the clock, rounded down but at least one. A route goes but once into
 * each field that takes less: the clock shows a spare tick for it. */
static void set_clock(sb_pricer *w)
{
    const sb_problem *p = w->p;
    sb_rest *rest = &w->rest;
    double hours = p->end_h - p->start_h;
    rest->by_hours = p->timed && isfinite(p->end_h) && hours > 0;
    rest->most = w->most_stops;
    if (rest->by_hours) {
        rest->tick_h = hours / CLOCK_TICKS;
        rest->most = CLOCK_TICKS;
    }
    for (int j = 0; j < p->n; j++) {
        bool short_one = false;
        for (int i = 0; i < p->n; i++) {
            if (i == j || !w->open[sb_arc(p, i, j)])
                continue;
            double ticks = rest->by_hours ? floor(work_h(w, i, j) / rest->tick_h + 1e-9) : 1;
            short_one |= ticks < 1;
            rest->ticks[sb_arc(p, i, j)] = (short)fmin(fmax(ticks, 1), CLOCK_TICKS + 1);
        }
        rest->spare += short_one;
    }
    rest->most += rest->spare;
}

/* The fields from which it is cheapest to come to j are told apart; the nearest ones, if they are
 * remembered there, may be seen. */
static void choose_near_fields(sb_pricer *w, int j, sb_near_field *all)
{
    const sb_problem *p = w->p;
    sb_rest *rest = &w->rest;
    sb_order_next_fields(p, j, all);
    for (int k = 0; k < p->n; k++)
        rest->next[j * p->n + k] = all[k].field;
    sb_order_near_fields(p, j, false, all);
    for (int k = 0; k < rest->width && isfinite(all[k].cost); k++)
        rest->slot[sb_arc(p, all[k].field, j)] = k + 1;
    sb_order_near_fields(p, j, true, all);
    for (int b = 0; b < rest->most_bits; b++) {
        bool there =
            b < p->n && isfinite(all[b].cost) && sb_has(sb_set_of(p, w->memory, j), all[b].field);
        rest->member[j * rest->most_bits + b] = there ? all[b].field : -1;
    }
}

/* What a walk that stands in i and has seen these fields near it has seen near j once it is there.
 */
static unsigned carry(const sb_rest *rest, int i, int j, unsigned set)
{
    const int *from = rest->member + i * rest->most_bits, *to = rest->member + j * rest->most_bits;
    unsigned carried = 0;
    for (int b = 0; b < rest->most_bits; b++) {
        bool seen = to[b] == i;
        for (int a = 0; a < rest->most_bits && to[b] >= 0; a++)
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
            for (unsigned set = 0; set < 1u << rest->most_bits; set++)
                rest->carried[(sb_arc(w->p, i, j) << rest->most_bits) + set] =
                    (uint8_t)carry(rest, i, j, set);
}

/* What the first so many moves on from j cost with this load, when the machine came from i. */
static void fill_row(const sb_pricer *w, int i, int j, const double *load, int count,
                     double *onward)
{
    const sb_problem *p = w->p;
    size_t dims = (size_t)p->dims;
    for (int t = 0; t < count; t++)
        for (int m = 0; m < p->levels; m++) {
            int k = w->rest.next[j * p->n + t];
            double *money = &onward[t * p->levels + m];
            *money = INFINITY;
            if (k == j || k == i || !(w->open[sb_arc(p, j, k)] >> m & 1))
                continue;
            *money = sb_fixed(p, j, k, m);
            for (size_t d = 0; d < dims; d++)
                *money += load[d] * p->keep[(size_t)m * dims + d] * p->shed[(size_t)k * dims + d];
        }
}

static void fill_onward(sb_pricer *w)
{
    const sb_problem *p = w->p;
    size_t dims = (size_t)p->dims, moves = (size_t)(w->rest.onto * p->levels);
    double *load = w->workers[0].load;
    for (int j = 0; j < p->n; j++) {
        double *rows = w->rest.onward + (size_t)j * (size_t)w->rest.rows * moves;
        const double *own = p->own + (size_t)j * dims, *left = p->left + (size_t)j * dims;
        fill_row(w, -1, j, own, w->rest.onto, rows);
        fill_row(w, -1, j, own, p->n, w->rest.plain + (size_t)(j * p->n * p->levels));
        for (int i = 0; i < p->n; i++)
            for (int l = 0; l < p->levels && w->rest.slot[sb_arc(p, i, j)] > 0; l++) {
                for (size_t d = 0; d < dims; d++)
                    load[d] =
                        p->own[(size_t)i * dims + d] * p->keep[(size_t)l * dims + d] * left[d] +
                        own[d];
                fill_row(w, i, j, load, w->rest.onto,
                         rows + (size_t)sb_rest_row(w, i, j, l) * moves);
            }
    }
}

sb_status sb_rest_init(sb_pricer *w)
{
    const sb_problem *p = w->p;
    sb_rest *rest = &w->rest;
    *rest = (sb_rest){.onto = p->n < MOST_ONTO ? p->n : MOST_ONTO};
    size_t n = (size_t)p->n, dims = (size_t)p->dims, levels = (size_t)p->levels,
           moves = (size_t)rest->onto * levels;
    rest->ticks = sb_alloc(n * n, sizeof *rest->ticks);
    rest->slot = sb_alloc(n * n, sizeof *rest->slot);
    if (rest->ticks == NULL || rest->slot == NULL)
        return SB_ERR_NOMEM;
    set_clock(w);
    double clocks = rest->most + 1,
           most_rows = fmin(MOST_ONWARD, MOST_WORK / clocks) / (double)(n * moves);
    if (dims > 0) /* without seeds it makes no difference where the machine was before */
        rest->width = (int)fmin(fmax((most_rows - 1) / p->levels, 0), p->n);
    rest->rows = 1 + rest->width * p->levels;
    rest->told = rest->width;
    size_t triples = n * (size_t)rest->rows * moves;
    while (rest->most_bits < MOST_BITS &&
           ldexp(clocks * (double)triples, rest->most_bits + 1) <= MOST_WORK)
        rest->most_bits++;
    rest->onward = sb_alloc(triples, sizeof *rest->onward);
    rest->plain = sb_alloc(n * n * levels, sizeof *rest->plain);
    rest->beyond = sb_alloc(n * n * levels, sizeof *rest->beyond);
    rest->next = sb_alloc(n * n, sizeof *rest->next);
    rest->least =
        sb_alloc(((size_t)clocks * n * (size_t)rest->rows) << rest->most_bits, sizeof *rest->least);
    rest->member = sb_alloc(n * (size_t)rest->most_bits, sizeof *rest->member);
    rest->carried = sb_alloc((n * n) << rest->most_bits, 1);
    sb_near_field *all = sb_alloc(n, sizeof *all);
    bool made = rest->onward && rest->plain && rest->next && rest->beyond && rest->least &&
                rest->member && rest->carried && all;
    for (int j = 0; j < p->n && made; j++)
        choose_near_fields(w, j, all);
    sb_free(all);
    if (!made)
        return SB_ERR_NOMEM;
    fill_carried(w);
    fill_onward(w);
    return SB_OK;
}

void sb_rest_release(sb_rest *rest)
{
    void *owned[] = {rest->slot,   rest->next,    rest->onward, rest->plain, rest->ticks,
                     rest->beyond, rest->carried, rest->member, rest->least};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
    *rest = (sb_rest){0};
}

/* ---- Filling it ---------------------------------------------------------------------------- */

typedef struct filling {
    sb_pricer *w;
    int clock;
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

/* What is paid for each move on from j with so much on the clock, and behind it. */
static void fill_beyond(const filling *r, int j, unsigned set, double *beyond)
{
    const sb_pricer *w = r->w;
    const sb_problem *p = w->p;
    const sb_rest *rest = &w->rest;
    unsigned mask = (1u << rest->bits) - 1;
    for (int t = 0; t < p->n; t++) {
        int k = rest->next[j * p->n + t], after = r->clock - rest->ticks[sb_arc(p, j, k)];
        bool open = j != k && isfinite(w->arc[sb_arc(p, j, k)]) && after >= 0;
        for (int b = 0; b < rest->bits && open; b++)
            open = rest->member[j * rest->most_bits + b] != k || !(set >> b & 1);
        unsigned seen = rest->carried[(sb_arc(p, j, k) << rest->most_bits) + set] & mask;
        for (int m = 0; m < p->levels; m++)
            beyond[t * p->levels + m] =
                open ? sb_rest_at(rest, p->n, after, k, sb_rest_row(w, j, k, m))[seen] +
                           sb_pricer_surcharge(w, j, k, m)
                     : INFINITY;
    }
}

/* The least of two rows' sums. */
SB_VECTORISED
static double least_sum(const double *restrict a, const double *restrict b, int count, double start)
{
    double least[4] = {start, start, start, start};
    int i = 0;
    for (; i + 4 <= count; i += 4)
        for (int lane = 0; lane < 4; lane++) {
            double sum = a[i + lane] + b[i + lane];
            least[lane] = sum < least[lane] ? sum : least[lane];
        }
    for (; i < count; i++)
        least[0] = fmin(least[0], a[i] + b[i]);
    return fmin(fmin(least[0], least[1]), fmin(least[2], least[3]));
}

static double home_cost(const filling *r, int j)
{
    const sb_rest *rest = &r->w->rest;
    bool in_time =
        !rest->by_hours || r->w->p->home_h[j] <= r->clock * rest->tick_h + SB_SAME_TIME_H;
    return in_time ? sb_pricer_home(r->w, j) : INFINITY;
}

/* The best way on from j with so much on the clock, by row and set. */
static void fill_rest(void *context, int j, int worker)
{
    (void)worker;
    const filling *r = context;
    const sb_pricer *w = r->w;
    const sb_rest *rest = &w->rest;
    int n = w->p->n, moves = rest->onto * w->p->levels, all = n * w->p->levels;
    double *beyond = rest->beyond + (size_t)j * (size_t)all;
    const double *onward = rest->onward + (size_t)j * (size_t)rest->rows * (size_t)moves;
    const double *plain = rest->plain + (size_t)j * (size_t)all;
    double home = home_cost(r, j);
    for (unsigned set = 0; set < 1u << rest->bits; set++) {
        fill_beyond(r, j, set, beyond);
        double far = least_sum(plain + moves, beyond + moves, all - moves, home);
        for (int row = 0; row < rest->filled_rows; row++)
            sb_rest_at(rest, n, r->clock, j, row)[set] =
                least_sum(onward + (size_t)row * (size_t)moves, beyond, moves, far);
    }
}

static void fill(sb_pricer *w, bool sparse, int told, int bits, sb_pass_run *run)
{
    filling r = {.w = w};
    w->rest.bits = bits;
    w->rest.told = told;
    w->rest.filled_rows = 1 + told * w->p->levels;
    sb_pass_share(run, SB_PRICER_SHARES_FROM, fill_arcs, &r);
    if (sparse)
        choose_near(w);
    for (; r.clock <= w->rest.most; r.clock++)
        sb_pass_share(run, SB_PRICER_SHARES_FROM, fill_rest, &r);
}

void sb_rest_fill(sb_pricer *w, const sb_pricing *pass, sb_pass_run *run)
{
    bool few = pass->sparse || w->last_labels < BITS_FROM;
    fill(w, pass->sparse, w->rest.width, few ? 0 : w->rest.most_bits, run);
}

/* ---- The cheapest walk --------------------------------------------------------------------- */

/* Where a walk stands in the table. */
typedef struct place {
    int field, clock, row;
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
            int clock = sb_rest_clock(&w->rest, w->most_stops - 1, p->end_h - finish_h);
            if (clock < 0)
                continue;
            double cost = sb_pricer_surcharge(w, p->n, j, l) +
                          sb_move_load(p, p->n, j, l, load, w->workers[0].load) +
                          *sb_rest_at(&w->rest, p->n, clock, j, 0);
            if (cost < least) {
                least = cost;
                *first = (place){.field = j, .clock = clock};
            }
        }
    return least;
}

/* The best move on. @return false: home */
static bool next_move(sb_pricer *w, place *at)
{
    const sb_problem *p = w->p;
    const sb_rest *rest = &w->rest;
    int moves = rest->onto * p->levels, all = p->n * p->levels, best = -1;
    const filling r = {w, at->clock};
    fill_beyond(&r, at->field, at->set, rest->beyond);
    const double *onward =
        rest->onward + ((size_t)at->field * (size_t)rest->rows + (size_t)at->row) * (size_t)moves;
    const double *plain = rest->plain + (size_t)at->field * (size_t)all;
    double least = home_cost(&r, at->field);
    for (int m = 0; m < all; m++) {
        double cost = (m < moves ? onward[m] : plain[m]) + rest->beyond[m];
        if (cost < least) {
            least = cost;
            best = m;
        }
    }
    if (best < 0)
        return false;
    int k = rest->next[at->field * p->n + best / p->levels];
    size_t arc = sb_arc(p, at->field, k);
    *at = (place){.field = k,
                  .clock = at->clock - rest->ticks[arc],
                  .row = sb_rest_row(w, at->field, k, best % p->levels),
                  .set =
                      rest->carried[(arc << rest->most_bits) + at->set] & ((1u << rest->bits) - 1)};
    return true;
}

double sb_rest_walk(sb_pricer *w, bool fine, sb_pass_run *run, int *visits)
{
    memset(visits, 0, (size_t)w->p->n * sizeof *visits);
    fill(w, false, fine ? w->rest.width : 0, fine ? w->rest.most_bits : 0, run);
    if (sb_pass_is_over(run))
        return INFINITY;
    place at = {0};
    double least = first_move(w, &at);
    if (isfinite(least)) {
        do
            visits[at.field]++;
        while (next_move(w, &at));
    }
    return least;
}
