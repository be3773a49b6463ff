/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/report.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/text.h"

struct sb_report {
    sb_message *items;
    size_t count, capacity;
    size_t errors;
    bool lost; /* a message found no memory */
};

sb_report *sb_report_new(void)
{
    return sb_alloc(1, sizeof(sb_report));
}

void sb_report_free(sb_report *report)
{
    if (report == NULL)
        return;
    for (size_t i = 0; i < report->count; i++) {
        sb_free((void *)report->items[i].file);
        sb_free((void *)report->items[i].text);
    }
    sb_free(report->items);
    sb_free(report);
}

size_t sb_report_count(const sb_report *report)
{
    return report->count;
}

sb_message sb_report_get(const sb_report *report, size_t i)
{
    return report->items[i];
}

size_t sb_report_errors(const sb_report *report)
{
    return report->errors;
}

sb_status sb_report_settle(const sb_report *report, sb_status status)
{
    return report != NULL && report->lost ? SB_ERR_NOMEM : status;
}

static void say(sb_report *report, sb_severity severity, const char *file, size_t line,
                const char *format, va_list args)
{
    if (report == NULL)
        return;
    report->errors += severity == SB_ERROR;
    sb_text text = {0};
    sb_text_vaddf(&text, format, args);
    char *file_copy = file != NULL ? sb_strdup(file) : NULL;
    sb_message message = {severity, file_copy, line, text.bytes};
    if (text.failed || text.bytes == NULL || (file != NULL && file_copy == NULL) ||
        !SB_PUSH(report, message)) {
        report->lost = true;
        sb_free(file_copy);
        sb_text_release(&text);
    }
}

void sb_say(sb_report *report, sb_severity severity, const char *file, size_t line,
            const char *format, ...)
{
    va_list args;
    va_start(args, format);
    say(report, severity, file, line, format, args);
    va_end(args);
}

sb_status sb_bad(sb_report *report, const char *file, size_t line, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    say(report, SB_ERROR, file, line, format, args);
    va_end(args);
    return sb_report_settle(report, SB_ERR_INPUT);
}

sb_status sb_bad_system(sb_report *report, const char *file, const char *what)
{
    if (errno == ENOMEM)
        return SB_ERR_NOMEM;
    sb_say(report, SB_ERROR, file, 0, "%s: %s", what, strerror(errno));
    return sb_report_settle(report, SB_ERR_SYSTEM);
}

typedef struct placed {
    sb_message message;
    size_t file, position; /* number of its file, and where it stood */
} placed;

static int by_place(const void *a, const void *b)
{
    const placed *first = a, *second = b;
    if (first->file != second->file)
        return first->file < second->file ? -1 : 1;
    if (first->message.line != second->message.line)
        return first->message.line < second->message.line ? -1 : 1;
    return first->position < second->position ? -1 : first->position > second->position;
}

static bool same_file(const char *a, const char *b)
{
    return a == b || (a != NULL && b != NULL && strcmp(a, b) == 0);
}

void sb_report_sort(sb_report *report, size_t first)
{
    if (report == NULL || report->count <= first)
        return;
    size_t n = report->count - first, n_files = 0;
    placed *sorted = sb_alloc(n, sizeof *sorted);
    const char **files = sb_alloc(n, sizeof *files);
    for (size_t i = 0; i < n && sorted != NULL && files != NULL; i++) {
        const sb_message *message = &report->items[first + i];
        size_t file = 0;
        while (file < n_files && !same_file(files[file], message->file))
            file++;
        if (file == n_files)
            files[n_files++] = message->file;
        sorted[i] = (placed){*message, file, i};
    }
    if (sorted != NULL && files != NULL) {
        qsort(sorted, n, sizeof *sorted, by_place);
        for (size_t i = 0; i < n; i++)
            report->items[first + i] = sorted[i].message;
    } else {
        report->lost = true; /* the order, that is */
    }
    sb_free(sorted);
    sb_free(files);
}

void sb_report_append(sb_report *to, const sb_report *from)
{
    if (to != NULL && from != NULL && from->lost)
        to->lost = true;
    for (size_t i = 0; from != NULL && i < from->count; i++) {
        const sb_message *message = &from->items[i];
        sb_say(to, message->severity, message->file, message->line, "%s", message->text);
    }
}
