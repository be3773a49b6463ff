/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The library's own allocation door is shut at the k-th call; libxml2 and jansson allocate through
 * the same door here. Under the sanitizers: what is used after it failed shows. */
#include <limits.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "fragile.h"
#include "sweep.h"
#include "xml_memory.h"
#include <jansson.h>

static void *one(size_t bytes)
{
    return sb_alloc(bytes, 1);
}

static void *resized(void *p, size_t bytes)
{
    return sb_resize(p, bytes, 1);
}

static long budget;

static void begin(long spare)
{
    budget = spare;
    sb_mem_set_budget(spare);
}

static long end(void)
{
    return budget - sb_mem_set_budget(-1);
}

static long live(void)
{
    return sb_mem_live() - xml_memory_live();
}

static void spare(bool on)
{
    static long left;
    if (on)
        left = sb_mem_set_budget(-1);
    else
        sb_mem_set_budget(left);
}

static void every_shut_door_is_out_of_memory(void **state)
{
    static const shortage door = {begin, end, live};
    sweep(*state, &door);
}

/* Memory comes back, and with it the season: nothing remembers the hard times. */
static void a_hungry_run_does_not_spoil_the_next(void **state)
{
    const work *job = *state;
    begin(40);
    assert_int_equal(work_run(job), SB_ERR_NOMEM);
    end();
    assert_int_equal(work_run(job), job->well_fed);
}

int main(int argc, char **argv)
{
    struct CMUnitTest tests[2 * 16];
    size_t n = 0;
    assert_true(2 * n_works <= sizeof tests / sizeof *tests);
    fragile_spare = spare;
    if (!xml_memory_through(one, resized, sb_free) || !work_begin())
        return 1;
    json_set_alloc_funcs(one, sb_free);
    for (size_t i = 0; i < n_works; i++) {
        if (argc > 1 && strstr(works[i].name, argv[1]) == NULL)
            continue; /* by hand: one work only */
        tests[n++] = (struct CMUnitTest){works[i].name, every_shut_door_is_out_of_memory, NULL,
                                         NULL, (void *)&works[i]};
        tests[n++] = (struct CMUnitTest){works[i].name, a_hungry_run_does_not_spoil_the_next, NULL,
                                         NULL, (void *)&works[i]};
    }
    int failed = _cmocka_run_group_tests("door", tests, n, NULL, NULL);
    work_end();
    return failed;
}
