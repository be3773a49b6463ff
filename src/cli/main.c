/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seedbreak: the command line over the library. Sees include/seedbreak.h and nothing else. */
#include <stdio.h>
#include <string.h>

#include "commands.h"

static const cli_command *const COMMANDS[] = {
    &CLI_CHECK, &CLI_ORDER, &CLI_SETTLE, &CLI_TRACE,  &CLI_WEIGH,  &CLI_DOUBT,
    &CLI_SCOUT, &CLI_YEARS, &CLI_LOG,    &CLI_RESUME, &CLI_RECORD,
};
#define N_COMMANDS (sizeof COMMANDS / sizeof COMMANDS[0])

static const char COMMON_HELP[] =
    "\n"
    "FILE is any mix of field files (KML, KMZ, GPX, or TASKDATA.XML of ISO 11783-10),\n"
    "scouting points (GPX, KML) and a season file (XML), told apart by content.\n"
    "Options of every command:\n"
    "\n"
    "  --travel FILE  road km between fields and yards from a table (CSV)\n"
    "  --quiet        no progress, notes or warnings on stderr (a plan's\n"
    "                 JSON and page have the warnings all the same)\n"
    "  --json         results as JSON; log and record print none\n"
    "  --help         what the command does, with an example\n"
    "\n"
    "MONEY is in the season file's currency, USD unless it names another.\n"
    "Results go to stdout, messages to stderr as file:line: error: text.\n"
    "exit codes: 0 done, 1 no feasible plan, 2 usage, 3 bad input, 4 system trouble\n";

static void print_help(void)
{
    puts("usage: seedbreak COMMAND FILE... [options]\n"
         "\n"
         "Orders a combine's harvest season so that it carries the fewest weed seeds from\n"
         "field to field, and places the cleanouts where they stop the most.\n");
    for (size_t i = 0; i < N_COMMANDS; i++)
        printf("  %-14s %s\n", COMMANDS[i]->name, COMMANDS[i]->summary);
    fputs(COMMON_HELP, stdout);
}

static void say_unknown(const char *word)
{
    char known[256] = "";
    for (size_t i = 0; i < N_COMMANDS; i++) {
        size_t length = strlen(known);
        snprintf(known + length, sizeof known - length, "%s%s",
                 i == 0               ? ""
                 : i + 1 < N_COMMANDS ? ", "
                                      : " or ",
                 COMMANDS[i]->name);
    }
    cli_error("unknown command '%s', expected %s", word, known);
}

static const cli_command *find_command(const char *name)
{
    for (size_t i = 0; i < N_COMMANDS; i++)
        if (strcmp(COMMANDS[i]->name, name) == 0)
            return COMMANDS[i];
    return NULL;
}

/* Takes the log out of the files: the one that --log names, or one among them. */
static sb_status find_log(cli_options *options, sb_report *report, sb_log **log)
{
    size_t kept = 0;
    for (size_t i = 0; i < options->n_files && options->log_path == NULL; i++)
        if (sb_is_log(options->files[i]))
            options->log_path = options->files[i];
    if (options->log_path == NULL)
        return SB_OK; /* a command that wants one has said so */
    for (size_t i = 0; i < options->n_files; i++)
        if (strcmp(options->files[i], options->log_path) != 0)
            options->files[kept++] = options->files[i];
    options->n_files = kept;
    return sb_log_read(options->log_path, report, log);
}

static sb_status read_season(const cli_options *options, const sb_log *log, sb_report *report,
                             sb_season **season)
{
    sb_read_options how = {.travel_csv = options->travel_csv};
    if (log == NULL)
        return sb_season_read(options->files, options->n_files, &how, report, season);
    sb_status status =
        sb_season_read_log(log, options->files, options->n_files, &how, report, season);
    return status == SB_OK ? sb_log_check(*season, log, report) : status;
}

static cli_exit run_on_season(const cli_command *command, cli_options *options)
{
    sb_report *report = sb_report_new();
    if (report == NULL)
        return cli_exit_of(SB_ERR_NOMEM, NULL);
    sb_season *season = NULL;
    sb_log *log = NULL;
    sb_status status = SB_OK;
    if (command->takes & CLI_TAKES_LOG)
        status = find_log(options, report, &log);
    if (status == SB_OK)
        status = read_season(options, log, report, &season);
    cli_exit code;
    if (status == SB_OK) {
        options->log = log;
        code = command->run(season, options, report);
    } else {
        cli_print_messages(report, 0, options->quiet);
        code = cli_exit_of(status, report);
    }
    sb_season_free(season);
    sb_log_free(log);
    sb_report_free(report);
    return code;
}

static cli_exit run_command(const cli_command *command, int argc, char **argv)
{
    if (command->run_alone != NULL)
        return command->run_alone(argc, argv);
    cli_options options;
    if (!cli_options_read(argc, argv, command->takes, &options)) {
        fprintf(stderr, "try 'seedbreak %s --help'\n", command->name);
        return CLI_USAGE;
    }
    if (options.help) {
        fputs(command->help, stdout);
        fputs(CLI_HELP_END, stdout);
        return CLI_DONE;
    }
    return run_on_season(command, &options);
}

static cli_exit run_main(int argc, char **argv)
{
    const char *word = argc > 1 ? argv[1] : NULL;
    if (word == NULL) {
        cli_error("no command given");
    } else if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0) {
        print_help();
        return CLI_DONE;
    } else if (strcmp(word, "--version") == 0) {
        printf("seedbreak %s\n", sb_version());
        return CLI_DONE;
    } else {
        const cli_command *command = find_command(word);
        if (command != NULL)
            return run_command(command, argc - 1, argv + 1);
        say_unknown(word);
    }
    fputs("try 'seedbreak --help'\n", stderr);
    return CLI_USAGE;
}

int main(int argc, char **argv)
{
    return (int)cli_close_stdout(run_main(argc, argv));
}
