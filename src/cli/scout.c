/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seedbreak scout: where to look before starting. */
#include "commands.h"
#include "search.h"

static const char HELP[] =
    "usage: seedbreak scout FILE... [--machine ID] [--time-limit S] [--seed N]\n"
    "                       [--threads N] [--travel FILE] [--json]\n"
    "\n"
    "Says which fields to walk before the season is ordered: for each rating that is\n"
    "uncertain, how much less the season would cost on average if it were known. The\n"
    "season is ordered anew for what may be found; a rating that cannot change the\n"
    "plan is worth nothing, however uncertain. docs/doubt.md says how. Fourteen\n"
    "fields with three weeds took half a minute of CPU time; a terminal shows how far\n"
    "it is.\n"
    "\n"
    "  --machine ID     for this machine (id or name), which then cuts every field;\n"
    "                   else all machines are ordered together, which takes longer\n"
    "  --time-limit S   stop looking for plans after S seconds (default 600)\n"
    "  --seed N         same input and seed, same answer (default 1)\n"
    "  --threads N      cores (default 0: all); the answer does not depend on it\n"
    "  --json           as JSON instead of a table\n"
    "\n"
    "example: seedbreak scout fields.kml season.xml\n";

static cli_exit run(const sb_season *season, const cli_options *options, sb_report *report)
{
    cli_print_messages(report, 0, options->quiet);
    cli_search watched;
    sb_order_options how = cli_search_begin(options, &watched);
    size_t said = sb_report_count(report);
    sb_scouting *scouting = NULL;
    sb_status status = sb_scout(season, &how, report, &scouting);
    cli_search_end(&watched);
    cli_print_messages(report, said, options->quiet);
    cli_exit code =
        status != SB_OK
            ? cli_exit_of(status, report)
            : cli_printed(options->json ? sb_print_scouting_json(season, scouting, stdout)
                                        : sb_print_scouting(season, scouting, stdout));
    sb_scouting_free(scouting);
    return code;
}

const cli_command CLI_SCOUT = {
    .name = "scout",
    .summary = "where to look before starting, and what it is worth",
    .help = HELP,
    .takes = CLI_TAKES_MACHINE,
    .run = run,
};
