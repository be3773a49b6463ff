/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The commands. Each lives in a file of its name and is listed in main.c. */
#ifndef SEEDBREAK_CLI_COMMANDS_H
#define SEEDBREAK_CLI_COMMANDS_H

#include "messages.h"
#include "options.h"

/** The end of every command's help. */
#define CLI_HELP_END \
    "\n--travel FILE, --quiet and the exit codes are the same for all: seedbreak --help\n"

typedef struct cli_command {
    const char *name;
    const char *summary; /**< one line for `seedbreak --help` */
    const char *help;    /**< usage, what it does, an example */
    unsigned takes;      /**< cli_takes, or-ed */
    /** Results to stdout, messages to stderr. The season is read; report has its warnings. */
    cli_exit (*run)(const sb_season *season, const cli_options *options, sb_report *report);
    /** Instead of run: a command whose words are its own; argv[0] is its name. */
    cli_exit (*run_alone)(int argc, char **argv);
} cli_command;

extern const cli_command CLI_CHECK;
extern const cli_command CLI_LOG;
extern const cli_command CLI_DOUBT;
extern const cli_command CLI_ORDER;
extern const cli_command CLI_RECORD;
extern const cli_command CLI_RESUME;
extern const cli_command CLI_SCOUT;
extern const cli_command CLI_SETTLE;
extern const cli_command CLI_TRACE;
extern const cli_command CLI_WEIGH;
extern const cli_command CLI_YEARS;

#endif
