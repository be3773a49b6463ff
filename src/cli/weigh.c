/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seedbreak weigh: money spent against expected spread. */
#include "commands.h"
#include "interrupt.h"
#include "output.h"
#include "search.h"

static const char HELP[] =
    "usage: seedbreak weigh FILE... [--out DIR] [--travel FILE] [--time-limit S]\n"
    "                       [--machine ID] [--spread-weight W] [--spend-limit MONEY]\n"
    "                       [--full-cleanouts N] [--every-plan] [--seed N]\n"
    "                       [--threads N] [--json]\n"
    "\n"
    "Shows what money spent on cleaning and driving buys: every plan that is cheapest\n"
    "for some weight of spread, from a third of W to three times W, with the step\n"
    "from each to the next; and the cheapest plans with no, one, two, ... full\n"
    "cleanouts, up to one more than pays. None of them is beaten by a plan that\n"
    "spends less and spreads less.\n"
    "Exits 1, naming fields and rules, when no plan keeps all the rules.\n"
    "\n"
    "  --out DIR        write curve.json (with every plan), curve.csv, the picture\n"
    "                   curve.svg and a page that steps through them, season.html\n"
    "  --spread-weight W\n"
    "                   money lost to spread counts W times in what pays\n"
    "                   (default 1)\n"
    "  --spend-limit MONEY, --full-cleanouts N\n"
    "                   only plans with at most so much money for cleanouts, so many\n"
    "                   full ones (deep, and what the season file calls full), the\n"
    "                   final one not counted\n"
    "  --every-plan     also plans that no weight picks, only a limit on all money:\n"
    "                   of those that take no more, the cheapest while spread counts\n"
    "                   three times W; 60 at most\n"
    "  --time-limit S   stop after S seconds; what is not proven by then says how far\n"
    "                   off it may be (default 600)\n"
    "  --machine ID     weigh for this machine, by its id or name\n"
    "  --seed N         same input and seed, same plans (default 1)\n"
    "  --threads N      cores (default 0: all); the plans do not depend on it\n"
    "  --json           print curve.json instead of tables\n"
    "\n"
    "example: seedbreak weigh fields.kml scouting.gpx season.xml --out weighed\n";

static cli_exit write_files(const sb_season *season, const sb_curve *curve,
                            const cli_options *options, sb_report *report)
{
    size_t said = sb_report_count(report);
    sb_status status = sb_write_curve(season, curve, options->out_folder, report);
    cli_print_messages(report, said, options->quiet);
    if (status == SB_OK && !options->quiet)
        cli_note("curve.json, curve.csv, curve.svg and season.html are in '%s'",
                 options->out_folder);
    return cli_exit_of(status, report);
}

static cli_exit run(const sb_season *season, const cli_options *options, sb_report *report)
{
    cli_exit ready = cli_output_ready(options);
    if (ready != CLI_DONE)
        return ready;
    size_t said = cli_print_messages(report, 0, options->quiet);
    cli_search watched;
    sb_order_options how = cli_search_begin(options, &watched);
    sb_curve *curve = NULL;
    sb_status status = sb_weigh(season, &how, report, &curve);
    cli_search_end(&watched);
    cli_print_messages(report, said, options->quiet);
    cli_note_machine(status, season, options);
    if (status != SB_OK)
        return cli_exit_of(status, report);
    if (cli_interrupted())
        cli_note("stopped by a signal: there may be more plans, and better ones");
    cli_exit written =
        options->out_folder != NULL ? write_files(season, curve, options, report) : CLI_DONE;
    cli_exit printed = cli_printed(options->json ? sb_print_curve_json(season, curve, stdout)
                                                 : sb_print_curve(season, curve, stdout));
    sb_curve_free(curve);
    return written != CLI_DONE ? written : printed;
}

const cli_command CLI_WEIGH = {
    .name = "weigh",
    .summary = "money spent against spread: what each cleanout buys",
    .help = HELP,
    .takes = CLI_TAKES_OUT | CLI_TAKES_SEARCH | CLI_TAKES_EVERY_PLAN,
    .run = run,
};
