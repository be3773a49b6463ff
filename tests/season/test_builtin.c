/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "season/setup.h"

static int with_setup(void **state)
{
    static sb_setup setup;
    *state = &setup;
    return sb_setup_builtin(&setup) == SB_OK ? 0 : -1;
}

static int without_setup(void **state)
{
    sb_setup_release(*state);
    return sb_mem_live() == 0 ? 0 : -1;
}

static void every_promised_id_is_there(void **state)
{
    const sb_setup *setup = *state;
    static const char *const crops[] = {"soybean", "corn", "wheat", "barley", "oats", "canola"};
    static const char *const weeds[] = {"waterhemp", "kochia", "ryegrass", "wild_oat",
                                        "giant_ragweed"};
    static const char *const levels[] = {"none", "blowdown", "thorough", "deep"};
    static const char *const sections[] = {"header", "rock_trap", "threshing",
                                           "shoe",   "tank",      "chopper"};
    for (size_t i = 0; i < 6; i++)
        assert_int_equal(sb_find_crop(setup, crops[i]), i);
    for (size_t i = 0; i < 5; i++)
        assert_int_equal(sb_find_weed(setup, weeds[i]), i);
    for (size_t i = 0; i < 4; i++)
        assert_int_equal(sb_find_cleanout(setup, levels[i]), i);
    for (size_t i = 0; i < 6; i++)
        assert_int_equal(sb_find_section(setup, sections[i]), i);
    assert_int_equal(sb_find_weed(setup, "dandelion"), -1);
    assert_int_equal(setup->n_sections, 6);
}

/* Straw and pellets: common practice, no source; shavings: Elkhart Truth 2020. */
static void a_deep_clean_takes_straw_pellets_and_shavings(void **state)
{
    const sb_setup *setup = *state;
    const sb_cleanout *deep = &setup->cleanouts[3];
    assert_int_equal(setup->cleanouts[1].n_counted, 0);
    assert_int_equal(setup->cleanouts[2].n_counted, 0);
    assert_int_equal(deep->n_counted, 3);
    assert_string_equal(deep->counted[0].name, "straw");
    assert_string_equal(deep->counted[0].unit, "bales");
    assert_true(deep->counted[0].amount == 3);
    assert_string_equal(deep->counted[1].name, "wood pellets");
    assert_true(deep->counted[1].amount == 11);
    assert_string_equal(deep->counted[2].unit, "m3");
    assert_true(deep->counted[2].amount == .04);
    assert_null(strstr(deep->supplies, "straw"));
}

static void every_number_names_its_source(void **state)
{
    const sb_setup *setup = *state;
    for (size_t i = 0; i < setup->n_weeds; i++)
        assert_true(strlen(setup->weeds[i].source) > 0);
    for (size_t i = 0; i < setup->n_crops; i++)
        assert_true(strlen(setup->crops[i].source) > 0);
    for (size_t i = 0; i < setup->n_cleanouts; i++)
        assert_true(strlen(setup->cleanouts[i].source) > 0);
    for (size_t i = 0; i < setup->n_sections; i++)
        assert_true(strlen(setup->machines[0].sections[i].source) > 0);
    assert_true(strlen(setup->scale.source) > 0);
}

/* Material left in combines: 95-153 lb, mid-point 56 kg, of it 7-17 % in header and feeder house,
 * 24-29 % in the rock trap, 15-16 % in the grain tank (here with the unloading auger), 6-17 % at
 * the rear. Hanna, Jarboe & Quick 2005 (doi 10.31274/icm-180809-807); shares: Hunter & Sosnoskie,
 * Cornell University. */
static void the_hold_up_lies_in_the_published_range(void **state)
{
    const sb_setup *setup = *state;
    const sb_section *sections = setup->machines[0].sections;
    double total = 0;
    for (size_t i = 0; i < setup->n_sections; i++)
        total += sections[i].kg;
    assert_float_equal(total, (95 + 153) / 2.0 * 0.45359237, 0.3);
    assert_true(sections[0].kg / total >= 0.07 && sections[0].kg / total <= 0.17);
    assert_true(sections[1].kg / total >= 0.24 && sections[1].kg / total <= 0.29);
    assert_true(sections[4].kg / total >= 0.15);
    assert_true(sections[5].kg / total >= 0.06 && sections[5].kg / total <= 0.17);
}

/* Quick clean 15-45 min: Greenlees & Shouse, Farm Progress. Full clean 2-7 h: Hanna, Jarboe &
 * Quick 2005. */
static void cleanouts_take_the_published_time_and_their_steps_add_up(void **state)
{
    const sb_setup *setup = *state;
    assert_true(setup->cleanouts[1].minutes >= 15 && setup->cleanouts[1].minutes <= 45);
    assert_true(setup->cleanouts[2].minutes >= 120 && setup->cleanouts[3].minutes <= 420);
    assert_true(setup->cleanouts[3].full && !setup->cleanouts[2].full);
    for (size_t i = 0; i < setup->n_cleanouts; i++) {
        const sb_cleanout *cleanout = &setup->cleanouts[i];
        double minutes = 0;
        for (size_t s = 0; s < cleanout->n_steps; s++) {
            minutes += cleanout->steps[s].minutes;
            assert_true(*cleanout->steps[s].section == '\0' ||
                        sb_find_section(setup, cleanout->steps[s].section) >= 0);
        }
        assert_float_equal(minutes, cleanout->minutes, 1e-9);
    }
}

/* Shared-machinery chain of oilseed rape in the UK: 1.47 % admixture without cleaning, 0.08 %
 * with, so 5.4 % is left (Allnutt et al. 2013, Ann Appl Biol 162:119-130). */
static void a_deep_cleanout_leaves_about_what_was_measured(void **state)
{
    const sb_setup *setup = *state;
    double before = 0, after[4] = {0};
    for (size_t s = 0; s < setup->n_sections; s++) {
        const sb_section *section = &setup->machines[0].sections[s];
        before += section->kg;
        for (size_t l = 0; l < 4; l++)
            after[l] +=
                section->kg * ((1 - section->lodged_share) * setup->cleanouts[l].keep_loose[s] +
                               section->lodged_share * setup->cleanouts[l].keep_lodged[s]);
    }
    assert_float_equal(after[0] / before, 1, 1e-12);
    assert_float_equal(after[3] / before, 0.0008 / 0.0147, 0.015);
    for (size_t l = 1; l < 4; l++)
        assert_true(after[l] < after[l - 1]);
}

/* C[ha/h] = speed[km/h] x width[m] x field efficiency / 10. ISU PM 696 (2001) and A3-24 print
 * C[ac/h] = mph x ft x E / 8.25 with these eight rows; they round to 0.1 ac/h. */
static void the_default_capacity_follows_the_published_formula(void **state)
{
    const sb_setup *setup = *state;
    static const double rows[][4] = {{40, 6, .70, 20.4},  {60, 6, .68, 29.7}, {60, 12, .68, 59.3},
                                     {80, 12, .68, 79.1}, {15, 5, .63, 5.7},  {20, 6, .63, 9.2},
                                     {30, 6, .60, 13.1},  {45, 5, .60, 16.4}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double ha_per_hour = rows[i][1] * 1.609344 * rows[i][0] * 0.3048 * rows[i][2] / 10;
        assert_float_equal(ha_per_hour / 0.40468564, rows[i][3], 0.06);
    }
    assert_float_equal(setup->machines[0].ha_per_hour, setup->machines[0].header_m * 5 * 0.70 / 10,
                       0.005);
}

/* Corn with giant ragweed of the same age: A = 90 %, I = 136 % per plant/m2 (Harrison, Regnier,
 * Schmoll & Webb 2001); 1.7, 6.9 and 13.8 plants per 10 m2 lose 18.4, 45.9 and 60.8 %. With
 * crowding A/I the loss is A x/(1 + x), x = density/crowding. */
static void crowding_of_giant_ragweed_gives_its_published_losses(void **state)
{
    const sb_setup *setup = *state;
    double crowding = setup->weeds[sb_find_weed(setup, "giant_ragweed")].crowding_plants_m2;
    static const double rows[][2] = {{0.17, 18.4}, {0.69, 45.9}, {1.38, 60.8}};
    for (size_t i = 0; i < 3; i++) {
        double x = rows[i][0] / crowding;
        assert_float_equal(90 * x / (1 + x), rows[i][1], 0.06);
    }
}

static void density_classes_use_their_geometric_mean(void **state)
{
    const sb_scale *scale = &((const sb_setup *)*state)->scale;
    assert_string_equal(scale->id, "density");
    assert_int_equal(scale->n_classes, 6);
    assert_float_equal(scale->density_plants_m2[0], 0, 0);
    for (size_t i = 1; i < 6; i++)
        assert_float_equal(scale->density_plants_m2[i] / sqrt(scale->low[i] * scale->high[i]), 1,
                           1e-12);
}

static void published_scales_rise_and_hold_their_value(void **state)
{
    (void)state;
    static const char *const names[] = {"density", "braun_blanquet", "domin", "horsfall_barratt",
                                        "rangeland_cover"};
    sb_scale scale = {0};
    for (size_t n = 0; n < 5; n++) {
        assert_int_equal(sb_scale_builtin(names[n], &scale), SB_OK);
        assert_string_equal(scale.id, names[n]);
        for (size_t i = 0; i < scale.n_classes; i++) {
            assert_true(scale.low[i] <= scale.density_plants_m2[i]);
            assert_true(scale.density_plants_m2[i] <= scale.high[i]);
            assert_true(isfinite(scale.density_plants_m2[i]));
            if (i > 0)
                assert_true(scale.density_plants_m2[i] > scale.density_plants_m2[i - 1]);
            if (i > 1)
                assert_float_equal(scale.low[i], scale.high[i - 1], 1e-9 * scale.low[i]);
        }
    }
    /* 17.5 % of the ground: -ln(0.825) / 0.1 = 1.92 plants/m2. */
    assert_int_equal(sb_scale_builtin("braun_blanquet", &scale), SB_OK);
    assert_string_equal(scale.labels[4], "2");
    assert_float_equal(scale.density_plants_m2[4], 1.9237189, 1e-6);
    assert_true(isinf(scale.high[7]));
    /* An unknown name leaves the scale as it was. */
    assert_int_equal(sb_scale_builtin("beaufort", &scale), SB_ERR_INPUT);
    assert_string_equal(scale.id, "braun_blanquet");
    sb_scale_release(&scale);
}

static void a_shut_allocation_door_leaves_nothing_behind(void **state)
{
    (void)state;
    long live = sb_mem_live();
    for (long budget = 0;; budget++) {
        sb_setup setup;
        sb_mem_set_budget(budget);
        sb_status status = sb_setup_builtin(&setup);
        sb_mem_set_budget(-1);
        if (status == SB_OK) {
            assert_true(budget > 50);
            sb_setup_release(&setup);
            break;
        }
        assert_int_equal(status, SB_ERR_NOMEM);
        assert_int_equal(sb_mem_live(), live);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_promised_id_is_there),
        cmocka_unit_test(a_deep_clean_takes_straw_pellets_and_shavings),
        cmocka_unit_test(every_number_names_its_source),
        cmocka_unit_test(the_hold_up_lies_in_the_published_range),
        cmocka_unit_test(cleanouts_take_the_published_time_and_their_steps_add_up),
        cmocka_unit_test(a_deep_cleanout_leaves_about_what_was_measured),
        cmocka_unit_test(the_default_capacity_follows_the_published_formula),
        cmocka_unit_test(crowding_of_giant_ragweed_gives_its_published_losses),
        cmocka_unit_test(density_classes_use_their_geometric_mean),
        cmocka_unit_test(published_scales_rise_and_hold_their_value),
        cmocka_unit_test(a_shut_allocation_door_leaves_nothing_behind),
    };
    return cmocka_run_group_tests(tests, with_setup, without_setup);
}
