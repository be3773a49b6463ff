/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fields that nobody can cut in time: never claimed of a season that brute force finds a plan for,
 * and told with the rules that are in each other's way and no others. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "brute.h"
#include "machines.h"
#include "order/fleet.h"
#include "order/overdue.h"

static int any_overdue(const sb_season *season, bool alone)
{
    sb_fleet fleet;
    sb_overdue found = {.field = -1};
    assert_int_equal(alone ? sb_fleet_init_alone(&fleet, season, 0) : sb_fleet_init(&fleet, season),
                     SB_OK);
    assert_int_equal(sb_overdue_find(fleet.problems, fleet.machines, &found), SB_OK);
    int field = found.field;
    if (alone && fleet.problems[0].dates_contradict && field < 0)
        field = 0;
    sb_overdue_release(&found);
    sb_fleet_release(&fleet);
    return field;
}

/* Latest days a little earlier than anybody can be sure to keep. */
static void press(sb_season *season, int days)
{
    for (size_t j = 0; j < season->n_fields; j++) {
        int *latest = &season->fields[j].latest_day, first = season->setup.calendar.start_day;
        if (*latest != SB_NO_DAY)
            *latest = *latest - days > first ? *latest - days : first;
    }
}

static void never_of_a_season_that_has_a_plan(void **state)
{
    (void)state;
    int with_plan = 0, without = 0, seen = 0, seen_alone = 0;
    brute_counts counts = {0};
    for (uint64_t seed = 1; seed <= 240; seed++) {
        support_options options = support_random_options(seed);
        options.n_weeds = 1;
        options.n_levels = 2;
        options.dates = true;
        options.precedence = seed % 4 != 0;
        options.season_end = seed % 3 == 0;
        options.seed_limits = options.tank_limits = options.spend_limit = options.full_limit =
            false;
        options.feasible = seed % 8 == 0;
        size_t n = 3 + seed % 3;
        bool alone = seed % 5 == 0;
        sb_season *season = alone ? support_random_season(seed, n, &options)
                                  : support_random_fleet(seed, n, &options);
        press(season, (int)(seed % 6));
        bool has_plan = isfinite(brute_best(season, &counts));
        bool overdue = any_overdue(season, alone) >= 0;
        if (has_plan && overdue)
            print_message("seed %lu has a plan\n", (unsigned long)seed);
        assert_false(has_plan && overdue);
        with_plan += has_plan;
        without += !has_plan;
        seen += overdue;
        seen_alone += overdue && alone;
        sb_season_free(season);
    }
    print_message("%d seasons have a plan, %d have none, seen of %d, %d of them of one machine\n",
                  with_plan, without, seen, seen_alone);
    assert_true(with_plan >= 50 && seen >= 50 && seen_alone >= 10);
}

/* ---- What is said ---------------------------------------------------------------------------- */

static sb_report *order(const sb_season *season)
{
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    sb_report *report = sb_report_new();
    sb_plan *plan = NULL;
    assert_int_equal(sb_order(season, &options, report, &plan), SB_ERR_INFEASIBLE);
    return report;
}

static size_t said(const sb_report *report, const char *words)
{
    size_t count = 0;
    for (size_t i = 0; i < sb_report_count(report); i++)
        count += strstr(sb_report_get(report, i).text, words) != NULL;
    return count;
}

/* Fields take 5 hours, a day has 10: field 2 is not ready before the fourth day, so field 1 behind
 * it is not finished before that evening, whichever machine cuts it; and field 3 behind that one
 * not before noon of the fifth. Dates and a chain beside them are none of the reason. */
static sb_season *chain_of_three(size_t n, size_t machines)
{
    sb_season *season = support_season_new(n, 1);
    int first = season->setup.calendar.start_day;
    for (size_t m = 1; m < machines; m++)
        support_add_yard_mate(season, "other");
    season->fields[1].ready_day = first + 3;
    support_add_after(season, 0, 1);
    support_add_after(season, 2, 0);
    season->fields[2].latest_day = first + 3;
    for (size_t j = 3; j < n; j++) {
        season->fields[j].latest_day = first + 300;
        season->fields[j].ready_day = first + (int)j % 3;
        support_add_after(season, (int)j, j % 2 ? 1 : (int)j - 1);
    }
    return season;
}

static void a_chain_is_named_and_nothing_else(void **state)
{
    (void)state;
    for (size_t machines = 1; machines <= 3; machines++)
        for (size_t n = 3; n <= 40; n += 37) {
            sb_season *season = chain_of_three(n, machines);
            sb_report *report = order(season);
            assert_int_equal(said(report, "in conflict: "), 4);
            assert_int_equal(said(report, "'Field 2' is not ready before 2026-08-04 (ready)"), 1);
            assert_int_equal(said(report, "'Field 1' must be cut after 'Field 2' (after)"), 1);
            assert_int_equal(said(report, "'Field 3' must be cut after 'Field 1' (after)"), 1);
            assert_int_equal(said(report, "'Field 3' must be finished by 2026-08-04 (latest)"), 1);
            assert_int_equal(said(report, "'Field 2' is finished at 2026-08-04T14:00 at the"), 1);
            if (machines > 1)
                assert_int_equal(said(report, "whichever machine cuts it"), 3);
            sb_report_free(report);
            sb_season_free(season);
        }
}

static void the_same_with_a_day_more_has_a_plan(void **state)
{
    (void)state;
    sb_season *season = chain_of_three(3, 2);
    season->fields[2].latest_day++;
    assert_int_equal(any_overdue(season, false), -1);
    brute_counts counts = {0};
    assert_true(isfinite(brute_best(season, &counts)));
    sb_season_free(season);
}

/* Four fields of 5 hours come first: two machines have cut them after 10 hours at the earliest. */
static void work_that_must_come_first_is_shared_out(void **state)
{
    (void)state;
    sb_season *season = support_season_new(5, 1);
    support_add_yard_mate(season, "other");
    for (int j = 1; j < 5; j++)
        support_add_after(season, 0, j);
    season->fields[0].latest_day = season->setup.calendar.start_day;
    assert_int_equal(any_overdue(season, false), 0);
    season->fields[0].latest_day++;
    assert_int_equal(any_overdue(season, false), -1);
    /* When one machine alone may cut the four, they take it 20 hours. */
    for (int j = 1; j < 5; j++)
        support_add_only(season, j, 1);
    assert_int_equal(any_overdue(season, false), 0);
    sb_season_free(season);
}

/* The nearer machine is shut out of the field by its own last day; the other comes from afar. */
static void a_machine_that_comes_too_late_does_not_count(void **state)
{
    (void)state;
    sb_season *season = support_season_new(2, 1);
    support_add_yard_mate(season, "other");
    int first = season->setup.calendar.start_day;
    season->fields[0].ready_day = first + 1;
    season->setup.machines[0].to_day = first;
    season->fields[0].latest_day = first + 2;
    assert_int_equal(any_overdue(season, false), -1);
    season->setup.machines[1].to_day = first;
    assert_int_equal(any_overdue(season, false), 0);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(never_of_a_season_that_has_a_plan),
        cmocka_unit_test(a_chain_is_named_and_nothing_else),
        cmocka_unit_test(the_same_with_a_day_more_has_a_plan),
        cmocka_unit_test(work_that_must_come_first_is_shared_out),
        cmocka_unit_test(a_machine_that_comes_too_late_does_not_count),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
