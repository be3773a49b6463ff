/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The carry-over model against published measurements, through the library.
 *
 * Source of the measurements: Hanna, Jarboe and Quick 2005, "Clean-out of combines for IP grain
 * production", doi 10.31274/icm-180809-807: 95 to 153 lb of material left in a combine, 59 % of it
 * grain; 0.2 to 2.5 lb of the earlier crop in the first bushel after a clean-out, less than 0.1 %
 * after 20 bushels; more than 14 lb of wheat still in the machine after 50 acres of oats.
 *
 * Grain is the tracer: one "weed" stands for kernels of the earlier crop, in kg instead of seeds.
 * Section shares, purge constants and keep factors were fitted to those measurements; the numbers
 * of the tables below are worked out by a separate program from the same constants. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "carry/carry.h"
#include "seasons.h"

#define KG_PER_LB 0.45359237
#define T_PER_BUSHEL_CORN 0.0254012 /* 56 lb */

enum { CORN_FIRST, CORN_REST, SLICE, N_FIELDS };

/* Fitted, not measured: share of grain in the material of each section, and the share of kernels
 * shed there that leaves by the tank (1-3 % machine loss, common practice). In the order header,
 * rock trap, threshing, shoe, tank, chopper. */
static const double grain_share[] = {0.45, 0.55, 0.45, 0.65, 0.92, 0.20};
static const double kernel_tank_share[] = {0.97, 0.97, 0.97, 0.98, 1.00, 0.00};

/** A machine that holds total_kg, its grain part in the start load, before a first bushel, the next
 * nineteen, and a slice thin enough to read the stream's content at that moment. */
static sb_season *grain_as_tracer(double total_kg)
{
    sb_season *season = support_season_new(N_FIELDS, 1);
    sb_machine *machine = &season->setup.machines[0];
    assert_int_equal(season->setup.n_sections, 6);
    season->setup.weeds[0].large_seed = false;
    for (int s = 0; s < 6; s++) {
        sb_section *section = &machine->sections[s];
        section->kg *= total_kg / 56;
        section->tank_share_small = kernel_tank_share[s];
        double kg = section->kg * grain_share[s];
        season->joins[0].start_seeds[sb_pool(s, false) * SB_MAX_WEEDS] =
            kg * (1 - section->lodged_share);
        season->joins[0].start_seeds[sb_pool(s, true) * SB_MAX_WEEDS] = kg * section->lodged_share;
    }
    season->fields[CORN_FIRST].grain_t = T_PER_BUSHEL_CORN;
    season->fields[CORN_REST].grain_t = 19 * T_PER_BUSHEL_CORN;
    season->fields[SLICE].grain_t = 1e-6;
    return season;
}

static double held_kg(const sb_season *season)
{
    double kg = 0;
    for (size_t s = 0; s < season->setup.n_sections; s++)
        kg += season->setup.machines[0].sections[s].kg;
    return kg;
}

static void first_bushel_and_twenty_bushels_after_a_cleanout(void **state)
{
    (void)state;
    static const struct {
        double machine_lb;
        int level;
        double left_kg, first_bushel_lb, first_bushel_percent, at_20_percent;
    } table[] = {
        {95, 2, 11.81, 1.45, 2.59, 0.031},      {95, 3, 2.81, 0.18, 0.31, 0.004},
        {123.459, 0, 56.00, 8.40, 15.0, 0.191}, {123.459, 1, 31.14, 3.59, 6.40, 0.081},
        {123.459, 2, 15.34, 1.88, 3.36, 0.041}, {123.459, 3, 3.66, 0.23, 0.41, 0.006},
        {153, 2, 19.01, 2.33, 4.16, 0.051},     {153, 3, 4.53, 0.28, 0.50, 0.007},
    };
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        sb_season *season = grain_as_tracer(table[i].machine_lb * KG_PER_LB);
        sb_visit visits[] = {{CORN_FIRST, table[i].level}, {CORN_REST, 0}, {SLICE, 0}};
        sb_stop_trace traces[4];
        assert_int_equal(sb_carry_follow(season, 0, visits, 3, -1, NULL, traces), SB_OK);

        double first_lb = traces[0].tank[0] / KG_PER_LB;
        double first_percent = 100 * traces[0].tank[0] / (1000 * T_PER_BUSHEL_CORN);
        double at_20_percent = 100 * traces[2].tank[0] / (1000 * season->fields[SLICE].grain_t);
        /* Within half a unit of the last digit of the table. */
        assert_true(fabs(held_kg(season) - traces[0].tarp_kg - table[i].left_kg) <= 0.006);
        assert_true(fabs(first_lb - table[i].first_bushel_lb) <= 0.006);
        assert_true(fabs(first_percent - table[i].first_bushel_percent) <= 0.06);
        assert_true(fabs(at_20_percent - table[i].at_20_percent) <= 0.0006);
        if (table[i].level >= 2) {
            /* The measured range, cleaned machines; the model's low end is 10 % under it. */
            assert_true(first_lb >= 0.2 * 0.87 && first_lb <= 2.5);
            assert_true(at_20_percent < 0.1);
        }
        sb_season_free(season);
    }
}

static void wheat_is_still_there_after_fifty_acres_of_oats(void **state)
{
    (void)state;
    sb_season *season = grain_as_tracer(56);
    /* 50 acres at 75 bu/ac of 32 lb: the yield is assumed, the source gives the area only. */
    season->fields[0].grain_t = 50 * 75 * 32 * KG_PER_LB / 1000;
    assert_true(fabs(season->fields[0].grain_t - 54.4) < 0.05);
    sb_ledger ledger;
    assert_int_equal(sb_ledger_init(&ledger, season), SB_OK);
    assert_int_equal(sb_carry_follow(season, 0, &(sb_visit){0, 0}, 1, -1, &ledger, NULL), SB_OK);
    double left_kg = ledger.left[season->n_fields];
    assert_true(fabs(left_kg - 7.45) < 0.01);
    assert_true(left_kg / KG_PER_LB > 14); /* measured: more than 14 lb */
    sb_ledger_release(&ledger);
    sb_season_free(season);
}

/** One full field-to-field move, worked out by a separate program from the fitted constants:
 * soybean 3.4 t/ha with as much other material, 0.01 plants/m2 of 100,000 seeds, 60 % of them
 * retained and a quarter of those lost at the header; every section full of it; then 68 t. */
static void worked_move_from_a_weedy_field(void **state)
{
    (void)state;
    static const struct {
        double ground, ground_first, tank, left;
    } table[] = {{22072, 12571, 8270, 6717},
                 {10961, 4345, 4859, 4786},
                 {5619, 2350, 2394, 2141},
                 {1389, 350, 382, 649}};
    sb_season *season = support_season_new(2, 1);
    sb_weed *weed = &season->setup.weeds[0];
    weed->seeds_per_plant = 1e5;
    weed->retained = 0.6;
    weed->header_loss = 0.25;
    weed->large_seed = false;
    support_set_density(season, 0, 0, 0.01);
    assert_true(fabs(season->fields[0].seeds_per_kg[0] - 661.8) < 0.05);
    season->fields[0].grain_t = 1e5; /* enough to fill the slowest pocket */
    for (int level = 0; level < 4; level++) {
        sb_visit visits[] = {{0, 0}, {1, level}};
        sb_stop_trace traces[3];
        sb_ledger ledger;
        assert_int_equal(sb_ledger_init(&ledger, season), SB_OK);
        support_set_area(season, 1, 20);
        assert_int_equal(sb_carry_follow(season, 0, visits, 2, -1, &ledger, traces), SB_OK);
        /* 0.5 %: the table is rounded to whole seeds and its inputs to four digits. */
        assert_true(fabs(traces[1].before_clean[0] / 37059 - 1) < 0.005);
        assert_true(fabs(traces[1].ground[0] / table[level].ground - 1) < 0.005);
        assert_true(fabs(traces[1].tank[0] / table[level].tank - 1) < 0.005);
        assert_true(fabs(ledger.left[0] / table[level].left - 1) < 0.005);
        sb_ledger_release(&ledger);

        support_set_area(season, 1, 0.1);
        assert_int_equal(sb_carry_follow(season, 0, visits, 2, -1, NULL, traces), SB_OK);
        assert_true(fabs(traces[1].ground[0] / table[level].ground_first - 1) < 0.005);
    }
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(first_bushel_and_twenty_bushels_after_a_cleanout),
        cmocka_unit_test(wheat_is_still_there_after_fifty_acres_of_oats),
        cmocka_unit_test(worked_move_from_a_weedy_field),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
