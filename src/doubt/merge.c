/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tables of samples read back and put together (docs/formats.md). Numbers were written with 17
 * digits, so they come back to the last bit. */
#define _POSIX_C_SOURCE 200809L
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "doubt/study.h"

#define STUDY_DIGITS 16 /* hexadecimal */

typedef struct table_reader {
    const char *path;
    sb_report *report;
    char *bytes; /* the whole file and a NUL */
    size_t n;
    size_t line;
} table_reader;

static sb_status load(table_reader *reader)
{
    struct stat info;
    FILE *file = fopen(reader->path, "rb");
    sb_status status = SB_OK;
    if (file == NULL || fstat(fileno(file), &info) != 0) {
        status = sb_bad_system(reader->report, reader->path, "cannot read");
        goto out;
    }
    if (!S_ISREG(info.st_mode)) {
        status = sb_bad(reader->report, reader->path, 0, "not a file, expected a table of samples");
        goto out;
    }
    reader->n = (size_t)info.st_size;
    reader->bytes = sb_alloc(reader->n + 1, 1);
    if (reader->bytes == NULL)
        status = SB_ERR_NOMEM;
    else if (fread(reader->bytes, 1, reader->n, file) != reader->n)
        status = sb_bad_system(reader->report, reader->path, "cannot read");
    else if (memchr(reader->bytes, '\0', reader->n) != NULL)
        status = sb_bad(reader->report, reader->path, 1, "not text, expected a table of samples");
out:
    if (file != NULL)
        fclose(file);
    return status;
}

/* The next line without its end, or NULL at the end of the file. */
static char *next_line(table_reader *reader, char **rest)
{
    char *line = *rest;
    if (*line == '\0')
        return NULL;
    char *end = line + strcspn(line, "\r\n");
    *rest = end;
    if (**rest == '\r')
        *(*rest)++ = '\0';
    if (**rest == '\n')
        *(*rest)++ = '\0';
    reader->line++;
    return line;
}

/* Cuts the next cell off a row. */
static char *next_cell(char **rest)
{
    char *cell = *rest;
    if (cell == NULL)
        return NULL;
    char *comma = strchr(cell, ',');
    *rest = comma != NULL ? comma + 1 : NULL;
    if (comma != NULL)
        *comma = '\0';
    return cell;
}

static sb_status bad(const table_reader *reader, const char *found, const char *expected)
{
    char excerpt[SB_EXCERPT_BYTES];
    return sb_bad(reader->report, reader->path, reader->line, "'%s', expected %s",
                  sb_excerpt(found != NULL ? found : "", excerpt), expected);
}

static sb_status read_row(const table_reader *reader, char *line, sb_doubt *doubt, bool *seen)
{
    char *rest = line, id[STUDY_DIGITS + 1];
    snprintf(id, sizeof id, "%016llx", (unsigned long long)doubt->id);
    const char *study = next_cell(&rest);
    if (strcmp(study, id) != 0)
        return sb_bad(reader->report, reader->path, reader->line,
                      "samples of another study, expected those of the same files, plan, rivals "
                      "and seed as given now");
    const char *number = next_cell(&rest);
    long sample, most = (long)doubt->last;
    if (number == NULL || !sb_parse_long(number, 1, (long)SB_DOUBT_MOST_SAMPLES, &sample))
        return bad(reader, number, "the number of a sample");
    if (sample > most)
        return sb_bad(reader->report, reader->path, reader->line,
                      "sample %ld among %ld rows, expected samples 1 to %ld: some are missing",
                      sample, most, most);
    if (seen[sample - 1])
        return sb_bad(reader->report, reader->path, reader->line,
                      "sample %ld is there already, expected every sample once", sample);
    seen[sample - 1] = true;
    double *row = doubt->table + (size_t)(sample - 1) * doubt->width;
    for (size_t c = 0; c < doubt->width; c++) {
        const char *cell = next_cell(&rest);
        if (cell == NULL || !sb_parse_double(cell, &row[c]))
            return bad(reader, cell, "a number");
    }
    return rest == NULL ? SB_OK : bad(reader, rest, "the end of the row");
}

/* Rows of a file, its first line not counted. */
static sb_status count_rows(const char *path, sb_report *report, uint64_t *rows)
{
    table_reader reader = {.path = path, .report = report};
    sb_status status = load(&reader);
    if (status == SB_OK) {
        char *rest = reader.bytes;
        next_line(&reader, &rest);
        while (next_line(&reader, &rest) != NULL)
            ++*rows;
    }
    sb_free(reader.bytes);
    return status;
}

static sb_status read_rows(const char *path, sb_report *report, sb_doubt *doubt, bool *seen)
{
    table_reader reader = {.path = path, .report = report};
    sb_status status = load(&reader);
    if (status == SB_OK) {
        char *rest = reader.bytes, *line = next_line(&reader, &rest);
        if (line == NULL || strncmp(line, "study,sample,", strlen("study,sample,")) != 0) {
            reader.line = 1;
            status = bad(&reader, line, "a table of samples that begins with study,sample");
        }
        while (status == SB_OK && (line = next_line(&reader, &rest)) != NULL)
            status = read_row(&reader, line, doubt, seen);
    }
    sb_free(reader.bytes);
    return status;
}

sb_status sb_doubt_merge(const sb_season *season, const sb_plan *plan, const sb_rival *rivals,
                         size_t n_rivals, const sb_doubt_options *options, const char *const *paths,
                         size_t n_paths, sb_report *report, sb_doubt **doubt)
{
    if (doubt == NULL)
        return SB_ERR_ARG;
    *doubt = NULL;
    if (season == NULL || plan == NULL || options == NULL || paths == NULL || n_paths == 0 ||
        (rivals == NULL && n_rivals > 0))
        return SB_ERR_ARG;
    sb_doubt_options whole = *options;
    sb_doubt *made = NULL;
    bool *seen = NULL;
    sb_status status = SB_OK;
    whole.first = 1;
    whole.last = 0;
    for (size_t i = 0; status == SB_OK && i < n_paths; i++)
        status = count_rows(paths[i], report, &whole.last);
    if (status == SB_OK && (whole.last == 0 || whole.last > SB_DOUBT_MOST_SAMPLES))
        status = sb_bad(report, paths[0], 0, "%llu samples, expected 1 to %d",
                        (unsigned long long)whole.last, SB_DOUBT_MOST_SAMPLES);
    if (status == SB_OK)
        status = sb_doubt_prepare(season, plan, rivals, n_rivals, &whole, &made);
    if (status == SB_OK && (seen = sb_alloc((size_t)whole.last, sizeof *seen)) == NULL)
        status = SB_ERR_NOMEM;
    for (size_t i = 0; status == SB_OK && i < n_paths; i++)
        status = read_rows(paths[i], report, made, seen);
    sb_free(seen);
    status = sb_report_settle(report, status);
    if (status == SB_OK)
        *doubt = made;
    else
        sb_doubt_free(made);
    return status;
}
