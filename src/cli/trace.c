/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seedbreak trace: follow the seeds through a given order and price it. */
#include "commands.h"
#include "output.h"

static const char HELP[] =
    "usage: seedbreak trace FILE... --plan PLAN.json [--out DIR] [--travel FILE]\n"
    "                       [--board | --json]\n"
    "\n"
    "Prices a plan: one that order wrote, or one written by hand to ask what if.\n"
    "By hand a stop needs only a field, and a cleanout before the move to it if any:\n"
    "\n"
    "  {\"format\": \"seedbreak-plan\", \"version\": 1, \"machines\": [{\"id\": \"ring\",\n"
    "   \"stops\": [{\"field\": \"Home Quarter\"},\n"
    "             {\"field\": \"Kettle\", \"cleanout\": \"blowdown\"}]}]}\n"
    "\n"
    "Rules that the plan breaks are named as warnings; it is priced all the same.\n"
    "\n"
    "  --plan PLAN.json  the plan to price\n"
    "  --out DIR         also write plan, tables, calendar, maps and page there\n"
    "  --board           print who does what on which day instead of a table\n"
    "  --json            print the priced plan as JSON instead of a table\n"
    "\n"
    "example: seedbreak trace fields.kml season.xml --plan by_hand.json\n";

static cli_exit run(const sb_season *season, const cli_options *options, sb_report *report)
{
    sb_plan *plan = NULL;
    sb_status status = sb_plan_read(season, options->plan_path, report, &plan);
    cli_print_messages(report, 0, options->quiet);
    cli_exit code =
        status == SB_OK ? cli_output_plan(season, plan, options) : cli_exit_of(status, report);
    sb_plan_free(plan);
    return code;
}

const cli_command CLI_TRACE = {
    .name = "trace",
    .summary = "follow the seeds through a given or hand-made plan",
    .help = HELP,
    .takes = CLI_TAKES_OUT | CLI_TAKES_BOARD | CLI_WANTS_PLAN,
    .run = run,
};
