/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "output.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

cli_exit cli_output_ready(const cli_options *options)
{
    struct stat status;
    if (options->out_folder == NULL)
        return CLI_DONE;
    if (stat(options->out_folder, &status) != 0) {
        if (errno == ENOENT)
            return CLI_DONE;
    } else if (!S_ISDIR(status.st_mode)) {
        errno = ENOTDIR;
    } else if (access(options->out_folder, W_OK | X_OK) == 0) {
        return CLI_DONE;
    }
    cli_error("cannot write to '%s': %s", options->out_folder, strerror(errno));
    return CLI_SYSTEM;
}

cli_exit cli_output_files(const sb_season *season, const sb_plan *plan, const cli_options *options)
{
    if (options->out_folder == NULL)
        return CLI_DONE;
    sb_report *report = sb_report_new();
    if (report == NULL)
        return cli_exit_of(SB_ERR_NOMEM, NULL);
    sb_status status = sb_write_outputs(season, plan, options->out_folder, report);
    cli_print_messages(report, 0, options->quiet);
    cli_exit code = cli_exit_of(status, report);
    sb_report_free(report);
    if (code == CLI_DONE && !options->quiet)
        cli_note("plan, tables, calendar, maps and page are in '%s'", options->out_folder);
    return code;
}

/* Why moves are as they are. */
static cli_exit print_why(const sb_season *season, const sb_plan *plan, const char *field)
{
    sb_report *report = sb_report_new();
    if (report == NULL)
        return cli_exit_of(SB_ERR_NOMEM, NULL);
    sb_status status =
        sb_print_why(season, plan, strcmp(field, "all") == 0 ? NULL : field, report, stdout);
    cli_print_messages(report, 0, true);
    cli_exit code = status == SB_ERR_INPUT ? cli_exit_of(status, report) : cli_printed(status);
    sb_report_free(report);
    return code;
}

cli_exit cli_output_plan(const sb_season *season, const sb_plan *plan, const cli_options *options)
{
    cli_exit written = cli_output_files(season, plan, options);
    cli_exit printed;
    if (options->why != NULL) {
        printed = print_why(season, plan, options->why);
    } else {
        sb_status status = options->json        ? sb_print_plan_json(season, plan, stdout)
                           : options->board     ? sb_print_board(season, plan, stdout)
                           : options->checklist ? sb_print_checklist(season, plan, stdout)
                                                : sb_print_plan(season, plan, stdout);
        printed = cli_printed(status);
    }
    return written != CLI_DONE ? written : printed;
}
