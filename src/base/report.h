/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Adding to the public sb_report: every message of the library goes through here. */
#ifndef SB_BASE_REPORT_H
#define SB_BASE_REPORT_H

#include "seedbreak.h"

/** Adds a message; format as printf, lower case, no full stop: "what was found, what was expected".
 * file may be NULL and is copied. A message that found no memory is lost, and sb_report_settle then
 * says so at the end of the call. */
void sb_say(sb_report *report, sb_severity severity, const char *file, size_t line,
            const char *format, ...) __attribute__((format(printf, 5, 6)));

/** Adds an SB_ERROR and returns SB_ERR_INPUT, so that a reader can `return sb_bad(...)`;
 * SB_ERR_NOMEM when the message was lost. */
sb_status sb_bad(sb_report *report, const char *file, size_t line, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/** Adds an SB_ERROR naming the operating system's reason (errno); returns SB_ERR_SYSTEM. When the
 * reason is that there is no memory it adds nothing and returns SB_ERR_NOMEM. */
sb_status sb_bad_system(sb_report *report, const char *file, const char *what);

/** What a public call returns at its end: SB_ERR_NOMEM when a message was lost, because a warning
 * that nobody sees is a wrong answer; else status. report may be NULL. */
sb_status sb_report_settle(const sb_report *report, sb_status status);

/** Adds every message of `from` to `to`. */
void sb_report_append(sb_report *to, const sb_report *from);

/** Puts the messages from `first` on in the order of their files, as these are first named, and
 * within a file in the order of lines. Messages of one line keep their order. Without memory they
 * stay as they are, which sb_report_settle counts as lost. */
void sb_report_sort(sb_report *report, size_t first);

size_t sb_report_errors(const sb_report *report); /**< how many SB_ERROR so far */

#endif
