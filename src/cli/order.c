/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seedbreak order: order the season and place the cleanouts. */
#include "commands.h"
#include "interrupt.h"
#include "output.h"
#include "search.h"

static const char HELP[] =
    "usage: seedbreak order FILE... [--out DIR] [--travel FILE] [--time-limit S]\n"
    "                       [--machine ID] [--by RULE | --keep-order PLAN.json]\n"
    "                       [--robust mean|worst20 [--samples N]] [--patches]\n"
    "                       [--spread-weight W] [--spend-limit MONEY]\n"
    "                       [--full-cleanouts N] [--loss-per-grower [NAME=]MONEY]\n"
    "                       [--fair] [--seed N] [--threads N]\n"
    "                       [--board | --checklist | --why FIELD | --json]\n"
    "\n"
    "Orders the fields and places the cleanouts at the least cost of travel,\n"
    "cleaning, spread (what the weed seeds brought into fields are expected to cost)\n"
    "and delay (grain lost after best-before dates), and says whether that is\n"
    "proven. With several machines it also decides who cuts what. Field files alone\n"
    "are enough; `seedbreak check` says what is then assumed.\n"
    "Ctrl-C stops the search at the best plan so far, which is printed and written.\n"
    "Exits 1, naming fields and rules, when no plan keeps all the rules.\n"
    "\n"
    "  --out DIR        write plan, tables, calendar, maps and page there\n"
    "  --time-limit S   stop after S seconds at the best plan so far (default 600)\n"
    "  --machine ID     order all fields for this machine alone, by its id or name\n"
    "  --by RULE        cost (the default): the cheapest plan; for comparison, of\n"
    "                   one machine and with the best cleanouts for it:\n"
    "                   shortest-road, cleanest-first\n"
    "  --keep-order PLAN.json\n"
    "                   keep the order of this plan, place only the cleanouts anew\n"
    "  --robust AIM     a plan that holds up: with the least mean cost over sampled\n"
    "                   seasons, or over the dearest fifth of them (worst20), instead\n"
    "                   of the least cost where everything is as rated; proven for\n"
    "                   one machine, looked for without a proof for several\n"
    "  --samples N      how many seasons that is (default 64)\n"
    "  --patches        try each weedy patch cut with its field, cut last and left\n"
    "                   standing, and go on with what is cheapest; a field without\n"
    "                   drawn patches has those that its scouting points outline\n"
    "  --spread-weight W\n"
    "                   money lost to spread counts W times (default 1)\n"
    "  --spend-limit MONEY, --full-cleanouts N\n"
    "                   at most so much money for cleanouts, so many full ones (deep,\n"
    "                   and what the season file calls full), the final one not\n"
    "                   counted; `seedbreak weigh` shows what each buys\n"
    "  --loss-per-grower MONEY, --loss-per-grower NAME=MONEY\n"
    "                   at most so much expected loss in the fields of any grower, or\n"
    "                   of the one named, from the seeds brought there; told with\n"
    "                   what it costs; may be given once for each grower\n"
    "  --fair           make the worst grower's loss as small as can be, whatever it\n"
    "                   costs, and of such plans take the cheapest\n"
    "  --seed N         same input and seed, same plan (default 1)\n"
    "  --threads N      cores (default 0: all); the plan does not depend on it\n"
    "  --board          print who does what on which day instead of a table\n"
    "  --checklist      print what all cleanouts take together, and the last clean\n"
    "  --why FIELD      print why the move to this field is as it is instead of a\n"
    "                   table, as trace does; all: every move\n"
    "  --json           print the plan as JSON instead of a table\n"
    "\n"
    "example: seedbreak order fields.kml scouting.gpx season.xml --out plan\n";

/* Searches, says what there is to say, prints and writes the plan. */
static cli_exit search(const sb_season *season, const sb_plan *kept, const cli_options *options,
                       sb_report *report)
{
    cli_search watched;
    sb_order_options how = cli_search_begin(options, &watched);
    how.by = kept != NULL ? SB_BY_PLAN : options->by;
    how.keep_order = kept;
    size_t said = sb_report_count(report);
    sb_plan *plan = NULL;
    size_t scenarios = options->last_sample > 0 ? (size_t)options->last_sample : SB_SCENARIOS;
    sb_status status = options->robust != 0 ? sb_order_robust(season, &how, options->robust,
                                                              scenarios, report, &plan)
                                            : sb_order(season, &how, report, &plan);
    cli_search_end(&watched);
    cli_print_messages(report, said, options->quiet);
    cli_note_machine(status, season, options);
    if (status == SB_OK && cli_interrupted() && !sb_plan_optimal(plan))
        cli_note("stopped by a signal: this is the best plan found so far");
    cli_exit code =
        status == SB_OK ? cli_output_plan(season, plan, options) : cli_exit_of(status, report);
    sb_plan_free(plan);
    return code;
}

/* The patches that no file draws, so that one does. */
static cli_exit write_patches(const sb_patches *patches, const cli_options *options)
{
    if (options->out_folder == NULL || sb_patches_scouted(patches) == 0)
        return CLI_DONE;
    sb_report *report = sb_report_new();
    if (report == NULL)
        return cli_exit_of(SB_ERR_NOMEM, NULL);
    sb_status status = sb_write_patches(patches, options->out_folder, report);
    cli_print_messages(report, 0, options->quiet);
    cli_exit code = cli_exit_of(status, report);
    sb_report_free(report);
    if (code == CLI_DONE && !options->quiet)
        cli_note("proposed patches: '%s/patches.kml', a file of the season from now on",
                 options->out_folder);
    return code;
}

/* Tries what may become of the patches, says so, and goes on with the best. */
static cli_exit search_patches(const cli_options *options, sb_report *report)
{
    cli_search watched;
    sb_order_options how = cli_search_begin(options, &watched);
    sb_read_options read = {.travel_csv = options->travel_csv};
    size_t said = sb_report_count(report);
    sb_patches *patches = NULL;
    sb_status status = sb_order_patches((const char *const *)options->files, options->n_files,
                                        &read, &how, report, &patches);
    cli_search_end(&watched);
    if (status != SB_OK) {
        cli_print_messages(report, said, options->quiet);
        return cli_exit_of(status, report);
    }
    cli_exit code = options->json ? CLI_DONE : cli_printed(sb_print_patches(patches, stdout));
    if (code == CLI_DONE)
        code = cli_output_plan(sb_patches_season(patches), sb_patches_plan(patches), options);
    if (code == CLI_DONE)
        code = write_patches(patches, options);
    sb_patches_free(patches);
    return code;
}

static cli_exit run(const sb_season *season, const cli_options *options, sb_report *report)
{
    cli_exit ready = cli_output_ready(options);
    if (ready != CLI_DONE)
        return ready;
    if (options->patches) {
        if (options->keep_order != NULL || options->robust != 0 || options->by != SB_BY_COST) {
            cli_error("--patches goes with no other rule for the order");
            return CLI_USAGE;
        }
        cli_print_messages(report, 0, options->quiet);
        return search_patches(options, report);
    }
    sb_plan *kept = NULL;
    sb_status status = SB_OK;
    if (options->keep_order != NULL)
        status = sb_plan_read(season, options->keep_order, report, &kept);
    cli_print_messages(report, 0, options->quiet);
    cli_exit code =
        status == SB_OK ? search(season, kept, options, report) : cli_exit_of(status, report);
    sb_plan_free(kept);
    return code;
}

const cli_command CLI_ORDER = {
    .name = "order",
    .summary = "order the season, place the cleanouts, say why",
    .help = HELP,
    .takes = CLI_TAKES_OUT | CLI_TAKES_SEARCH | CLI_TAKES_RULE | CLI_TAKES_WHY | CLI_TAKES_BOARD |
             CLI_TAKES_PATCHES,
    .run = run,
};
