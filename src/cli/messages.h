/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Messages on stderr and exit codes. Results go to stdout, everything else through here. */
#ifndef SEEDBREAK_CLI_MESSAGES_H
#define SEEDBREAK_CLI_MESSAGES_H

#include <stdbool.h>
#include <stddef.h>

#include "seedbreak.h"

typedef enum cli_exit {
    CLI_DONE = 0,
    CLI_INFEASIBLE = 1, /**< the season has no feasible plan */
    CLI_USAGE = 2,
    CLI_BAD_INPUT = 3,
    CLI_SYSTEM = 4, /**< cannot read or write, out of memory, or a mistake of ours */
} cli_exit;

/** "seedbreak: error: ..." and a newline; lower case, subject quoted, no full stop. */
void cli_error(const char *format, ...) __attribute__((format(printf, 1, 2)));
/** The same as a note: for what the user should know though nothing failed. */
void cli_note(const char *format, ...) __attribute__((format(printf, 1, 2)));

/** Messages first.. of the report, one a line: "file:line: error: text".
 * @param quiet errors only
 * @return how many messages the report holds: `first` for the next time */
size_t cli_print_messages(const sb_report *report, size_t first, bool quiet);

/** The warnings of the report about one file, and nothing else. */
void cli_print_warnings_about(const sb_report *report, const char *file);

/** The exit code for a status. A failure that left no error in the report gets one on stderr;
 * report may be NULL. */
cli_exit cli_exit_of(sb_status status, const sb_report *report);

/** The exit code after results went to stdout; says so when they did not get out. */
cli_exit cli_printed(sb_status status);

/** Closes stdout. @return code, or CLI_SYSTEM with a message when what was still on its way did not
 * get out and nothing else had failed before */
cli_exit cli_close_stdout(cli_exit code);

#endif
