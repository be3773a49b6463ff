/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The season as the growers' rule sees it, and the plans met on the way. */
#include "order/fair_parts.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

/* ---- Plans met ----------------------------------------------------------------------------- */

double sb_fair_excess(const sb_fair *f, const sb_aim_at *aim, const double *loss)
{
    double worst = -INFINITY;
    for (int g = 0; g < f->n_takers; g++)
        worst = fmax(worst, loss[g] - aim->cap[g]);
    return worst;
}

bool sb_fair_keeps(const sb_fair *f, const sb_aim_at *aim, const sb_met *met)
{
    const double *musts = sb_fair_musts(aim);
    for (int g = 0; g < f->n_takers && musts != NULL; g++)
        if (sb_fair_over(met->loss[g], musts[g]))
            return false;
    return true;
}

void sb_fair_add_losses(const sb_fair *f, int machine, const int *field, const int *level,
                        int count, double *loss)
{
    const sb_problem *p = &f->fleet.problems[machine];
    double load[SB_MAX_DIMS];
    memcpy(load, p->own + (size_t)p->n * (size_t)p->dims, (size_t)p->dims * sizeof *load);
    for (int t = 0, from = p->n; t < count; from = field[t++]) {
        size_t at = sb_arc(p, from, field[t]) * (size_t)p->levels + (size_t)level[t];
        double money = sb_move_load(p, from, field[t], level[t], load, load);
        loss[f->taker_of[field[t]]] += (money - p->fixed[at] + p->forgotten[at]) / f->weight;
    }
}

static bool same_losses(const sb_fair *f, const double *a, const double *b)
{
    for (int g = 0; g < f->n_takers; g++)
        if (fabs(a[g] - b[g]) > 1e-9 * (1 + fabs(b[g])))
            return false;
    return true;
}

sb_status sb_fair_meet(sb_fair *f, const sb_routes *routes, size_t *index)
{
    sb_met met = {0};
    *index = SIZE_MAX;
    met.loss = sb_alloc((size_t)f->n_takers, sizeof *met.loss);
    sb_status status = sb_routes_init(&met.routes, &f->fleet);
    if (status != SB_OK || met.loss == NULL) {
        status = SB_ERR_NOMEM;
        goto out;
    }
    sb_routes_copy(&f->fleet, routes, &met.routes);
    status = sb_fleet_cost(&f->fleet, routes, &met.routes.cost);
    if (status != SB_OK || isinf(met.routes.cost))
        goto out;
    for (int m = 0; m < f->fleet.machines; m++)
        sb_fair_add_losses(f, m, routes->field + m * f->fleet.n, routes->level + m * f->fleet.n,
                           routes->count[m], met.loss);
    for (size_t i = 0; i < f->met.count && *index == SIZE_MAX; i++)
        if (fabs(f->met.items[i].routes.cost - met.routes.cost) <= 1e-9 * (1 + met.routes.cost) &&
            same_losses(f, f->met.items[i].loss, met.loss))
            *index = i;
    if (*index != SIZE_MAX)
        goto out;
    if (!SB_PUSH(&f->met, met)) {
        status = SB_ERR_NOMEM;
        goto out;
    }
    *index = f->met.count - 1;
    return SB_OK;
out:
    sb_routes_release(&met.routes);
    sb_free(met.loss);
    return status;
}

/* ---- Making one ---------------------------------------------------------------------------- */

double sb_fair_asked(const sb_fair *f, int taker)
{
    int grower = f->grower[taker];
    const double *named = f->options->grower_most;
    return grower >= 0 && named != NULL ? fmin(f->options->most, named[grower]) : f->options->most;
}

static sb_status find_takers(sb_fair *f)
{
    const sb_season *season = &f->season;
    int *number = sb_alloc(season->n_growers + 1, sizeof *number);
    f->taker_of = sb_alloc(season->n_fields, sizeof *f->taker_of);
    f->grower = sb_alloc(season->n_growers + 1, sizeof *f->grower);
    f->most = sb_alloc(season->n_growers + 1, sizeof *f->most);
    if (number == NULL || f->taker_of == NULL || f->grower == NULL || f->most == NULL) {
        sb_free(number);
        return SB_ERR_NOMEM;
    }
    for (size_t g = 0; g <= season->n_growers; g++)
        number[g] = -1;
    for (size_t j = 0; j < season->n_fields; j++) {
        int grower = season->fields[j].grower;
        int *taker = &number[grower < 0 ? (int)season->n_growers : grower];
        if (*taker < 0) {
            *taker = f->n_takers++;
            f->grower[*taker] = grower;
            f->most[*taker] = sb_fair_asked(f, *taker);
        }
        f->taker_of[j] = *taker;
    }
    sb_free(number);
    return SB_OK;
}

/* The season of the machines at hand; with one machine that one is number 0, and may cut all. */
static sb_status view(sb_fair *f, const sb_season *season)
{
    sb_field *fields = sb_alloc(season->n_fields, sizeof *fields);
    f->season = *season;
    f->season.fields = fields;
    if (fields == NULL)
        return SB_ERR_NOMEM;
    memcpy(fields, season->fields, season->n_fields * sizeof *fields);
    if (f->alone) {
        f->season.setup.machines += f->options->machine;
        f->season.setup.n_machines = 1;
        f->season.joins += f->options->machine;
        for (size_t j = 0; j < season->n_fields; j++)
            fields[j].n_only = 0;
    }
    return SB_OK;
}

sb_status sb_fair_init(sb_fair *f, const sb_season *season, const sb_plan *free)
{
    sb_routes routes = {0};
    size_t index;
    sb_order_options watched = *f->options->order;
    watched.time_limit_s = fmax(f->options->seconds, 1e-9);
    watched.threads = 1;
    sb_status status = view(f, season);
    if (status == SB_OK)
        status = find_takers(f);
    if (status == SB_OK)
        status = sb_crew_new(&watched, &f->watch);
    if (status == SB_OK)
        status = sb_fleet_init(&f->fleet, &f->season);
    for (int m = 0; m < f->fleet.machines && status == SB_OK; m++)
        sb_problem_price(&f->fleet.problems[m], f->weight, 0);
    if (status == SB_OK)
        status = sb_routes_init(&routes, &f->fleet);
    for (size_t r = 0; r < free->n_routes && status == SB_OK; r++) {
        const sb_route *route = &free->routes[r];
        int m = f->alone ? 0 : route->machine;
        routes.count[m] = (int)route->n_stops;
        for (size_t t = 0; t < route->n_stops; t++) {
            routes.field[m * f->fleet.n + (int)t] = route->stops[t].field;
            routes.level[m * f->fleet.n + (int)t] = route->stops[t].cleanout;
        }
    }
    if (status == SB_OK)
        status = sb_fair_meet(f, &routes, &index);
    if (status == SB_OK && index == SIZE_MAX)
        status = SB_ERR_INTERNAL;
    sb_routes_release(&routes);
    return status;
}

void sb_fair_release(sb_fair *f)
{
    for (size_t i = 0; i < f->met.count; i++) {
        sb_routes_release(&f->met.items[i].routes);
        sb_free(f->met.items[i].loss);
    }
    sb_free(f->met.items);
    sb_fleet_release(&f->fleet);
    sb_crew_free(f->watch);
    sb_free(f->season.fields);
    sb_free(f->taker_of);
    sb_free(f->grower);
    sb_free(f->most);
}
