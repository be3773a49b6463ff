/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Malloc itself fails, for us and for every library below: GLPK, GEOS, libxml2, libzip, jansson,
 * the C library. Once at the k-th call only, and from the k-th call on. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "cxx_memory.h"
#include "fragile.h"
#include "starve.h"
#include "sweep.h"
#include "xml_memory.h"

static void one_fails(long spare)
{
    starve_begin(spare, 1);
}

static void all_fail(long spare)
{
    starve_begin(spare, -1);
}

static long end(void)
{
    starve_end();
    return starve_calls();
}

static long live(void)
{
    return starve_live() - xml_memory_live() - cxx_memory_live();
}

static void one_failed_malloc_is_out_of_memory(void **state)
{
    static const shortage single = {one_fails, end, live};
    sweep(*state, &single);
}

static void no_malloc_from_here_on_is_out_of_memory(void **state)
{
    static const shortage drought = {all_fail, end, live};
    sweep(*state, &drought);
}

int main(int argc, char **argv)
{
    struct CMUnitTest tests[2 * 16];
    size_t n = 0;
    assert_true(2 * n_works <= sizeof tests / sizeof *tests);
    fragile_spare = starve_pause;
    if (!xml_memory_through(malloc, realloc, free) || !work_begin())
        return 1;
    for (size_t i = 0; i < n_works; i++) {
        if (argc > 1 && strstr(works[i].name, argv[1]) == NULL)
            continue; /* by hand: one work only */
        tests[n++] = (struct CMUnitTest){works[i].name, one_failed_malloc_is_out_of_memory, NULL,
                                         NULL, (void *)&works[i]};
        tests[n++] = (struct CMUnitTest){works[i].name, no_malloc_from_here_on_is_out_of_memory,
                                         NULL, NULL, (void *)&works[i]};
    }
    int failed = _cmocka_run_group_tests("starved", tests, n, NULL, NULL);
    work_end();
    return failed;
}
