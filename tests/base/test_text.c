/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/text.h"

static void numbers_parse_whole_or_fail(void **state)
{
    (void)state;
    static const char *const bad[] = {"",    " ",     "5zzz",   "0x10",  "nan",
                                      "inf", "1e999", "1.1e15", "-1e16", "1,5",
                                      "1 2", "--1",   "e5",     "1e5e5", "."};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        double value = 77;
        assert_false(sb_parse_double(bad[i], &value));
        assert_true(value == 77);
    }
    double value = 0;
    assert_true(sb_parse_double(" -1.25e2\n", &value));
    assert_true(value == -125);
    assert_true(sb_parse_double("1e15", &value));
    assert_true(value == SB_LARGEST);
    long whole = 0;
    assert_true(sb_parse_long("12", 0, 12, &whole));
    assert_int_equal(whole, 12);
    assert_false(sb_parse_long("13", 0, 12, &whole));
    assert_false(sb_parse_long("1.5", 0, 12, &whole));
}

static void text_grows(void **state)
{
    (void)state;
    sb_text text = {0};
    for (int i = 0; i < 100; i++)
        sb_text_addf(&text, "%d,", i);
    assert_int_equal(text.count, 10 * 2 + 90 * 3);
    assert_false(text.failed);
    sb_text_release(&text);
    assert_string_equal(sb_text_get(&text), "");
    char blank[] = "  a b \n";
    assert_string_equal(sb_trim(blank), "a b");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_parse_whole_or_fail),
        cmocka_unit_test(text_grows),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
