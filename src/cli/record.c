/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seedbreak record: what the log proves, grower by grower. */
#include "commands.h"
#include "output.h"

static const char HELP[] =
    "usage: seedbreak record FILE... --log LOG [--out DIR] [--travel FILE]\n"
    "\n"
    "The record of a season for its growers: what was cut by which machine, how it\n"
    "was cleaned before and by whom that was checked, what lay on the tarp, what the\n"
    "machine is expected to have brought and from whom. Every line names the entry of\n"
    "the log that it rests on. Prints it as CSV, or with --out writes\n"
    "\n"
    "  record.html      for paper, a grower a page\n"
    "  record.csv       for a spreadsheet, a fact a line\n"
    "  scouting.gpx     where to walk next spring, worst first: how many metres of\n"
    "                   the first pass and what to look for\n"
    "  learned.xml      what was counted on tarps and in spring says of the model's\n"
    "                   numbers, if anything: give it with next year's files\n"
    "\n"
    "  --log LOG        the log that `seedbreak log` writes\n"
    "  --out DIR        write these there\n"
    "\n"
    "example: seedbreak record fields.kml season.xml --log season.log --out record\n";

/* What was found, for the seasons to come. */
static sb_status write_learned(const sb_season *season, const cli_options *options,
                               sb_report *report, bool *written)
{
    sb_learn_options how;
    sb_learn_options_init(&how);
    how.seed = options->seed;
    sb_season *learned = NULL;
    sb_status status = sb_learn(season, options->log, &how, report, &learned);
    const sb_season *told = learned != NULL ? learned : season;
    if (status == SB_OK)
        status = sb_write_learned(told, options->log, options->out_folder, report);
    *written = status == SB_OK && sb_season_learned_count(told) > 0;
    sb_season_free(learned);
    return status;
}

static cli_exit write_all(const sb_season *season, const cli_options *options, sb_report *report)
{
    bool learned = false;
    size_t said = sb_report_count(report);
    sb_status status = sb_write_record(season, options->log, options->out_folder, report);
    if (status == SB_OK)
        status = write_learned(season, options, report, &learned);
    cli_print_messages(report, said, options->quiet);
    cli_exit code = cli_exit_of(status, report);
    if (code == CLI_DONE && !options->quiet)
        cli_note("record.html, record.csv%s scouting.gpx%s are in '%s'", learned ? "," : " and",
                 learned ? " and learned.xml" : "", options->out_folder);
    return code;
}

static cli_exit run(const sb_season *season, const cli_options *options, sb_report *report)
{
    if (options->log == NULL) {
        cli_error("'record' wants --log LOG, or a log among the files");
        return CLI_USAGE;
    }
    cli_exit ready = cli_output_ready(options);
    if (ready != CLI_DONE)
        return ready;
    size_t said = cli_print_messages(report, 0, options->quiet);
    if (options->out_folder == NULL) {
        sb_status printed = sb_print_record_csv(season, options->log, report, stdout);
        cli_print_messages(report, said, options->quiet);
        return cli_printed(printed);
    }
    return write_all(season, options, report);
}

const cli_command CLI_RECORD = {
    .name = "record",
    .summary = "what the log proves, grower by grower; where to walk next",
    .help = HELP,
    .takes = CLI_TAKES_OUT | CLI_TAKES_LOG | CLI_WANTS_LOG | CLI_NO_JSON,
    .run = run,
};
