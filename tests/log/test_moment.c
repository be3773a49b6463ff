/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "log/moment.h"

static sb_moment moment(const char *text)
{
    sb_moment read = SB_NO_MOMENT;
    assert_true(sb_moment_parse(text, &read));
    return read;
}

static void moments_are_read_whole_and_written_back(void **state)
{
    (void)state;
    static const char *const bad[] = {"",
                                      "2026-08-06",
                                      "2026-08-06T9:30",
                                      "2026-08-06T24:00",
                                      "2026-08-06T09:60",
                                      "2026-02-30T09:00",
                                      "2026-08-06T09:30Z",
                                      "2026-08-06T09:30:61",
                                      "2026-08-06x09:30",
                                      "2026-08-06T0a:30"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        sb_moment untouched = 7;
        assert_false(sb_moment_parse(bad[i], &untouched));
        assert_int_equal(untouched, 7);
    }
    char text[17];
    sb_moment_format(moment("2026-08-06 09:05"), text);
    assert_string_equal(text, "2026-08-06T09:05");
    sb_moment_format(moment("1969-12-31T23:59:59"), text);
    assert_string_equal(text, "1969-12-31T23:59");
    assert_int_equal(moment("1970-01-02T00:01"), SB_MINUTES_PER_DAY + 1);
}

static void hours_count_only_while_work_is_done(void **state)
{
    (void)state;
    int start, blocked[2];
    assert_true(sb_date_parse("2026-08-03", &start));
    blocked[0] = start + 1;
    blocked[1] = start + 2;
    sb_calendar calendar = {.start_day = start,
                            .end_day = SB_NO_DAY,
                            .hours_per_day = 10,
                            .day_starts_h = 9,
                            .blocked = blocked,
                            .n_blocked = 2};
    assert_true(sb_moment_hours(&calendar, moment("2026-08-01T12:00")) == 0);
    assert_true(sb_moment_hours(&calendar, moment("2026-08-03T06:00")) == 0);
    assert_true(sb_moment_hours(&calendar, moment("2026-08-03T12:30")) == 3.5);
    assert_true(sb_moment_hours(&calendar, moment("2026-08-03T23:00")) == 10);
    assert_true(sb_moment_hours(&calendar, moment("2026-08-04T12:00")) == 10); /* blocked */
    assert_true(sb_moment_hours(&calendar, moment("2026-08-06T10:00")) == 11);
}

static void work_past_midnight_belongs_to_the_day_it_began(void **state)
{
    (void)state;
    int start;
    assert_true(sb_date_parse("2026-08-03", &start));
    sb_calendar calendar = {
        .start_day = start, .end_day = SB_NO_DAY, .hours_per_day = 12, .day_starts_h = 15};
    assert_true(sb_moment_hours(&calendar, moment("2026-08-04T02:00")) == 11);
    assert_true(sb_moment_hours(&calendar, moment("2026-08-04T03:00")) == 12);
    assert_true(sb_moment_hours(&calendar, moment("2026-08-04T14:00")) == 12);
}

/* What the calendar stamps, the log reads back. */
static void stamps_of_a_plan_read_back_as_its_hours(void **state)
{
    (void)state;
    int start, blocked[1];
    assert_true(sb_date_parse("2026-08-03", &start));
    blocked[0] = start + 3;
    sb_calendar calendar = {.start_day = start,
                            .end_day = SB_NO_DAY,
                            .hours_per_day = 10.5,
                            .day_starts_h = 8.25,
                            .blocked = blocked,
                            .n_blocked = 1};
    for (double hours = 0; hours < 100; hours += 0.75) {
        char stamp[17];
        sb_calendar_stamp(&calendar, hours, true, stamp);
        assert_true(sb_moment_hours(&calendar, moment(stamp)) == hours);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(moments_are_read_whole_and_written_back),
        cmocka_unit_test(hours_count_only_while_work_is_done),
        cmocka_unit_test(work_past_midnight_belongs_to_the_day_it_began),
        cmocka_unit_test(stamps_of_a_plan_read_back_as_its_hours),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
