/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "messages.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define LINE_COLUMNS 80
#define INDENT 4

/* A message on its way to stderr. On a terminal it is broken at blanks; in a file or a pipe it is
 * one line, for whoever searches there. */
typedef struct writer {
    bool wraps;
    int column;
} writer;

/* Characters until the next blank. */
static int word_columns(const char *text)
{
    int columns = 0;
    for (; *text != '\0' && *text != ' '; text++)
        columns += ((unsigned char)*text & 0xc0) != 0x80;
    return columns;
}

/* Names come from files: what a terminal would obey (C0, DEL and C1 controls) is shown as '?'. */
static void put(writer *w, const char *text)
{
    for (const unsigned char *c = (const unsigned char *)text; *c != '\0'; c++) {
        if (*c == ' ' && w->wraps &&
            w->column + 1 + word_columns((const char *)c + 1) > LINE_COLUMNS) {
            fprintf(stderr, "\n%*s", INDENT, "");
            w->column = INDENT;
            continue;
        }
        w->column += (*c & 0xc0) != 0x80;
        if (*c == 0xc2 && c[1] >= 0x80 && c[1] <= 0x9f) {
            fputc('?', stderr);
            c++;
        } else {
            fputc(*c < 0x20 || *c == 0x7f ? '?' : *c, stderr);
        }
    }
}

/* @param line 0: none */
static void put_message(const char *file, size_t line, const char *severity, const char *text)
{
    char number[32] = "";
    writer w = {0};
    if (line > 0)
        snprintf(number, sizeof number, ":%zu", line);
    put(&w, file); /* in one piece, for whoever follows it */
    put(&w, number);
    put(&w, ": ");
    put(&w, severity);
    put(&w, ": ");
    w.wraps = isatty(STDERR_FILENO) == 1;
    put(&w, text);
    fputc('\n', stderr);
}

static void say(const char *severity, const char *format, va_list args)
{
    char text[1024];
    vsnprintf(text, sizeof text, format, args);
    put_message("seedbreak", 0, severity, text);
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
        put_message(message.file != NULL ? message.file : "seedbreak", message.line,
                    severity_word(message.severity), message.text);
    }
    return count;
}

void cli_print_warnings_about(const sb_report *report, const char *file)
{
    for (size_t i = 0; i < sb_report_count(report); i++) {
        sb_message message = sb_report_get(report, i);
        if (message.severity == SB_WARNING && message.file != NULL &&
            strcmp(message.file, file) == 0)
            put_message(message.file, message.line, "warning", message.text);
    }
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
