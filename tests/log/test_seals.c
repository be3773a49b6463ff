/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/report.h"
#include "drafts.h"
#include "logs.h"

static char path[SUPPORT_PATH_BYTES];
static char *sound; /* the text of a sound log of five entries */

static char *read_text(const char *from)
{
    FILE *file = fopen(from, "rb");
    assert_non_null(file);
    char *text = calloc(1, 65536);
    assert_non_null(text);
    size_t n = fread(text, 1, 65535, file);
    text[n] = '\0';
    fclose(file);
    return text;
}

static void write_text(const char *text)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, strlen(text), file), strlen(text));
    assert_int_equal(fclose(file), 0);
}

static int write_sound_log(void **state)
{
    (void)state;
    setenv("SOURCE_DATE_EPOCH", "1785600000", 1);
    sb_report *report = sb_report_new();
    const char *const *files = support_demo_files();
    support_file("sealed.log", "", 0, path);
    remove(path);
    size_t n = SUPPORT_N_DEMO_FILES;
    bool written = support_log_add(path, files, n, report, "cut", "field=Coulee Seed",
                                   "from=2026-08-06T09:00", "to=2026-08-07T12:12", NULL) == SB_OK &&
                   support_log_add(path, files, n, report, "cleanout", "cleanout=blowdown",
                                   "to=2026-08-07T12:40", "checked_by=Ann \"A\" <Bo> & Söhne",
                                   "weed:kochia=120", NULL) == SB_OK &&
                   support_log_add(path, files, n, report, "cut", "field=Homestead",
                                   "to=2026-08-08T15:00", NULL) == SB_OK &&
                   support_log_add(path, files, n, report, "lost", "from=2026-08-10",
                                   "to=2026-08-10", NULL) == SB_OK &&
                   support_log_add(path, files, n, report, "rating", "field=Kettle",
                                   "at=2026-08-10T08:00", "weed:kochia=4", NULL) == SB_OK;
    sb_report_free(report);
    sound = written ? read_text(path) : NULL;
    return written ? 0 : -1;
}

static int forget_sound_log(void **state)
{
    (void)state;
    free(sound);
    support_folder_remove();
    return 0;
}

/* Reads the log as it stands; the message, or NULL when it is sound. */
static const char *verdict(void)
{
    static char said[1024];
    sb_report *report = sb_report_new();
    sb_log *log = NULL;
    sb_status status = sb_log_read(path, report, &log);
    assert_true((status == SB_OK) == (log != NULL));
    assert_true(status == SB_OK || status == SB_ERR_INPUT);
    snprintf(said, sizeof said, "%s", support_said(report));
    sb_log_free(log);
    sb_report_free(report);
    return status == SB_OK ? NULL : said;
}

/* The first occurrence of `old` becomes `new`. */
static void tamper(const char *old, const char *new)
{
    const char *at = strstr(sound, old);
    assert_non_null(at);
    char *text = calloc(1, strlen(sound) + strlen(new) + 1);
    assert_non_null(text);
    memcpy(text, sound, (size_t)(at - sound));
    strcat(text, new);
    strcat(text, at + strlen(old));
    write_text(text);
    free(text);
}

static void what_was_written_is_read_back(void **state)
{
    (void)state;
    write_text(sound);
    assert_null(verdict());
    sb_report *report = sb_report_new();
    sb_log *log = NULL;
    assert_int_equal(sb_log_read(path, report, &log), SB_OK);
    assert_int_equal(sb_log_count(log), 5);
    assert_int_equal(sb_report_count(report), 0);
    const sb_log_entry *entry = &log->entries.items[1];
    assert_string_equal(entry->checked_by, "Ann \"A\" <Bo> & Söhne");
    assert_string_equal(sb_log_entry_word(entry, "weed:kochia"), "120");
    assert_string_equal(entry->machine, "ring");
    assert_string_equal(entry->seal, log->entries.items[1].seal);
    assert_string_equal(log->entries.items[4].seal, sb_log_last_seal(log));
    assert_int_equal(entry->line, 4);
    sb_log_free(log);
    sb_report_free(report);
}

/* SHA-256 of the namespace: `printf urn:seedbreak:log:1 | sha256sum`. */
static void the_chain_begins_at_the_namespace(void **state)
{
    (void)state;
    char seal[SB_SEAL_LENGTH + 1], expected[SB_SEAL_LENGTH + 1] = "";
    sb_log_first_seal(seal);
    FILE *pipe = popen("printf '%s' '" SB_LOG_NAMESPACE "' | sha256sum", "r");
    assert_non_null(pipe);
    assert_non_null(fgets(expected, sizeof expected, pipe));
    pclose(pipe);
    assert_string_equal(seal, expected);
}

static void every_change_of_a_word_shows(void **state)
{
    (void)state;
    static const char *const changes[][2] = {{"Coulee Seed", "Coulee West"},
                                             {"09:00", "09:01"},
                                             {"seeds=\"120\"", "seeds=\"12\""},
                                             {"Ann", "Bob"},
                                             {"kochia", "ryegrass"},
                                             {"blowdown", "thorough"},
                                             {"written=\"2026", "written=\"2025"}};
    for (size_t i = 0; i < sizeof changes / sizeof *changes; i++) {
        tamper(changes[i][0], changes[i][1]);
        assert_non_null(verdict());
        assert_non_null(strstr(verdict(), "seal of entry"));
    }
}

static void a_dropped_or_moved_entry_shows(void **state)
{
    (void)state;
    char line[1024];
    const char *third = strstr(sound, "  <cut n=\"3\"");
    size_t length = strcspn(third, "\n") + 1;
    memcpy(line, third, length);
    line[length] = '\0';
    tamper(line, "");
    assert_non_null(strstr(verdict(), "an entry is missing or was moved"));
    /* dropped and the rest numbered anew */
    tamper(line, "");
    char *text = read_text(path);
    char *number = strstr(text, "n=\"4\"");
    number[3] = '3';
    number = strstr(text, "n=\"5\"");
    number[3] = '4';
    write_text(text);
    free(text);
    assert_non_null(strstr(verdict(), "the seal of entry 3 does not fit"));
}

/* An entry twice, numbered on: a copy does not fit where it was not written. So does one of which a
 * count, or the seal with a change, was taken away. */
static void a_copied_or_stripped_entry_shows(void **state)
{
    (void)state;
    char lines[2048];
    const char *fourth = strstr(sound, "  <lost n=\"4\"");
    size_t length = strcspn(fourth, "\n") + 1;
    memcpy(lines, fourth, length);
    memcpy(lines + length, "</log>", sizeof "</log>");
    lines[strstr(lines, "n=\"4\"") - lines + 3] = '6';
    tamper("</log>", lines);
    assert_non_null(strstr(verdict(), "the seal of entry 6 does not fit"));
    tamper("<weed id=\"kochia\" seeds=\"120\"/>", "");
    assert_non_null(strstr(verdict(), "the seal of entry 2 does not fit"));
    /* Without its own seal the entry says what it likes, but the next one's breaks. */
    char *text = read_text(path);
    char *seal = strstr(strstr(text, "n=\"2\""), " seal=\"");
    memset(seal, ' ', strlen(" seal=\"\"") + SB_SEAL_LENGTH);
    write_text(text);
    free(text);
    assert_non_null(strstr(verdict(), "the seal of entry 3 does not fit"));
}

/* What the chain cannot show, as the documents say: an end cut off, and all seals made anew. A seal
 * that was noted then stands nowhere in the log. */
static void only_a_noted_seal_tells_of_seals_made_anew(void **state)
{
    (void)state;
    sb_report *report = sb_report_new();
    sb_log *log = NULL;
    write_text(sound);
    assert_int_equal(sb_log_read(path, report, &log), SB_OK);
    const char *noted = log->entries.items[4].seal;
    sb_text anew = {0};
    char before[SB_SEAL_LENGTH + 1];
    sb_log_first_seal(before);
    sb_text_addf(&anew, "<log xmlns=\"" SB_LOG_NAMESPACE "\">\n");
    for (size_t i = 0; i < log->entries.count; i++) {
        sb_log_entry *entry = &log->entries.items[i];
        for (size_t w = 0; w < entry->words.count; w++)
            if (strcmp(entry->words.items[w].value, "120") == 0)
                entry->words.items[w].value[1] = '0';
        char own[SB_SEAL_LENGTH + 1];
        assert_int_equal(sb_log_seal(before, entry, own), SB_OK);
        assert_int_equal(strcmp(own, entry->seal) == 0, i == 0);
        memcpy(before, own, sizeof own);
        sb_log_entry resealed = *entry;
        memcpy(resealed.seal, own, sizeof own);
        sb_log_entry_xml(&resealed, &anew);
    }
    sb_text_addf(&anew, "</log>\n");
    write_text(sb_text_get(&anew));
    assert_null(verdict());
    assert_non_null(strstr(sound, noted));
    assert_null(strstr(sb_text_get(&anew), noted));
    sb_text_release(&anew);
    /* the end cut off */
    char *text = read_text(path);
    strcpy(strstr(text, "  <rating n=\"5\""), "</log>\n");
    write_text(text);
    free(text);
    assert_null(verdict());
    sb_log_free(log);
    sb_report_free(report);
}

/* White space and the order of attributes are no content. */
static void another_way_to_write_the_same_is_no_change(void **state)
{
    (void)state;
    tamper("<cut n=\"1\" field=\"Coulee Seed\"", "<cut   field='Coulee Seed'\n  n=\"1\"");
    assert_null(verdict());
}

static void entries_without_a_seal_are_read_and_said(void **state)
{
    (void)state;
    write_text("<log xmlns='urn:seedbreak:log:1'>"
               "<cut n='1' machine='ring' field='Homestead' to='2026-08-07T12:00'/></log>");
    sb_report *report = sb_report_new();
    sb_log *log = NULL;
    assert_int_equal(sb_log_read(path, report, &log), SB_OK);
    assert_non_null(strstr(support_said(report), "1 of 1 entries bear no seal"));
    sb_log_free(log);
    sb_report_free(report);
}

static void what_is_no_log_is_refused(void **state)
{
    (void)state;
    static const char *const bad[][2] = {
        {"<log/>", "expected 'log' in 'urn:seedbreak:log:1'"},
        {"<season xmlns='urn:seedbreak:season:1'/>", "expected 'log'"},
        {"<log xmlns='urn:seedbreak:log:1'><cut n='1'/></log>", "without 'machine'"},
        {"<log xmlns='urn:seedbreak:log:1'><mown n='1'/></log>", "entry 'mown'"},
        {"<log xmlns='urn:seedbreak:log:1'><struck n='1' entry='1'/></log>", "strikes entry 1"},
        {"<log xmlns='urn:seedbreak:log:1'><cut n='1' machine='m' field='North' "
         "to='2026-08-07T12:00' before='1'/></log>",
         "came before entry 1"},
        {"<log xmlns='urn:seedbreak:log:1'><lost n='1' from='2026-08-02' to='2026-08-01'/></log>",
         "end before they begin"},
        {"<log xmlns='urn:seedbreak:log:1'><cut n='1' machine='m' field='F' part='true' "
         "to='2026-08-07T12:00'/></log>",
         "part of a field without 'ha'"},
        {"<log xmlns='urn:seedbreak:log:1'><cut n='1' machine='m' field='F' ha='-1' "
         "to='2026-08-07T12:00'/></log>",
         "expected a number above 0"},
        {"<log xmlns='urn:seedbreak:log:1'><cleanout n='1' machine='m' cleanout='deep' "
         "to='2026-08-07T12:00' sample_kg='3'/></log>",
         "a sample of 3 kg"},
        {"<log xmlns='urn:seedbreak:log:1'><counted n='1' entry='1' at='2026-08-07T12:00'>"
         "<weed id='kochia' seeds='4'/></counted></log>",
         "a tarp of entry 1 counted, but there is no such entry"},
        {"<log xmlns='urn:seedbreak:log:1'><counted n='1' entry='0' at='2026-08-07T12:00'>"
         "<weed id='kochia' seeds='4'/></counted></log>",
         "expected the number of an entry"},
        {"<log xmlns='urn:seedbreak:log:1'><counted n='1' entry='1' at='2026-08-07T12:00'/></log>",
         "about no weed"},
        {"<log xmlns='urn:seedbreak:log:1'><cut n='1'", "expected"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        write_text(bad[i][0]);
        const char *said = verdict();
        assert_non_null(said);
        if (i + 1 < sizeof bad / sizeof *bad && strstr(said, bad[i][1]) == NULL)
            fail_msg("'%s' was said, '%s' expected", said, bad[i][1]);
    }
}

static void a_log_is_told_from_other_files(void **state)
{
    (void)state;
    write_text(sound);
    assert_true(sb_is_log(path));
    write_text("<log xmlns='urn:seedbreak:log:1'><mown/></log>");
    assert_true(sb_is_log(path));
    assert_false(sb_is_log(support_demo_files()[0]));
    assert_false(sb_is_log("nowhere.log"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_was_written_is_read_back),
        cmocka_unit_test(the_chain_begins_at_the_namespace),
        cmocka_unit_test(every_change_of_a_word_shows),
        cmocka_unit_test(a_dropped_or_moved_entry_shows),
        cmocka_unit_test(a_copied_or_stripped_entry_shows),
        cmocka_unit_test(only_a_noted_seal_tells_of_seals_made_anew),
        cmocka_unit_test(another_way_to_write_the_same_is_no_change),
        cmocka_unit_test(entries_without_a_seal_are_read_and_said),
        cmocka_unit_test(what_is_no_log_is_refused),
        cmocka_unit_test(a_log_is_told_from_other_files),
    };
    return cmocka_run_group_tests(tests, write_sound_log, forget_sound_log);
}
