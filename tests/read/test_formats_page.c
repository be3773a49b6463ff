/* SPDX-License-Identifier: GPL-3.0-or-later */
/* docs/formats.md cannot rot: its examples are read. A box "```xml fields.kml" is a file. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"
#include "drafts.h"
#include "season/season.h"

#define MAX_EXAMPLES 8

typedef struct example {
    char name[64], path[SUPPORT_PATH_BYTES];
} example;

static example examples[MAX_EXAMPLES];
static size_t n_examples;

/* Writes every box that carries a file name into the tests' folder. */
static int take_examples_out(void **state)
{
    (void)state;
    char path[SUPPORT_PATH_BYTES], line[4096], language[16];
    FILE *page = fopen(support_source("docs/formats.md", path), "r");
    if (page == NULL)
        return -1;
    sb_text box = {0};
    bool inside = false;
    while (fgets(line, sizeof line, page) != NULL) {
        example *current = &examples[n_examples];
        if (!inside && sscanf(line, "```%15[a-z] %63s", language, current->name) == 2) {
            inside = true;
        } else if (inside && strncmp(line, "```", 3) == 0) {
            support_file(current->name, sb_text_get(&box), box.count, current->path);
            sb_text_clear(&box);
            inside = false;
            if (++n_examples == MAX_EXAMPLES)
                break;
        } else if (inside) {
            sb_text_add(&box, line, strlen(line));
        }
    }
    sb_text_release(&box);
    fclose(page);
    return 0;
}

static const char *path_of(const char *name)
{
    for (size_t i = 0; i < n_examples; i++)
        if (strcmp(examples[i].name, name) == 0)
            return examples[i].path;
    fail_msg("docs/formats.md has no example %s", name);
    return NULL;
}

static void field_files_read_alone(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        size_t features;
    } files[] = {{"fields.kml", 3}, {"scouting.gpx", 3}, {"TASKDATA.XML", 1}};
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        const char *paths[] = {path_of(files[i].name)};
        support_reading reading = support_read(paths, 1, NULL);
        assert_string_equal(reading.messages, "");
        assert_int_equal(reading.draft.features.count, files[i].features);
        support_reading_release(&reading);
    }
}

static void all_files_make_one_season(void **state)
{
    (void)state;
    const char *paths[] = {path_of("season.xml"), path_of("scouting.gpx"), path_of("fields.kml"),
                           path_of("TASKDATA.XML")};
    sb_read_options options = {.travel_csv = path_of("travel.csv")};
    sb_report *report = sb_report_new();
    sb_season *season = NULL;
    sb_status status = sb_season_read(paths, 4, &options, report, &season);
    for (size_t i = 0; i < sb_report_count(report); i++)
        print_message("%zu: %s\n", sb_report_get(report, i).line, sb_report_get(report, i).text);
    assert_int_equal(status, SB_OK);
    assert_int_equal(sb_season_field_count(season), 4);
    assert_int_equal(season->n_yards, 1);
    assert_true(season->km_from_table);
    assert_int_equal(season->setup.n_machines, 1);
    assert_int_equal(sb_find_weed(&season->setup, "downy_brome"), 5);
    sb_season_free(season);
    sb_report_free(report);
}

static int tidy(void **state)
{
    (void)state;
    support_folder_remove();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(field_files_read_alone),
        cmocka_unit_test(all_files_make_one_season),
    };
    return cmocka_run_group_tests(tests, take_examples_out, tidy);
}
