/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seedbreak doubt: how sure a plan is, over seasons drawn at random. */
#define _POSIX_C_SOURCE 200809L
#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "commands.h"
#include "search.h"

/* Rivals that are looked for when there are several machines. */
#define FLEET_RIVALS 4

static const char HELP[] =
    "usage: seedbreak doubt FILE... --plan PLAN.json [--against PLAN.json]...\n"
    "                       [--samples N | --samples A-B --out DIR | --merge DIR]\n"
    "                       [--time-limit S] [--seed N] [--threads N]\n"
    "                       [--travel FILE] [--json]\n"
    "\n"
    "Draws seasons in which ratings, weeds, machine and cleanouts are what they may\n"
    "be, and follows the plan through each: where seeds, plants and money lie in nine\n"
    "seasons of ten, field by field; in how many the plan beats each rival; which\n"
    "uncertain number drives the loss. docs/doubt.md has the ranges and formulas.\n"
    "\n"
    "  --plan PLAN.json     the plan to doubt\n"
    "  --against PLAN.json  a rival, may be given several times; without any: the\n"
    "                       shortest road and the cleanest first, as order finds\n"
    "                       them; with several machines other-1 to other-4: of all\n"
    "                       plans met when the season was ordered anew in 48 drawn\n"
    "                       seasons the one that is cheaper than the plan in most,\n"
    "                       then cheaper than both, ... (searched, not proven)\n"
    "  --samples N          how many seasons to draw (default 10000)\n"
    "  --samples A-B        draw only these, a part of a study, and write them into\n"
    "  --out DIR            this folder: samples-A-B.csv. Without a range season.html\n"
    "                       as well: the plan's page, with the band in which the\n"
    "                       seeds in the machine lie; and the plan of each rival that\n"
    "                       was found for several machines, in a folder by its name\n"
    "  --merge DIR          put the parts in this folder together: to the last bit\n"
    "                       what one machine alone would have found\n"
    "  --time-limit S       of one machine: each of the two rivals is looked for S\n"
    "                       seconds at most (default 600); of several it is not kept\n"
    "  --seed N             same input and seed, same seasons (default 1)\n"
    "  --threads N          cores (default 0: all); nothing depends on it\n"
    "  --json               bands, chances and drivers as JSON instead of tables\n"
    "\n"
    "example: seedbreak doubt fields.kml season.xml --plan plan/plan.json\n";

/* The plans to compare with. */
typedef struct rival_list {
    sb_rival items[CLI_MOST_RIVALS];
    sb_plan *plans[CLI_MOST_RIVALS];
    size_t n;
    bool found_for_fleet; /* their plans are nowhere else */
} rival_list;

static void release_rivals(rival_list *rivals)
{
    for (size_t r = 0; r < rivals->n; r++)
        sb_plan_free(rivals->plans[r]);
}

static void add_rival(rival_list *rivals, const char *name, sb_plan *plan)
{
    rivals->plans[rivals->n] = plan;
    rivals->items[rivals->n] = (sb_rival){name, plan};
    rivals->n++;
}

static sb_status read_rivals(const sb_season *season, const cli_options *options, sb_report *report,
                             rival_list *rivals)
{
    for (size_t r = 0; r < options->n_against; r++) {
        sb_plan *plan = NULL;
        sb_status status = sb_plan_read(season, options->against[r], report, &plan);
        if (status != SB_OK)
            return status;
        add_rival(rivals, options->against[r], plan);
    }
    return SB_OK;
}

/* The orders that people choose without the model. One that no cleanouts let keep the rules is no
 * rival. */
static sb_status find_rivals(const sb_season *season, const cli_options *options,
                             rival_list *rivals)
{
    static const struct {
        const char *name;
        sb_order_by by;
    } rules[] = {{"shortest-road", SB_BY_SHORTEST_ROAD}, {"cleanest-first", SB_BY_CLEANEST_FIRST}};
    for (size_t r = 0; r < sizeof rules / sizeof *rules; r++) {
        sb_order_options how;
        sb_order_options_init(&how);
        how.by = rules[r].by;
        how.seed = options->seed;
        how.threads = options->threads;
        how.time_limit_s = options->time_limit_s;
        sb_report *report = sb_report_new();
        sb_plan *plan = NULL;
        sb_status status = report != NULL ? sb_order(season, &how, report, &plan) : SB_ERR_NOMEM;
        sb_report_free(report);
        if (status == SB_OK)
            add_rival(rivals, rules[r].name, plan);
        else if (status == SB_ERR_INFEASIBLE)
            cli_note("no plan by %s keeps the rules: it is no rival", rules[r].name);
        else
            return status;
    }
    return SB_OK;
}

static void tell_found(const rival_list *rivals, const size_t *best_in)
{
    char others[FLEET_RIVALS * 32] = "";
    size_t used = 0;
    for (size_t r = 0; r < rivals->n; r++)
        used += (size_t)snprintf(others + used, sizeof others - used, ", %s in %zu",
                                 rivals->items[r].name, best_in[r + 1]);
    cli_note("rivals: plans met when the season was ordered anew in %d drawn seasons (searched, "
             "not proven); there this plan is the cheapest of them in %zu%s",
             SB_RIVAL_SEASONS, best_in[0], others);
}

/* Several machines: plans that are the cheapest in other seasons. */
static sb_status find_fleet_rivals(const sb_season *season, const sb_plan *plan,
                                   const cli_options *options, rival_list *rivals)
{
    static const char *const NAMES[FLEET_RIVALS] = {"other-1", "other-2", "other-3", "other-4"};
    cli_search watched;
    sb_order_options how = cli_search_begin(options, &watched);
    sb_plan *plans[FLEET_RIVALS];
    size_t best_in[FLEET_RIVALS + 1], n = 0;
    sb_status status = sb_find_rivals(season, plan, &how, FLEET_RIVALS, plans, best_in, &n);
    cli_search_end(&watched);
    for (size_t r = 0; r < n && status == SB_OK; r++)
        add_rival(rivals, NAMES[r], plans[r]);
    rivals->found_for_fleet = true;
    if (status == SB_OK && !options->quiet)
        tell_found(rivals, best_in);
    return status;
}

static int is_part(const struct dirent *entry)
{
    size_t length = strlen(entry->d_name);
    return strncmp(entry->d_name, "samples-", strlen("samples-")) == 0 && length > strlen(".csv") &&
           strcmp(entry->d_name + length - strlen(".csv"), ".csv") == 0;
}

/* The paths of the parts in a folder, each to be freed. @return how many, -1 with a message */
static int list_parts(const char *folder, char ***paths)
{
    struct dirent **entries = NULL;
    int n = scandir(folder, &entries, is_part, alphasort);
    *paths = NULL;
    if (n < 0) {
        cli_error("cannot read '%s': %s", folder, strerror(errno));
        return -1;
    }
    if (n > 0)
        *paths = calloc((size_t)n, sizeof **paths);
    bool ok = n == 0 || *paths != NULL;
    for (int i = 0; i < n; i++) {
        size_t room = strlen(folder) + strlen(entries[i]->d_name) + 2;
        if (ok && ((*paths)[i] = malloc(room)) != NULL)
            snprintf((*paths)[i], room, "%s/%s", folder, entries[i]->d_name);
        else
            ok = false;
        free(entries[i]);
    }
    free(entries);
    if (ok)
        return n;
    for (int i = 0; *paths != NULL && i < n; i++)
        free((*paths)[i]);
    free(*paths);
    cli_error("out of memory");
    return -1;
}

static cli_exit merge(const sb_season *season, const sb_plan *plan, const rival_list *rivals,
                      const sb_doubt_options *how, const cli_options *options, sb_report *report,
                      sb_doubt **doubt)
{
    char **paths;
    int n = list_parts(options->merge_folder, &paths);
    if (n < 0)
        return CLI_SYSTEM;
    if (n == 0) {
        cli_error("no samples-*.csv in '%s', expected those of doubt --samples A-B",
                  options->merge_folder);
        return CLI_BAD_INPUT;
    }
    size_t said = sb_report_count(report);
    sb_status status = sb_doubt_merge(season, plan, rivals->items, rivals->n, how,
                                      (const char *const *)paths, (size_t)n, report, doubt);
    cli_print_messages(report, said, options->quiet);
    for (int i = 0; i < n; i++)
        free(paths[i]);
    free(paths);
    return cli_exit_of(status, report);
}

static cli_exit write_files(const sb_season *season, const sb_plan *plan, const sb_doubt *doubt,
                            const cli_options *options, sb_report *report)
{
    size_t said = sb_report_count(report);
    sb_status status = sb_doubt_write_samples(season, doubt, options->out_folder, report);
    if (status == SB_OK && !options->part)
        status =
            sb_doubt_write_page(season, plan, doubt, options->threads, options->out_folder, report);
    cli_print_messages(report, said, options->quiet);
    if (status == SB_OK && !options->quiet)
        cli_note("the samples%s are in '%s'", options->part ? "" : " and season.html",
                 options->out_folder);
    return cli_exit_of(status, report);
}

/* The plans of rivals that were found, each with all its files. */
static cli_exit write_rivals(const sb_season *season, const rival_list *rivals,
                             const cli_options *options, sb_report *report)
{
    cli_exit code = CLI_DONE;
    for (size_t r = 0; r < rivals->n && code == CLI_DONE; r++) {
        char folder[4096];
        int length =
            snprintf(folder, sizeof folder, "%s/%s", options->out_folder, rivals->items[r].name);
        if (length < 0 || (size_t)length >= sizeof folder) {
            cli_error("'%s' is too long a name for a folder", options->out_folder);
            return CLI_SYSTEM;
        }
        size_t said = sb_report_count(report);
        sb_status status = sb_write_outputs(season, rivals->plans[r], folder, report);
        cli_print_messages(report, said, options->quiet);
        code = cli_exit_of(status, report);
    }
    return code;
}

static cli_exit tell(const sb_season *season, const sb_plan *plan, const rival_list *rivals,
                     const sb_doubt *doubt, const cli_options *options, sb_report *report)
{
    if (options->out_folder != NULL) {
        cli_exit code = write_files(season, plan, doubt, options, report);
        if (code == CLI_DONE && rivals->found_for_fleet && !options->part)
            code = write_rivals(season, rivals, options, report);
        if (code != CLI_DONE)
            return code;
    }
    if (options->part)
        return CLI_DONE;
    return cli_printed(options->json ? sb_print_doubt_json(season, doubt, stdout)
                                     : sb_print_doubt(season, doubt, stdout));
}

static cli_exit study(const sb_season *season, const sb_plan *plan, const rival_list *rivals,
                      const cli_options *options, sb_report *report)
{
    sb_doubt *doubt = NULL;
    sb_doubt_options how;
    sb_doubt_options_init(&how);
    how.seed = options->seed;
    how.first = options->first_sample;
    if (options->last_sample > 0)
        how.last = options->last_sample;
    how.threads = options->threads;
    cli_exit code;
    if (options->merge_folder != NULL)
        code = merge(season, plan, rivals, &how, options, report, &doubt);
    else
        code =
            cli_exit_of(sb_doubt_run(season, plan, rivals->items, rivals->n, &how, &doubt), report);
    if (code == CLI_DONE)
        code = tell(season, plan, rivals, doubt, options, report);
    sb_doubt_free(doubt);
    return code;
}

static cli_exit run(const sb_season *season, const cli_options *options, sb_report *report)
{
    rival_list rivals = {0};
    sb_plan *plan = NULL;
    sb_status status = sb_plan_read(season, options->plan_path, report, &plan);
    if (status == SB_OK && options->n_against > 0)
        status = read_rivals(season, options, report, &rivals);
    cli_print_messages(report, 0, options->quiet);
    if (status == SB_OK && options->n_against == 0)
        status = sb_season_machine_count(season) > 1
                     ? find_fleet_rivals(season, plan, options, &rivals)
                     : find_rivals(season, options, &rivals);
    cli_exit code = status == SB_OK ? study(season, plan, &rivals, options, report)
                                    : cli_exit_of(status, report);
    release_rivals(&rivals);
    sb_plan_free(plan);
    return code;
}

const cli_command CLI_DOUBT = {
    .name = "doubt",
    .summary = "how sure a plan is: bands, chances, what drives them",
    .help = HELP,
    .takes = CLI_TAKES_OUT | CLI_WANTS_PLAN | CLI_TAKES_SAMPLES,
    .run = run,
};
