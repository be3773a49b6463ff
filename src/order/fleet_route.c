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

sb_status sb_route_state_init(sb_route_state *r, const sb_problem *p, const sb_ways *ways,
                              double rule_price)
{
    size_t n = (size_t)p->n, dims = (size_t)p->dims;
    *r = (sb_route_state){.p = p, .ways = ways, .rule_price = rule_price};
    r->field = sb_alloc(n, sizeof *r->field);
    r->level = sb_alloc(n, sizeof *r->level);
    r->load_after = sb_alloc_aligned(n * dims, sizeof *r->load_after);
    r->price_before = sb_alloc_aligned(n * dims, sizeof *r->price_before);
    r->stop = sb_alloc(n, sizeof *r->stop);
    r->before = sb_alloc(n + 1, sizeof *r->before);
    return r->field && r->level && r->load_after && r->price_before && r->stop && r->before
               ? SB_OK
               : SB_ERR_NOMEM;
}

void sb_route_state_release(sb_route_state *r)
{
    void *owned[] = {r->field, r->level, r->load_after, r->price_before, r->stop, r->before};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
    *r = (sb_route_state){0};
}

static double later(double a_h, double b_h)
{
    return a_h > b_h ? a_h : b_h;
}

static double sooner(double a_h, double b_h)
{
    return a_h < b_h ? a_h : b_h;
}

/* ---- What one stop comes to ---------------------------------------------------------------- */

static double move_shut(const sb_route_state *r, const double *way, int level)
{
    unsigned allowed = sb_way_allowed(way);
    return allowed >> level & 1 ? 0 : sb_rule_broken(r->rule_price, allowed ? 1 : MOST_EXCESS);
}

static double limits_over(const sb_route_state *r, int from, int to, int level, const double *load)
{
    const sb_problem *p = r->p;
    double money = 0;
    for (int k = r->ways->first_limit[to]; k < r->ways->first_limit[to + 1]; k++) {
        const sb_load_limit *limit = &p->limits[k];
        double sum = sb_limit_sum(p, limit, from, level, load);
        money += sb_rule_broken(r->rule_price, fmin(sum / limit->most - 1, MOST_EXCESS));
    }
    return money;
}

static double field_late(const sb_route_state *r, int field, double finish_h)
{
    return sb_rule_broken(r->rule_price, finish_h - r->p->latest_h[field] - SB_SAME_TIME_H);
}

static double home_money(const sb_route_state *r, int last)
{
    return isinf(r->p->home_cost[last]) ? 0 : r->p->home_cost[last];
}

static double home_late(const sb_route_state *r, int last, double finish_h)
{
    double late = isinf(r->p->home_cost[last]) ? sb_rule_broken(r->rule_price, MOST_EXCESS) : 0;
    if (r->p->timed)
        late += sb_rule_broken(r->rule_price,
                               finish_h + r->p->home_h[last] - r->p->end_h - SB_SAME_TIME_H);
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
    return t > 0 ? r->stop[r->field[t - 1]].finish_h : 0;
}

SB_INLINED bool same_numbers(const double *a, const double *b, int dims)
{
    sb_four_sets differ = {0};
    for (int d = 0; d < dims; d += 4) {
        sb_four_numbers more = *sb_fours(a + d) - *sb_fours(b + d);
        sb_four_numbers same = SAME_NUMBER * (*sb_fours(a + d) + *sb_fours(b + d));
        differ |= (more > same) | (-more > same); /* loads and prices are never negative */
    }
    return (differ[0] | differ[1] | differ[2] | differ[3]) == 0;
}

SB_INLINED void put_numbers(double *to, const double *from, int dims)
{
    for (int d = 0; d < dims; d += 4)
        *(sb_four_numbers *)(to + d) = *sb_fours(from + d);
}

SB_INLINED void work_out_money(sb_route_state *r, int t, double *load_after)
{
    const sb_problem *p = r->p;
    int i = before(r, t), j = r->field[t], l = r->level[t];
    const double *load = load_before(r, t), *way = sb_way(r->ways, i, j);
    sb_stop_state *stop = &r->stop[j];
    stop->shut = move_shut(r, way, l);
    stop->over = p->n_limits > 0 ? limits_over(r, i, j, l, load) : 0;
    stop->cost = sb_bring_load(p, j, l, load, load_after) + sb_way_fixed(way)[l];
    stop->set_out_h = p->level_h[l] + sb_way_h(way);
}

SB_INLINED void work_out_time(sb_route_state *r, int t)
{
    const sb_problem *p = r->p;
    int j = r->field[t];
    sb_stop_state *stop = &r->stop[j];
    stop->finish_h = later(free_before(r, t) + stop->set_out_h, p->ready_h[j]) + p->cut_h[j];
    stop->delay = sb_delay(p, j, stop->finish_h);
    stop->late = field_late(r, j, stop->finish_h);
}

static const double nothing[SB_MAX_DIMS]; /* the price of what is left when the route is over */

static const double *price_before(const sb_route_state *r, int t)
{
    return t < r->count ? row_of(r->price_before, r->p, r->field[t]) : nothing;
}

SB_INLINED void work_out_price(const sb_route_state *r, int t, double *price)
{
    const sb_problem *p = r->p;
    int j = r->field[t];
    const double *keep = row_of(p->keep, p, r->level[t]), *next = price_before(r, t + 1);
    const double *shed = row_of(p->shed, p, j), *left = row_of(p->left, p, j);
    for (int d = 0; d < p->dims; d += 4)
        *(sb_four_numbers *)(price + d) =
            *sb_fours(keep + d) * (*sb_fours(shed + d) + *sb_fours(left + d) * *sb_fours(next + d));
}

SB_INLINED void work_out_carried(sb_route_state *r, int t)
{
    const sb_problem *p = r->p;
    int j = r->field[t];
    const double *next = price_before(r, t + 1);
    const double *load = row_of(r->load_after, p, j), *own = row_of(p->own, p, j);
    sb_four_numbers sum = {0};
    for (int d = 0; d < p->dims; d += 4)
        sum += *sb_fours(next + d) * (*sb_fours(load + d) - *sb_fours(own + d));
    r->stop[j].carried = (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

SB_INLINED void work_out_slack(sb_route_state *r, int t)
{
    const sb_problem *p = r->p;
    int j = r->field[t];
    sb_stop_state *stop = &r->stop[j];
    double after_h = t + 1 < r->count ? r->stop[r->field[t + 1]].slack_h
                                      : p->end_h - p->home_h[j] - stop->finish_h;
    double arrival_h = free_before(r, t) + stop->set_out_h;
    stop->slack_h =
        later(p->ready_h[j] - arrival_h, 0) + sooner(after_h, p->latest_h[j] - stop->finish_h);
}

/* Sums from place `begin` on. */
static void add_up(sb_route_state *r, int begin)
{
    sb_sums sums = r->before[begin];
    for (int t = begin; t < r->count; t++) {
        const sb_stop_state *stop = &r->stop[r->field[t]];
        double broken = stop->late + stop->over;
        r->before[t] = sums;
        sums.total += stop->cost + stop->delay;
        sums.broken += broken + stop->shut;
        sums.at_stake += broken + stop->delay;
        sums.spend += r->p->level_cost[r->level[t]];
        sums.full += r->p->level_full[r->level[t]];
    }
    r->before[r->count] = sums;
    int last = r->count > 0 ? r->field[r->count - 1] : -1;
    r->home_late = last < 0 ? 0 : home_late(r, last, r->stop[last].finish_h);
    r->total = sums.total + (last < 0 ? 0 : home_money(r, last));
    r->total_broken = sums.broken + r->home_late;
}

/* What earlier times and cleaner loads from place t on could save at most. */
static double at_stake(const sb_route_state *r, int t)
{
    return r->before[r->count].at_stake - r->before[t].at_stake + r->home_late;
}

SB_VECTORISED
void sb_route_refresh(sb_route_state *r)
{
    for (int t = 0; t < r->count; t++) {
        work_out_money(r, t, row(r->load_after, r->p, r->field[t]));
        if (r->p->timed)
            work_out_time(r, t);
    }
    for (int t = r->count - 1; t >= 0; t--) {
        work_out_price(r, t, row(r->price_before, r->p, r->field[t]));
        work_out_carried(r, t);
        if (r->p->timed)
            work_out_slack(r, t);
    }
    r->before[0] = (sb_sums){0};
    add_up(r, 0);
}

/* ---- Pricing a change ---------------------------------------------------------------------- */

/* How far a change has been followed, and how much more it has come to. */
typedef struct cursor {
    double load[SB_MAX_DIMS];
    double cost, broken, free_h, spend, full;
    int from;
} cursor;

/* @return what the stop comes to, broken rules included */
SB_INLINED double step(const sb_route_state *r, cursor *c, const double *way, int to, int level)
{
    const sb_problem *p = r->p;
    double broken = move_shut(r, way, level);
    if (p->n_limits > 0)
        broken += limits_over(r, c->from, to, level, c->load);
    double cost = sb_bring_load(p, to, level, c->load, c->load) + sb_way_fixed(way)[level];
    if (p->timed) {
        c->free_h =
            later(c->free_h + p->level_h[level] + sb_way_h(way), p->ready_h[to]) + p->cut_h[to];
        cost += sb_delay(p, to, c->free_h);
        broken += field_late(r, to, c->free_h);
    }
    c->cost += cost;
    c->broken += broken;
    c->spend += p->level_cost[level];
    c->full += p->level_full[level];
    c->from = to;
    return cost + broken;
}

/* Takes off what the stops of the stretch, and the first one behind it, come to now. */
static void take_off(const sb_route_state *r, cursor *c, const sb_change *m)
{
    for (int t = m->begin; t <= m->end && t < r->count; t++) {
        const sb_stop_state *stop = &r->stop[r->field[t]];
        c->cost -= stop->cost + stop->delay;
        c->broken -= stop->late + stop->over + stop->shut;
        c->spend -= r->p->level_cost[r->level[t]];
        c->full -= r->p->level_full[r->level[t]];
    }
}

/* Dates from place t on, followed while they differ from what they were.
 * @return false: the route comes to more than `most` */
static bool follow_dates(const sb_route_state *r, cursor *c, int t, double most)
{
    const sb_problem *p = r->p;
    double free_h = c->free_h, later_h = free_h - free_before(r, t);
    if (t < r->count) {
        double slack_h = r->stop[r->field[t]].slack_h;
        if (!p->delayed && slack_h >= 0 && later_h <= slack_h)
            return true; /* no date was broken, none will be */
    }
    for (; t < r->count && fabs(free_h - free_before(r, t)) > SAME_H; t++) {
        int j = r->field[t];
        const sb_stop_state *stop = &r->stop[j];
        free_h = later(free_h + stop->set_out_h, p->ready_h[j]) + p->cut_h[j];
        c->cost += sb_delay(p, j, free_h) - stop->delay;
        c->broken += field_late(r, j, free_h) - stop->late;
        if (c->cost + c->broken - at_stake(r, t + 1) > most)
            return false;
    }
    if (t == r->count)
        c->broken += home_late(r, r->field[t - 1], free_h) - r->home_late;
    return true;
}

/* Seed limits likewise. */
static void follow_limits(const sb_route_state *r, cursor *c, int t)
{
    const sb_problem *p = r->p;
    for (; t < r->count && !same_numbers(c->load, load_before(r, t), p->dims); t++) {
        int i = before(r, t), j = r->field[t];
        c->broken += limits_over(r, i, j, r->level[t], c->load) - r->stop[j].over;
        sb_bring_load(p, j, r->level[t], c->load, c->load);
    }
}

/* The cursor stands behind the first stop of the old tail, which is at place t - 1. Money behind it
 * is K + V . load, and K has not changed.
 * @return false: the route comes to more than `most` */
SB_INLINED bool add_tail(const sb_route_state *r, cursor *c, int t, double most)
{
    const sb_problem *p = r->p;
    if (t < r->count) {
        const double *price = row_of(r->price_before, p, r->field[t]);
        c->cost += sb_vector_dot(price, c->load, p->dims) -
                   sb_vector_dot(price, load_before(r, t), p->dims);
    }
    if (c->cost + c->broken - at_stake(r, t) > most)
        return false;
    if (p->n_limits > 0)
        follow_limits(r, c, t);
    return !p->timed || follow_dates(r, c, t, most);
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

/* `level`, or one chosen anew where that is wanted at place k or the move does not allow it. */
static int level_of(const sb_change *m, const sb_problem *p, const double *way, int *next_fresh,
                    int k, int to, int level, const double *load, const double *later_price)
{
    while (*next_fresh < m->n_fresh && m->fresh[*next_fresh] < k)
        (*next_fresh)++;
    unsigned allowed = sb_way_allowed(way);
    bool fresh = *next_fresh < m->n_fresh && m->fresh[*next_fresh] == k;
    if (!fresh && (allowed >> level & 1))
        return level;
    return sb_greedy_level_of(p, allowed, sb_way_fixed(way), to, load, later_price);
}

/* The field that comes first (or last) of a piece. */
static int end_of(const sb_piece *piece, bool first)
{
    return piece->route->field[piece->from + (first == piece->turned ? piece->count - 1 : 0)];
}

/* Does the route go through the piece as it does now? With no rule broken its levels stay as well.
 */
static bool stays_whole(const sb_route_state *r, const sb_piece *piece)
{
    return piece->route == r && !piece->turned && r->total_broken <= 0;
}

/* What the stops of a piece behind its first one come to at least. */
static double least_within(const sb_route_state *r, const sb_piece *piece)
{
    const int *field = piece->route->field + piece->from;
    double money = 0;
    if (piece->count == 1)
        return 0;
    if (stays_whole(r, piece)) {
        const sb_sums *from = &r->before[piece->from + 1];
        const sb_sums *to = &r->before[piece->from + piece->count];
        return to->total - to->at_stake - (from->total - from->at_stake) -
               r->stop[field[0]].carried;
    }
    for (int k = 1; k < piece->count; k++)
        money += piece->turned ? sb_way_least(r->ways, field[k], field[k - 1])
                               : sb_way_least(r->ways, field[k - 1], field[k]);
    return money;
}

/* What a move where pieces join comes to at least. It will be wanted in full now and then. */
static double least_of_joint(const sb_route_state *r, int from, int to)
{
    __builtin_prefetch(sb_way(r->ways, from, to));
    return sb_way_least(r->ways, from, to);
}

void sb_route_screen(const sb_route_state *r, sb_change *m)
{
    int from = before(r, m->begin), behind = m->end < r->count ? m->end + 1 : r->count;
    const sb_sums *kept = &r->before[m->begin], *gone = &r->before[behind];
    double money = kept->total + kept->broken - gone->total - gone->broken - at_stake(r, behind);
    for (int k = 0; k < m->n_pieces; k++) {
        const sb_piece *piece = &m->piece[k];
        money += least_of_joint(r, from, end_of(piece, true)) + least_within(r, piece);
        from = end_of(piece, false);
    }
    if (m->end < r->count) {
        int to = r->field[m->end];
        money += least_of_joint(r, from, to) - r->stop[to].carried;
    } else {
        money += (from < r->p->n ? home_money(r, from) : 0) -
                 (r->count > 0 ? home_money(r, r->field[r->count - 1]) : 0);
    }
    m->least = money;
}

/* Stops and levels of the pieces, and what was said of each when the change was screened. */
static void write_out(const sb_route_state *route, sb_change *m)
{
    int from = before(route, m->begin);
    m->count = m->n_fresh = 0;
    for (int k = 0; k < m->n_pieces; k++) {
        const sb_piece *piece = &m->piece[k];
        const sb_route_state *r = piece->route;
        bool whole = stays_whole(route, piece);
        m->fresh[m->n_fresh++] = m->count;
        for (int i = 0; i < piece->count; i++, m->count++) {
            int at = piece->from + (piece->turned ? piece->count - 1 - i : i), to = r->field[at];
            m->field[m->count] = to;
            m->level[m->count] = r->level[piece->turned && i > 0 ? at + 1 : at];
            m->stop_least[m->count] =
                whole && i > 0 ? r->stop[to].cost : sb_way_least(route->ways, from, to);
            from = to;
        }
        if (whole && piece->count > 1) /* what its stops may save together is known behind it */
            m->stop_least[m->count - 1] -= r->stop[end_of(piece, true)].carried;
    }
    m->fresh[m->n_fresh++] = m->count;
    if (m->new_level >= 0) {
        m->level[0] = m->new_level;
        m->n_fresh = 0;
    }
}

SB_VECTORISED
bool sb_route_price(const sb_route_state *r, sb_change *m, double most)
{
    const sb_problem *p = r->p;
    write_out(r, m);
    int next_fresh = 0;
    double spare = most - m->least;
    cursor c; /* not cleared as a whole: its load is long */
    c.cost = c.broken = c.spend = c.full = 0;
    c.free_h = free_before(r, m->begin);
    c.from = before(r, m->begin);
    memcpy(c.load, load_before(r, m->begin), (size_t)p->dims * sizeof *c.load);
    const double *later_price = price_before(r, m->end);
    m->tail_level = m->end < r->count ? r->level[m->end] : 0;
    for (int k = 0; k < m->count; k++) {
        int from = c.from, to = m->field[k];
        const double *way = sb_way(r->ways, from, to);
        m->level[k] = level_of(m, p, way, &next_fresh, k, to, m->level[k], c.load, later_price);
        spare -= step(r, &c, way, to, m->level[k]) - m->stop_least[k];
        if (spare < 0)
            return false;
    }
    if (m->end < r->count) {
        int to = r->field[m->end];
        const double *way = sb_way(r->ways, c.from, to);
        m->tail_level = level_of(m, p, way, &next_fresh, m->count, to, m->tail_level, c.load,
                                 price_before(r, m->end + 1));
        step(r, &c, way, to, m->tail_level);
        take_off(r, &c, m);
        if (!add_tail(r, &c, m->end + 1, most))
            return false;
    } else {
        take_off(r, &c, m);
        change_home(r, &c);
    }
    m->cost = c.cost;
    m->broken = c.broken;
    m->spend = c.spend;
    m->full = c.full;
    return true;
}

/* ---- Making a change ----------------------------------------------------------------------- */

/* Loads and money from place `begin` on; behind place `sure` until the load is what it was.
 * @return the last place worked out */
SB_INLINED int refresh_money(sb_route_state *r, int begin, int sure)
{
    double after[SB_MAX_DIMS];
    for (int t = begin; t < r->count; t++) {
        double *here = row(r->load_after, r->p, r->field[t]);
        work_out_money(r, t, after);
        bool same = t > sure && same_numbers(after, here, r->p->dims);
        put_numbers(here, after, r->p->dims);
        if (same)
            return t;
    }
    return r->count - 1;
}

/* @return the first place worked out */
SB_INLINED int refresh_prices(sb_route_state *r, int sure, int end)
{
    double price[SB_MAX_DIMS];
    for (int t = end; t >= 0; t--) {
        double *here = row(r->price_before, r->p, r->field[t]);
        work_out_price(r, t, price);
        bool same = t < sure && same_numbers(price, here, r->p->dims);
        put_numbers(here, price, r->p->dims);
        if (same)
            return t;
    }
    return 0;
}

/* Times from place `begin` on; behind place `sure` until they are what they were. Then how far they
 * may slip, from there back to where that is what it was in front of `begin`. */
SB_INLINED void refresh_times(sb_route_state *r, int begin, int sure)
{
    int last = begin;
    for (int t = begin; t < r->count; t++) {
        const sb_stop_state *stop = &r->stop[r->field[t]];
        double old_h = stop->finish_h;
        work_out_time(r, t);
        last = t;
        if (t > sure && stop->finish_h == old_h)
            break;
    }
    for (int t = last < r->count ? last : r->count - 1; t >= 0; t--) {
        const sb_stop_state *stop = &r->stop[r->field[t]];
        double old_h = stop->slack_h;
        work_out_slack(r, t);
        if (t < begin && stop->slack_h == old_h)
            return;
    }
}

SB_VECTORISED
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
    int last = refresh_money(r, m->begin, behind);
    int first = refresh_prices(r, m->begin, behind < r->count ? behind : r->count - 1);
    for (int t = first > 0 ? first - 1 : 0; t <= last; t++)
        work_out_carried(r, t);
    if (r->p->timed)
        refresh_times(r, m->begin, behind);
    add_up(r, m->begin);
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
