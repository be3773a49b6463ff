/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_prove.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "order/fleet_prover.h"
#include "order/fleet_search.h"
#include "order/glpk_guard.h"

/* Routes are listed under a cap on labels: so many, or this share of those looked at before; more
 * when nothing else helps. */
#define LIST_FIRST 100000L
#define LIST_SHARE 0.3
#define LIST_MOST 600000L
/* While the bound still rises by steps, no list is tried that far from the cost; in seasons of many
 * fields, whose lists are long, not before nothing else helps. */
#define LIST_GAP 0.08
#define MANY_FIELDS 30
#define LIST_GAP_OF_MANY 0.015
#define LIST_MORE 6
/* Between attempts the best routes are annealed again, gently: better ones close more. */
#define POLISH_STARTS 4
#define POLISH_SHARE 0.3
#define POLISH_HEAT 0.1

/* ---- Making one ---------------------------------------------------------------------------- */

/* More than any plan that keeps the rules can cost: each field at its worst. */
static double most_conceivable(const sb_prover *s)
{
    const sb_fleet *f = s->fleet;
    double total = 1;
    for (int j = 0; j < f->n; j++) {
        double worst = 0;
        for (int m = 0; m < f->machines; m++) {
            if (f->kind[m] != m)
                continue;
            const sb_pricer *w = &s->pricers[m];
            const sb_problem *p = w->p;
            for (int i = 0; i <= f->n; i++)
                for (int l = 0; l < p->levels; l++) {
                    if (!(p->allowed[sb_arc(p, i, j)] >> l & 1))
                        continue;
                    const double *load =
                        (i < f->n ? w->load_high : p->own) + (size_t)i * (size_t)p->dims;
                    double money = sb_fixed(p, i, j, l);
                    for (int d = 0; d < p->dims; d++)
                        money += p->shed[(size_t)j * (size_t)p->dims + (size_t)d] * load[d];
                    if (p->delayed)
                        money += p->delay[(size_t)(j + 1) * (size_t)p->delay_days - 1];
                    worst = fmax(worst, money);
                }
            if (isfinite(p->home_cost[j]))
                total += fmax(p->home_cost[j], 0) / f->n; /* below: once for each machine */
        }
        total += worst;
    }
    for (int m = 0; m < f->machines; m++) {
        double home = 0;
        for (int j = 0; j < f->n; j++)
            if (isfinite(f->problems[m].home_cost[j]))
                home = fmax(home, f->problems[m].home_cost[j]);
        total += home;
    }
    return total * 1.01;
}

/* What every plan costs at least: each field its cheapest way in, with no seeds but those of the
 * field before. */
static double easy_bound(const sb_fleet *f)
{
    double sum = 0;
    for (int j = 0; j < f->n; j++) {
        double least = INFINITY;
        for (int m = 0; m < f->machines; m++)
            for (int i = 0; i <= f->n && f->kind[m] == m; i++)
                least = fmin(least, sb_first_order_least(&f->problems[m], i, j));
        sum += least;
    }
    for (int m = 0; m < f->machines; m++) {
        double home = 0; /* of a machine on its way it may be less than nothing */
        for (int j = 0; j < f->n; j++)
            home = fmin(home, f->problems[m].home_cost[j]);
        sum += home;
    }
    return sum;
}

static bool whole(double money)
{
    return isinf(money) || fabs(money - round(money)) < 1e-9;
}

/* Is every plan's cost a whole number? So it is where only kilometres of a table cost money. */
static double money_unit(const sb_fleet *f)
{
    for (int m = 0; m < f->machines; m++) {
        const sb_problem *p = &f->problems[m];
        if (p->dims > 0 || p->delayed)
            return 0;
        for (int j = 0; j < f->n; j++) {
            if (!whole(p->home_cost[j]))
                return 0;
            for (int i = 0; i <= f->n; i++)
                for (int l = 0; l < p->levels; l++)
                    if ((p->allowed[sb_arc(p, i, j)] >> l & 1) && !whole(sb_fixed(p, i, j, l)))
                        return 0;
        }
    }
    return 1;
}

static sb_status prover_init(sb_prover *s)
{
    const sb_fleet *f = s->fleet;
    size_t machines = (size_t)f->machines, n = (size_t)f->n;
    s->pricers = sb_alloc(machines, sizeof *s->pricers);
    s->like = sb_alloc(machines, sizeof *s->like);
    s->least = sb_alloc(machines, sizeof *s->least);
    s->best_least = sb_alloc(machines, sizeof *s->best_least);
    s->over_h = sb_alloc(machines, sizeof *s->over_h);
    s->direction = sb_alloc(n + machines, sizeof *s->direction);
    s->field = sb_alloc(n, sizeof *s->field);
    s->level = sb_alloc(n, sizeof *s->level);
    s->visits = sb_alloc(machines * n, sizeof *s->visits);
    if (!s->pricers || !s->like || !s->least || !s->best_least || !s->over_h || !s->direction ||
        !s->field || !s->level || !s->visits)
        return SB_ERR_NOMEM;
    sb_duals *duals[] = {&s->best, &s->center, &s->lp, &s->at};
    for (size_t d = 0; d < 4; d++)
        if (sb_duals_init(duals[d], f) != SB_OK)
            return SB_ERR_NOMEM;
    for (int m = 0; m < f->machines; m++) {
        s->like[f->kind[m]]++;
        if (f->kind[m] == m && sb_pricer_init(&s->pricers[m], &f->problems[m], s->crew) != SB_OK)
            return SB_ERR_NOMEM;
    }
    s->unit = money_unit(f);
    s->conceivable = most_conceivable(s);
    return SB_OK;
}

static void prover_release(sb_prover *s)
{
    for (int m = 0; s->pricers != NULL && m < s->fleet->machines; m++)
        sb_pricer_release(&s->pricers[m]);
    sb_tree_free(s->tree);
    sb_column_pool_release(&s->columns);
    sb_entry_cuts_release(&s->cuts);
    sb_duals_release(&s->best);
    sb_duals_release(&s->center);
    sb_duals_release(&s->lp);
    sb_duals_release(&s->at);
    void *owned[] = {s->pricers,   s->like,  s->least, s->best_least, s->over_h,
                     s->direction, s->field, s->level, s->visits};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
}

/* What each field saves when it is left out, scaled so that a route is worth what it costs. */
static sb_status guess_rewards(sb_prover *s)
{
    const sb_fleet *f = s->fleet;
    const sb_routes *routes = &s->outcome->routes;
    int *field = sb_alloc((size_t)f->n, sizeof *field),
        *level = sb_alloc((size_t)f->n, sizeof *level);
    double *saved = s->best.reward;
    for (int m = 0; m < f->machines && field != NULL && level != NULL; m++) {
        int count = routes->count[m];
        const int *of = routes->field + m * f->n, *ol = routes->level + m * f->n;
        double cost = sb_fleet_route_cost(f, m, of, ol, count, NULL, NULL, NULL), sum = 0;
        for (int t = 0; t < count; t++) {
            memcpy(field, of, (size_t)t * sizeof *field);
            memcpy(level, ol, (size_t)t * sizeof *level);
            memcpy(field + t, of + t + 1, (size_t)(count - t - 1) * sizeof *field);
            memcpy(level + t, ol + t + 1, (size_t)(count - t - 1) * sizeof *level);
            double without = sb_fleet_route_cost(f, m, field, level, count - 1, NULL, NULL, NULL);
            saved[of[t]] = isfinite(without) ? fmax(cost - without, 0) : cost / count;
            sum += saved[of[t]];
        }
        for (int t = 0; t < count && sum > 0; t++)
            saved[of[t]] *= cost / sum;
    }
    bool made = field != NULL && level != NULL;
    sb_free(field);
    sb_free(level);
    return made ? SB_OK : SB_ERR_NOMEM;
}

/* ---- Rounds -------------------------------------------------------------------------------- */

static void polish(sb_prover *s, uint64_t round)
{
    sb_routes *routes = &s->outcome->routes;
    if (isinf(routes->cost))
        return;
    sb_fleet_search_options search = {
        .seed = s->options->seed + 1000 + round,
        .starts = POLISH_STARTS,
        .moves = (long)(POLISH_SHARE * (double)sb_fleet_search_moves(s->fleet->n)) + 1,
        .heat = POLISH_HEAT,
    };
    s->status = sb_fleet_search(s->fleet, &search, s->crew, NULL, NULL, routes);
    if (routes->cost < s->ceiling) {
        s->ceiling = routes->cost;
        if (s->status == SB_OK)
            s->status = sb_column_pool_add_routes(&s->columns, s->fleet, routes);
    }
}

static long labels_so_far(const sb_prover *s)
{
    long labels = 0;
    for (int m = 0; m < s->fleet->machines; m++)
        labels += s->pricers[m].labels;
    return labels;
}

static bool too_early_to_list(const sb_prover *s)
{
    double gap = s->ceiling - s->best_bound;
    if (s->fleet->n > MANY_FIELDS)
        return !s->exhausted && gap > LIST_GAP_OF_MANY * s->ceiling;
    return !s->settled && gap > LIST_GAP * s->ceiling;
}

/* Everything under one ceiling; true: nothing lies below it, or the best that does is known. A list
 * of routes that is too long costs a share of the labels looked at before. */
static bool run_rounds(sb_prover *s)
{
    long least_labels = LIST_FIRST;
    for (uint64_t round = 0;; round++) {
        if (sb_prover_bound(s))
            return true;
        if (s->stopped || s->status != SB_OK)
            return false;
        polish(s, round);
        if (s->status != SB_OK || s->best_bound >= sb_prover_target(s))
            return s->status == SB_OK;
        if (s->options->branch_only && s->exhausted)
            return sb_prover_branch(s);
        if (s->options->branch_only || too_early_to_list(s))
            continue;
        long most_labels = (long)fmax((double)least_labels, LIST_SHARE * (double)labels_so_far(s));
        if (sb_prover_list_routes(s, most_labels))
            return true;
        if (s->stopped || s->status != SB_OK)
            return false;
        if (s->exhausted && least_labels >= LIST_MOST)
            return sb_prover_branch(s);
        if (s->exhausted)
            least_labels *= LIST_MORE;
    }
}

static sb_status body(void *context)
{
    sb_prover *s = context;
    s->status = sb_master_init(&s->master, s->fleet, s->ceiling);
    if (s->status == SB_OK && isfinite(s->outcome->routes.cost))
        s->status = sb_column_pool_add_routes(&s->columns, s->fleet, &s->outcome->routes);
    if (s->status != SB_OK)
        return s->status;
    sb_fleet_outcome *o = s->outcome;
    for (;;) {
        bool closed = run_rounds(s);
        if (s->status != SB_OK || !closed)
            break;
        o->bound = s->ceiling;
        if (isfinite(o->routes.cost) || s->ceiling >= s->conceivable) {
            o->closed = true;
            o->bound = o->routes.cost;
            o->method = "every other plan is ruled out by its bound";
            break;
        }
        s->ceiling = fmin(2 * s->ceiling, s->conceivable);
        sb_master_release(&s->master, true);
        s->status = sb_master_init(&s->master, s->fleet, s->ceiling);
        if (s->status != SB_OK)
            break;
    }
    return s->status;
}

sb_status sb_fleet_prove(const sb_fleet *f, sb_crew *crew, const sb_fleet_options *options,
                         sb_fleet_outcome *outcome)
{
    sb_prover s = {.fleet = f,
                   .crew = crew,
                   .options = options,
                   .outcome = outcome,
                   .best_bound = -INFINITY,
                   .center_value = -INFINITY,
                   .inherited = -INFINITY,
                   .elsewhere = INFINITY,
                   .absorb_share = 2};
    bool glpk_lives = false;
    outcome->method = "stopped before the bound met the cost";
    sb_status status = prover_init(&s);
    if (status == SB_OK)
        status = guess_rewards(&s);
    if (status == SB_OK) {
        s.ceiling = outcome->routes.cost;
        if (isinf(s.ceiling))
            s.ceiling = s.conceivable / 16;
        sb_prover_raise(&s, easy_bound(f));
        status = sb_glpk_guard(body, &s, &glpk_lives);
    }
    sb_master_release(&s.master, glpk_lives);
    prover_release(&s);
    return status;
}
