/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What is uncertain, and how far. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/mem.h"
#include "doubt/spreads.h"
#include "seasons.h"

enum { WATERHEMP, KOCHIA };

static void assert_near(double value, double expected)
{
    assert_true(fabs(value - expected) <= 1e-12 * fmax(1, fabs(expected)));
}

static const sb_spread *find(const sb_spreads *spreads, sb_doubtful what, int field, int weed,
                             int level)
{
    for (size_t s = 0; s < spreads->count; s++) {
        const sb_spread *spread = &spreads->items[s];
        if (spread->what == what && spread->field == field && spread->weed == weed &&
            spread->level == level)
            return spread;
    }
    return NULL;
}

/** Field 1: kochia of class 3 (0.1 to 1); field 2: kochia as the mean of four points; field 3: a
 * density; field 4: nothing. */
static sb_season *rated_season(void)
{
    sb_season *season = support_season_new(4, 2);
    support_set_density(season, 0, KOCHIA, sqrt(0.1));
    season->fields[0].ratings[KOCHIA].source = SB_RATING_CLASS;
    season->fields[0].ratings[KOCHIA].low = 0.1;
    season->fields[0].ratings[KOCHIA].high = 1;
    support_set_density(season, 1, KOCHIA, 2);
    season->fields[1].ratings[KOCHIA].source = SB_RATING_SCOUTED;
    season->fields[1].ratings[KOCHIA].sd = 1.6;
    season->fields[1].ratings[KOCHIA].n_points = 4;
    support_set_density(season, 2, KOCHIA, 0.5);
    sb_season_derive(season);
    return season;
}

static void a_class_spreads_a_rating_over_its_limits(void **state)
{
    (void)state;
    sb_season *season = rated_season();
    sb_spreads spreads;
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    const sb_spread *spread = find(&spreads, SB_DOUBT_RATING, 0, KOCHIA, -1);
    assert_non_null(spread);
    double density = sb_spread_central(spread, season);
    assert_near(sb_spread_value(spread, density, sb_spread_multiplier(spread, 1e-300)), 0.1);
    assert_near(sb_spread_value(spread, density, sb_spread_multiplier(spread, 0.5)), sqrt(0.1));
    assert_near(sb_spread_value(spread, density, sb_spread_multiplier(spread, 1)), 1);
    /* A quarter of the way by magnitude: 10^-0.75. */
    assert_near(sb_spread_value(spread, density, sb_spread_multiplier(spread, 0.25)),
                pow(10, -0.75));
    sb_free(spreads.items);
    sb_season_free(season);
}

/* Standard error 1.6 / sqrt(4) = 0.8 of 2: the logarithm has variance ln(1 + 0.16). */
static void points_spread_a_rating_by_their_standard_error(void **state)
{
    (void)state;
    sb_season *season = rated_season();
    sb_spreads spreads;
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    const sb_spread *spread = find(&spreads, SB_DOUBT_RATING, 1, KOCHIA, -1);
    assert_non_null(spread);
    assert_near(spread->sigma * spread->sigma, log(1.16));
    enum { N = 4000 };
    double sum = 0, squares = 0;
    for (int i = 0; i < N; i++) {
        double multiplier = sb_spread_multiplier(spread, (i + 0.5) / N);
        sum += multiplier / N;
        squares += multiplier * multiplier / N;
    }
    assert_true(fabs(sum - 1) < 1e-3);
    assert_true(fabs(sqrt(squares - sum * sum) - 0.4) < 2e-3);
    sb_free(spreads.items);
    sb_season_free(season);
}

static void one_point_alone_says_no_more_than_its_class(void **state)
{
    (void)state;
    sb_season *season = rated_season();
    sb_rating *rating = &season->fields[1].ratings[KOCHIA];
    rating->n_points = 1;
    rating->sd = 0;
    rating->class_index = 4; /* 1 to 10 */
    sb_spreads spreads;
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    const sb_spread *spread = find(&spreads, SB_DOUBT_RATING, 1, KOCHIA, -1);
    assert_non_null(spread);
    assert_near(2 * spread->low, 1);
    assert_near(2 * spread->high, 10);
    sb_free(spreads.items);
    sb_season_free(season);
}

static void an_open_class_reaches_as_far_up_as_down(void **state)
{
    (void)state;
    sb_season *season = rated_season();
    season->fields[0].ratings[KOCHIA].high = INFINITY;
    season->fields[1].ratings[KOCHIA] =
        (sb_rating){.source = SB_RATING_CLASS, .density_plants_m2 = 3, .low = 0, .high = INFINITY};
    sb_spreads spreads;
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    const sb_spread *by_magnitude = find(&spreads, SB_DOUBT_RATING, 0, KOCHIA, -1);
    const sb_spread *even = find(&spreads, SB_DOUBT_RATING, 1, KOCHIA, -1);
    assert_non_null(by_magnitude);
    assert_non_null(even);
    assert_near(by_magnitude->high * by_magnitude->low, 1);
    assert_near(sb_spread_multiplier(even, 0.25), 0.5);
    assert_near(sb_spread_multiplier(even, 0.75), 1.5);
    sb_free(spreads.items);
    sb_season_free(season);
}

static void what_was_counted_or_is_nowhere_has_no_spread(void **state)
{
    (void)state;
    sb_season *season = rated_season();
    sb_spreads spreads;
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    assert_null(find(&spreads, SB_DOUBT_RATING, 2, KOCHIA, -1)); /* a density */
    assert_null(find(&spreads, SB_DOUBT_RATING, 3, KOCHIA, -1)); /* clean */
    assert_null(find(&spreads, SB_DOUBT_SEEDS_PER_PLANT, -1, WATERHEMP, -1));
    assert_null(find(&spreads, SB_DOUBT_TANK_LARGE, -1, -1, -1)); /* kochia seed is small */
    assert_null(find(&spreads, SB_DOUBT_KEEP, -1, -1, 0));        /* "none" keeps everything */
    assert_non_null(find(&spreads, SB_DOUBT_KEEP, -1, -1, 3));
    sb_free(spreads.items);
    sb_season_free(season);
}

/* Kochia: 10,000 to 30,000 seeds per plant around 20,000; emergence 5 to 40 % around 14 %. */
static void published_ranges_are_reached_at_the_ends(void **state)
{
    (void)state;
    sb_season *season = rated_season();
    sb_spreads spreads;
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    const sb_spread *seeds = find(&spreads, SB_DOUBT_SEEDS_PER_PLANT, -1, KOCHIA, -1);
    const sb_spread *emergence = find(&spreads, SB_DOUBT_EMERGENCE, -1, KOCHIA, -1);
    assert_near(sb_spread_value(seeds, 20000, seeds->low), 10000);
    assert_near(sb_spread_value(seeds, 20000, seeds->high), 30000);
    assert_near(sb_spread_value(emergence, 0.14, emergence->low), 0.05);
    assert_near(sb_spread_value(emergence, 0.14, emergence->high), 0.40);
    /* Whatever the season says, a share stays one. */
    assert_true(sb_spread_value(emergence, 0.999, emergence->high) < 1);
    assert_near(sb_spread_value(emergence, 0, emergence->high), 0);
    assert_near(sb_spread_value(emergence, 1, emergence->low), 1);
    sb_free(spreads.items);
    sb_season_free(season);
}

static void multipliers_of_one_are_the_season_itself(void **state)
{
    (void)state;
    support_options options = support_every_rule();
    sb_season *season = support_random_season(5, 6, &options), *sampled;
    sb_spreads spreads;
    sb_season_derive(season);
    assert_int_equal(sb_season_copy(season, NULL, NULL, &sampled), SB_OK);
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    double *multiplier = sb_alloc(spreads.count, sizeof *multiplier);
    /* Through other numbers and back. */
    sb_spreads_draw(&spreads, 1, 0, 1, multiplier);
    sb_spreads_apply(&spreads, multiplier, season, sampled);
    for (size_t s = 0; s < spreads.count; s++)
        multiplier[s] = 1;
    sb_spreads_apply(&spreads, multiplier, season, sampled);
    for (size_t i = 0; i < season->n_fields; i++)
        for (size_t w = 0; w < season->setup.n_weeds; w++) {
            assert_near(sampled->fields[i].seeds_per_kg[w], season->fields[i].seeds_per_kg[w]);
            assert_near(sampled->fields[i].loss_per_seed[w], season->fields[i].loss_per_seed[w]);
        }
    for (size_t l = 0; l < season->setup.n_cleanouts; l++)
        for (size_t s = 0; s < season->setup.n_sections; s++)
            assert_near(sampled->setup.cleanouts[l].keep_lodged[s],
                        season->setup.cleanouts[l].keep_lodged[s]);
    for (size_t s = 0; s < season->setup.n_sections; s++)
        assert_near(sampled->setup.machines[0].sections[s].lodged_share,
                    season->setup.machines[0].sections[s].lodged_share);
    sb_free(multiplier);
    sb_free(spreads.items);
    sb_season_free(sampled);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_class_spreads_a_rating_over_its_limits),
        cmocka_unit_test(points_spread_a_rating_by_their_standard_error),
        cmocka_unit_test(one_point_alone_says_no_more_than_its_class),
        cmocka_unit_test(an_open_class_reaches_as_far_up_as_down),
        cmocka_unit_test(what_was_counted_or_is_nowhere_has_no_spread),
        cmocka_unit_test(published_ranges_are_reached_at_the_ends),
        cmocka_unit_test(multipliers_of_one_are_the_season_itself),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
