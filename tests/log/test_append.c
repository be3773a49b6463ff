/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/random.h"
#include "base/report.h"
#include "drafts.h"
#include "logs.h"

#define KILLS 200
#define WRITERS 6
#define ENTRIES_EACH 8

static char fields[SUPPORT_PATH_BYTES], path[SUPPORT_PATH_BYTES];
static const char *files[1];

static int make_season(void **state)
{
    (void)state;
    static const char kml[] =
        "<kml><Placemark><name>North</name><Polygon><outerBoundaryIs><LinearRing><coordinates>"
        "5,52 5.01,52 5.01,52.01 5,52.01 5,52</coordinates></LinearRing></outerBoundaryIs>"
        "</Polygon></Placemark></kml>";
    files[0] = support_file("fields.kml", kml, sizeof kml - 1, fields);
    support_file("season.log", "", 0, path);
    return 0;
}

static int remove_season(void **state)
{
    (void)state;
    support_folder_remove();
    return 0;
}

static int forget_log(void **state)
{
    (void)state;
    remove(path);
    return 0;
}

static sb_status add_day(sb_report *report, int day)
{
    char from[32], to[32];
    snprintf(from, sizeof from, "from=2026-08-%02d", day % 28 + 1);
    snprintf(to, sizeof to, "to=2026-08-%02d", day % 28 + 1);
    return support_log_add(path, files, 1, report, "lost", from, to, NULL);
}

static size_t entries_now(void)
{
    sb_report *report = sb_report_new();
    sb_log *log = NULL;
    sb_status status = sb_log_read(path, report, &log);
    if (status != SB_OK)
        fail_msg("the log is not sound: %s", support_said(report));
    size_t count = sb_log_count(log);
    sb_log_free(log);
    sb_report_free(report);
    return count;
}

/* Each writer says by its exit code how many of its entries were reported as written. */
static int write_entries(int writer)
{
    sb_report *report = sb_report_new();
    int written = 0;
    for (int i = 0; i < ENTRIES_EACH; i++)
        written += add_day(report, writer * ENTRIES_EACH + i) == SB_OK;
    sb_report_free(report);
    return written;
}

static void writers_at_once_all_land(void **state)
{
    (void)state;
    pid_t writers[WRITERS];
    for (int i = 0; i < WRITERS; i++) {
        writers[i] = fork();
        assert_true(writers[i] >= 0);
        if (writers[i] == 0)
            _exit(write_entries(i));
    }
    for (int i = 0; i < WRITERS; i++) {
        int code = 0;
        assert_int_equal(waitpid(writers[i], &code, 0), writers[i]);
        assert_true(WIFEXITED(code));
        assert_int_equal(WEXITSTATUS(code), ENTRIES_EACH);
    }
    assert_int_equal(entries_now(), WRITERS * ENTRIES_EACH);
}

/* Writes until it is killed; a byte in the pipe for each entry reported as written. */
static void write_for_ever(int pipe_end)
{
    sb_report *report = sb_report_new();
    for (int day = 0;; day++)
        if (add_day(report, day) == SB_OK && write(pipe_end, "+", 1) != 1)
            _exit(1);
}

static void wait_us(long microseconds)
{
    struct timespec time = {0, microseconds * 1000};
    nanosleep(&time, NULL);
}

/* Starts a writer and kills it after so long, counted from its start or from the first entry that
 * it reports: on a busy machine many a writer would not live to report one. @return entries
 * reported */
static size_t write_and_kill(long microseconds, bool from_first_report)
{
    int ends[2];
    assert_int_equal(pipe(ends), 0);
    pid_t writer = fork();
    assert_true(writer >= 0);
    if (writer == 0) {
        close(ends[0]);
        write_for_ever(ends[1]);
    }
    close(ends[1]);
    char bytes[256];
    size_t reported = 0;
    if (from_first_report) {
        assert_int_equal(read(ends[0], bytes, 1), 1);
        reported = 1;
    }
    wait_us(microseconds);
    assert_int_equal(kill(writer, SIGKILL), 0);
    int code;
    assert_int_equal(waitpid(writer, &code, 0), writer);
    assert_true(WIFSIGNALED(code));
    for (ssize_t got; (got = read(ends[0], bytes, sizeof bytes)) > 0;)
        reported += (size_t)got;
    close(ends[0]);
    return reported;
}

/* How long an entry takes here and now. */
static long usual_us(void)
{
    struct timespec begin, end;
    clock_gettime(CLOCK_MONOTONIC, &begin);
    sb_report *report = sb_report_new();
    for (int day = 0; day < 5; day++)
        assert_int_equal(add_day(report, day), SB_OK);
    sb_report_free(report);
    clock_gettime(CLOCK_MONOTONIC, &end);
    assert_int_equal(remove(path), 0);
    return ((end.tv_sec - begin.tv_sec) * 1000000 + (end.tv_nsec - begin.tv_nsec) / 1000) / 5;
}

/* An entry may be written and its writer killed before it could say so; never the other way. */
static void killed_at_any_moment_no_entry_reported_is_lost(void **state)
{
    (void)state;
    sb_random random = sb_random_init(7, 0);
    size_t before = 0, reported = 0, unreported = 0;
    long usual = usual_us();
    for (int kills = 0; kills < KILLS; kills++) {
        long wait = (long)(3 * (double)usual * sb_random_unit(&random));
        size_t said = write_and_kill(wait, kills % 2 == 0);
        if (before + said == 0 && access(path, F_OK) != 0)
            continue; /* killed before there was a log */
        size_t now = entries_now();
        if (now < before + said || now > before + said + 1)
            fail_msg("%zu entries were there and %zu reported, found %zu", before, said, now);
        reported += said;
        unreported += now - before - said;
        before = now;
        if (before > 300) { /* long logs take longer to write: begin anew */
            assert_int_equal(remove(path), 0);
            before = 0;
        }
    }
    print_message("%d kills, %zu entries reported, %zu more written\n", KILLS, reported,
                  unreported);
    assert_true(reported >= KILLS / 2);
}

static void what_killed_writers_left_is_cleared_away(void **state)
{
    (void)state;
    sb_report *report = sb_report_new();
    char stray[SUPPORT_PATH_BYTES];
    support_file(".season.log.99-0", "torn", 4, stray);
    assert_int_equal(add_day(report, 1), SB_OK);
    assert_int_not_equal(access(stray, F_OK), 0);
    sb_report_free(report);
}

static void a_refused_entry_leaves_the_log_untouched(void **state)
{
    (void)state;
    struct stat before, after;
    sb_report *report = sb_report_new();
    assert_int_equal(add_day(report, 1), SB_OK);
    assert_int_equal(stat(path, &before), 0);
    assert_int_equal(support_log_add(path, files, 1, report, "cut", "field=Nowhere",
                                     "to=2026-08-07T12:00", NULL),
                     SB_ERR_INPUT);
    assert_non_null(strstr(support_said(report), "no field 'Nowhere'"));
    assert_int_equal(stat(path, &after), 0);
    assert_int_equal(before.st_ino, after.st_ino);
    assert_int_equal(entries_now(), 1);
    sb_report_free(report);
}

static void a_refused_first_entry_makes_no_log(void **state)
{
    (void)state;
    sb_report *report = sb_report_new();
    assert_int_equal(support_log_add(path, files, 1, report, "cut", "field=North", NULL),
                     SB_ERR_INPUT);
    assert_non_null(strstr(support_said(report), "without 'to'"));
    assert_int_not_equal(access(path, F_OK), 0);
    sb_report_free(report);
}

static void a_log_is_kept_with_its_mode_and_through_a_link(void **state)
{
    (void)state;
    char link_path[SUPPORT_PATH_BYTES];
    struct stat info;
    sb_report *report = sb_report_new();
    assert_int_equal(add_day(report, 1), SB_OK);
    assert_int_equal(chmod(path, 0640), 0);
    support_file("link.log", "", 0, link_path);
    remove(link_path);
    assert_int_equal(symlink("season.log", link_path), 0);
    assert_int_equal(support_log_add(link_path, files, 1, report, "lost", "from=2026-08-09",
                                     "to=2026-08-09", NULL),
                     SB_OK);
    assert_int_equal(lstat(link_path, &info), 0);
    assert_true(S_ISLNK(info.st_mode));
    assert_int_equal(stat(path, &info), 0);
    assert_int_equal(info.st_mode & 0777, 0640);
    assert_int_equal(entries_now(), 2);
    remove(link_path);
    sb_report_free(report);
}

static void several_entries_land_all_or_none(void **state)
{
    (void)state;
    sb_report *report = sb_report_new();
    const sb_log_word first[] = {{"field", "North"}, {"to", "2026-08-07T12:00"}};
    const sb_log_word again[] = {{"field", "North"}, {"to", "2026-08-08T12:00"}};
    const sb_log_said said[] = {{"cut", first, 2}, {"cut", again, 2}};
    sb_log_addition addition = {path, files, 1, NULL, said, 2, false};
    sb_log_added added;
    assert_int_equal(sb_log_add(&addition, report, &added), SB_ERR_INPUT);
    assert_non_null(strstr(support_said(report), "entry 1 says that it was cut"));
    assert_int_not_equal(access(path, F_OK), 0);
    addition.n_entries = 1;
    assert_int_equal(sb_log_add(&addition, report, &added), SB_OK);
    assert_int_equal(added.first, 1);
    assert_int_equal(added.count, 1);
    sb_report_free(report);
}

/* Issue: a cleanout that was forgotten could be put in only by striking all behind it. */
static void forgotten_work_is_written_last_and_says_where_it_belongs(void **state)
{
    (void)state;
    sb_report *report = sb_report_new();
    const sb_log_word cut[] = {{"field", "North"}, {"to", "2026-08-07T12:00"}};
    const sb_log_word clean[] = {
        {"cleanout", "deep"}, {"checked_by", "Ann"}, {"to", "2026-08-06T12:00"}};
    const sb_log_said said[] = {{"cut", cut, 2}, {"cleanout", clean, 3}};
    sb_log_addition addition = {path, files, 1, NULL, said, 1, false};
    sb_log_added added;
    assert_int_equal(sb_log_add(&addition, report, &added), SB_OK);
    addition.entries = &said[1];
    assert_int_equal(sb_log_add(&addition, report, &added), SB_ERR_INPUT);
    assert_non_null(strstr(support_said(report), "say so: --forgotten"));
    addition.forgotten = true;
    assert_int_equal(sb_log_add(&addition, report, &added), SB_OK);
    assert_int_equal(added.first, 2);
    sb_log *log = NULL;
    assert_int_equal(sb_log_read(path, report, &log), SB_OK);
    assert_int_equal(log->entries.items[1].before, 1);
    assert_int_equal(log->entries.items[1].happened, 0);
    assert_non_null(log->entries.items[1].written);
    sb_log_free(log);
    sb_report_free(report);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(writers_at_once_all_land, forget_log),
        cmocka_unit_test_setup(killed_at_any_moment_no_entry_reported_is_lost, forget_log),
        cmocka_unit_test_setup(what_killed_writers_left_is_cleared_away, forget_log),
        cmocka_unit_test_setup(a_refused_entry_leaves_the_log_untouched, forget_log),
        cmocka_unit_test_setup(a_refused_first_entry_makes_no_log, forget_log),
        cmocka_unit_test_setup(a_log_is_kept_with_its_mode_and_through_a_link, forget_log),
        cmocka_unit_test_setup(several_entries_land_all_or_none, forget_log),
        cmocka_unit_test_setup(forgotten_work_is_written_last_and_says_where_it_belongs,
                               forget_log),
    };
    return cmocka_run_group_tests(tests, make_season, remove_season);
}
