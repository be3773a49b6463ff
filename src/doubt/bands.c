/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doubt/bands.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double sb_quantile(const double *sorted, size_t n, double q)
{
    double at = q * (double)(n - 1);
    size_t below = (size_t)floor(at);
    if (below + 1 >= n)
        return sorted[n - 1];
    return sorted[below] + (at - (double)below) * (sorted[below + 1] - sorted[below]);
}

sb_band sb_band_of(double central, double *values, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += values[i];
    qsort(values, n, sizeof *values, ascending);
    return (sb_band){
        .central = central,
        .p5 = sb_quantile(values, n, 0.05),
        .p50 = sb_quantile(values, n, 0.50),
        .p95 = sb_quantile(values, n, 0.95),
        .mean = sum / (double)n,
    };
}

static sb_band column_band(const sb_doubt *doubt, size_t column, double *values)
{
    size_t n = sb_doubt_samples(doubt);
    for (size_t k = 0; k < n; k++)
        values[k] = doubt->table[k * doubt->width + column];
    return sb_band_of(doubt->central[column], values, n);
}

static void find_totals(const sb_doubt *doubt, double *values, sb_findings *f)
{
    size_t n = sb_doubt_samples(doubt);
    for (int kind = 0; kind < SB_SAMPLED_KINDS; kind++) {
        for (size_t k = 0; k < n; k++)
            values[k] =
                sb_outcome_total(doubt, doubt->table + k * doubt->width, (sb_outcome_kind)kind);
        double central = sb_outcome_total(doubt, doubt->central, (sb_outcome_kind)kind);
        f->total[kind] = sb_band_of(central, values, n);
    }
    for (size_t k = 0; k < n; k++)
        values[k] = sb_outcome_cost(doubt, doubt->table + k * doubt->width);
    f->cost = sb_band_of(sb_outcome_cost(doubt, doubt->central), values, n);
}

static void find_chance(const sb_doubt *doubt, size_t rival, double *values, sb_chance *chance)
{
    size_t n = sb_doubt_samples(doubt), wins = 0;
    for (size_t k = 0; k < n; k++) {
        const double *row = doubt->table + k * doubt->width;
        values[k] = sb_outcome_rival_cost(doubt, row, rival) - sb_outcome_cost(doubt, row);
        wins += values[k] > 0;
    }
    double central = sb_outcome_rival_cost(doubt, doubt->central, rival) -
                     sb_outcome_cost(doubt, doubt->central);
    chance->beats = (double)wins / (double)n;
    chance->dearer = sb_band_of(central, values, n);
}

/* In how many of the samples each plan is the cheapest of all. */
static void find_cheapest(const sb_doubt *doubt, double *share)
{
    size_t n = sb_doubt_samples(doubt);
    for (size_t k = 0; k < n; k++) {
        const double *row = doubt->table + k * doubt->width;
        double least = sb_outcome_cost(doubt, row);
        size_t best = 0;
        for (size_t r = 0; r < doubt->n_rivals; r++) {
            double cost = sb_outcome_rival_cost(doubt, row, r);
            if (cost < least) {
                least = cost;
                best = r + 1;
            }
        }
        share[best]++;
    }
    for (size_t p = 0; p <= doubt->n_rivals; p++)
        share[p] /= (double)n;
}

static int strongest_first(const void *a, const void *b)
{
    const sb_driver *x = a, *y = b;
    if (x->first_order != y->first_order)
        return x->first_order < y->first_order ? 1 : -1;
    return (x->spread > y->spread) - (x->spread < y->spread);
}

/* Draws the inputs again: they follow from the seed. */
static sb_status find_drivers(const sb_doubt *doubt, sb_findings *f)
{
    size_t n = sb_doubt_samples(doubt), count = doubt->spreads.count;
    sb_status status = SB_ERR_NOMEM;
    double *x = sb_alloc(n, sizeof *x), *y = sb_alloc(n, sizeof *y);
    if (x == NULL || y == NULL)
        goto out;
    for (size_t k = 0; k < n; k++)
        y[k] = sb_outcome_total(doubt, doubt->table + k * doubt->width, SB_SAMPLED_LOSS);
    status = SB_OK;
    for (size_t s = 0; status == SB_OK && s < count; s++) {
        for (size_t k = 0; k < n; k++)
            x[k] = sb_doubt_draw(doubt, doubt->first + k, s);
        f->driver[s].spread = s;
        status = sb_driver_of(x, y, n, &f->driver[s]);
    }
    qsort(f->driver, count, sizeof *f->driver, strongest_first);
out:
    sb_free(x);
    sb_free(y);
    return status;
}

sb_status sb_findings_of(const sb_doubt *doubt, sb_findings *f)
{
    *f = (sb_findings){
        .n_fields = doubt->n_fields,
        .n_weeds = doubt->n_weeds,
        .n_rivals = doubt->n_rivals,
        .n_drivers = doubt->spreads.count,
    };
    f->field = sb_alloc(doubt->n_fields * SB_SAMPLED_KINDS, sizeof *f->field);
    f->weed = sb_alloc(doubt->n_weeds * SB_SAMPLED_KINDS, sizeof *f->weed);
    f->chance = sb_alloc(doubt->n_rivals, sizeof *f->chance);
    f->cheapest = sb_alloc(doubt->n_rivals + 1, sizeof *f->cheapest);
    f->driver = sb_alloc(doubt->spreads.count, sizeof *f->driver);
    double *values = sb_alloc(sb_doubt_samples(doubt), sizeof *values);
    sb_status status = SB_ERR_NOMEM;
    if (f->field == NULL || f->weed == NULL || f->chance == NULL || f->cheapest == NULL ||
        f->driver == NULL || values == NULL)
        goto out;
    find_totals(doubt, values, f);
    for (size_t i = 0; i < doubt->n_fields * SB_SAMPLED_KINDS; i++)
        f->field[i] = column_band(doubt, i, values);
    for (size_t i = 0; i < doubt->n_weeds * SB_SAMPLED_KINDS; i++)
        f->weed[i] = column_band(doubt, sb_weed_column(doubt, 0, SB_SAMPLED_SEEDS) + i, values);
    for (size_t r = 0; r < doubt->n_rivals; r++)
        find_chance(doubt, r, values, &f->chance[r]);
    find_cheapest(doubt, f->cheapest);
    status = find_drivers(doubt, f);
out:
    sb_free(values);
    if (status != SB_OK)
        sb_findings_release(f);
    return status;
}

void sb_findings_release(sb_findings *f)
{
    sb_free(f->field);
    sb_free(f->weed);
    sb_free(f->chance);
    sb_free(f->cheapest);
    sb_free(f->driver);
    *f = (sb_findings){0};
}
