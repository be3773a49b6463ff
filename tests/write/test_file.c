/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* flock */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/mem.h"
#include "write/file.h"

static char folder[64];

static int make_scratch(void **state)
{
    (void)state;
    strcpy(folder, "scratch-XXXXXX");
    return mkdtemp(folder) != NULL ? 0 : -1;
}

static int remove_scratch(void **state)
{
    (void)state;
    char command[128];
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    return system(command);
}

static const char *in_folder(const char *name)
{
    static char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static void expect_content(const char *name, const char *expected)
{
    char bytes[256] = "";
    FILE *file = fopen(in_folder(name), "rb");
    assert_non_null(file);
    size_t n = fread(bytes, 1, sizeof bytes - 1, file);
    bytes[n] = '\0';
    fclose(file);
    assert_string_equal(bytes, expected);
}

static size_t files_in_folder(void)
{
    size_t n = 0;
    DIR *listing = opendir(folder);
    assert_non_null(listing);
    for (struct dirent *entry; (entry = readdir(listing)) != NULL;)
        n += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
    closedir(listing);
    return n;
}

static void a_file_is_replaced_whole(void **state)
{
    (void)state;
    assert_int_equal(sb_write_file(folder, "plan.json", "old and longer", 14, NULL), SB_OK);
    assert_int_equal(sb_write_file(folder, "plan.json", "new", 3, NULL), SB_OK);
    expect_content("plan.json", "new");
    assert_int_equal(files_in_folder(), 1);
}

static void missing_folders_are_made(void **state)
{
    (void)state;
    char deep[128];
    snprintf(deep, sizeof deep, "%s/a/b//c/", folder);
    assert_int_equal(sb_make_folder(deep, NULL), SB_OK);
    assert_int_equal(sb_make_folder(deep, NULL), SB_OK);
    assert_int_equal(sb_write_file(deep, "x", "1", 1, NULL), SB_OK);
    expect_content("a/b/c/x", "1");
}

static void a_file_in_the_way_of_a_folder_is_an_error_with_its_reason(void **state)
{
    (void)state;
    assert_int_equal(sb_write_file(folder, "out", "1", 1, NULL), SB_OK);
    sb_report *report = sb_report_new();
    assert_int_equal(sb_make_folder(in_folder("out"), report), SB_ERR_SYSTEM);
    assert_int_equal(sb_report_count(report), 1);
    assert_string_equal(sb_report_get(report, 0).text, "cannot make this folder: File exists");
    sb_report_free(report);
    expect_content("out", "1");
}

/* A disk that is full in the middle of the file: a limit on the size of files says EFBIG there. */
static void a_failed_write_leaves_the_old_file_and_no_stray(void **state)
{
    (void)state;
    assert_int_equal(sb_write_file(folder, "plan.json", "old", 3, NULL), SB_OK);
    struct rlimit usual;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &usual), 0);
    struct rlimit small = {1000, usual.rlim_max};
    signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    static char big[5000];
    sb_report *report = sb_report_new();
    sb_status status = sb_write_file(folder, "plan.json", big, sizeof big, report);
    setrlimit(RLIMIT_FSIZE, &usual);
    assert_int_equal(status, SB_ERR_SYSTEM);
    assert_int_equal(sb_report_count(report), 1);
    assert_string_equal(sb_report_get(report, 0).text, "cannot write this file: File too large");
    assert_string_equal(sb_report_get(report, 0).file, in_folder("plan.json"));
    sb_report_free(report);
    expect_content("plan.json", "old");
    assert_int_equal(files_in_folder(), 1);
}

static void a_failed_rename_leaves_no_stray(void **state)
{
    (void)state;
    /* A folder that is not empty stands where the file should go. */
    assert_int_equal(mkdir(in_folder("plan.json"), 0777), 0);
    assert_int_equal(mkdir(in_folder("plan.json/x"), 0777), 0);
    assert_int_equal(sb_write_file(folder, "plan.json", "new", 3, NULL), SB_ERR_SYSTEM);
    assert_int_equal(files_in_folder(), 1);
}

static void a_folder_that_is_gone_is_an_error(void **state)
{
    (void)state;
    assert_int_equal(sb_write_file(in_folder("gone"), "x", "1", 1, NULL), SB_ERR_SYSTEM);
}

/* What a killed run left goes; what a run that still writes holds stays, and what is not ours. */
static void strays_go_and_files_at_work_stay(void **state)
{
    (void)state;
    static const char *const names[] = {
        ".plan.json.4000000-0", ".plan.json.1-0", ".plan.json.1-",       ".plan.json.notes",
        ".plan.json.1-0.bak",   "plan.json.1-0",  ".route.gpx.4000000-0"};
    int at_work = -1;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        int file = open(in_folder(names[i]), O_WRONLY | O_CREAT, 0666);
        assert_true(file >= 0);
        if (i == 1)
            at_work = file;
        else
            close(file);
    }
    assert_int_equal(flock(at_work, LOCK_EX), 0);
    assert_int_equal(sb_write_file(folder, "plan.json", "new", 3, NULL), SB_OK);
    assert_int_equal(access(in_folder(names[0]), F_OK), -1);
    for (size_t i = 1; i < sizeof names / sizeof *names; i++)
        assert_int_equal(access(in_folder(names[i]), F_OK), 0);
    close(at_work); /* its process ends */
    assert_int_equal(sb_write_file(folder, "plan.json", "new", 3, NULL), SB_OK);
    assert_int_equal(access(in_folder(names[1]), F_OK), -1);
}

/* A stray of our own number that cannot be removed is in the way of the first name only. */
static void a_name_that_is_taken_is_passed_by(void **state)
{
    (void)state;
    char taken[64];
    snprintf(taken, sizeof taken, ".plan.json.%ld-0", (long)getpid());
    assert_int_equal(mkdir(in_folder(taken), 0777), 0);
    assert_int_equal(sb_write_file(folder, "plan.json", "new", 3, NULL), SB_OK);
    expect_content("plan.json", "new");
    assert_int_equal(files_in_folder(), 2);
}

static void no_memory_is_a_status_and_leaves_the_old_file(void **state)
{
    (void)state;
    assert_int_equal(sb_write_file(folder, "plan.json", "old", 3, NULL), SB_OK);
    long live = sb_mem_live();
    for (long budget = 0;; budget++) {
        sb_mem_set_budget(budget);
        sb_status status = sb_write_file(folder, "plan.json", "new", 3, NULL);
        sb_mem_set_budget(-1);
        assert_int_equal(sb_mem_live(), live);
        if (status == SB_OK)
            break;
        assert_int_equal(status, SB_ERR_NOMEM);
        expect_content("plan.json", "old");
        assert_int_equal(files_in_folder(), 1);
    }
    expect_content("plan.json", "new");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define IN_SCRATCH(test) cmocka_unit_test_setup_teardown(test, make_scratch, remove_scratch)
        IN_SCRATCH(a_file_is_replaced_whole),
        IN_SCRATCH(missing_folders_are_made),
        IN_SCRATCH(a_file_in_the_way_of_a_folder_is_an_error_with_its_reason),
        IN_SCRATCH(a_failed_write_leaves_the_old_file_and_no_stray),
        IN_SCRATCH(a_failed_rename_leaves_no_stray),
        IN_SCRATCH(a_folder_that_is_gone_is_an_error),
        IN_SCRATCH(strays_go_and_files_at_work_stay),
        IN_SCRATCH(a_name_that_is_taken_is_passed_by),
        IN_SCRATCH(no_memory_is_a_status_and_leaves_the_old_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
