/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "order/chain.h"
#include "plan/dates.h"

/* ---- Making one ---------------------------------------------------------------------------- */

static bool same_numbers(const void *a, const void *b, size_t count, size_t size)
{
    return count == 0 || memcmp(a, b, count * size) == 0;
}

static bool same_limits(const sb_problem *p, const sb_problem *q)
{
    if (p->n_limits != q->n_limits)
        return false;
    for (int r = 0; r < p->n_limits; r++) {
        const sb_load_limit *a = &p->limits[r], *b = &q->limits[r];
        if (a->field != b->field || a->most != b->most ||
            !same_numbers(a->weight, b->weight, (size_t)p->dims, sizeof *a->weight) ||
            !same_numbers(a->fixed, b->fixed, (size_t)(p->n + 1) * (size_t)p->levels,
                          sizeof *a->fixed))
            return false;
    }
    return true;
}

/* Would the two machines do the same routes at the same cost in the same time? */
static bool alike(const sb_problem *p, const sb_problem *q)
{
    size_t n = (size_t)p->n, dims = (size_t)p->dims, levels = (size_t)p->levels;
    return p->dims == q->dims && p->timed == q->timed && p->end_h == q->end_h &&
           same_numbers(p->move_cost, q->move_cost, (n + 1) * (n + 1), sizeof(double)) &&
           same_numbers(p->move_h, q->move_h, (n + 1) * (n + 1), sizeof(double)) &&
           same_numbers(p->fixed, q->fixed, (n + 1) * n * levels, sizeof(double)) &&
           same_numbers(p->allowed, q->allowed, (n + 1) * n, 1) &&
           same_numbers(p->keep, q->keep, levels * dims, sizeof(double)) &&
           same_numbers(p->shed, q->shed, n * dims, sizeof(double)) &&
           same_numbers(p->left, q->left, n * dims, sizeof(double)) &&
           same_numbers(p->own, q->own, (n + 1) * dims, sizeof(double)) &&
           same_numbers(p->home_cost, q->home_cost, n, sizeof(double)) &&
           same_numbers(p->home_h, q->home_h, n, sizeof(double)) &&
           same_numbers(p->cut_h, q->cut_h, n, sizeof(double)) &&
           same_numbers(p->ready_h, q->ready_h, n, sizeof(double)) &&
           same_numbers(p->latest_h, q->latest_h, n, sizeof(double)) && same_limits(p, q);
}

/* A machine on its way has its way home and its final cleanout without a further field too. */
static void take_off_home(sb_fleet *f, int machine)
{
    const sb_season *season = f->season;
    sb_problem *p = &f->problems[machine];
    int final_cleanout = season->joins[machine].final_cleanout;
    double km = sb_season_km(season, sb_season_start_place(season, machine),
                             sb_season_yard_place(season, machine));
    double home = sb_season_travel_cost(season, machine, km);
    if (!season->joins[machine].goes_home || isinf(home))
        return;
    if (final_cleanout >= 0)
        home += sb_season_cleanout_cost(season, final_cleanout);
    for (int j = 0; j < p->n; j++)
        p->home_cost[j] -= home;
    f->home_in_any_case += home;
}

static void fill_machines(sb_fleet *f)
{
    for (int m = 0; m < f->machines; m++) {
        const sb_problem *p = &f->problems[m];
        f->kind[m] = m;
        for (int other = m - 1; other >= 0; other--)
            if (alike(p, &f->problems[other]))
                f->kind[m] = other; /* the first one wins: the loop ends there */
        for (int j = 0; j < f->n; j++)
            for (int i = 0; i <= f->n; i++)
                f->may_cut[m * f->n + j] |= p->allowed[sb_arc(p, i, j)] != 0;
    }
}

static sb_status fill_after(sb_fleet *f)
{
    size_t count = 0;
    for (int j = 0; j < f->n; j++)
        count += f->season->fields[j].n_after;
    f->after = sb_alloc(count, sizeof *f->after);
    if (f->after == NULL)
        return SB_ERR_NOMEM;
    for (int j = 0; j < f->n; j++)
        for (size_t a = 0; a < f->season->fields[j].n_after; a++)
            f->after[f->n_after++] = (sb_after){f->season->fields[j].after[a], j};
    return SB_OK;
}

sb_status sb_fleet_init(sb_fleet *f, const sb_season *season)
{
    *f = (sb_fleet){.season = season,
                    .n = (int)season->n_fields,
                    .most_spend = season->setup.limits.cleaning_cost,
                    .most_full = season->setup.limits.full_cleanouts};
    size_t machines = season->setup.n_machines;
    f->problems = sb_alloc(machines, sizeof *f->problems);
    f->kind = sb_alloc(machines, sizeof *f->kind);
    f->may_cut = sb_alloc(machines * season->n_fields, sizeof *f->may_cut);
    if (f->problems == NULL || f->kind == NULL || f->may_cut == NULL)
        return SB_ERR_NOMEM;
    for (size_t m = 0; m < machines; m++) {
        f->machines++;
        sb_status status = sb_problem_init_shared(&f->problems[m], season, (int)m);
        if (status != SB_OK)
            return status;
        take_off_home(f, (int)m);
    }
    fill_machines(f);
    f->coupled = machines > 1 && season->setup.n_resources > 0;
    sb_status status = fill_after(f);
    f->coupled |= f->n_after > 0;
    return status;
}

sb_status sb_fleet_init_alone(sb_fleet *f, const sb_season *season, int machine)
{
    *f = (sb_fleet){.season = season,
                    .n = (int)season->n_fields,
                    .machines = 1,
                    .most_spend = season->setup.limits.cleaning_cost,
                    .most_full = season->setup.limits.full_cleanouts};
    f->problems = sb_alloc(1, sizeof *f->problems);
    f->kind = sb_alloc(1, sizeof *f->kind);
    f->may_cut = sb_alloc(season->n_fields, sizeof *f->may_cut);
    if (f->problems == NULL || f->kind == NULL || f->may_cut == NULL) {
        f->machines = 0;
        return SB_ERR_NOMEM;
    }
    sb_status status = sb_problem_init(&f->problems[0], season, machine);
    if (status == SB_OK)
        fill_machines(f);
    return status;
}

void sb_fleet_release(sb_fleet *f)
{
    for (int m = 0; m < f->machines; m++)
        sb_problem_release(&f->problems[m]);
    sb_free(f->problems);
    sb_free(f->kind);
    sb_free(f->may_cut);
    sb_free(f->after);
    *f = (sb_fleet){0};
}

sb_status sb_routes_init(sb_routes *routes, const sb_fleet *f)
{
    size_t cells = (size_t)f->machines * (size_t)f->n;
    *routes = (sb_routes){.cost = INFINITY};
    routes->count = sb_alloc((size_t)f->machines, sizeof *routes->count);
    routes->field = sb_alloc(cells, sizeof *routes->field);
    routes->level = sb_alloc(cells, sizeof *routes->level);
    return routes->count && routes->field && routes->level ? SB_OK : SB_ERR_NOMEM;
}

sb_status sb_routes_of_plan(sb_routes *routes, const sb_fleet *f, const sb_plan *plan)
{
    sb_status status = sb_routes_init(routes, f);
    for (int m = 0; m < f->machines && status == SB_OK; m++)
        for (size_t r = 0; r < plan->n_routes; r++) {
            const sb_route *route = &plan->routes[r];
            if (route->machine != f->problems[m].machine)
                continue;
            routes->count[m] = (int)route->n_stops;
            for (size_t t = 0; t < route->n_stops; t++) {
                routes->field[m * f->n + (int)t] = route->stops[t].field;
                routes->level[m * f->n + (int)t] = route->stops[t].cleanout;
            }
        }
    return status;
}

void sb_routes_release(sb_routes *routes)
{
    sb_free(routes->count);
    sb_free(routes->field);
    sb_free(routes->level);
    *routes = (sb_routes){0};
}

void sb_routes_copy(const sb_fleet *f, const sb_routes *from, sb_routes *to)
{
    for (int m = 0; m < f->machines; m++) {
        size_t at = (size_t)m * (size_t)f->n, bytes = (size_t)from->count[m] * sizeof(int);
        to->count[m] = from->count[m];
        memcpy(to->field + at, from->field + at, bytes);
        memcpy(to->level + at, from->level + at, bytes);
    }
    to->cost = from->cost;
}

/* ---- What routes cost ---------------------------------------------------------------------- */

static bool order_kept(const sb_problem *p, const int *field, int count)
{
    for (int t = 1; t < count && p->ordered; t++)
        for (int u = 0; u < t; u++)
            if (sb_has(p->behind + (size_t)field[t] * (size_t)p->words, field[u]))
                return false;
    return true;
}

double sb_fleet_route_cost(const sb_fleet *f, int machine, const int *field, const int *level,
                           int count, sb_route_use *use, double *arrive_h, double *finish_h)
{
    const sb_problem *p = &f->problems[machine];
    double load[SB_MAX_DIMS];
    double cost = 0, free_h = 0;
    sb_route_use used = {0};
    memcpy(load, p->own + (size_t)p->n * (size_t)p->dims, (size_t)p->dims * sizeof *load);
    if (!order_kept(p, field, count))
        return INFINITY;
    int from = p->n;
    for (int t = 0; t < count; t++) {
        int to = field[t], l = level[t];
        if (!(p->allowed[sb_arc(p, from, to)] >> l & 1) || !sb_limits_kept(p, from, to, l, load))
            return INFINITY;
        cost += sb_move_load(p, from, to, l, load, load);
        free_h = sb_finish_h(p, from, to, l, free_h);
        cost += sb_delay(p, to, free_h);
        if (free_h > p->latest_h[to] + SB_SAME_TIME_H)
            return INFINITY;
        if (arrive_h != NULL)
            arrive_h[to] = free_h - p->cut_h[to];
        if (finish_h != NULL)
            finish_h[to] = free_h;
        used.spend += p->level_cost[l];
        used.full += p->level_full[l];
        from = to;
    }
    if (count > 0) {
        used.end_h = free_h + p->home_h[from];
        cost += p->home_cost[from];
    }
    if (use != NULL)
        *use = used;
    return used.end_h > p->end_h + SB_SAME_TIME_H ? INFINITY : cost;
}

static bool each_field_once(const sb_fleet *f, const sb_routes *routes, double *finish_h)
{
    int cut = 0;
    for (int j = 0; j < f->n; j++)
        finish_h[j] = -1;
    for (int m = 0; m < f->machines; m++)
        for (int t = 0; t < routes->count[m]; t++) {
            double *seen = &finish_h[routes->field[m * f->n + t]];
            if (*seen >= 0)
                return false;
            *seen = 0;
            cut++;
        }
    return cut == f->n;
}

static sb_status write_route(const sb_fleet *f, const sb_routes *routes, int machine,
                             sb_route *route)
{
    size_t stops = (size_t)routes->count[machine], at = (size_t)machine * (size_t)f->n;
    sb_status status = sb_route_init(f->season, f->problems[machine].machine, stops, route);
    for (size_t t = 0; t < stops && status == SB_OK; t++) {
        route->stops[t].field = routes->field[at + t];
        route->stops[t].cleanout = routes->level[at + t];
    }
    return status;
}

sb_status sb_fleet_write_plan(const sb_fleet *f, const sb_routes *routes, sb_plan **plan)
{
    sb_status status = sb_plan_new(f->season, (size_t)f->machines, plan);
    for (int m = 0; m < f->machines && status == SB_OK; m++)
        status = write_route(f, routes, m, &(*plan)->routes[m]);
    if (status != SB_OK) {
        sb_plan_free(*plan);
        *plan = NULL;
    }
    return status;
}

/* The routes by the clock, with the waits of machines for each other; adds the delay that these
 * bring to cost, INFINITY when they break a rule. */
static sb_status count_waits(const sb_fleet *f, const sb_routes *routes, const double *finish_h,
                             double *cost)
{
    sb_plan *plan = NULL;
    sb_status status = sb_fleet_write_plan(f, routes, &plan);
    double *arrives_h = sb_alloc((size_t)f->n, sizeof *arrives_h);
    double *finished_h = sb_alloc((size_t)f->n, sizeof *finished_h);
    if (arrives_h == NULL || finished_h == NULL)
        status = SB_ERR_NOMEM;
    if (status == SB_OK)
        status = sb_plan_dates(f->season, plan);
    for (int m = 0; m < f->machines && status == SB_OK; m++) {
        const sb_problem *p = &f->problems[m];
        const sb_route *route = &plan->routes[m];
        for (size_t t = 0; t < route->n_stops; t++) {
            const sb_stop *stop = &route->stops[t];
            *cost += sb_delay(p, stop->field, stop->finish_h) -
                     sb_delay(p, stop->field, finish_h[stop->field]);
            if (stop->finish_h > p->latest_h[stop->field] + SB_SAME_TIME_H)
                *cost = INFINITY;
            arrives_h[stop->field] = stop->arrive_h;
            finished_h[stop->field] = stop->finish_h;
        }
        if (route->n_stops > 0 && route->end_h > p->end_h + SB_SAME_TIME_H)
            *cost = INFINITY;
    }
    for (size_t a = 0; a < f->n_after && status == SB_OK; a++)
        if (finished_h[f->after[a].earlier] > arrives_h[f->after[a].later] + SB_SAME_TIME_H)
            *cost = INFINITY; /* they wait for each other */
    sb_plan_free(plan);
    sb_free(arrives_h);
    sb_free(finished_h);
    return status;
}

sb_status sb_fleet_cost(const sb_fleet *f, const sb_routes *routes, double *cost)
{
    *cost = INFINITY;
    double *finish_h = sb_alloc((size_t)f->n, sizeof *finish_h);
    if (finish_h == NULL)
        return SB_ERR_NOMEM;
    sb_status status = SB_OK;
    double total = 0, spend = 0, full = 0;
    if (!each_field_once(f, routes, finish_h))
        goto out;
    for (int m = 0; m < f->machines; m++) {
        sb_route_use use = {0};
        total += sb_fleet_route_cost(f, m, routes->field + m * f->n, routes->level + m * f->n,
                                     routes->count[m], &use, NULL, finish_h);
        spend += use.spend;
        full += use.full;
    }
    if (isinf(total) || spend > sb_spend_most(f->most_spend) || full > f->most_full)
        goto out;
    if (f->coupled)
        status = count_waits(f, routes, finish_h, &total);
    if (status == SB_OK)
        *cost = total;
out:
    sb_free(finish_h);
    return status;
}

sb_status sb_fleet_best_levels(const sb_fleet *f, sb_routes *routes)
{
    sb_status status = sb_fleet_cost(f, routes, &routes->cost);
    int *old = sb_alloc((size_t)f->n, sizeof *old);
    if (old == NULL)
        status = SB_ERR_NOMEM;
    for (int m = 0; m < f->machines && status == SB_OK; m++) {
        int *level = routes->level + m * f->n, count = routes->count[m];
        double cost, all = INFINITY;
        memcpy(old, level, (size_t)count * sizeof *old);
        status =
            sb_chain_route_levels(&f->problems[m], routes->field + m * f->n, count, level, &cost);
        if (status == SB_OK)
            status = sb_fleet_cost(f, routes, &all);
        /* The cheapest levels of one route may take what the others need, or change its times. */
        if (status != SB_OK || !(all <= routes->cost))
            memcpy(level, old, (size_t)count * sizeof *old);
        else
            routes->cost = all;
    }
    sb_free(old);
    return status;
}
