/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The end for small seasons: every assignment, order and level that may still be better, depth
 * first. What is left to do costs at least what each field's cheapest way in costs, as it is and
 * with the losses counted by the multipliers; losses never fall. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "order/fair_parts.h"

/* Larger seasons are hardly ever finished in so many steps. */
#define MOST_FIELDS 9
#define MOST_STEPS 4000000L
#define STEPS_BETWEEN_LOOKS 4096

typedef struct place {
    int machine, from;
    double cost, free_h, spend, full;
    uint64_t cut, own; /* fields cut; of them, by this machine */
} place;

typedef struct closer {
    sb_fair *f;
    const sb_aim_at *aim;
    const double *y;
    double dues;           /* sum of y x cap */
    double *way, *counted; /* n: cheapest way in, as it is and with losses counted */
    double *loads;         /* (n + 1) x dims of the largest problem */
    double *losses;        /* (n + 1) x takers */
    size_t dims;
    sb_routes at, best;
    double to_beat;
    long steps;
    bool found, given_up;
    sb_status status;
} closer;

static bool over_limits(const closer *c, const place *p)
{
    const sb_fleet *fleet = &c->f->fleet;
    return p->spend > sb_spend_most(fleet->most_spend) || p->full > fleet->most_full;
}

/* Can nothing that begins like this be better? */
static bool hopeless(const closer *c, const place *p, const double *loss)
{
    const sb_fair *f = c->f;
    const double *musts = sb_fair_musts(c->aim);
    for (int g = 0; g < f->n_takers && musts != NULL; g++)
        if (sb_fair_over(loss[g], musts[g]))
            return true;
    if (!c->aim->money)
        return sb_fair_excess(f, c->aim, loss) >= c->to_beat;
    double least = p->cost, counted = p->cost - c->dues;
    for (int g = 0; g < f->n_takers; g++)
        counted += c->y[g] * loss[g];
    for (int j = 0; j < f->fleet.n; j++)
        if (!(p->cut >> j & 1)) {
            least += c->way[j];
            counted += c->counted[j];
        }
    return fmax(least, counted) >= c->to_beat;
}

static void take_plan(closer *c, const place *p, const double *loss)
{
    double cost = p->cost;
    if (c->f->fleet.coupled)
        c->status = sb_fleet_cost(&c->f->fleet, &c->at, &cost);
    double value = isinf(cost)     ? INFINITY
                   : c->aim->money ? cost
                                   : sb_fair_excess(c->f, c->aim, loss);
    if (c->status != SB_OK || !(value < c->to_beat))
        return;
    sb_routes_copy(&c->f->fleet, &c->at, &c->best);
    c->to_beat = value;
    c->found = true;
}

/* Was a field cut on this route that j must come before? */
static bool comes_too_late(const sb_problem *p, const place *at, int j)
{
    return p->ordered && (p->behind[(size_t)j * (size_t)p->words] & at->own) != 0;
}

/* The move to j after a level; false: it breaks a rule. */
static bool move(closer *c, place *at, int j, int level, const double *load, double *load_after,
                 double *loss)
{
    const sb_problem *p = &c->f->fleet.problems[at->machine];
    if (!(p->allowed[sb_arc(p, at->from, j)] >> level & 1) ||
        !sb_limits_kept(p, at->from, j, level, load) || comes_too_late(p, at, j))
        return false;
    size_t arc = sb_arc(p, at->from, j) * (size_t)p->levels + (size_t)level;
    double money = sb_move_load(p, at->from, j, level, load, load_after);
    at->free_h = sb_finish_h(p, at->from, j, level, at->free_h);
    if (at->free_h > p->latest_h[j] + SB_SAME_TIME_H)
        return false;
    loss[c->f->taker_of[j]] += (money - p->fixed[arc] + p->forgotten[arc]) / c->f->weight;
    at->cost += money + sb_delay(p, j, at->free_h);
    at->spend += p->level_cost[level];
    at->full += p->level_full[level];
    at->from = j;
    at->cut |= (uint64_t)1 << j;
    at->own |= (uint64_t)1 << j;
    return !over_limits(c, at);
}

static void go_on(closer *c, const place *at, int depth);

/* This machine goes home, the next one sets out. */
static void end_route(closer *c, const place *at, int depth)
{
    const sb_fleet *fleet = &c->f->fleet;
    const sb_problem *p = &fleet->problems[at->machine];
    bool all = at->cut == ((uint64_t)1 << fleet->n) - 1, last = at->machine + 1 == fleet->machines;
    place home = *at;
    size_t dims = c->dims, takers = (size_t)c->f->n_takers;
    if (last && !all)
        return;
    if (at->from < p->n) {
        home.cost += p->home_cost[at->from];
        if (isinf(home.cost) || at->free_h + p->home_h[at->from] > p->end_h + SB_SAME_TIME_H)
            return;
    }
    if (hopeless(c, &home, c->losses + (size_t)depth * takers))
        return;
    if (last) {
        take_plan(c, &home, c->losses + (size_t)depth * takers);
        return;
    }
    home.machine++;
    home.from = fleet->n;
    home.free_h = 0;
    home.own = 0;
    const sb_problem *next = &fleet->problems[home.machine];
    double *load = c->loads + (size_t)depth * dims;
    double held[SB_MAX_DIMS];
    memcpy(held, load, dims * sizeof *held);
    memcpy(load, next->own + (size_t)next->n * (size_t)next->dims,
           (size_t)next->dims * sizeof *load);
    go_on(c, &home, depth);
    memcpy(load, held, dims * sizeof *held);
}

static bool give_up(closer *c)
{
    c->given_up |= c->steps > MOST_STEPS ||
                   (c->steps % STEPS_BETWEEN_LOOKS == 0 && sb_crew_stopped(c->f->watch));
    return c->given_up || c->status != SB_OK;
}

static void go_on(closer *c, const place *at, int depth)
{
    const sb_fleet *fleet = &c->f->fleet;
    const sb_problem *p = &fleet->problems[at->machine];
    size_t takers = (size_t)c->f->n_takers;
    int *count = &c->at.count[at->machine];
    for (int j = 0; j < fleet->n; j++)
        for (int l = 0; l < p->levels && !(at->cut >> j & 1); l++) {
            c->steps++;
            if (give_up(c))
                return;
            place next = *at;
            double *loss = c->losses + (size_t)(depth + 1) * takers;
            memcpy(loss, loss - takers, takers * sizeof *loss);
            if (!move(c, &next, j, l, c->loads + (size_t)depth * c->dims,
                      c->loads + (size_t)(depth + 1) * c->dims, loss) ||
                hopeless(c, &next, loss))
                continue;
            c->at.field[at->machine * fleet->n + *count] = j;
            c->at.level[at->machine * fleet->n + *count] = l;
            ++*count;
            go_on(c, &next, depth + 1);
            --*count;
        }
    end_route(c, at, depth);
}

/* What coming into each field costs at least, whatever comes before. */
static void find_ways(closer *c)
{
    const sb_fleet *fleet = &c->f->fleet;
    for (int j = 0; j < fleet->n; j++) {
        double y = c->y[c->f->taker_of[j]];
        c->way[j] = c->counted[j] = INFINITY;
        for (int m = 0; m < fleet->machines; m++) {
            const sb_problem *p = &fleet->problems[m];
            for (int i = 0; i <= fleet->n; i++)
                for (int l = 0; l < p->levels; l++) {
                    if (!(p->allowed[sb_arc(p, i, j)] >> l & 1))
                        continue;
                    size_t arc = sb_arc(p, i, j) * (size_t)p->levels + (size_t)l;
                    double money = sb_first_order_cost(p, i, j, l);
                    double loss = (money - p->fixed[arc] + p->forgotten[arc]) / c->f->weight;
                    c->way[j] = fmin(c->way[j], money);
                    c->counted[j] = fmin(c->counted[j], money + y * loss);
                }
        }
    }
}

static sb_status closer_init(closer *c)
{
    const sb_fleet *fleet = &c->f->fleet;
    size_t n = (size_t)fleet->n;
    for (int m = 0; m < fleet->machines; m++)
        if ((size_t)fleet->problems[m].dims > c->dims)
            c->dims = (size_t)fleet->problems[m].dims;
    c->way = sb_alloc(n, sizeof *c->way);
    c->counted = sb_alloc(n, sizeof *c->counted);
    c->loads = sb_alloc_aligned((n + 1) * c->dims, sizeof *c->loads);
    c->losses = sb_alloc((n + 1) * (size_t)c->f->n_takers, sizeof *c->losses);
    if (sb_routes_init(&c->at, fleet) != SB_OK || sb_routes_init(&c->best, fleet) != SB_OK ||
        !c->way || !c->counted || !c->loads || !c->losses)
        return SB_ERR_NOMEM;
    for (int g = 0; g < c->f->n_takers; g++)
        if (c->y[g] > 0)
            c->dues += c->y[g] * c->aim->cap[g];
    find_ways(c);
    const sb_problem *first = &fleet->problems[0];
    memcpy(c->loads, first->own + (size_t)first->n * (size_t)first->dims,
           (size_t)first->dims * sizeof *c->loads);
    return SB_OK;
}

sb_status sb_fair_close(sb_fair *f, const sb_aim_at *aim, const double *y, double to_beat,
                        bool *closed)
{
    closer c = {.f = f, .aim = aim, .y = y, .to_beat = to_beat};
    size_t index;
    *closed = false;
    if (f->fleet.n > MOST_FIELDS)
        return SB_OK;
    sb_status status = closer_init(&c);
    if (status == SB_OK) {
        place start = {.from = f->fleet.n};
        go_on(&c, &start, 0);
        status = c.status;
    }
    if (status == SB_OK && c.found)
        status = sb_fair_meet(f, &c.best, &index);
    *closed = status == SB_OK && !c.given_up;
    sb_routes_release(&c.at);
    sb_routes_release(&c.best);
    sb_free(c.way);
    sb_free(c.counted);
    sb_free(c.loads);
    sb_free(c.losses);
    return status;
}
