/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_route.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "order/vector.h"

/* Time, loads and prices are followed until they are this close to what they were: a machine
 * forgets, so that is a matter of some stops. */
#define SAME_H 1e-12
#define SAME_NUMBER 1e-12
/* Excess beyond this costs no more: a far broken rule must not drown the others. */
#define MOST_EXCESS 10.0

static double *row(double *rows, const sb_problem *p, int j)
{
    return rows + (size_t)j * (size_t)p->dims;
}

static const double *row_of(const double *rows, const sb_problem *p, int j)
{
    return rows + (size_t)j * (size_t)p->dims;
}

sb_status sb_route_state_init(sb_route_state *r, const sb_problem *p, sb_rule_price price)
{
    size_t n = (size_t)p->n, dims = (size_t)p->dims;
    *r = (sb_route_state){.p = p, .price = price};
    r->field = sb_alloc(n, sizeof *r->field);
    r->level = sb_alloc(n, sizeof *r->level);
    r->load_after = sb_alloc_aligned(n * dims, sizeof *r->load_after);
    r->price_before = sb_alloc_aligned(n * dims, sizeof *r->price_before);
    double **numbers[] = {&r->cost, &r->delay,     &r->late,     &r->over,
                          &r->shut, &r->set_out_h, &r->finish_h, &r->slack_h};
    bool made = r->field && r->level && r->load_after && r->price_before;
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers && made; i++) {
        *numbers[i] = sb_alloc(n, sizeof(double));
        made = *numbers[i] != NULL;
    }
    return made ? SB_OK : SB_ERR_NOMEM;
}

void sb_route_state_release(sb_route_state *r)
{
    void *owned[] = {r->field, r->level, r->load_after, r->price_before, r->cost,     r->delay,
                     r->late,  r->over,  r->shut,       r->set_out_h,    r->finish_h, r->slack_h};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
    *r = (sb_route_state){0};
}

/* ---- What one stop comes to ---------------------------------------------------------------- */

static double move_shut(const sb_route_state *r, int from, int to, int level)
{
    uint8_t allowed = r->p->allowed[sb_arc(r->p, from, to)];
    return allowed >> level & 1 ? 0 : sb_rule_broken(&r->price, allowed ? 1 : MOST_EXCESS);
}

static double limits_over(const sb_route_state *r, int from, int to, int level, const double *load)
{
    const sb_problem *p = r->p;
    double money = 0;
    for (int k = r->price.limit_begin[to]; k < r->price.limit_begin[to + 1]; k++) {
        const sb_load_limit *limit = &p->limits[k];
        double sum = sb_limit_sum(p, limit, from, level, load);
        money += sb_rule_broken(&r->price, fmin(sum / limit->most - 1, MOST_EXCESS));
    }
    return money;
}

static double field_late(const sb_route_state *r, int field, double finish_h)
{
    return sb_rule_broken(&r->price, finish_h - r->p->latest_h[field] - SB_SAME_TIME_H);
}

static double home_money(const sb_route_state *r, int last)
{
    return isinf(r->p->home_cost[last]) ? 0 : r->p->home_cost[last];
}

static double home_late(const sb_route_state *r, int last, double finish_h)
{
    double late = isinf(r->p->home_cost[last]) ? sb_rule_broken(&r->price, MOST_EXCESS) : 0;
    if (r->p->timed)
        late +=
            sb_rule_broken(&r->price, finish_h + r->p->home_h[last] - r->p->end_h - SB_SAME_TIME_H);
    return late;
}

/* ---- The route as it is -------------------------------------------------------------------- */

/* The field before place t; n for the yard. */
static int before(const sb_route_state *r, int t)
{
    return t > 0 ? r->field[t - 1] : r->p->n;
}

static const double *load_before(const sb_route_state *r, int t)
{
    return t > 0 ? row_of(r->load_after, r->p, r->field[t - 1]) : row_of(r->p->own, r->p, r->p->n);
}

static double free_before(const sb_route_state *r, int t)
{
    return t > 0 ? r->finish_h[r->field[t - 1]] : 0;
}

static bool same_numbers(const double *a, const double *b, int dims)
{
    for (int d = 0; d < dims; d++)
        if (fabs(a[d] - b[d]) > SAME_NUMBER * (a[d] + b[d]))
            return false;
    return true;
}

static void work_out_money(sb_route_state *r, int t)
{
    const sb_problem *p = r->p;
    int i = before(r, t), j = r->field[t], l = r->level[t];
    const double *load = load_before(r, t);
    r->shut[j] = move_shut(r, i, j, l);
    r->over[j] = p->n_limits > 0 ? limits_over(r, i, j, l, load) : 0;
    r->cost[j] = sb_move_load(p, i, j, l, load, row(r->load_after, p, j));
    r->set_out_h[j] = p->level_h[l] + sb_move_h(p, i, j);
}

static void work_out_time(sb_route_state *r, int t)
{
    const sb_problem *p = r->p;
    int j = r->field[t];
    double begin_h = free_before(r, t) + r->set_out_h[j];
    r->finish_h[j] = fmax(begin_h, p->ready_h[j]) + p->cut_h[j];
    r->delay[j] = sb_delay(p, j, r->finish_h[j]);
    r->late[j] = field_late(r, j, r->finish_h[j]);
}

static void work_out_price(sb_route_state *r, int t, double *price)
{
    const sb_problem *p = r->p;
    int j = r->field[t];
    const double *keep = row_of(p->keep, p, r->level[t]);
    const double *shed = row_of(p->shed, p, j), *left = row_of(p->left, p, j);
    if (t + 1 == r->count) {
        for (int d = 0; d < p->dims; d++)
            price[d] = keep[d] * shed[d];
        return;
    }
    const double *next = row_of(r->price_before, p, r->field[t + 1]);
    for (int d = 0; d < p->dims; d++)
        price[d] = keep[d] * (shed[d] + left[d] * next[d]);
}

static void work_out_slack(sb_route_state *r, int t)
{
    const sb_problem *p = r->p;
    int j = r->field[t];
    double after_h =
        t + 1 < r->count ? r->slack_h[r->field[t + 1]] : p->end_h - p->home_h[j] - r->finish_h[j];
    double arrival_h = free_before(r, t) + r->set_out_h[j];
    r->slack_h[j] =
        fmax(p->ready_h[j] - arrival_h, 0) + fmin(after_h, p->latest_h[j] - r->finish_h[j]);
}

static void work_out_home(sb_route_state *r)
{
    int last = r->count > 0 ? r->field[r->count - 1] : -1;
    r->home_late = last < 0 ? 0 : home_late(r, last, r->finish_h[last]);
}

static void add_up(sb_route_state *r)
{
    r->total = r->total_broken = r->spend = r->full = 0;
    for (int t = 0; t < r->count; t++) {
        int j = r->field[t];
        r->total += r->cost[j] + r->delay[j];
        r->total_broken += r->late[j] + r->over[j] + r->shut[j];
        r->spend += r->p->level_cost[r->level[t]];
        r->full += r->p->level_full[r->level[t]];
    }
    if (r->count > 0)
        r->total += home_money(r, r->field[r->count - 1]);
    r->total_broken += r->home_late;
}

void sb_route_refresh(sb_route_state *r)
{
    for (int t = 0; t < r->count; t++) {
        work_out_money(r, t);
        if (r->p->timed)
            work_out_time(r, t);
    }
    for (int t = r->count - 1; t >= 0; t--) {
        work_out_price(r, t, row(r->price_before, r->p, r->field[t]));
        if (r->p->timed)
            work_out_slack(r, t);
    }
    work_out_home(r);
    add_up(r);
}

/* ---- Pricing a change ---------------------------------------------------------------------- */

static const double no_price[SB_MAX_DIMS]; /* of what is left when the route is over */

/* How far a change has been followed, and how much more it has come to. */
typedef struct cursor {
    double load[SB_MAX_DIMS];
    double cost, broken, free_h, spend, full;
    int from;
} cursor;

static void step(const sb_route_state *r, cursor *c, int to, int level)
{
    const sb_problem *p = r->p;
    c->broken += move_shut(r, c->from, to, level);
    if (p->n_limits > 0)
        c->broken += limits_over(r, c->from, to, level, c->load);
    c->cost += sb_move_load(p, c->from, to, level, c->load, c->load);
    if (p->timed) {
        c->free_h = sb_finish_h(p, c->from, to, level, c->free_h);
        c->cost += sb_delay(p, to, c->free_h);
        c->broken += field_late(r, to, c->free_h);
    }
    c->spend += p->level_cost[level];
    c->full += p->level_full[level];
    c->from = to;
}

/* Takes off what the stop at place t comes to now. */
static void take_off(const sb_route_state *r, cursor *c, int t)
{
    int j = r->field[t];
    c->cost -= r->cost[j] + r->delay[j];
    c->broken -= r->late[j] + r->over[j] + r->shut[j];
    c->spend -= r->p->level_cost[r->level[t]];
    c->full -= r->p->level_full[r->level[t]];
}

/* Dates from place t on, followed while they differ from what they were. */
static void follow_dates(const sb_route_state *r, cursor *c, int t)
{
    const sb_problem *p = r->p;
    double free_h = c->free_h, later_h = free_h - free_before(r, t);
    if (t < r->count) {
        double slack_h = r->slack_h[r->field[t]];
        if (!p->delayed && slack_h >= 0 && later_h <= slack_h)
            return; /* no date was broken, none will be */
    }
    for (; t < r->count && fabs(free_h - free_before(r, t)) > SAME_H; t++) {
        int j = r->field[t];
        free_h = fmax(free_h + r->set_out_h[j], p->ready_h[j]) + p->cut_h[j];
        c->cost += sb_delay(p, j, free_h) - r->delay[j];
        c->broken += field_late(r, j, free_h) - r->late[j];
    }
    if (t == r->count)
        c->broken += home_late(r, r->field[t - 1], free_h) - r->home_late;
}

/* Seed limits likewise. */
static void follow_limits(const sb_route_state *r, cursor *c, int t)
{
    const sb_problem *p = r->p;
    for (; t < r->count && !same_numbers(c->load, load_before(r, t), p->dims); t++) {
        int i = before(r, t), j = r->field[t];
        c->broken += limits_over(r, i, j, r->level[t], c->load) - r->over[j];
        sb_move_load(p, i, j, r->level[t], c->load, c->load);
    }
}

/* The cursor stands behind the first stop of the old tail, which is at place t - 1. Money behind it
 * is K + V . load, and K has not changed. */
static void add_tail(const sb_route_state *r, cursor *c, int t)
{
    const sb_problem *p = r->p;
    if (t < r->count) {
        const double *price = row_of(r->price_before, p, r->field[t]);
        c->cost += sb_vector_dot(price, c->load, p->dims) -
                   sb_vector_dot(price, load_before(r, t), p->dims);
    }
    if (p->timed)
        follow_dates(r, c, t);
    if (p->n_limits > 0)
        follow_limits(r, c, t);
}

/* The old way home is gone, and the new one begins where the cursor stands; in the yard there is
 * none. */
static void change_home(const sb_route_state *r, cursor *c)
{
    if (r->count > 0)
        c->cost -= home_money(r, r->field[r->count - 1]);
    c->broken -= r->home_late;
    if (c->from < r->p->n) {
        c->cost += home_money(r, c->from);
        c->broken += home_late(r, c->from, c->free_h);
    }
}

/* A level chosen anew, or one that the move does not allow. */
static bool is_fresh(const sb_change *m, const sb_problem *p, int *next_fresh, int k, int from,
                     int to, int level)
{
    while (*next_fresh < m->n_fresh && m->fresh[*next_fresh] < k)
        (*next_fresh)++;
    return (*next_fresh < m->n_fresh && m->fresh[*next_fresh] == k) ||
           !(p->allowed[sb_arc(p, from, to)] >> level & 1);
}

void sb_route_price(const sb_route_state *r, sb_change *m)
{
    const sb_problem *p = r->p;
    int next_fresh = 0;
    cursor c; /* not cleared as a whole: its load is long */
    c.cost = c.broken = c.spend = c.full = 0;
    c.free_h = free_before(r, m->begin);
    c.from = before(r, m->begin);
    memcpy(c.load, load_before(r, m->begin), (size_t)p->dims * sizeof *c.load);
    const double *later =
        m->end < r->count ? row_of(r->price_before, p, r->field[m->end]) : no_price;
    m->tail_level = m->end < r->count ? r->level[m->end] : 0;
    for (int t = m->begin; t <= m->end && t < r->count; t++)
        take_off(r, &c, t);
    for (int k = 0; k < m->count; k++) {
        if (is_fresh(m, p, &next_fresh, k, c.from, m->field[k], m->level[k]))
            m->level[k] = sb_greedy_level(p, c.from, m->field[k], c.load, later);
        step(r, &c, m->field[k], m->level[k]);
    }
    if (m->end < r->count) {
        int to = r->field[m->end];
        if (is_fresh(m, p, &next_fresh, m->count, c.from, to, m->tail_level))
            m->tail_level = sb_greedy_level(p, c.from, to, c.load,
                                            m->end + 1 < r->count
                                                ? row_of(r->price_before, p, r->field[m->end + 1])
                                                : no_price);
        step(r, &c, to, m->tail_level);
        add_tail(r, &c, m->end + 1);
    } else {
        change_home(r, &c);
    }
    m->cost = c.cost;
    m->broken = c.broken;
    m->spend = c.spend;
    m->full = c.full;
}

/* ---- Making a change ----------------------------------------------------------------------- */

/* Loads and money from place `begin` on; behind place `sure` until the load is what it was. */
static void refresh_money(sb_route_state *r, int begin, int sure)
{
    double old[SB_MAX_DIMS];
    size_t bytes = (size_t)r->p->dims * sizeof(double);
    for (int t = begin; t < r->count; t++) {
        const double *after = row(r->load_after, r->p, r->field[t]);
        memcpy(old, after, bytes);
        work_out_money(r, t);
        if (t > sure && same_numbers(old, after, r->p->dims))
            return;
    }
}

static void refresh_prices(sb_route_state *r, int sure, int end)
{
    double price[SB_MAX_DIMS];
    for (int t = end; t >= 0; t--) {
        double *here = row(r->price_before, r->p, r->field[t]);
        work_out_price(r, t, price);
        bool same = same_numbers(price, here, r->p->dims);
        memcpy(here, price, (size_t)r->p->dims * sizeof *here);
        if (t < sure && same)
            return;
    }
}

void sb_route_apply(sb_route_state *r, const sb_change *m)
{
    size_t tail = (size_t)(r->count - m->end);
    if (tail > 0)
        r->level[m->end] = m->tail_level;
    memmove(r->field + m->begin + m->count, r->field + m->end, tail * sizeof *r->field);
    memmove(r->level + m->begin + m->count, r->level + m->end, tail * sizeof *r->level);
    memcpy(r->field + m->begin, m->field, (size_t)m->count * sizeof *r->field);
    memcpy(r->level + m->begin, m->level, (size_t)m->count * sizeof *r->level);
    r->count += m->count - (m->end - m->begin);
    int behind = m->begin + m->count; /* the first stop of the old tail has a new predecessor */
    refresh_money(r, m->begin, behind);
    refresh_prices(r, m->begin, behind < r->count ? behind : r->count - 1);
    if (r->p->timed) {
        for (int t = m->begin; t < r->count; t++)
            work_out_time(r, t);
        for (int t = r->count - 1; t >= 0; t--)
            work_out_slack(r, t);
    }
    work_out_home(r);
    add_up(r);
}

void sb_route_times(const sb_route_state *r, const sb_change *m, double *arrive_h, double *finish_h)
{
    const sb_problem *p = r->p;
    double free_h = 0;
    int from = p->n, added = m != NULL ? m->count - (m->end - m->begin) : 0;
    for (int t = 0; t < r->count + added; t++) {
        bool is_new = m != NULL && t >= m->begin && t < m->begin + m->count;
        int old = m == NULL || t < m->begin ? t : t - added;
        int to = is_new ? m->field[t - m->begin] : r->field[old];
        int level = is_new                                        ? m->level[t - m->begin]
                    : m != NULL && old == m->end && t >= m->begin ? m->tail_level
                                                                  : r->level[old];
        free_h = sb_finish_h(p, from, to, level, free_h);
        arrive_h[to] = free_h - p->cut_h[to];
        finish_h[to] = free_h;
        from = to;
    }
}
