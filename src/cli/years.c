/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seedbreak years: the season repeated, year after year. */
#include "commands.h"
#include "search.h"

static const char HELP[] =
    "usage: seedbreak years FILE... --plan PLAN.json [--years N] [--machine ID]\n"
    "                       [--time-limit S] [--seed N] [--threads N]\n"
    "                       [--travel FILE] [--json]\n"
    "\n"
    "Repeats the season: what lands this year emerges, survives and sets seed, and\n"
    "is next year's rating. Says for each field and weed when a field that is clean\n"
    "now turns weedy if nobody cleans, if this plan is kept every year, and if the\n"
    "season is ordered anew every year. docs/doubt.md has the seed bank behind it.\n"
    "\n"
    "  --plan PLAN.json  this year's plan\n"
    "  --years N         how many years (default 5)\n"
    "  --machine ID      order anew for this machine, by its id or name\n"
    "  --time-limit S    order a year for at most S seconds (default 600)\n"
    "  --seed N          same input and seed, same answer (default 1)\n"
    "  --threads N       cores (default 0: all); the answer does not depend on it\n"
    "  --json            the density in every year as JSON instead of a table\n"
    "\n"
    "example: seedbreak years fields.kml season.xml --plan plan/plan.json --years 10\n";

static cli_exit tell(const sb_season *season, const sb_years *years, bool json)
{
    return cli_printed(json ? sb_print_years_json(season, years, stdout)
                            : sb_print_years(season, years, stdout));
}

static cli_exit run(const sb_season *season, const cli_options *options, sb_report *report)
{
    cli_search watched;
    sb_order_options how = cli_search_begin(options, &watched);
    sb_plan *plan = NULL;
    sb_years *years = NULL;
    sb_status status = sb_plan_read(season, options->plan_path, report, &plan);
    cli_print_messages(report, 0, options->quiet);
    if (status == SB_OK)
        status = sb_years_ahead(season, plan, options->years, &how, &years);
    cli_search_end(&watched);
    cli_exit code =
        status == SB_OK ? tell(season, years, options->json) : cli_exit_of(status, report);
    sb_years_free(years);
    sb_plan_free(plan);
    return code;
}

const cli_command CLI_YEARS = {
    .name = "years",
    .summary = "the season repeated: when clean fields turn weedy",
    .help = HELP,
    .takes = CLI_WANTS_PLAN | CLI_TAKES_MACHINE | CLI_TAKES_YEARS,
    .run = run,
};
