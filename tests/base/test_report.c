/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Messages in the order a reader of the file meets them. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "base/report.h"

static void expect(const sb_report *report, const char *order)
{
    assert_int_equal(sb_report_count(report), strlen(order));
    for (size_t i = 0; i < strlen(order); i++)
        assert_int_equal(sb_report_get(report, i).text[0], order[i]);
}

static void messages_are_sorted_by_line_within_their_file(void **state)
{
    (void)state;
    sb_report *report = sb_report_new();
    sb_say(report, SB_NOTE, "z.kml", 90, "a: stays, it was said before");
    sb_say(report, SB_ERROR, "b.kml", 7, "e");
    sb_say(report, SB_WARNING, "a.kml", 1, "g");
    sb_say(report, SB_NOTE, NULL, 0, "h");
    sb_say(report, SB_ERROR, "b.kml", 3, "b");
    sb_say(report, SB_ERROR, "b.kml", 3, "c");
    sb_say(report, SB_ERROR, "b.kml", 5, "d");
    sb_say(report, SB_ERROR, "b.kml", 7, "f");
    sb_report_sort(report, 1);
    expect(report, "abcdefgh");
    sb_report_free(report);
    assert_int_equal(sb_mem_live(), 0);
}

static void without_memory_the_order_stays(void **state)
{
    (void)state;
    for (long budget = 0; budget < 2; budget++) {
        sb_report *report = sb_report_new();
        sb_say(report, SB_ERROR, "a.kml", 7, "a");
        sb_say(report, SB_ERROR, "a.kml", 3, "b");
        sb_mem_set_budget(budget);
        sb_report_sort(report, 0);
        sb_mem_set_budget(-1);
        expect(report, "ab");
        sb_report_free(report);
    }
    assert_int_equal(sb_mem_live(), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(messages_are_sorted_by_line_within_their_file),
        cmocka_unit_test(without_memory_the_order_stays),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
