/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <ctype.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

#include "seedbreak.h"

#define N_STATUSES (SB_ERR_INTERNAL + 1)

static void every_status_has_a_phrase_of_its_own(void **state)
{
    (void)state;
    for (int s = SB_OK; s < N_STATUSES; s++) {
        const char *text = sb_status_text((sb_status)s);
        assert_true(islower((unsigned char)text[0]));
        assert_string_not_equal(text, sb_status_text((sb_status)N_STATUSES));
        for (int other = SB_OK; other < s; other++)
            assert_string_not_equal(text, sb_status_text((sb_status)other));
    }
}

static void a_number_that_is_no_status_is_told_as_such(void **state)
{
    (void)state;
    assert_string_equal(sb_status_text((sb_status)99), "unknown status");
    assert_string_equal(sb_status_text((sb_status)-1), "unknown status");
}

/* Programs out there compare with these numbers. */
static void the_numbers_are_pinned(void **state)
{
    (void)state;
    assert_int_equal(SB_OK, 0);
    assert_int_equal(SB_ERR_INFEASIBLE, 1);
    assert_int_equal(SB_ERR_ARG, 2);
    assert_int_equal(SB_ERR_INPUT, 3);
    assert_int_equal(SB_ERR_SYSTEM, 4);
    assert_int_equal(SB_ERR_NOMEM, 5);
    assert_int_equal(SB_ERR_INTERNAL, 6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_status_has_a_phrase_of_its_own),
        cmocka_unit_test(a_number_that_is_no_status_is_told_as_such),
        cmocka_unit_test(the_numbers_are_pinned),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
