/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What a machine holds over sampled seasons. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "doubt/load_band.h"
#include "plans.h"
#include "seasons.h"

enum { FIELDS = 5, WEEDS = 3 };

/** Every rating by class, so that each is uncertain. */
static sb_season *rated_season(void)
{
    support_options options = support_every_rule();
    options.missing_ways = false;
    sb_season *season = support_random_season(3, FIELDS, &options);
    for (size_t i = 0; i < FIELDS; i++)
        for (size_t w = 0; w < WEEDS; w++) {
            sb_rating *rating = &season->fields[i].ratings[w];
            rating->source = SB_RATING_CLASS;
            rating->low = rating->density_plants_m2 / 3;
            rating->high = rating->density_plants_m2 * 2;
        }
    sb_season_derive(season);
    return season;
}

static sb_doubt *study(const sb_season *season, const sb_plan *plan, uint64_t first, uint64_t last)
{
    sb_doubt_options options;
    sb_doubt_options_init(&options);
    options.first = first;
    options.last = last;
    sb_doubt *doubt;
    assert_int_equal(sb_doubt_run(season, plan, NULL, 0, &options, &doubt), SB_OK);
    return doubt;
}

static sb_load_band band_of(const sb_season *season, const sb_plan *plan, const sb_doubt *doubt,
                            int threads)
{
    sb_load_band band;
    assert_int_equal(sb_load_band_of(season, plan, doubt, threads, &band), SB_OK);
    return band;
}

static bool near(double value, double expected)
{
    return fabs(value - expected) <= 1e-6 * fabs(expected) + 1e-9; /* kept as float */
}

/* The band of one sample is that sample: what the priced plan holds before each cleanout there. */
static void one_sample_is_what_its_priced_plan_holds(void **state)
{
    (void)state;
    sb_season *season = rated_season(), *sampled;
    sb_plan *plan = support_plan(season), *priced = support_plan(season);
    assert_int_equal(sb_season_copy(season, NULL, NULL, &sampled), SB_OK);
    for (uint64_t k = 1; k <= 5; k++) {
        sb_doubt *doubt = study(season, plan, k, k);
        sb_load_band band = band_of(season, plan, doubt, 1);
        double *multiplier = sb_alloc(doubt->spreads.count, sizeof *multiplier);
        sb_spreads_draw(&doubt->spreads, doubt->seed, SB_STUDY_STREAM, k, multiplier);
        sb_spreads_apply(&doubt->spreads, multiplier, season, sampled);
        assert_int_equal(sb_plan_price(sampled, priced), SB_OK);
        assert_int_equal(band.seasons, 1);
        for (size_t i = 0; i + 1 < FIELDS; i++)
            for (int w = 0; w < WEEDS; w++) {
                double held = priced->routes[0].stops[i + 1].trace.before_clean[w];
                const sb_band *left = sb_load_band_at(&band, i, SB_DRAWN_POINTS - 1, w);
                assert_true(near(left->p5, held) && near(left->p95, held));
            }
        sb_free(multiplier);
        sb_load_band_release(&band);
        sb_doubt_free(doubt);
    }
    sb_season_free(sampled);
    sb_plan_free(priced);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void bands_are_the_same_whatever_the_threads(void **state)
{
    (void)state;
    sb_season *season = rated_season();
    sb_plan *plan = support_plan(season);
    sb_doubt *doubt = study(season, plan, 1, 300);
    sb_load_band one = band_of(season, plan, doubt, 1), three = band_of(season, plan, doubt, 3);
    size_t n = FIELDS * SB_DRAWN_POINTS * season->setup.n_weeds, wide = 0;
    assert_int_equal(one.n_weeds, season->setup.n_weeds);
    assert_memory_equal(one.bands, three.bands, n * sizeof *one.bands);
    for (size_t i = 0; i < n; i++) {
        const sb_band *band = &one.bands[i];
        assert_true(band->p5 <= band->p50 && band->p50 <= band->p95);
        assert_true(band->central >= 0);
        wide += band->p95 > 1.5 * band->p5;
    }
    assert_true(wide > n / 4);
    sb_load_band_release(&one);
    sb_load_band_release(&three);
    sb_doubt_free(doubt);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* A large study is followed for its first seasons only: those of a smaller one. */
static void a_large_study_has_the_band_of_its_first_seasons(void **state)
{
    (void)state;
    sb_season *season = rated_season();
    sb_plan *plan = support_plan(season);
    sb_doubt *large = study(season, plan, 1, SB_BAND_SEASONS + 200);
    sb_doubt *small = study(season, plan, 1, SB_BAND_SEASONS);
    sb_load_band of_large = band_of(season, plan, large, 2);
    sb_load_band of_small = band_of(season, plan, small, 2);
    assert_int_equal(of_large.seasons, SB_BAND_SEASONS);
    assert_memory_equal(of_large.bands, of_small.bands,
                        FIELDS * SB_DRAWN_POINTS * of_large.n_weeds * sizeof *of_large.bands);
    sb_load_band_release(&of_large);
    sb_load_band_release(&of_small);
    sb_doubt_free(large);
    sb_doubt_free(small);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Every allocation fails in its turn. */
static void without_memory_there_is_an_error_and_no_leak(void **state)
{
    (void)state;
    sb_season *season = rated_season();
    sb_plan *plan = support_plan(season);
    sb_doubt *doubt = study(season, plan, 1, 40);
    sb_status status = SB_ERR_NOMEM;
    long live = sb_mem_live();
    for (long budget = 0; status == SB_ERR_NOMEM; budget++) {
        sb_load_band band;
        sb_mem_set_budget(budget);
        status = sb_load_band_of(season, plan, doubt, 1, &band);
        sb_mem_set_budget(-1);
        sb_load_band_release(&band);
        assert_int_equal(sb_mem_live(), live);
        assert_true(status == SB_OK || status == SB_ERR_NOMEM);
    }
    assert_int_equal(status, SB_OK);
    sb_doubt_free(doubt);
    sb_plan_free(plan);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_sample_is_what_its_priced_plan_holds),
        cmocka_unit_test(bands_are_the_same_whatever_the_threads),
        cmocka_unit_test(a_large_study_has_the_band_of_its_first_seasons),
        cmocka_unit_test(without_memory_there_is_an_error_and_no_leak),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
