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

sb_status sb_scenarios_init(sb_scenarios *scenarios, const sb_season *season, int machine,
                            const sb_spreads *spreads, uint64_t seed, uint32_t stream,
                            uint64_t first, size_t n, const double *known)
{
    *scenarios = (sb_scenarios){.season = season, .machine = machine};
    sb_season *sampled = NULL;
    double *multiplier = sb_alloc(spreads->count, sizeof *multiplier);
    scenarios->sampled = sb_alloc(n, sizeof *scenarios->sampled);
    sb_status status = SB_ERR_NOMEM;
    if (multiplier == NULL || scenarios->sampled == NULL)
        goto out;
    status = sb_season_copy(season, NULL, NULL, &sampled);
    if (status == SB_OK)
        status = sb_problem_init(&scenarios->central, season, machine);
    for (; status == SB_OK && scenarios->n < n; scenarios->n++) {
        sb_problem *p = &scenarios->sampled[scenarios->n];
        sb_spreads_draw(spreads, seed, stream, first + scenarios->n, multiplier);
        for (size_t i = 0; known != NULL && i < spreads->count; i++)
            multiplier[i] = isnan(known[i]) ? multiplier[i] : known[i];
        sb_spreads_apply(spreads, multiplier, season, sampled);
        status = sb_problem_init(p, sampled, machine);
        p->season = season; /* the sampled one goes on changing */
        if (status == SB_OK)
            drop_rules(p);
    }
out:
    sb_season_free(sampled);
    sb_free(multiplier);
    return status;
}

void sb_scenarios_release(sb_scenarios *scenarios)
{
    for (size_t s = 0; s < scenarios->n; s++)
        sb_problem_release(&scenarios->sampled[s]);
    sb_free(scenarios->sampled);
    sb_problem_release(&scenarios->central);
    *scenarios = (sb_scenarios){0};
}

void sb_scenario_costs(const sb_scenarios *scenarios, const int *field, const int *level,
                       double *cost)
{
    bool kept = isfinite(sb_sequence_cost(&scenarios->central, field, level));
    for (size_t s = 0; s < scenarios->n; s++)
        cost[s] = kept ? sb_sequence_cost(&scenarios->sampled[s], field, level) : INFINITY;
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
static void average_fixed(const sb_scenarios *scenarios, const double *weight, sb_problem *mean)
{
    size_t cells = (size_t)(mean->n + 1) * (size_t)mean->n * (size_t)mean->levels;
    for (size_t c = 0; c < cells; c++) {
        double sum = 0, whole = 0;
        for (size_t s = 0; s < scenarios->n; s++) {
            sum += scenarios->sampled[s].fixed[c] * weight[s];
            whole += weight[s];
        }
        mean->fixed[c] = sum / whole;
    }
}

sb_status sb_scenarios_mean(const sb_scenarios *scenarios, const double *weight, sb_problem *mean)
{
    sb_status status = sb_problem_init(mean, scenarios->season, scenarios->machine);
    if (status != SB_OK)
        return status;
    const sb_problem *central = &scenarios->central;
    size_t central_dims = mean->n_limits > 0 ? (size_t)central->dims : 0, dims = central_dims;
    double whole = 0;
    for (size_t s = 0; s < scenarios->n; s++) {
        dims += weight[s] > 0 ? (size_t)scenarios->sampled[s].dims : 0;
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
        add_loads(&scenarios->sampled[s], weight[s] / whole, mean, at);
        at += (size_t)scenarios->sampled[s].dims;
    }
    average_fixed(scenarios, weight, mean);
    /* A level that another makes pointless in the central case may earn its keep in a sample. */
    memcpy(mean->allowed, mean->permitted, (size_t)(mean->n + 1) * (size_t)mean->n);
    return SB_OK;
}
