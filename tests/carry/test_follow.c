/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Small moves worked out by hand: traces, the final cleanout, the strip, a shared ledger. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "carry/carry.h"
#include "seasons.h"

static void assert_near(double value, double expected)
{
    assert_true(fabs(value - expected) <= 1e-12 * fabs(expected));
}

/** Two clean fields of 68 t; 1000 loose and 2000 lodged seeds in the header, and nothing else. */
static sb_season *seeds_in_the_header(void)
{
    sb_season *season = support_season_new(2, 1);
    season->setup.weeds[0].large_seed = false;
    sb_section *header = &season->setup.machines[0].sections[0];
    header->tau_loose_t = 0.06;
    header->tau_lodged_t = 40;
    header->tank_share_small = 0.03;
    season->joins[0].start_seeds[sb_pool(0, false) * SB_MAX_WEEDS] = 1000;
    season->joins[0].start_seeds[sb_pool(0, true) * SB_MAX_WEEDS] = 2000;
    return season;
}

static void a_stop_cleans_then_sheds_loose_and_lodged(void **state)
{
    (void)state;
    sb_season *season = seeds_in_the_header();
    season->setup.cleanouts[1].keep_loose[0] = 0.25;
    season->setup.cleanouts[1].keep_lodged[0] = 0.75;
    sb_visit visits[] = {{0, 1}, {1, 0}};
    sb_stop_trace traces[3];
    assert_int_equal(sb_carry_follow(season, 0, visits, 2, 3, NULL, traces), SB_OK);

    assert_near(traces[0].before_clean[0], 3000);
    assert_near(traces[0].on_tarp[0], 750 + 500);
    assert_near(traces[0].loose_in[0], 250);
    assert_near(traces[0].lodged_in[0], 1500);
    double g = exp(-68.0 / 40); /* exp(-68/0.06) is nothing */
    assert_near(traces[0].ground[0], 0.97 * (250 + 1500 * (1 - g)));
    assert_near(traces[0].tank[0], 0.03 * (250 + 1500 * (1 - g)));
    assert_true(traces[1].loose_in[0] < 1e-300 && traces[1].on_tarp[0] == 0);
    assert_true(traces[1].tarp_kg == 0 && traces[1].strip90_m < 1);
    assert_near(traces[1].lodged_in[0], 1500 * g);
    assert_near(traces[2].before_clean[0], 1500 * g * g);
    double keep = season->setup.cleanouts[3].keep_lodged[0];
    assert_near(traces[2].on_tarp[0], 1500 * g * g * (1 - keep));
    sb_season_free(season);
}

static void a_cleanout_removes_material_by_section(void **state)
{
    (void)state;
    sb_season *season = support_season_new(1, 1);
    assert_true(sb_tarp_kg(season, 0, 0) == 0);
    double by_hand = 0;
    for (int s = 0; s < 6; s++) {
        const sb_section *section = &season->setup.machines[0].sections[s];
        const sb_cleanout *deep = &season->setup.cleanouts[3];
        by_hand += section->kg;
        by_hand -= section->kg * (1 - section->lodged_share) * deep->keep_loose[s];
        by_hand -= section->kg * section->lodged_share * deep->keep_lodged[s];
    }
    assert_near(sb_tarp_kg(season, 0, 3), by_hand);
    sb_season_free(season);
}

static void the_strip_follows_one_pool_exactly(void **state)
{
    (void)state;
    sb_season *season = seeds_in_the_header();
    season->setup.machines[0].header_m = 10;
    season->fields[0].yield_t_ha = 5; /* 5 kg of grain a metre of swath */
    sb_stop_trace traces[2];
    assert_int_equal(sb_carry_follow(season, 0, &(sb_visit){0, 0}, 1, -1, NULL, traces), SB_OK);
    /* Half is down after tau ln 2, nine tenths after tau ln 10. Lodged seeds do not count. */
    assert_true(fabs(traces[0].strip50_m - 60 * log(2) / 5) < 1e-6);
    assert_true(fabs(traces[0].strip90_m - 60 * log(10) / 5) < 1e-6);
    sb_season_free(season);
}

static void no_loose_seed_no_strip(void **state)
{
    (void)state;
    sb_season *season = seeds_in_the_header();
    sb_load load = {0};
    load.seeds[sb_pool(0, true)][0] = 1e6;  /* lodged */
    load.seeds[sb_pool(4, false)][0] = 1e6; /* loose, in the tank: never on the ground */
    assert_true(sb_strip_m(season, 0, 0, &load, 0.9) == 0);
    sb_season_free(season);
}

static void own_seeds_are_no_spread(void **state)
{
    (void)state;
    sb_season *season = support_season_new(2, 1);
    support_set_density(season, 0, 0, 1);
    sb_ledger ledger;
    sb_stop_trace traces[3];
    assert_int_equal(sb_ledger_init(&ledger, season), SB_OK);
    sb_visit visits[] = {{0, 0}, {1, 0}};
    assert_int_equal(sb_carry_follow(season, 0, visits, 2, -1, &ledger, traces), SB_OK);
    assert_true(traces[0].ground[0] == 0 && sb_ledger_brought(&ledger, 0, 0) == 0);
    assert_true(ledger.taken[0] > 0);
    assert_near(traces[1].before_clean[0], ledger.taken[0]);
    assert_true(sb_ledger_brought(&ledger, 1, 0) > 0);
    sb_ledger_release(&ledger);
    sb_season_free(season);
}

static void a_tiny_field_sheds_its_exact_share(void **state)
{
    (void)state;
    sb_season *season = support_season_new(1, 1);
    season->fields[0].grain_t = 1e-12;
    sb_passage passage;
    sb_passage_of(season, 0, 0, &passage);
    double tau_t = season->setup.machines[0].sections[0].tau_lodged_t;
    assert_near(passage.shed[sb_pool(0, true)], 1e-12 / tau_t);
    sb_season_free(season);
}

static void machines_share_a_ledger(void **state)
{
    (void)state;
    sb_season *season = seeds_in_the_header();
    support_set_density(season, 0, 0, 1);
    sb_ledger one, both;
    assert_int_equal(sb_ledger_init(&one, season), SB_OK);
    assert_int_equal(sb_ledger_init(&both, season), SB_OK);
    sb_visit visits[] = {{0, 0}, {1, 0}};
    assert_int_equal(sb_carry_follow(season, 0, visits, 2, -1, &one, NULL), SB_OK);
    for (int i = 0; i < 2; i++)
        assert_int_equal(sb_carry_follow(season, 0, visits, 2, -1, &both, NULL), SB_OK);
    for (int field = 0; field < 2; field++) {
        assert_true(sb_ledger_brought(&one, field, 0) > 0);
        assert_near(sb_ledger_brought(&both, field, 0), 2 * sb_ledger_brought(&one, field, 0));
    }
    assert_near(both.left[0], 2 * one.left[0]);
    sb_ledger_release(&one);
    sb_ledger_release(&both);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_stop_cleans_then_sheds_loose_and_lodged),
        cmocka_unit_test(a_cleanout_removes_material_by_section),
        cmocka_unit_test(the_strip_follows_one_pool_exactly),
        cmocka_unit_test(no_loose_seed_no_strip),
        cmocka_unit_test(own_seeds_are_no_spread),
        cmocka_unit_test(a_tiny_field_sheds_its_exact_share),
        cmocka_unit_test(machines_share_a_ledger),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
