/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What findings say about uncertain numbers. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "carry/carry.h"
#include "doubt/posterior.h"
#include "random.h"
#include "seasons.h"

/* ---- One number ------------------------------------------------------------------------------ */

/* A season whose only rating is the mean of four scouting points. */
static sb_season *scouted_season(void)
{
    sb_season *season = support_season_new(2, 1);
    support_set_density(season, 0, 0, 2);
    season->fields[0].ratings[0].source = SB_RATING_SCOUTED;
    season->fields[0].ratings[0].sd = 1.6;
    season->fields[0].ratings[0].n_points = 4;
    sb_season_derive(season);
    return season;
}

/* Twenty plants counted on 10 m2, say. */
static void expect_plants(const void *context, const sb_season *season, double *expected)
{
    (void)context;
    expected[0] = 10 * season->fields[0].ratings[0].density_plants_m2;
}

static size_t the_rating(const sb_spreads *spreads)
{
    for (size_t s = 0; s < spreads->count; s++)
        if (spreads->items[s].what == SB_DOUBT_RATING)
            return s;
    fail_msg("no rating is uncertain");
    return 0;
}

/* Normal prior and normal error in the logarithm: the posterior is normal, worked out by hand. */
static void a_weight_gives_the_conjugate_posterior(void **state)
{
    (void)state;
    sb_season *season = scouted_season();
    sb_spreads spreads;
    sb_posterior posterior;
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    size_t rating = the_rating(&spreads);
    double sigma = spreads.items[rating].sigma, error = SB_WEIGHT_SIGMA;
    sb_found found = {31, true};
    sb_evidence evidence = {season, &spreads, &found, 1, expect_plants, NULL};
    assert_int_equal(sb_posterior_of(&evidence, 20000, 1, 1, &posterior), SB_OK);
    double precision = 1 / (sigma * sigma) + 1 / (error * error);
    double mean =
        (-sigma * sigma / 2 / (sigma * sigma) + log(31.0 / 20) / (error * error)) / precision;
    double sd = 1 / sqrt(precision);
    static const double at[3] = {0.05, 0.5, 0.95};
    for (int q = 0; q < 3; q++) {
        double expected = mean + sd * sb_normal_quantile(at[q]);
        double learned =
            log(sb_spread_multiplier(&spreads.items[rating], posterior.spread[rating].u[q]));
        assert_true(fabs(learned - expected) < 0.02 * sd);
    }
    assert_true(posterior.effective > 10000 && posterior.effective <= 20000);
    assert_true(posterior.before[0] == 20);
    assert_true(posterior.after[0] > 21 && posterior.after[0] < 31);
    for (size_t s = 0; s < spreads.count; s++)
        if (s != rating) {
            assert_false(posterior.spread[s].touched);
            assert_true(posterior.spread[s].times == 1 && posterior.spread[s].u[1] == 0.5);
        }
    sb_posterior_release(&posterior);
    sb_free(spreads.items);
    sb_season_free(season);
}

/* Chance of a count when the lot is gamma about what is expected and the count Poisson, summed up
 * over the lot by hand. */
static double chance_by_hand(double count, double expected, double shape)
{
    double sum = 0, most = 12 * expected + 3 * count + 20;
    const int n = 40000;
    for (int i = 0; i < n; i++) {
        double lot = (i + 0.5) * most / n;
        double gamma = exp((shape - 1) * log(lot) - shape * lot / expected - lgamma(shape) -
                           shape * log(expected / shape));
        sum += gamma * exp(count * log(lot) - lot - lgamma(count + 1)) * most / n;
    }
    return sum;
}

static void counts_are_poisson_of_a_gamma(void **state)
{
    (void)state;
    static const double counts[] = {0, 1, 7, 40}, expected[] = {0.5, 6, 25};
    for (size_t e = 0; e < 3; e++)
        for (size_t c = 1; c < 4; c++) {
            sb_found one = {counts[c], false}, none = {0, false};
            double hand = chance_by_hand(counts[c], expected[e], SB_CLUMP_SHAPE) /
                          chance_by_hand(0, expected[e], SB_CLUMP_SHAPE);
            /* What does not depend on the expectation is left out of the likelihood. */
            double left_out =
                lgamma(counts[c] + SB_CLUMP_SHAPE) - lgamma(SB_CLUMP_SHAPE) - lgamma(counts[c] + 1);
            double ours = sb_found_log_likelihood(&one, expected[e]) -
                          sb_found_log_likelihood(&none, expected[e]) + left_out;
            assert_true(fabs(exp(ours) / hand - 1) < 1e-3);
        }
}

/* One number and one count: the limits are those of a fine grid. */
static void a_count_gives_the_posterior_of_a_grid(void **state)
{
    (void)state;
    static const double counts[] = {0, 3, 20, 400};
    sb_season *season = scouted_season();
    sb_spreads spreads;
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    size_t rating = the_rating(&spreads);
    for (size_t c = 0; c < sizeof counts / sizeof *counts; c++) {
        enum { CELLS = 4000 };
        double weight[CELLS], sum = 0, below = 0;
        for (int i = 0; i < CELLS; i++) {
            double m = sb_spread_multiplier(&spreads.items[rating], (i + 0.5) / CELLS);
            double mean = 20 * m, r = SB_CLUMP_SHAPE;
            weight[i] = exp(lgamma(counts[c] + r) - lgamma(r) - lgamma(counts[c] + 1) +
                            r * log(r / (r + mean)) + counts[c] * log(mean / (r + mean)));
            sum += weight[i];
        }
        sb_posterior posterior;
        sb_found found = {counts[c], false};
        sb_evidence evidence = {season, &spreads, &found, 1, expect_plants, NULL};
        assert_int_equal(sb_posterior_of(&evidence, 20000, 7, 1, &posterior), SB_OK);
        static const double at[3] = {0.05, 0.5, 0.95};
        for (int i = 0, q = 0; i < CELLS && q < 3; i++) {
            below += weight[i] / sum;
            if (below < at[q])
                continue;
            if (fabs(posterior.spread[rating].u[q] - (i + 0.5) / CELLS) > 0.012)
                fail_msg("%g counted: %g %% at %g, the grid says %g", counts[c], 100 * at[q],
                         posterior.spread[rating].u[q], (i + 0.5) / CELLS);
            q++;
        }
        sb_posterior_release(&posterior);
    }
    sb_free(spreads.items);
    sb_season_free(season);
}

/* ---- Simulated seasons ----------------------------------------------------------------------- */

enum { BLOWDOWN = 1, DEEP = 3, N_TARPS = 4, N_FOUND = 2 * N_TARPS + 1 };

/* Two weedy fields, cut and cleaned in turn, and the weight of the last tarp. */
static sb_season *simulated_season(void)
{
    static const double density[4] = {0.3, 0, 1.2, 0};
    sb_season *season = support_season_new(4, 2);
    for (int f = 0; f < 4; f++)
        for (int w = 0; w < 2; w++)
            if (density[f] > 0) {
                support_set_density(season, f, w, density[f]);
                season->fields[f].ratings[w].source = SB_RATING_CLASS;
                season->fields[f].ratings[w].low = density[f] / 3;
                season->fields[f].ratings[w].high = density[f] * 3;
            }
    sb_season_derive(season);
    return season;
}

static void expect_tarps(const void *context, const sb_season *season, double *expected)
{
    static const sb_visit visits[] = {{0, 0}, {1, BLOWDOWN}, {2, BLOWDOWN}, {3, DEEP}};
    sb_stop_trace traces[5];
    (void)context;
    if (sb_carry_follow(season, 0, visits, 4, DEEP, NULL, traces) != SB_OK)
        fail();
    for (int t = 0; t < N_TARPS; t++)
        for (int w = 0; w < 2; w++)
            /* A tenth of each tarp was looked through. */
            expected[2 * t + w] = traces[t + 1].on_tarp[w] / 10;
    expected[2 * N_TARPS] = traces[4].tarp_kg;
}

static double exponential(support_random *random)
{
    return -log(1 - support_random_between(random, 0, 1));
}

static double normal(support_random *random)
{
    return sb_normal_quantile(support_random_between(random, 1e-9, 1 - 1e-9));
}

/* Poisson: arrivals are counted; where there are many their number is normal. */
static double poisson(support_random *random, double mean)
{
    if (mean > 2000)
        return fmax(round(mean + sqrt(mean) * normal(random)), 0);
    double count = -1, time = 0;
    for (; time <= mean; count++)
        time += exponential(random);
    return count;
}

static void find_something(support_random *random, const double *expected, sb_found *found)
{
    for (int i = 0; i < 2 * N_TARPS; i++) {
        double gamma = 0;
        for (int k = 0; k < (int)SB_CLUMP_SHAPE; k++)
            gamma += exponential(random) / SB_CLUMP_SHAPE;
        found[i] = (sb_found){poisson(random, expected[i] * gamma), false};
    }
    found[2 * N_TARPS] =
        (sb_found){expected[2 * N_TARPS] * exp(SB_WEIGHT_SIGMA * normal(random)), true};
}

/* The truth is drawn from the ranges, tarps are looked through, and nine in ten of the limits told
 * hold the truth. */
static void limits_hold_the_truth_nine_times_in_ten(void **state)
{
    (void)state;
    enum { SEASONS = 200 };
    sb_season *season = simulated_season(), *truth = NULL;
    sb_spreads spreads;
    assert_int_equal(sb_season_copy(season, NULL, NULL, &truth), SB_OK);
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    double *multiplier = sb_alloc(spreads.count, sizeof *multiplier);
    size_t *held = sb_alloc(spreads.count, sizeof *held);
    double *width = sb_alloc(spreads.count, sizeof *width), least_effective = INFINITY;
    assert_true(multiplier != NULL && held != NULL && width != NULL);
    for (uint64_t seed = 1; seed <= SEASONS; seed++) {
        support_random random = {seed};
        double expected[N_FOUND];
        sb_found found[N_FOUND];
        sb_spreads_draw(&spreads, seed, 77, 1, multiplier);
        sb_spreads_apply(&spreads, multiplier, season, truth);
        expect_tarps(NULL, truth, expected);
        find_something(&random, expected, found);
        sb_evidence evidence = {season, &spreads, found, N_FOUND, expect_tarps, NULL};
        sb_posterior posterior;
        assert_int_equal(sb_posterior_of(&evidence, 1500, seed, 2, &posterior), SB_OK);
        least_effective = fmin(least_effective, posterior.effective);
        for (size_t s = 0; s < spreads.count; s++) {
            const sb_learned *learned = &posterior.spread[s];
            double low = sb_spread_multiplier(&spreads.items[s], learned->u[0]);
            double high = sb_spread_multiplier(&spreads.items[s], learned->u[2]);
            held[s] += multiplier[s] >= low && multiplier[s] <= high;
            width[s] += (learned->u[2] - learned->u[0]) / 0.9 / SEASONS;
        }
        sb_posterior_release(&posterior);
    }
    size_t told = 0, all_held = 0, bad = 0;
    for (size_t s = 0; s < spreads.count; s++) {
        if (width[s] > 0.97)
            continue; /* tarps say nothing about it */
        told++;
        all_held += held[s];
        printf("number %2zu (kind %d): limits %.2f as wide, held the truth %5.1f %%\n", s,
               (int)spreads.items[s].what, width[s], 100.0 * (double)held[s] / SEASONS);
        if (held[s] < 0.85 * SEASONS || held[s] > 0.95 * SEASONS)
            bad++;
    }
    printf("all %zu: %.1f %%; at least %.0f of 1500 samples by weight\n", told,
           100.0 * (double)all_held / (double)(told * SEASONS), least_effective);
    assert_true(told >= 8 && bad == 0);
    sb_free(multiplier);
    sb_free(held);
    sb_free(width);
    sb_free(spreads.items);
    sb_season_free(truth);
    sb_season_free(season);
}

/* Tarps that no number can bring together: they are believed less, and the limits stay limits. */
static void contradictions_are_believed_less(void **state)
{
    (void)state;
    sb_season *season = simulated_season();
    sb_spreads spreads;
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    double expected[N_FOUND];
    sb_found found[N_FOUND];
    expect_tarps(NULL, season, expected);
    for (int i = 0; i < N_FOUND; i++)
        found[i] = (sb_found){expected[i] * (i / 2 % 2 ? 1e4 : 1e-4), i == 2 * N_TARPS};
    sb_evidence evidence = {season, &spreads, found, N_FOUND, expect_tarps, NULL};
    sb_posterior posterior;
    assert_int_equal(sb_posterior_of(&evidence, 3000, 1, 1, &posterior), SB_OK);
    assert_true(posterior.share > 0 && posterior.share < 0.9);
    assert_true(posterior.effective >= 100 && posterior.effective < 120);
    for (size_t s = 0; s < spreads.count; s++)
        if (posterior.spread[s].touched)
            assert_true(posterior.spread[s].u[0] < posterior.spread[s].u[1] &&
                        posterior.spread[s].u[1] < posterior.spread[s].u[2]);
    sb_posterior_release(&posterior);
    sb_free(spreads.items);
    sb_season_free(season);
}

static void threads_change_nothing(void **state)
{
    (void)state;
    sb_season *season = simulated_season();
    sb_spreads spreads;
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    double expected[N_FOUND];
    sb_found found[N_FOUND];
    support_random random = {5};
    expect_tarps(NULL, season, expected);
    find_something(&random, expected, found);
    sb_evidence evidence = {season, &spreads, found, N_FOUND, expect_tarps, NULL};
    sb_posterior one, many, other;
    assert_int_equal(sb_posterior_of(&evidence, 700, 3, 1, &one), SB_OK);
    assert_int_equal(sb_posterior_of(&evidence, 700, 3, 3, &many), SB_OK);
    assert_int_equal(sb_posterior_of(&evidence, 700, 4, 1, &other), SB_OK);
    assert_true(one.effective == many.effective && one.effective != other.effective);
    for (size_t s = 0; s < spreads.count; s++)
        assert_memory_equal(one.spread[s].u, many.spread[s].u, sizeof one.spread[s].u);
    sb_posterior_release(&one);
    sb_posterior_release(&many);
    sb_posterior_release(&other);
    sb_free(spreads.items);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_weight_gives_the_conjugate_posterior),
        cmocka_unit_test(counts_are_poisson_of_a_gamma),
        cmocka_unit_test(a_count_gives_the_posterior_of_a_grid),
        cmocka_unit_test(limits_hold_the_truth_nine_times_in_ten),
        cmocka_unit_test(contradictions_are_believed_less),
        cmocka_unit_test(threads_change_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
