/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logs.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/report.h"
#include "drafts.h"

sb_status support_log_add(const char *log, const char *const *files, size_t n_files,
                          sb_report *report, const char *kind, ...)
{
    sb_log_word words[SUPPORT_MOST_SAID];
    char keys[SUPPORT_MOST_SAID][64];
    size_t n = 0;
    va_list args;
    va_start(args, kind);
    for (const char *pair; n < SUPPORT_MOST_SAID && (pair = va_arg(args, const char *)) != NULL;
         n++) {
        snprintf(keys[n], sizeof keys[n], "%.*s", (int)strcspn(pair, "="), pair);
        words[n] = (sb_log_word){keys[n], strchr(pair, '=') + 1};
    }
    va_end(args);
    sb_log_said said = {kind, words, n};
    sb_log_addition addition = {log, files, n_files, NULL, &said, 1, false};
    sb_log_added added;
    return sb_log_add(&addition, report, &added);
}

void support_log_say(sb_log *log, const char *kind, ...)
{
    sb_report *report = sb_report_new();
    sb_log_entry entry = {.number = (long)log->entries.count + 1};
    bool said = sb_log_kind_named(kind, &entry.kind);
    va_list args;
    va_start(args, kind);
    for (const char *pair; said && (pair = va_arg(args, const char *)) != NULL;) {
        char key[64];
        snprintf(key, sizeof key, "%.*s", (int)strcspn(pair, "="), pair);
        said = sb_log_entry_say(&entry, key, strchr(pair, '=') + 1) == SB_OK;
    }
    va_end(args);
    if (!said || sb_log_entry_understand(&entry, "made", report) != SB_OK ||
        sb_log_push(log, &entry, report) != SB_OK) {
        fprintf(stderr, "cannot say '%s': %s\n", kind, support_said(report));
        abort();
    }
    sb_report_free(report);
}

const char *const *support_demo_files(void)
{
    static char paths[SUPPORT_N_DEMO_FILES][SUPPORT_PATH_BYTES];
    static const char *files[SUPPORT_N_DEMO_FILES];
    files[0] = support_source("demo/fields.kml", paths[0]);
    files[1] = support_source("demo/scouting.gpx", paths[1]);
    files[2] = support_source("demo/season.xml", paths[2]);
    return files;
}

const char *support_said(const sb_report *report)
{
    static char said[8192];
    said[0] = '\0';
    for (size_t i = 0; i < sb_report_count(report); i++) {
        size_t used = strlen(said);
        snprintf(said + used, sizeof said - used, "%s%s", i > 0 ? " | " : "",
                 sb_report_get(report, i).text);
    }
    return said;
}
