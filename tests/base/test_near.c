/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/near.h"

static const char *const fields[] = {"North Quarter", "South Quarter", "Mill",
                                     "Long Acre",     "North Eighty",  "Creek",
                                     "Gravel",        "Church",        "Homestead"};

static const char *field_at(const void *list, size_t i)
{
    return ((const char *const *)list)[i];
}

static void edits_are_counted_without_regard_to_case(void **state)
{
    (void)state;
    assert_int_equal(sb_edits_between("kitten", "sitting"), 3);
    assert_int_equal(sb_edits_between("Mill", "mill"), 0);
    assert_int_equal(sb_edits_between("", "mill"), 4);
    assert_int_equal(sb_edits_between("mill", ""), 4);
}

static void the_nearest_name_comes_first(void **state)
{
    (void)state;
    sb_text text = {0};
    assert_true(sb_text_add_near(&text, "Soth Quarter", field_at, fields, 9));
    assert_string_equal(sb_text_get(&text), ": did you mean 'South Quarter' or 'North Quarter'");
    sb_text_release(&text);
}

static void nothing_is_added_when_nothing_is_near(void **state)
{
    (void)state;
    sb_text text = {0};
    assert_false(sb_text_add_near(&text, "xxxxxxxxxx", field_at, fields, 9));
    assert_string_equal(sb_text_get(&text), "");
    sb_text_release(&text);
}

static void expect_meant(const char *wanted, size_t n, const char *expected)
{
    sb_text text = {0};
    sb_text_add_meant(&text, wanted, field_at, fields, n);
    assert_string_equal(sb_text_get(&text), expected);
    sb_text_release(&text);
}

static void names_typed_short_are_found(void **state)
{
    (void)state;
    expect_meant("Mil", 9, ": did you mean 'Mill'");
    expect_meant("quarter", 9, ": did you mean 'North Quarter' or 'South Quarter'");
    expect_meant("north", 9, ": did you mean 'North Quarter' or 'North Eighty'");
    expect_meant("Homstea", 9, ": did you mean 'Homestead'");
    expect_meant("xxxxxx", 9, "");
    expect_meant("xxxxxx", 2, ", expected one of 'North Quarter', 'South Quarter'");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(edits_are_counted_without_regard_to_case),
        cmocka_unit_test(the_nearest_name_comes_first),
        cmocka_unit_test(nothing_is_added_when_nothing_is_near),
        cmocka_unit_test(names_typed_short_are_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
