/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seedbreak settle: who owes whom when a plan is driven. */
#include "commands.h"
#include "output.h"
#include "search.h"

static const char HELP[] =
    "usage: seedbreak settle FILE... --plan PLAN.json [--out DIR] [--travel FILE]\n"
    "                        [--time-limit S] [--seed N] [--threads N] [--json]\n"
    "\n"
    "For growers who share machines. Of a plan that order wrote, or one by hand:\n"
    "who gives which seeds to whom, with the plan and without it; who gains and who\n"
    "loses against the best way without the others; a fair split of the cost; and\n"
    "who made each cleanout necessary and pays for it. Rules are in docs/coop.md.\n"
    "Groups of growers are ordered on their own for the split: hundreds of seasons.\n"
    "\n"
    "  --plan PLAN.json  the plan to settle\n"
    "  --out DIR         write settlement.json, settlement.csv, exchange.csv there\n"
    "  --time-limit S    search no longer than S seconds (default 600)\n"
    "  --seed N          same input and seed, same shares (default 1)\n"
    "  --threads N       cores (default 0: all); the shares do not depend on it\n"
    "  --json            print the settlement as JSON instead of tables\n"
    "\n"
    "example: seedbreak settle fields.kml season.xml --plan plan/plan.json\n";

static cli_exit write_files(const sb_season *season, const sb_settlement *settlement,
                            const cli_options *options, sb_report *report)
{
    size_t said = sb_report_count(report);
    sb_status status = sb_write_settlement(season, settlement, options->out_folder, report);
    cli_print_messages(report, said, options->quiet);
    cli_exit code = cli_exit_of(status, report);
    if (code == CLI_DONE && !options->quiet)
        cli_note("settlement.json, settlement.csv and exchange.csv are in '%s'",
                 options->out_folder);
    return code;
}

static cli_exit settle(const sb_season *season, const sb_plan *plan, const cli_options *options,
                       sb_report *report)
{
    sb_settlement *settlement = NULL;
    sb_order_options how = cli_search_options(options);
    size_t said = sb_report_count(report);
    sb_status status = sb_settle(season, plan, &how, report, &settlement);
    cli_print_messages(report, said, options->quiet);
    if (status != SB_OK)
        return cli_exit_of(status, report);
    cli_exit written =
        options->out_folder != NULL ? write_files(season, settlement, options, report) : CLI_DONE;
    cli_exit printed =
        cli_printed(options->json ? sb_print_settlement_json(season, settlement, stdout)
                                  : sb_print_settlement(season, settlement, stdout));
    sb_settlement_free(settlement);
    return written != CLI_DONE ? written : printed;
}

static cli_exit run(const sb_season *season, const cli_options *options, sb_report *report)
{
    cli_exit ready = cli_output_ready(options);
    if (ready != CLI_DONE)
        return ready;
    sb_plan *plan = NULL;
    sb_status status = sb_plan_read(season, options->plan_path, report, &plan);
    cli_print_messages(report, 0, options->quiet);
    cli_exit code =
        status == SB_OK ? settle(season, plan, options, report) : cli_exit_of(status, report);
    sb_plan_free(plan);
    return code;
}

const cli_command CLI_SETTLE = {
    .name = "settle",
    .summary = "share a plan's cost and its cleanouts among the growers",
    .help = HELP,
    .takes = CLI_TAKES_OUT | CLI_WANTS_PLAN | CLI_TAKES_THREADS,
    .run = run,
};
