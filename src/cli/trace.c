/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seedbreak trace: follow the seeds through given orders, price and compare them. */
#include <string.h>

#include "commands.h"
#include "output.h"
#include "search.h"

static const char HELP[] =
    "usage: seedbreak trace FILE... (--plan PLAN.json | --by RULE)... [--out DIR]\n"
    "                       [--board | --checklist | --why FIELD | --json]\n"
    "                       [--machine ID] [--time-limit S] [--seed N]\n"
    "                       [--threads N] [--travel FILE]\n"
    "\n"
    "Prices a plan: one that order wrote, or one written by hand to ask what if.\n"
    "By hand a stop needs only a field, and a cleanout before the move to it if any;\n"
    "\"id\" is that of a machine of the season file, combine where it has none:\n"
    "\n"
    "  {\"format\": \"seedbreak-plan\", \"version\": 1, \"machines\": [{\"id\": \"ring\",\n"
    "   \"stops\": [{\"field\": \"Home Quarter\"},\n"
    "             {\"field\": \"Kettle\", \"cleanout\": \"blowdown\"}]}]}\n"
    "\n"
    "Rules that the plan breaks are named as warnings; it is priced all the same, and\n"
    "the exit code is 0: ask the JSON whether any are (`rules_broken`).\n"
    "Several plans are compared side by side, column by column.\n"
    "\n"
    "  --plan PLAN.json  the plan to price; may be given several times\n"
    "  --by RULE         a plan by this rule as one more column: cost, as order\n"
    "                    finds it; or, of one machine, shortest-road or\n"
    "                    cleanest-first, each with the best cleanouts for it\n"
    "  --out DIR         also write plan, tables, calendar, maps and page there\n"
    "  --board           print who does what on which day instead of a table\n"
    "  --checklist       print what all cleanouts take together, and the last clean\n"
    "  --why FIELD       print why the move to this field is as it is instead: what\n"
    "                    each cleanout lets through, where that comes from, what\n"
    "                    another cleanout, place or order would cost; all: every move\n"
    "  --machine ID, --time-limit S, --seed N, --threads N\n"
    "                    as for order, for the plans by a rule\n"
    "  --json            print the priced plan, or the comparison, as JSON instead\n"
    "\n"
    "example: seedbreak trace fields.kml season.xml --plan by_hand.json\n";

typedef struct columns {
    sb_rival items[CLI_MOST_RIVALS];
    sb_plan *plans[CLI_MOST_RIVALS];
    size_t n;
} columns;

/* The last part of a path. */
static const char *file_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash != NULL && slash[1] != '\0' ? slash + 1 : path;
}

static sb_status make_plan(const sb_season *season, const cli_column *column,
                           const cli_options *options, sb_report *report, sb_plan **plan)
{
    if (column->path != NULL)
        return sb_plan_read(season, column->path, report, plan);
    cli_search watched;
    sb_order_options how = cli_search_begin(options, &watched);
    how.by = column->by;
    sb_status status = sb_order(season, &how, report, plan);
    cli_search_end(&watched);
    return status;
}

/* Two files of one name are told apart by their whole paths. */
static const char *head_of(const cli_options *options, size_t c)
{
    const cli_column *column = &options->columns[c];
    for (size_t other = 0; other < options->n_columns && column->path != NULL; other++)
        if (other != c &&
            strcmp(file_name(options->columns[other].name), file_name(column->name)) == 0)
            return column->name;
    return column->path != NULL ? file_name(column->name) : column->name;
}

static cli_exit compare(const sb_season *season, const columns *made, const cli_options *options)
{
    return cli_printed(options->json
                           ? sb_print_comparison_json(season, made->items, made->n, stdout)
                           : sb_print_comparison(season, made->items, made->n, stdout));
}

static cli_exit run(const sb_season *season, const cli_options *options, sb_report *report)
{
    columns made = {.n = 0};
    sb_status status = SB_OK;
    size_t said = cli_print_messages(report, 0, options->quiet);
    for (; status == SB_OK && made.n < options->n_columns; made.n++) {
        status = make_plan(season, &options->columns[made.n], options, report, &made.plans[made.n]);
        made.items[made.n] = (sb_rival){head_of(options, made.n), made.plans[made.n]};
    }
    cli_print_messages(report, said, options->quiet);
    if (made.n > 0 && options->columns[made.n - 1].path == NULL)
        cli_note_machine(status, season, options);
    cli_exit code = status != SB_OK ? cli_exit_of(status, report)
                    : made.n == 1   ? cli_output_plan(season, made.plans[0], options)
                                    : compare(season, &made, options);
    for (size_t c = 0; c < made.n; c++)
        sb_plan_free(made.plans[c]);
    return code;
}

const cli_command CLI_TRACE = {
    .name = "trace",
    .summary = "follow the seeds through given or hand-made plans, compare them",
    .help = HELP,
    .takes =
        CLI_TAKES_OUT | CLI_TAKES_BOARD | CLI_TAKES_COLUMNS | CLI_TAKES_WHY | CLI_TAKES_MACHINE,
    .run = run,
};
