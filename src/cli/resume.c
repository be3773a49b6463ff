/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seedbreak resume: order what is left of a season in progress. */
#include "commands.h"
#include "output.h"
#include "search.h"

static const char HELP[] =
    "usage: seedbreak resume FILE... --log LOG [--from T] [--plan PLAN.json]\n"
    "                        [--unlearned] [--out DIR] [--travel FILE]\n"
    "                        [--time-limit S] [--machine ID] [--seed N]\n"
    "                        [--threads N] [--board | --checklist | --json]\n"
    "\n"
    "Goes on from where the season stands by its log: works out where every machine\n"
    "is and what it holds, by section, weed and field of origin, and orders what is\n"
    "left at the least cost, as order does for a whole season. FILE are the files of\n"
    "the season; what the log says of them is laid over. Seeds counted on tarps, and\n"
    "seedlings next spring, change the numbers that the plan rests on: it shows\n"
    "what was thought and what is thought now.\n"
    "Exits 1 when what is left has no plan that keeps all the rules, 3 when the log\n"
    "was tampered with or does not fit the season.\n"
    "\n"
    "  --log LOG        the log that `seedbreak log` writes\n"
    "  --from T         nothing goes on before, as 2026-08-12T09:00; unless given,\n"
    "                   each machine goes on from the end of its last entry; waiting\n"
    "                   costs the grain past its best-before days and nothing else\n"
    "  --plan PLAN.json the plan made before: also shows what changed against it, and\n"
    "                   what going on in its order would cost\n"
    "  --unlearned      take the numbers as the files give them, whatever was found\n"
    "                   on tarps and next spring\n"
    "  --out DIR        write plan, tables, calendar, maps and page for the rest\n"
    "  --time-limit S   stop after S seconds at the best plan so far (default 600)\n"
    "  --machine ID     order the fields for this machine, by its id or name\n"
    "  --seed N         same input and seed, same plan (default 1)\n"
    "  --threads N      cores (default 0: all); the plan does not depend on it\n"
    "  --board          print who does what on which day and nothing else\n"
    "  --checklist      print what all cleanouts that are left take together, and the\n"
    "                   last clean, and nothing else\n"
    "  --json           print the plan for the rest as JSON and nothing else; with\n"
    "                   --plan also what changed against that plan (`against`)\n"
    "\n"
    "example: seedbreak resume fields.kml season.xml --log season.log --out plan\n";

static sb_learn_options learning(const cli_options *options)
{
    sb_learn_options how;
    sb_learn_options_init(&how);
    how.seed = options->seed;
    how.threads = options->threads;
    return how;
}

/* Sets the plan beside the one made before: what changed, and why. */
static sb_status compare(sb_resumed *resumed, const sb_plan *plan, const cli_options *options,
                         bool told, sb_report *report)
{
    sb_read_options read = {.travel_csv = options->travel_csv};
    sb_learn_options learn = learning(options);
    sb_resumed_files files = {options->files, options->n_files, &read,
                              options->unlearned ? NULL : &learn};
    if (options->plan_path == NULL)
        return SB_OK;
    sb_status status = sb_resumed_compare(resumed, options->plan_path, plan, report);
    return status == SB_OK && told ? sb_resumed_account(resumed, options->plan_path, &files, report)
                                   : status;
}

/* Nothing is left to cut: the machines' ways home and their last cleanouts, if asked for. */
static cli_exit show_way_home(const sb_resumed *resumed, const cli_options *options)
{
    const sb_season *rest;
    const sb_plan *home = sb_resumed_way_home(resumed, &rest);
    cli_options without_files = *options;
    without_files.out_folder = NULL;
    if (options->out_folder != NULL && !options->quiet)
        cli_note("nothing is left to cut: no plan is written to '%s'", options->out_folder);
    if (options->board || options->checklist)
        return cli_output_plan(rest, home, &without_files);
    return CLI_DONE;
}

/* The plan for the rest as JSON, and what changed against the one made before. */
static cli_exit show_json(const sb_resumed *resumed, const sb_plan *plan,
                          const cli_options *options)
{
    cli_exit written = plan != NULL ? cli_output_files(sb_resumed_season(resumed), plan, options)
                                    : show_way_home(resumed, options);
    cli_exit printed = cli_printed(sb_print_resumed_json(resumed, plan, stdout));
    return written != CLI_DONE ? written : printed;
}

/* Prints where things stand, what changed, and the plan for the rest. */
static cli_exit show(sb_resumed *resumed, const sb_plan *plan, const cli_options *options,
                     sb_report *report)
{
    bool alone = options->board || options->checklist;
    size_t said = sb_report_count(report);
    sb_status status = compare(resumed, plan, options, !alone, report);
    cli_print_messages(report, said, options->quiet);
    if (status != SB_OK)
        return cli_exit_of(status, report);
    if (options->json)
        return show_json(resumed, plan, options);
    cli_exit code = alone ? CLI_DONE : cli_printed(sb_print_resumed(resumed, stdout));
    if (code != CLI_DONE)
        return code;
    if (plan == NULL)
        return show_way_home(resumed, options);
    if (!alone)
        putchar('\n');
    return cli_output_plan(sb_resumed_season(resumed), plan, options);
}

static cli_exit go_on(sb_resumed *resumed, const cli_options *options, sb_report *report)
{
    const sb_season *rest = sb_resumed_season(resumed);
    if (rest == NULL)
        return show(resumed, NULL, options, report);
    sb_plan *plan = NULL;
    cli_search watched;
    sb_order_options how = cli_search_begin(options, &watched);
    size_t said = sb_report_count(report);
    sb_status status = sb_order(rest, &how, report, &plan);
    cli_search_end(&watched);
    cli_print_messages(report, said, options->quiet);
    cli_exit code =
        status == SB_OK ? show(resumed, plan, options, report) : cli_exit_of(status, report);
    sb_plan_free(plan);
    return code;
}

/* Resumes the season, with the numbers that the log's findings teach. */
static cli_exit resume(const sb_season *season, const cli_options *options, sb_report *report)
{
    sb_learn_options how = learning(options);
    size_t said = sb_report_count(report);
    sb_season *learned = NULL;
    sb_resumed *resumed = NULL;
    sb_status status =
        options->unlearned ? SB_OK : sb_learn(season, options->log, &how, report, &learned);
    if (status == SB_OK)
        status = sb_resume(learned != NULL ? learned : season, options->log, options->from, report,
                           &resumed);
    cli_print_messages(report, said, options->quiet);
    cli_exit code = status == SB_OK ? go_on(resumed, options, report) : cli_exit_of(status, report);
    sb_resumed_free(resumed);
    sb_season_free(learned);
    return code;
}

static cli_exit run(const sb_season *season, const cli_options *options, sb_report *report)
{
    if (options->log == NULL) {
        cli_error("'resume' wants --log LOG, or a log among the files");
        return CLI_USAGE;
    }
    cli_exit ready = cli_output_ready(options);
    if (ready != CLI_DONE)
        return ready;
    cli_print_messages(report, 0, options->quiet);
    return resume(season, options, report);
}

const cli_command CLI_RESUME = {
    .name = "resume",
    .summary = "order what is left from where the machines stand",
    .help = HELP,
    .takes = CLI_TAKES_OUT | CLI_TAKES_SEARCH | CLI_TAKES_LOG | CLI_WANTS_LOG | CLI_TAKES_PLAN |
             CLI_TAKES_BOARD | CLI_LEARNS,
    .run = run,
};
