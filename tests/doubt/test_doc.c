/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The ranges in docs/doubt.md are those of the program, every one of them. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"
#include "doubt/spread_table.h"
#include "drafts.h"

#define MOST_CELLS 8

static void assert_range(const sb_range *range, char **cells)
{
    const double ours[] = {range->middle, range->low, range->high};
    for (int i = 0; i < 3; i++) {
        double theirs;
        assert_true(sb_parse_double(cells[i], &theirs));
        assert_true(fabs(theirs - ours[i]) <= 1e-5 * ours[i]);
    }
}

/* Cells of "| a | b |" into cells. @return how many, 0: no row of a table */
static int split(char *line, char **cells)
{
    int n = 0;
    if (*line != '|')
        return 0;
    for (char *end = line + 1; (end = strchr(line + 1, '|')) != NULL && n < MOST_CELLS;
         line = end) {
        *end = '\0';
        cells[n++] = sb_trim(line + 1);
    }
    return n;
}

static void the_page_has_the_ranges_of_the_program(void **state)
{
    (void)state;
    char path[SUPPORT_PATH_BYTES], line[1024], *cells[MOST_CELLS];
    FILE *page = fopen(support_source("docs/doubt.md", path), "r");
    assert_non_null(page);
    int weeds = 0, machine = 0, keeps = 0;
    while (fgets(line, sizeof line, page) != NULL) {
        int n = split(line, cells);
        sb_doubtful what;
        if (n == 6 && sb_number_keyed(cells[1], &what) && sb_number_is_weeds(what)) {
            assert_range(sb_range_of_weed(what, cells[0]), cells + 2);
            weeds++;
        } else if (n == 5 && sb_number_keyed(cells[0], &what) && what >= SB_DOUBT_HELD &&
                   what <= SB_DOUBT_TANK_LARGE) {
            assert_range(sb_range_of_machine(what), cells + 1);
            machine++;
        } else if (n == 5 && strncmp(cells[0], "keep", 4) == 0) {
            bool fitted = strstr(cells[0], "deep") != NULL;
            assert_range(sb_range_of_keep(fitted ? "deep" : "blowdown"), cells + 1);
            keeps++;
        }
    }
    fclose(page);
    assert_int_equal(weeds, 21);
    assert_int_equal(machine, 6);
    assert_int_equal(keeps, 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_page_has_the_ranges_of_the_program),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
