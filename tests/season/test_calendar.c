/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "season/calendar.h"

static int date(const char *text)
{
    int day = 0;
    assert_true(sb_date_parse(text, &day));
    return day;
}

/* Ten-hour days from Monday 6 July 2026; the Saturday and the Sunday of that week are blocked. */
static sb_calendar haying(int blocked[2])
{
    blocked[0] = date("2026-07-11");
    blocked[1] = date("2026-07-12");
    return (sb_calendar){.start_day = date("2026-07-06"),
                         .end_day = date("2026-07-17"),
                         .hours_per_day = 10,
                         .day_starts_h = 9,
                         .blocked = blocked,
                         .n_blocked = 2};
}

static void blocked_days_have_no_hours(void **state)
{
    (void)state;
    int blocked[2];
    sb_calendar calendar = haying(blocked);
    assert_float_equal(sb_calendar_hours_before(&calendar, date("2026-07-01")), 0, 0);
    assert_float_equal(sb_calendar_hours_before(&calendar, date("2026-07-06")), 0, 0);
    assert_float_equal(sb_calendar_hours_before(&calendar, date("2026-07-11")), 50, 0);
    assert_float_equal(sb_calendar_hours_before(&calendar, date("2026-07-12")), 50, 0);
    assert_float_equal(sb_calendar_hours_before(&calendar, date("2026-07-13")), 50, 0);
    assert_float_equal(sb_calendar_hours_before(&calendar, date("2026-07-14")), 60, 0);
    assert_float_equal(sb_calendar_hours_through(&calendar, date("2026-07-05")), 0, 0);
    assert_float_equal(sb_calendar_hours_through(&calendar, date("2026-07-10")), 50, 0);
    assert_float_equal(sb_calendar_hours_through(&calendar, date("2026-07-12")), 50, 0);
    assert_float_equal(sb_calendar_hours_through(&calendar, date("2026-07-13")), 60, 0);
    assert_float_equal(sb_calendar_total_hours(&calendar), 100, 0);
    calendar.end_day = SB_NO_DAY;
    assert_true(isinf(sb_calendar_total_hours(&calendar)));
}

static void work_ends_in_the_evening_and_begins_in_the_morning(void **state)
{
    (void)state;
    int blocked[2];
    sb_calendar calendar = haying(blocked);
    assert_int_equal(sb_calendar_day(&calendar, 50, true), date("2026-07-10"));
    assert_int_equal(sb_calendar_day(&calendar, 50, false), date("2026-07-13"));
    /* Rounding of sums does not turn an evening into the next morning, nor a morning back. */
    assert_int_equal(sb_calendar_day(&calendar, 50 + 1e-9, true), date("2026-07-10"));
    assert_int_equal(sb_calendar_day(&calendar, 50 - 1e-9, false), date("2026-07-13"));
    char stamp[17];
    sb_calendar_stamp(&calendar, 50, true, stamp);
    assert_string_equal(stamp, "2026-07-10T19:00");
    sb_calendar_stamp(&calendar, 50, false, stamp);
    assert_string_equal(stamp, "2026-07-13T09:00");
    sb_calendar_stamp(&calendar, 53.25, true, stamp);
    assert_string_equal(stamp, "2026-07-13T12:15");
    sb_calendar_stamp(&calendar, 0, true, stamp);
    assert_string_equal(stamp, "2026-07-06T09:00");
}

static void a_season_may_start_on_a_blocked_day(void **state)
{
    (void)state;
    int blocked[2];
    sb_calendar calendar = haying(blocked);
    calendar.start_day = date("2026-07-11");
    assert_int_equal(sb_calendar_day(&calendar, 0, false), date("2026-07-13"));
    assert_float_equal(sb_calendar_hours_before(&calendar, date("2026-07-14")), 10, 0);
    char stamp[17];
    sb_calendar_stamp(&calendar, 0, false, stamp);
    assert_string_equal(stamp, "2026-07-13T09:00");
    /* Days blocked before the season do not count. */
    calendar.start_day = date("2026-07-12");
    assert_float_equal(sb_calendar_hours_before(&calendar, date("2026-07-14")), 10, 0);
}

static void work_past_midnight_has_the_next_date(void **state)
{
    (void)state;
    sb_calendar calendar = {.start_day = date("2026-07-31"),
                            .end_day = SB_NO_DAY,
                            .hours_per_day = 10,
                            .day_starts_h = 18};
    char stamp[17];
    sb_calendar_stamp(&calendar, 6, true, stamp);
    assert_string_equal(stamp, "2026-08-01T00:00");
    sb_calendar_stamp(&calendar, 10, true, stamp);
    assert_string_equal(stamp, "2026-08-01T04:00");
    sb_calendar_stamp(&calendar, 10, false, stamp);
    assert_string_equal(stamp, "2026-08-01T18:00");
}

static void days_and_hours_agree_on_every_working_day(void **state)
{
    (void)state;
    int blocked[2];
    sb_calendar calendar = haying(blocked);
    for (int day = calendar.start_day; day < calendar.start_day + 40; day++) {
        double before = sb_calendar_hours_before(&calendar, day);
        double through = sb_calendar_hours_through(&calendar, day);
        if (before == through) {
            assert_true(day == blocked[0] || day == blocked[1]);
            continue;
        }
        assert_int_equal(sb_calendar_day(&calendar, before, false), day);
        assert_int_equal(sb_calendar_day(&calendar, (before + through) / 2, false), day);
        assert_int_equal(sb_calendar_day(&calendar, through, true), day);
    }
}

static void an_endless_moment_is_shown_without_trouble(void **state)
{
    (void)state;
    int blocked[2];
    sb_calendar calendar = haying(blocked);
    char stamp[17];
    sb_calendar_stamp(&calendar, INFINITY, true, stamp);
    assert_true(sb_calendar_day(&calendar, INFINITY, true) > date("2126-01-01"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(blocked_days_have_no_hours),
        cmocka_unit_test(work_ends_in_the_evening_and_begins_in_the_morning),
        cmocka_unit_test(a_season_may_start_on_a_blocked_day),
        cmocka_unit_test(work_past_midnight_has_the_next_date),
        cmocka_unit_test(days_and_hours_agree_on_every_working_day),
        cmocka_unit_test(an_endless_moment_is_shown_without_trouble),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
