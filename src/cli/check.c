/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seedbreak check: what was read, what is doubtful, what will be assumed. */
#include "commands.h"

static const char HELP[] =
    "usage: seedbreak check FILE... [--travel FILE] [--json]\n"
    "\n"
    "Shows what was read from the field, scouting and season files, what is doubtful\n"
    "about it and what will be assumed, each number with its source.\n"
    "A log among the files is checked as well: its seals, and that it fits them.\n"
    "Exits 0 when the files can be used, doubts or not, and 3 when they cannot.\n"
    "Whether a plan can keep all rules is not asked: `seedbreak order` says so.\n"
    "\n"
    "  --json         the same and every number of the model as JSON\n"
    "\n"
    "example: seedbreak check fields.kml scouting.gpx season.xml\n";

/* The warnings are part of what check prints, so they do not go to stderr as well. */
static cli_exit run(const sb_season *season, const cli_options *options, sb_report *report)
{
    sb_status status = options->json ? sb_print_check_json(season, report, stdout)
                                     : sb_print_check(season, report, stdout);
    return cli_printed(status);
}

const cli_command CLI_CHECK = {
    .name = "check",
    .summary = "what was read, what is doubtful, what will be assumed",
    .help = HELP,
    .takes = CLI_TAKES_LOG,
    .run = run,
};
