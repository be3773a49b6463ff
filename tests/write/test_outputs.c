/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <sys/stat.h>
#include <unistd.h>

#include "base/mem.h"
#include "plans.h"
#include "seasons.h"
#include "write/file.h"

static char folder[] = "scratch-outputs-XXXXXX";

static const char *in_folder(const char *name)
{
    static char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) != NULL ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    char command[64];
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    return system(command);
}

static void all_files_are_written_with_content(void **state)
{
    (void)state;
    static const char *const names[] = {"plan.json",    "ledger.csv", "schedule.csv",
                                        "calendar.ics", "route.gpx",  "fields.geojson",
                                        "map.kml",      "season.html"};
    sb_season *season = support_season_new(3, 1);
    sb_plan *plan = support_plan(season);
    char deep[128];
    snprintf(deep, sizeof deep, "%s/made/for/it", folder);
    assert_int_equal(sb_write_outputs(season, plan, deep, NULL), SB_OK);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char path[160];
        struct stat info;
        snprintf(path, sizeof path, "%s/%s", deep, names[i]);
        assert_int_equal(stat(path, &info), 0);
        assert_true(info.st_size > 50);
    }
    sb_plan_free(plan);
    sb_season_free(season);
}

static void a_folder_that_cannot_be_made_is_named_with_the_reason(void **state)
{
    (void)state;
    sb_season *season = support_season_new(2, 1);
    sb_plan *plan = support_plan(season);
    sb_report *report = sb_report_new();
    assert_int_equal(sb_write_file(folder, "taken", "x", 1, NULL), SB_OK);
    assert_int_equal(sb_write_outputs(season, plan, in_folder("taken/out"), report), SB_ERR_SYSTEM);
    assert_int_equal(sb_report_count(report), 1);
    assert_string_equal(sb_report_get(report, 0).text, "cannot make this folder: File exists");
    assert_string_equal(sb_report_get(report, 0).file, in_folder("taken"));
    sb_report_free(report);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void nothing_given_is_the_caller_s_mistake(void **state)
{
    (void)state;
    sb_season *season = support_season_new(1, 1);
    sb_plan *plan = support_plan(season);
    assert_int_equal(sb_write_outputs(NULL, plan, folder, NULL), SB_ERR_ARG);
    assert_int_equal(sb_write_outputs(season, NULL, folder, NULL), SB_ERR_ARG);
    assert_int_equal(sb_write_outputs(season, plan, NULL, NULL), SB_ERR_ARG);
    assert_int_equal(sb_print_plan(season, plan, NULL), SB_ERR_ARG);
    assert_int_equal(sb_print_plan_json(NULL, plan, stdout), SB_ERR_ARG);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void no_memory_leaves_whole_files_or_none(void **state)
{
    (void)state;
    sb_season *season = support_season_new(1, 1);
    sb_plan *plan = support_plan(season);
    long live = sb_mem_live();
    for (long budget = 0;; budget += 7) {
        sb_mem_set_budget(budget);
        sb_status status = sb_write_outputs(season, plan, folder, NULL);
        sb_mem_set_budget(-1);
        assert_int_equal(sb_mem_live(), live);
        if (status == SB_OK)
            break;
        assert_int_equal(status, SB_ERR_NOMEM);
    }
    sb_plan_free(plan);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_files_are_written_with_content),
        cmocka_unit_test(a_folder_that_cannot_be_made_is_named_with_the_reason),
        cmocka_unit_test(nothing_given_is_the_caller_s_mistake),
        cmocka_unit_test(no_memory_leaves_whole_files_or_none),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
