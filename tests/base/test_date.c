/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <string.h>

#include "base/date.h"

static void days_count_from_1970(void **state)
{
    (void)state;
    int day = -1;
    assert_true(sb_date_parse("1970-01-01", &day));
    assert_int_equal(day, 0);
    /* 2000-03-01 is day 11017: ISO 8601 calendar arithmetic, as `date -d 2000-03-01 +%s` / 86400.
     */
    assert_true(sb_date_parse("2000-03-01", &day));
    assert_int_equal(day, 11017);
    assert_true(sb_date_parse("1969-12-31", &day));
    assert_int_equal(day, -1);
    assert_true(sb_date_parse("2026-08-01T09:30:00Z", &day));
    char text[11];
    sb_date_format(day, text);
    assert_string_equal(text, "2026-08-01");
}

static void dates_that_do_not_exist_are_refused(void **state)
{
    (void)state;
    static const char *const bad[] = {"2026-02-29", "2026-13-01", "2026-06-31", "2026-6-1",
                                      "",           "today",      "01.08.2026", "2026-08-01x"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        int day = 77;
        assert_false(sb_date_parse(bad[i], &day));
        assert_int_equal(day, 77);
    }
}

/* Days 1900-01-01 to 2199-12-31: each is written as the day after the one before it. */
static void every_day_of_three_centuries_reads_back(void **state)
{
    (void)state;
    int first, last;
    char text[11], before[11] = "";
    assert_true(sb_date_parse("1900-01-01", &first));
    assert_true(sb_date_parse("2199-12-31", &last));
    assert_int_equal(last - first + 1, 3 * 36524 + 1); /* 2000 is the one leap year of hundreds */
    for (int day = first; day <= last; day++) {
        int again = SB_NO_DAY;
        sb_date_format(day, text);
        assert_true(strcmp(text, before) > 0);
        assert_true(sb_date_parse(text, &again));
        assert_int_equal(again, day);
        memcpy(before, text, sizeof before);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days_count_from_1970),
        cmocka_unit_test(dates_that_do_not_exist_are_refused),
        cmocka_unit_test(every_day_of_three_centuries_reads_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
