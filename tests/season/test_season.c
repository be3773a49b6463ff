/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a season answers, on small seasons made by code. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/mem.h"
#include "seasons.h"

static void a_cleanout_costs_people_supplies_and_lost_time(void **state)
{
    (void)state;
    sb_season *season = support_season_new(1, 1);
    const sb_cleanout *deep = &season->setup.cleanouts[3];
    assert_float_equal(sb_season_cleanout_cost(season, 0), 0, 0);
    assert_float_equal(sb_season_cleanout_cost(season, 3),
                       deep->supplies_cost + 5.25 * (deep->people * 25 + 100), 1e-9);
    sb_season_free(season);
}

static void a_crop_may_have_a_rate_of_its_own(void **state)
{
    (void)state;
    sb_season *season = support_season_new(2, 1);
    assert_float_equal(sb_season_cutting_hours(season, 0, 1), 5, 1e-12);
    double *rates = sb_alloc(season->setup.n_crops, sizeof *rates);
    for (size_t i = 0; i < season->setup.n_crops; i++)
        rates[i] = NAN;
    season->fields[1].crop = sb_find_crop(&season->setup, "corn");
    rates[season->fields[1].crop] = 2.5;
    season->setup.machines[0].crop_ha_per_hour = rates;
    assert_float_equal(sb_season_cutting_hours(season, 0, 0), 5, 1e-12);
    assert_float_equal(sb_season_cutting_hours(season, 0, 1), 8, 1e-12);
    sb_season_free(season);
}

static void only_a_cleanout_as_thorough_satisfies_a_demand(void **state)
{
    (void)state;
    sb_season *season = support_season_new(1, 1);
    for (int done = -1; done < 4; done++)
        for (int demanded = -1; demanded < 4; demanded++)
            assert_int_equal(sb_season_satisfies(season, done, demanded),
                             demanded <= (done < 0 ? 0 : done));
    /* Better in every pool but one is not as thorough. */
    season->setup.cleanouts[3].keep_lodged[5] = 0.46;
    assert_false(sb_season_satisfies(season, 3, 2));
    sb_season_free(season);
}

static void delay_counts_calendar_days_after_best_before(void **state)
{
    (void)state;
    sb_season *season = support_season_new(1, 1);
    sb_field *field = &season->fields[0];
    assert_float_equal(sb_season_delay_cost(season, 0, 1e6), 0, 0);
    assert_true(sb_date_parse("2026-08-03", &field->best_before_day));
    field->delay_cost_per_day = 90;
    int blocked[] = {field->best_before_day + 1};
    season->setup.calendar.blocked = blocked;
    season->setup.calendar.n_blocked = 1;
    assert_float_equal(sb_season_delay_cost(season, 0, 30), 0, 0); /* evening of the 3rd */
    /* The 4th is blocked, so the next hour is on the 5th: two days late. */
    assert_float_equal(sb_season_delay_cost(season, 0, 31), 180, 0);
    double before = 0;
    for (double h = 0; h < 100; h += 0.37) {
        double now = sb_season_delay_cost(season, 0, h);
        assert_true(now >= before);
        before = now;
    }
    season->setup.calendar.blocked = NULL;
    season->setup.calendar.n_blocked = 0;
    sb_season_free(season);
}

static void dates_become_working_hours(void **state)
{
    (void)state;
    sb_season *season = support_season_new(1, 1);
    assert_float_equal(sb_season_ready_h(season, 0), 0, 0);
    assert_true(isinf(sb_season_latest_h(season, 0)));
    assert_true(sb_date_parse("2026-08-03", &season->fields[0].ready_day));
    assert_true(sb_date_parse("2026-08-05", &season->fields[0].latest_day));
    assert_float_equal(sb_season_ready_h(season, 0), 20, 0);
    assert_float_equal(sb_season_latest_h(season, 0), 50, 0);
    sb_season_free(season);
}

static void large_seed_goes_to_the_tank_more_often(void **state)
{
    (void)state;
    sb_season *season = support_season_new(1, 5);
    int small = sb_find_weed(&season->setup, "ryegrass");
    int large = sb_find_weed(&season->setup, "wild_oat");
    int shoe = sb_find_section(&season->setup, "shoe");
    int tank = sb_find_section(&season->setup, "tank");
    assert_float_equal(sb_season_ground_share(season, 0, shoe, small), 0.95, 1e-12);
    assert_float_equal(sb_season_ground_share(season, 0, shoe, large), 0.5, 1e-12);
    assert_float_equal(sb_season_ground_share(season, 0, tank, small), 0, 0);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cleanout_costs_people_supplies_and_lost_time),
        cmocka_unit_test(a_crop_may_have_a_rate_of_its_own),
        cmocka_unit_test(only_a_cleanout_as_thorough_satisfies_a_demand),
        cmocka_unit_test(delay_counts_calendar_days_after_best_before),
        cmocka_unit_test(dates_become_working_hours),
        cmocka_unit_test(large_seed_goes_to_the_tank_more_often),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
