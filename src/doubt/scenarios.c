/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doubt/scenarios.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

/* Samples only price sequences; rules are looked at in the central case. */
static void drop_rules(sb_problem *p)
{
    for (int r = 0; r < p->n_limits; r++) {
        sb_free(p->limits[r].weight);
        sb_free(p->limits[r].fixed);
    }
    p->n_limits = 0;
    memset(p->allowed, 0xff, (size_t)(p->n + 1) * (size_t)p->n);
}

sb_status sb_scenario_fleet(sb_fleet *fleet, const sb_season *season, int machine)
{
    return machine < 0 ? sb_fleet_init(fleet, season) : sb_fleet_init_alone(fleet, season, machine);
}

sb_status sb_scenario_sample(const sb_fleet *fleet, bool shared, const sb_season *drawn, int m,
                             sb_problem *problem)
{
    const sb_problem *central = &fleet->problems[m];
    sb_status status = shared ? sb_problem_init_shared(problem, drawn, central->machine)
                              : sb_problem_init(problem, drawn, central->machine);
    if (status != SB_OK)
        return status;
    problem->season = fleet->season; /* the drawn one goes on changing */
    memcpy(problem->home_cost, central->home_cost, (size_t)problem->n * sizeof(double));
    drop_rules(problem);
    return SB_OK;
}

sb_status sb_scenarios_init(sb_scenarios *scenarios, const sb_season *season, int machine,
                            const sb_spreads *spreads, uint64_t seed, uint32_t stream,
                            uint64_t first, size_t n, const double *known)
{
    *scenarios = (sb_scenarios){.season = season, .machine = machine};
    sb_season *sampled = NULL;
    double *multiplier = sb_alloc(spreads->count, sizeof *multiplier);
    sb_status status = multiplier != NULL ? SB_OK : SB_ERR_NOMEM;
    if (status == SB_OK)
        status = sb_season_copy(season, NULL, NULL, &sampled);
    if (status == SB_OK)
        status = sb_scenario_fleet(&scenarios->central, season, machine);
    size_t machines = (size_t)scenarios->central.machines;
    if (status == SB_OK) {
        scenarios->sampled = sb_alloc(n * machines, sizeof *scenarios->sampled);
        status = scenarios->sampled != NULL ? SB_OK : SB_ERR_NOMEM;
    }
    for (size_t s = 0; status == SB_OK && s < n; s++) {
        scenarios->n++;
        sb_spreads_draw(spreads, seed, stream, first + s, multiplier);
        for (size_t i = 0; known != NULL && i < spreads->count; i++)
            multiplier[i] = isnan(known[i]) ? multiplier[i] : known[i];
        sb_spreads_apply(spreads, multiplier, season, sampled);
        for (size_t m = 0; m < machines && status == SB_OK; m++)
            status = sb_scenario_sample(&scenarios->central, machine < 0, sampled, (int)m,
                                        &scenarios->sampled[s * machines + m]);
    }
    sb_season_free(sampled);
    sb_free(multiplier);
    return status;
}

void sb_scenarios_release(sb_scenarios *scenarios)
{
    size_t machines = (size_t)scenarios->central.machines;
    for (size_t s = 0; s < scenarios->n * machines; s++)
        sb_problem_release(&scenarios->sampled[s]);
    sb_free(scenarios->sampled);
    sb_fleet_release(&scenarios->central);
    *scenarios = (sb_scenarios){0};
}

/* Rules aside: what one machine's route costs. */
static double route_cost(const sb_problem *p, const int *field, const int *level, int count)
{
    double load[2 * SB_MAX_SECTIONS * SB_MAX_WEEDS + SB_MAX_APART];
    double cost = 0, free_h = 0;
    int from = p->n;
    memcpy(load, p->own + (size_t)p->n * (size_t)p->dims, (size_t)p->dims * sizeof *load);
    for (int t = 0; t < count; t++) {
        cost += sb_move_load(p, from, field[t], level[t], load, load);
        free_h = sb_finish_h(p, from, field[t], level[t], free_h);
        cost += sb_delay(p, field[t], free_h);
        from = field[t];
    }
    return count > 0 ? cost + p->home_cost[from] : 0;
}

double sb_scenario_routes_cost(const sb_fleet *fleet, const sb_problem *sampled,
                               const sb_routes *routes)
{
    double cost = fleet->home_in_any_case;
    for (int m = 0; m < fleet->machines; m++)
        cost += route_cost(&sampled[m], routes->field + m * fleet->n, routes->level + m * fleet->n,
                           routes->count[m]);
    return cost;
}

sb_status sb_scenario_waits(const sb_fleet *fleet, const sb_routes *routes, double *waits)
{
    double cost;
    sb_status status = sb_fleet_cost(fleet, routes, &cost);
    *waits = INFINITY;
    if (status == SB_OK && isfinite(cost))
        *waits = fleet->coupled ? cost + fleet->home_in_any_case -
                                      sb_scenario_routes_cost(fleet, fleet->problems, routes)
                                : 0;
    return status;
}

sb_status sb_scenario_costs(const sb_scenarios *scenarios, const sb_routes *routes, double *cost)
{
    const sb_fleet *central = &scenarios->central;
    size_t machines = (size_t)central->machines;
    double waits;
    sb_status status = sb_scenario_waits(central, routes, &waits);
    for (size_t s = 0; s < scenarios->n && status == SB_OK; s++)
        cost[s] = isinf(waits) ? INFINITY
                               : waits + sb_scenario_routes_cost(
                                             central, &scenarios->sampled[s * machines], routes);
    return status;
}

/* Copies a sample's numbers, dims to a row, behind those of the samples before it. */
static void lay(double *rows, size_t width, size_t at, const double *from, size_t dims, size_t n,
                double times)
{
    for (size_t row = 0; row < n; row++)
        for (size_t d = 0; d < dims; d++)
            rows[row * width + at + d] = from[row * dims + d] * times;
}

/* Puts one problem's loads at place `at` of the mean's, paid for by a share of their price. */
static void add_loads(const sb_problem *from, double share, sb_problem *mean, size_t at)
{
    size_t n = (size_t)mean->n, width = (size_t)mean->dims, dims = (size_t)from->dims;
    lay(mean->keep, width, at, from->keep, dims, (size_t)mean->levels, 1);
    lay(mean->shed, width, at, from->shed, dims, n, share);
    lay(mean->left, width, at, from->left, dims, n, 1);
    lay(mean->own, width, at, from->own, dims, n + 1, 1);
}

/* Seed limits look at the central case's loads, which lie at the beginning. */
static bool widen_limits(sb_problem *mean, size_t central_dims)
{
    for (int r = 0; r < mean->n_limits; r++) {
        double *weight = sb_alloc_aligned((size_t)mean->dims, sizeof *weight);
        if (weight == NULL)
            return false;
        memcpy(weight, mean->limits[r].weight, central_dims * sizeof *weight);
        sb_free(mean->limits[r].weight);
        mean->limits[r].weight = weight;
    }
    uint8_t *limited = sb_alloc((size_t)mean->dims, sizeof *limited);
    if (limited == NULL)
        return false;
    memcpy(limited, mean->limited, central_dims);
    sb_free(mean->limited);
    mean->limited = limited;
    return true;
}

static bool make_room(sb_problem *mean)
{
    size_t n = (size_t)mean->n, dims = (size_t)mean->dims;
    double **rows[] = {&mean->keep, &mean->shed, &mean->left, &mean->own};
    const size_t counts[] = {(size_t)mean->levels, n, n, n + 1};
    for (size_t i = 0; i < 4; i++) {
        sb_free(*rows[i]);
        *rows[i] = sb_alloc_aligned(counts[i] * dims, sizeof **rows[i]);
        if (*rows[i] == NULL)
            return false;
    }
    return true;
}

/* The mean of what moves cost beside the remembered loads. */
static void average_fixed(const sb_problem *sampled, size_t n, size_t step, const double *weight,
                          sb_problem *mean)
{
    size_t cells = (size_t)(mean->n + 1) * (size_t)mean->n * (size_t)mean->levels;
    for (size_t c = 0; c < cells; c++) {
        double sum = 0, whole = 0;
        for (size_t s = 0; s < n; s++) {
            sum += sampled[s * step].fixed[c] * weight[s];
            whole += weight[s];
        }
        mean->fixed[c] = sum / whole;
    }
}

/* Turns the central case's problem of machine m into that of the mean. */
static sb_status widen(const sb_scenarios *scenarios, int m, const double *weight, sb_problem *mean)
{
    const sb_problem *central = &scenarios->central.problems[m];
    size_t step = (size_t)scenarios->central.machines;
    const sb_problem *sampled = scenarios->sampled + m;
    size_t central_dims = mean->n_limits > 0 ? (size_t)central->dims : 0, dims = central_dims;
    double whole = 0;
    for (size_t s = 0; s < scenarios->n; s++) {
        dims += weight[s] > 0 ? (size_t)sampled[s * step].dims : 0;
        whole += weight[s];
    }
    if (dims > SB_MAX_DIMS)
        return SB_ERR_ARG;
    mean->dims = (int)dims;
    if (!make_room(mean) || !widen_limits(mean, central_dims))
        return SB_ERR_NOMEM;
    if (central_dims > 0)
        add_loads(central, 0, mean, 0);
    size_t at = central_dims;
    for (size_t s = 0; s < scenarios->n; s++) {
        if (!(weight[s] > 0))
            continue;
        add_loads(&sampled[s * step], weight[s] / whole, mean, at);
        at += (size_t)sampled[s * step].dims;
    }
    average_fixed(sampled, scenarios->n, step, weight, mean);
    /* A level that another makes pointless in the central case may earn its keep in a sample. */
    memcpy(mean->allowed, mean->permitted, (size_t)(mean->n + 1) * (size_t)mean->n);
    return SB_OK;
}

sb_status sb_scenarios_mean(const sb_scenarios *scenarios, const double *weight, sb_fleet *mean)
{
    sb_status status = sb_scenario_fleet(mean, scenarios->season, scenarios->machine);
    for (int m = 0; m < mean->machines && status == SB_OK; m++) {
        mean->kind[m] = m; /* machines that are alike may be sampled apart */
        status = widen(scenarios, m, weight, &mean->problems[m]);
    }
    return status;
}
