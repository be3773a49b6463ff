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
    "\n"
    "  --log LOG        the log that `seedbreak log` writes\n"
    "  --out DIR        write these there\n"
    "\n"
    "example: seedbreak record fields.kml season.xml --log season.log --out record\n";

static cli_exit run(const sb_season *season, const cli_options *options, sb_report *report)
{
    if (options->log == NULL) {
        cli_error("'record' wants --log LOG");
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
    sb_status status = sb_write_record(season, options->log, options->out_folder, report);
    cli_print_messages(report, said, options->quiet);
    cli_exit code = cli_exit_of(status, report);
    if (code == CLI_DONE && !options->quiet)
        cli_note("record.html, record.csv and scouting.gpx are in '%s'", options->out_folder);
    return code;
}

const cli_command CLI_RECORD = {
    .name = "record",
    .summary = "what the log proves, grower by grower; where to walk next",
    .help = HELP,
    .takes = CLI_TAKES_OUT | CLI_TAKES_LOG | CLI_WANTS_LOG,
    .run = run,
};
