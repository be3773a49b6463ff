/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Looks near a plan for one that suits the aim better: another cleanout before a stop, a field at
 * another place, two fields in each other's. Caps may be exceeded on the way, at a price. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/random.h"
#include "order/fair_parts.h"

#define KICK_MOVES 3
/* Of two plans with the same worst excess the one with less loss in all, then the cheaper one. */
#define LOSS_SHARE 1e-4
#define COST_SHARE 1e-8
#define WORTH_WHILE 1e-9 /* relative */

typedef struct nearby {
    sb_fair *f;
    const sb_aim_at *aim;
    sb_routes at, trial;
    double *cost, *spend, *full; /* machines */
    double *loss;                /* machines x takers */
    double *sum;                 /* takers: scratch */
    double value;                /* of `at`; INFINITY: it breaks rules */
    sb_status status;
} nearby;

static bool out_of_time(const nearby *n)
{
    const sb_fair *f = n->f;
    return f->grace_until_s > 0 ? sb_crew_elapsed_s(f->watch) >= f->grace_until_s
                                : sb_crew_stopped(f->watch);
}

static double value_of(const nearby *n, double cost, const double *loss)
{
    const sb_fair *f = n->f;
    if (isinf(cost))
        return INFINITY;
    double value = n->aim->money ? cost : sb_fair_excess(f, n->aim, loss) + COST_SHARE * cost;
    const double *musts = sb_fair_musts(n->aim);
    for (int g = 0; g < f->n_takers; g++) {
        if (!n->aim->money)
            value += LOSS_SHARE * loss[g];
        if (musts != NULL && sb_fair_over(loss[g], musts[g]))
            value += n->aim->penalty * (loss[g] - musts[g]);
    }
    return value;
}

/* Works out one machine's part anew. */
static void work_out(nearby *n, const sb_routes *routes, int m)
{
    const sb_fleet *fleet = &n->f->fleet;
    const int *field = routes->field + m * fleet->n, *level = routes->level + m * fleet->n;
    double *loss = n->loss + (size_t)m * (size_t)n->f->n_takers;
    sb_route_use use = {0};
    n->cost[m] = sb_fleet_route_cost(fleet, m, field, level, routes->count[m], &use, NULL, NULL);
    n->spend[m] = use.spend;
    n->full[m] = use.full;
    memset(loss, 0, (size_t)n->f->n_takers * sizeof *loss);
    if (isfinite(n->cost[m]))
        sb_fair_add_losses(n->f, m, field, level, routes->count[m], loss);
}

/* What all parts come to; waits between machines are counted only where they may decide. */
static double value_of_all(nearby *n, const sb_routes *routes, double to_beat)
{
    const sb_fleet *fleet = &n->f->fleet;
    double cost = 0, spend = 0, full = 0;
    memset(n->sum, 0, (size_t)n->f->n_takers * sizeof *n->sum);
    for (int m = 0; m < fleet->machines; m++) {
        cost += n->cost[m];
        spend += n->spend[m];
        full += n->full[m];
        for (int g = 0; g < n->f->n_takers; g++)
            n->sum[g] += n->loss[m * n->f->n_takers + g];
    }
    if (spend > sb_spend_most(fleet->most_spend) || full > fleet->most_full)
        return INFINITY;
    double value = value_of(n, cost, n->sum);
    if (!fleet->coupled || !(value < to_beat))
        return value;
    n->status = sb_fleet_cost(fleet, routes, &cost);
    return value_of(n, cost, n->sum);
}

/* Puts the trial in the place of the plan if it is better (or whatever it is, as long as it keeps
 * the rules). Machines a and b differ. */
static bool take(nearby *n, int a, int b, bool whatever)
{
    double to_beat = whatever ? INFINITY : n->value - WORTH_WHILE * (1 + fabs(n->value));
    work_out(n, &n->trial, a);
    if (b != a)
        work_out(n, &n->trial, b);
    double value = value_of_all(n, &n->trial, to_beat);
    if (n->status == SB_OK && value < to_beat) {
        sb_routes_copy(&n->f->fleet, &n->trial, &n->at);
        n->value = value;
        return true;
    }
    sb_routes_copy(&n->f->fleet, &n->at, &n->trial);
    work_out(n, &n->at, a);
    if (b != a)
        work_out(n, &n->at, b);
    return false;
}

static void take_out(const sb_fleet *fleet, sb_routes *routes, int m, int t)
{
    int *field = routes->field + m * fleet->n, *level = routes->level + m * fleet->n;
    size_t behind = (size_t)(--routes->count[m] - t) * sizeof(int);
    memmove(field + t, field + t + 1, behind);
    memmove(level + t, level + t + 1, behind);
}

static void put_in(const sb_fleet *fleet, sb_routes *routes, int m, int t, int which, int cleanout)
{
    int *field = routes->field + m * fleet->n, *level = routes->level + m * fleet->n;
    size_t behind = (size_t)(routes->count[m]++ - t) * sizeof(int);
    memmove(field + t + 1, field + t, behind);
    memmove(level + t + 1, level + t, behind);
    field[t] = which;
    level[t] = cleanout;
}

/* ---- Moves --------------------------------------------------------------------------------- */

static bool other_levels(nearby *n, int m, int t)
{
    const sb_fleet *fleet = &n->f->fleet;
    for (int l = 0; l < fleet->problems[m].levels; l++) {
        if (l == n->at.level[m * fleet->n + t])
            continue;
        n->trial.level[m * fleet->n + t] = l;
        if (take(n, m, m, false))
            return true;
    }
    return false;
}

static bool other_places(nearby *n, int m, int t)
{
    const sb_fleet *fleet = &n->f->fleet;
    int field = n->at.field[m * fleet->n + t];
    for (int to = 0; to < fleet->machines; to++) {
        if (!fleet->may_cut[to * fleet->n + field])
            continue;
        int places = n->at.count[to] - (to == m);
        for (int place = 0; place <= places; place++)
            for (int l = 0; l < fleet->problems[to].levels; l++) {
                if (to == m && place == t)
                    break;
                take_out(fleet, &n->trial, m, t);
                put_in(fleet, &n->trial, to, place, field, l);
                if (take(n, m, to, false))
                    return true;
            }
    }
    return false;
}

static bool exchanges(nearby *n, int m, int t)
{
    const sb_fleet *fleet = &n->f->fleet;
    for (int to = m; to < fleet->machines; to++)
        for (int place = to == m ? t + 1 : 0; place < n->at.count[to]; place++) {
            int *one = &n->trial.field[m * fleet->n + t];
            int *two = &n->trial.field[to * fleet->n + place], held = *one;
            if (!fleet->may_cut[to * fleet->n + *one] || !fleet->may_cut[m * fleet->n + *two])
                continue;
            *one = *two;
            *two = held;
            if (take(n, m, to, false))
                return true;
        }
    return false;
}

/* Cleanouts alone, which is quick: where time is short the needless ones go first. */
static void descend_levels(nearby *n)
{
    for (bool better = true; better && n->status == SB_OK && !out_of_time(n);) {
        better = false;
        for (int m = 0; m < n->f->fleet.machines; m++)
            for (int t = 0; t < n->at.count[m] && n->status == SB_OK; t++)
                better |= other_levels(n, m, t);
    }
}

/* Until nothing near is better. */
static void descend(nearby *n)
{
    const sb_fleet *fleet = &n->f->fleet;
    descend_levels(n);
    for (bool better = true; better && n->status == SB_OK;) {
        better = false;
        for (int m = 0; m < fleet->machines; m++)
            for (int t = 0; t < n->at.count[m] && n->status == SB_OK; t++) {
                if (out_of_time(n))
                    return;
                better |= other_levels(n, m, t);
                better |= t < n->at.count[m] && other_places(n, m, t);
                better |= t < n->at.count[m] && exchanges(n, m, t);
            }
    }
}

/* Some fields go anywhere that the rules allow. */
static void shake(nearby *n, sb_random *random)
{
    const sb_fleet *fleet = &n->f->fleet;
    for (int i = 0, done = 0; i < 20 * KICK_MOVES && done < KICK_MOVES; i++) {
        int m = sb_random_below(random, fleet->machines);
        int to = sb_random_below(random, fleet->machines);
        if (n->at.count[m] == 0)
            continue;
        int t = sb_random_below(random, n->at.count[m]);
        int field = n->at.field[m * fleet->n + t];
        take_out(fleet, &n->trial, m, t);
        put_in(fleet, &n->trial, to, sb_random_below(random, n->trial.count[to] + 1), field,
               sb_random_below(random, fleet->problems[to].levels));
        done += take(n, m, to, true);
    }
}

/* ---- The whole ----------------------------------------------------------------------------- */

static sb_status set_out(nearby *n, size_t begin)
{
    const sb_fleet *fleet = &n->f->fleet;
    size_t machines = (size_t)fleet->machines, takers = (size_t)n->f->n_takers;
    n->cost = sb_alloc(machines, sizeof *n->cost);
    n->spend = sb_alloc(machines, sizeof *n->spend);
    n->full = sb_alloc(machines, sizeof *n->full);
    n->loss = sb_alloc(machines * takers, sizeof *n->loss);
    n->sum = sb_alloc(takers, sizeof *n->sum);
    if (sb_routes_init(&n->at, fleet) != SB_OK || sb_routes_init(&n->trial, fleet) != SB_OK ||
        !n->cost || !n->spend || !n->full || !n->loss || !n->sum)
        return SB_ERR_NOMEM;
    sb_routes_copy(fleet, &n->f->met.items[begin].routes, &n->at);
    sb_routes_copy(fleet, &n->at, &n->trial);
    for (int m = 0; m < fleet->machines; m++)
        work_out(n, &n->at, m);
    n->value = value_of_all(n, &n->at, INFINITY);
    return n->status;
}

static void go_back(nearby *n, const sb_routes *to)
{
    sb_routes_copy(&n->f->fleet, to, &n->at);
    sb_routes_copy(&n->f->fleet, to, &n->trial);
    for (int m = 0; m < n->f->fleet.machines; m++)
        work_out(n, &n->at, m);
}

sb_status sb_fair_improve(sb_fair *f, const sb_aim_at *aim, size_t begin, int kicks, size_t *index)
{
    nearby n = {.f = f, .aim = aim};
    sb_routes best = {0};
    sb_random random = sb_random_init(f->options->order->seed, f->met.count);
    *index = begin;
    sb_status status = set_out(&n, begin);
    if (status == SB_OK)
        status = sb_routes_init(&best, &f->fleet);
    if (status != SB_OK)
        goto out;
    descend(&n);
    sb_routes_copy(&f->fleet, &n.at, &best);
    double best_value = n.value;
    for (int k = 0; k < kicks && n.status == SB_OK && !sb_crew_stopped(f->watch); k++) {
        shake(&n, &random);
        descend(&n);
        if (n.value < best_value) {
            sb_routes_copy(&f->fleet, &n.at, &best);
            best_value = n.value;
        } else {
            go_back(&n, &best);
            n.value = best_value;
        }
    }
    status = n.status;
    if (status == SB_OK)
        status = sb_fair_meet(f, &best, index);
    if (*index == SIZE_MAX)
        *index = begin;
out:
    sb_routes_release(&n.at);
    sb_routes_release(&n.trial);
    sb_routes_release(&best);
    void *owned[] = {n.cost, n.spend, n.full, n.loss, n.sum};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
    return status;
}
