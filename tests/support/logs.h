/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Logs in tests: written entry by entry, in words "key=value". */
#ifndef SUPPORT_LOGS_H
#define SUPPORT_LOGS_H

#include "log/season.h"

#define SUPPORT_MOST_SAID 16

/** Adds "cut", "field=North", "to=2026-08-06T17:30", NULL to the log for the files of a season.
 * @return as sb_log_add; messages go to the report */
sb_status support_log_add(const char *log, const char *const *files, size_t n_files,
                          sb_report *report, const char *kind, ...);

/** Adds an entry said in the same words to a log in memory; fails the test when it is refused. */
void support_log_say(sb_log *log, const char *kind, ...);

/** The demo's three files. */
const char *const *support_demo_files(void);
#define SUPPORT_N_DEMO_FILES 3

/** All messages of a report in one text, " | " between; valid until the next call. */
const char *support_said(const sb_report *report);

#endif
