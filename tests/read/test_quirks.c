/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files with the quirks of real ones, and hostile ones: tests/read/quirks/EXPECTED.tsv holds a
 * verdict for each. Areas there come from GeographicLib 2.1.2 Planimeter (late.kml: our own). */
#define _POSIX_C_SOURCE 200809L
#include <dirent.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "drafts.h"

/* GeographicLib's areas are given to the square millimetre. */
#define SAME_AREA_M2 0.001

typedef struct verdict {
    char file[64], verdict[16], flaw[64], messages[400];
    size_t features, vertices;
    double area_m2;
} verdict;

/* The next line that is no comment: file, verdict, features, vertices, area, flaw, messages;
 * "-" stands for none. */
static bool next_verdict(FILE *table, verdict *v)
{
    char *line = NULL;
    size_t size = 0;
    bool found = false;
    while (!found && getline(&line, &size, table) > 0)
        found =
            line[0] != '#' &&
            sscanf(line, "%63[^\t]\t%15[^\t]\t%zu\t%zu\t%lf\t%63[^\t]\t%399[^\n]", v->file,
                   v->verdict, &v->features, &v->vertices, &v->area_m2, v->flaw, v->messages) == 7;
    free(line);
    return found;
}

static void look_at_flaws(const sb_draft *draft, char flaw[64])
{
    strcpy(flaw, "-");
    for (size_t i = 0; i < draft->features.count; i++) {
        sb_flaw found;
        assert_int_equal(sb_parts_flaw(draft->features.items[i].parts.items,
                                       draft->features.items[i].parts.count, &found),
                         SB_OK);
        if (found.found)
            strcpy(flaw, found.reason);
    }
}

static void check_verdict(const char *folder, const verdict *v)
{
    char path[SUPPORT_PATH_BYTES], relative[SUPPORT_PATH_BYTES], flaw[64];
    snprintf(relative, sizeof relative, "%s/%s", folder, v->file);
    const char *paths[] = {support_source(relative, path)};
    support_reading reading = support_read(paths, 1, NULL);
    print_message("%s: %s\n", v->file, reading.messages);
    bool rejected = strcmp(v->verdict, "reject") == 0;
    assert_int_equal(reading.status, rejected ? SB_ERR_INPUT : SB_OK);
    assert_string_equal(reading.messages, strcmp(v->messages, "-") == 0 ? "" : v->messages);
    assert_int_equal(strcmp(v->verdict, "accept") == 0, reading.messages[0] == '\0');
    assert_int_equal(reading.draft.features.count, v->features);
    assert_int_equal(support_vertices(&reading.draft), v->vertices);
    assert_true(fabs(support_area_m2(&reading.draft) - v->area_m2) <=
                fmax(SAME_AREA_M2, 1e-9 * v->area_m2));
    look_at_flaws(&reading.draft, flaw);
    assert_string_equal(flaw, v->flaw);
    support_reading_release(&reading);
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

static void every_file_meets_its_verdict(void **state)
{
    (void)state;
    char path[SUPPORT_PATH_BYTES];
    FILE *table = fopen(support_source("tests/read/quirks/EXPECTED.tsv", path), "r");
    assert_non_null(table);
    size_t n = 0;
    for (verdict v; next_verdict(table, &v); n++)
        check_verdict("tests/read/quirks", &v);
    fclose(table);
    /* EXPECTED.tsv itself, and two files that others must not be able to pull in. */
    assert_int_equal(n, files_in("tests/read/quirks") - 3);
}

static void names_arrive_as_utf8(void **state)
{
    (void)state;
    static const struct {
        const char *file, *name;
    } cases[] = {{"utf16le_bom.kml", "M\u00e5l\u00f8y"},
                 {"utf16be_bom.kml", "M\u00e5l\u00f8y"},
                 {"utf8_label_utf16_bytes.kml", "M\u00e5l\u00f8y"},
                 {"latin1_declared.kml", "S\u00f6der kvarn"},
                 {"cp1252_declared.kml", "S\u00f6der \u201ckvarn\u201d \u20ac"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char path[SUPPORT_PATH_BYTES], relative[128];
        snprintf(relative, sizeof relative, "tests/read/quirks/%s", cases[i].file);
        const char *paths[] = {support_source(relative, path)};
        support_reading reading = support_read(paths, 1, NULL);
        assert_int_equal(reading.draft.features.count, 1);
        assert_string_equal(reading.draft.features.items[0].name, cases[i].name);
        support_reading_release(&reading);
    }
}

static void lines_are_true_beyond_65535(void **state)
{
    (void)state;
    char path[SUPPORT_PATH_BYTES];
    const char *paths[] = {support_source("tests/read/quirks/late.kml", path)};
    support_reading reading = support_read(paths, 1, NULL);
    assert_int_equal(reading.draft.features.items[0].line, 70002);
    assert_int_equal(reading.draft.features.items[0].parts.items[0].outer.line, 70010);
    support_reading_release(&reading);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_file_meets_its_verdict),
        cmocka_unit_test(names_arrive_as_utf8),
        cmocka_unit_test(lines_are_true_beyond_65535),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
