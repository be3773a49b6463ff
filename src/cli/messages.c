/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "messages.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* Names come from files: what a terminal would obey (C0, DEL and C1 controls) is shown as '?'. */
static void put_harmless(const char *text)
{
    for (const unsigned char *c = (const unsigned char *)text; *c != '\0'; c++) {
        if (*c == 0xc2 && c[1] >= 0x80 && c[1] <= 0x9f) {
            fputc('?', stderr);
            c++;
        } else {
            fputc(*c < 0x20 || *c == 0x7f ? '?' : *c, stderr);
        }
    }
}

static void say(const char *severity, const char *format, va_list args)
{
    char text[1024];
    vsnprintf(text, sizeof text, format, args);
    fprintf(stderr, "seedbreak: %s: ", severity);
    put_harmless(text);
    fputc('\n', stderr);
}

void cli_error(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    say("error", format, args);
    va_end(args);
}

void cli_note(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    say("note", format, args);
    va_end(args);
}

static const char *severity_word(sb_severity severity)
{
    switch (severity) {
    case SB_NOTE:
        return "note";
    case SB_WARNING:
        return "warning";
    default:
        return "error";
    }
}

size_t cli_print_messages(const sb_report *report, size_t first, bool quiet)
{
    size_t count = sb_report_count(report);
    for (size_t i = first; i < count; i++) {
        sb_message message = sb_report_get(report, i);
        if (quiet && message.severity < SB_ERROR)
            continue;
        put_harmless(message.file != NULL ? message.file : "seedbreak");
        if (message.line > 0)
            fprintf(stderr, ":%zu", message.line);
        fprintf(stderr, ": %s: ", severity_word(message.severity));
        put_harmless(message.text);
        fputc('\n', stderr);
    }
    return count;
}

static bool has_error(const sb_report *report)
{
    for (size_t i = 0; report != NULL && i < sb_report_count(report); i++)
        if (sb_report_get(report, i).severity == SB_ERROR)
            return true;
    return false;
}

cli_exit cli_exit_of(sb_status status, const sb_report *report)
{
    if (status != SB_OK && !has_error(report))
        cli_error("%s", sb_status_text(status));
    switch (status) {
    case SB_OK:
        return CLI_DONE;
    case SB_ERR_INFEASIBLE:
        return CLI_INFEASIBLE;
    case SB_ERR_INPUT:
        return CLI_BAD_INPUT;
    default:
        return CLI_SYSTEM;
    }
}

static cli_exit stdout_failed(void)
{
    cli_error("cannot write to stdout: %s", strerror(errno));
    return CLI_SYSTEM;
}

cli_exit cli_printed(sb_status status)
{
    /* The library says SB_ERR_SYSTEM of a stream for one reason only, and has just failed on it. */
    if (status == SB_ERR_SYSTEM || fflush(stdout) != 0)
        return stdout_failed();
    return cli_exit_of(status, NULL);
}

cli_exit cli_close_stdout(cli_exit code)
{
    return fclose(stdout) != 0 && code == CLI_DONE ? stdout_failed() : code;
}
