/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files that must be refused: tests/read/bad (made by make_bad.py), and what each must be answered
 * with: bad/EXPECTED.tsv. */
#define _POSIX_C_SOURCE 200809L
#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "drafts.h"

#define FOLDER "tests/read/bad"

static void refuse(const char *name, const char *expected)
{
    char path[SUPPORT_PATH_BYTES], relative[SUPPORT_PATH_BYTES];
    snprintf(relative, sizeof relative, FOLDER "/%s", name);
    const char *paths[] = {support_source(relative, path)};
    long live = sb_mem_live();
    support_reading reading = support_read(paths, 1, NULL);
    if (strcmp(reading.messages, expected) != 0)
        print_error("%s: %s\n", name, reading.messages);
    assert_string_equal(reading.messages, expected);
    assert_int_equal(reading.status, SB_ERR_INPUT);
    assert_int_equal(reading.draft.features.count, 0);
    /* The file is named in every message. */
    for (size_t i = 0; i < sb_report_count(reading.report); i++)
        assert_non_null(strstr(sb_report_get(reading.report, i).file, FOLDER));
    support_reading_release(&reading);
    assert_int_equal(sb_mem_live(), live);
}

static size_t files_in(const char *folder)
{
    char path[SUPPORT_PATH_BYTES];
    DIR *listing = opendir(support_source(folder, path));
    assert_non_null(listing);
    size_t n = 0;
    for (struct dirent *entry; (entry = readdir(listing)) != NULL;)
        n += entry->d_name[0] != '.';
    closedir(listing);
    return n;
}

static void every_bad_file_is_refused_with_its_message(void **state)
{
    (void)state;
    char path[SUPPORT_PATH_BYTES], *line = NULL;
    size_t size = 0, n = 0;
    FILE *table = fopen(support_source(FOLDER "/EXPECTED.tsv", path), "r");
    assert_non_null(table);
    while (getline(&line, &size, table) > 0) {
        if (line[0] == '#')
            continue;
        line[strcspn(line, "\n")] = '\0';
        char *tab = strchr(line, '\t');
        assert_non_null(tab);
        *tab = '\0';
        refuse(line, tab + 1);
        n++;
    }
    free(line);
    fclose(table);
    assert_int_equal(n, files_in(FOLDER) - 1); /* every file has its line */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_bad_file_is_refused_with_its_message),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
