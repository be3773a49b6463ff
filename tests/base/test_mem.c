/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/mem.h"

static void a_shut_door_gives_null_and_leaves_the_list(void **state)
{
    (void)state;
    struct {
        int *items;
        size_t count, capacity;
    } list = {0};
    for (int i = 0; i < 8; i++)
        assert_true(SB_PUSH(&list, i));
    sb_mem_set_budget(0);
    assert_false(SB_PUSH(&list, 8));
    assert_null(sb_alloc(1, 1));
    assert_null(sb_alloc_aligned(1, 1));
    sb_mem_set_budget(-1);
    assert_int_equal(list.count, 8);
    assert_int_equal(list.items[7], 7);
    sb_free(list.items);
    assert_int_equal(sb_mem_live(), 0);
}

static void sizes_that_overflow_are_refused(void **state)
{
    (void)state;
    assert_null(sb_resize(NULL, SIZE_MAX / 4, 8));
    assert_null(sb_alloc_aligned(SIZE_MAX / 4, 8));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_shut_door_gives_null_and_leaves_the_list),
        cmocka_unit_test(sizes_that_overflow_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
