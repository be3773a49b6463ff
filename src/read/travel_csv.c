/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "read/travel_csv.h"

#include <csv.h>
#include <libxml/xmlstring.h>
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "read/source.h"
#include "read/windows_1252.h"

#define CHUNK_BYTES ((size_t)16 << 10)

typedef struct names {
    char **items;
    size_t count, capacity;
} names;

typedef struct table {
    const char *file;
    sb_report *report;
    sb_status status;
    size_t line;     /* of the bytes going in now */
    size_t row_line; /* where the row began */
    size_t row, column;
    bool semicolons; /* cells parted by ';', so that a number may have a decimal comma */
    bool told_encoding;
    names columns;     /* from the first row */
    size_t *row_place; /* by row of numbers: its place among the columns */
    size_t n_rows;
    bool *seen; /* by place: has a row */
    double *km; /* by place, row = from */
} table;

static void fail(table *t, sb_status status)
{
    if (t->status == SB_OK)
        t->status = status;
}

/* Place of that name among the columns, or their number when there is none. */
static size_t find(const table *t, const char *name)
{
    size_t i = 0;
    while (i < t->columns.count && strcmp(t->columns.items[i], name) != 0)
        i++;
    return i;
}

static void add_column(table *t, const char *name)
{
    char excerpt[SB_EXCERPT_BYTES];
    if (t->column == 0)
        return; /* the corner says nothing */
    if (*name == '\0') {
        fail(t, sb_bad(t->report, t->file, t->line,
                       "column %zu without a name, expected the name of a place", t->column + 1));
    } else if (find(t, name) < t->columns.count) {
        fail(t,
             sb_bad(t->report, t->file, t->line, "a second column '%s', expected names that differ",
                    sb_excerpt(name, excerpt)));
    } else if (t->columns.count == SB_TRAVEL_MAX_PLACES) {
        fail(t, sb_bad(t->report, t->file, t->line, "more than %d places, expected at most %d",
                       SB_TRAVEL_MAX_PLACES, SB_TRAVEL_MAX_PLACES));
    } else {
        char *copy = sb_strdup(name);
        if (copy == NULL || !SB_PUSH(&t->columns, copy)) {
            sb_free(copy);
            fail(t, SB_ERR_NOMEM);
        }
    }
}

static void begin_row(table *t, const char *name)
{
    char excerpt[SB_EXCERPT_BYTES];
    t->row_line = t->line;
    size_t place = find(t, name);
    if (place == t->columns.count)
        fail(t, sb_bad(t->report, t->file, t->line,
                       "row '%s' has no column of that name, expected rows and columns for the "
                       "same places",
                       sb_excerpt(name, excerpt)));
    else if (t->seen[place])
        fail(t, sb_bad(t->report, t->file, t->line, "a second row '%s', expected names that differ",
                       sb_excerpt(name, excerpt)));
    else
        t->seen[t->row_place[t->n_rows] = place] = true;
}

static void add_cell(table *t, char *text)
{
    char excerpt[SB_EXCERPT_BYTES];
    size_t n = t->columns.count, to = t->column - 1;
    if (to >= n) {
        if (*text != '\0')
            fail(t, sb_bad(t->report, t->file, t->line,
                           "row with more than %zu cells, expected one for each named column", n));
        return;
    }
    double km = NAN;
    char *comma = t->semicolons ? strchr(text, ',') : NULL;
    if (comma != NULL)
        *comma = '.';
    if (*text != '\0' && (!sb_parse_double(text, &km) || km < 0)) {
        fail(t, sb_bad(t->report, t->file, t->line,
                       "distance '%s' to '%s', expected km of 0 or more or an empty cell",
                       sb_excerpt(text, excerpt), t->columns.items[to]));
        return;
    }
    size_t from = t->row_place[t->n_rows];
    t->km[from * n + to] = from == to ? 0 : km;
}

/* A cell as UTF-8 text for the caller to free. Spreadsheets still save windows-1252. */
static char *cell_text(table *t, const char *bytes, size_t n)
{
    char *text = sb_strndup(bytes, n);
    if (text == NULL || xmlCheckUTF8((const unsigned char *)text))
        return text;
    char *recoded = sb_alloc(SB_RECODE_GROWTH * n + 1, 1);
    if (recoded != NULL)
        sb_windows_1252_to_utf8(bytes, n, recoded);
    sb_free(text);
    if (!t->told_encoding)
        sb_say(t->report, SB_WARNING, t->file, t->line,
               "bytes that are not UTF-8, expected UTF-8: read as windows-1252");
    t->told_encoding = true;
    return recoded;
}

static void on_cell(void *bytes, size_t n, void *user)
{
    table *t = user;
    if (t->status != SB_OK)
        return;
    bool has_nul = n > 0 && memchr(bytes, '\0', n) != NULL;
    char *text = cell_text(t, bytes != NULL ? bytes : "", n);
    if (text == NULL) {
        fail(t, SB_ERR_NOMEM);
        return;
    }
    char *trimmed = sb_trim(text);
    if (has_nul)
        fail(t, sb_bad(t->report, t->file, t->line, "NUL character, expected text"));
    else if (t->row == 0)
        add_column(t, trimmed);
    else if (t->column == 0)
        begin_row(t, trimmed);
    else
        add_cell(t, trimmed);
    t->column++;
    sb_free(text);
}

/* The first row has named the places: room for the rest. */
static void begin_numbers(table *t)
{
    size_t n = t->columns.count;
    if (n == 0) {
        fail(t, sb_bad(t->report, t->file, t->line,
                       "no places in the first row, expected their names"));
        return;
    }
    t->row_place = sb_alloc(n + 1, sizeof *t->row_place);
    t->seen = sb_alloc(n + 1, sizeof *t->seen);
    t->km = sb_alloc(n * n, sizeof *t->km);
    if (t->row_place == NULL || t->seen == NULL || t->km == NULL) {
        fail(t, SB_ERR_NOMEM);
        return;
    }
    for (size_t i = 0; i < n * n; i++)
        t->km[i] = NAN;
}

static void on_row(int terminator, void *user)
{
    (void)terminator;
    table *t = user;
    if (t->status != SB_OK)
        return;
    if (t->row == 0)
        begin_numbers(t);
    else if (t->column <= t->columns.count)
        fail(t, sb_bad(t->report, t->file, t->row_line,
                       "row with %zu cells, expected one for each of the %zu columns",
                       t->column - 1, t->columns.count));
    else
        t->n_rows++;
    t->row++;
    t->column = 0;
}

/* A line at a time, so that every cell knows its line. */
static void feed(table *t, struct csv_parser *parser, const char *bytes, size_t n)
{
    while (n > 0 && t->status == SB_OK) {
        const char *newline = memchr(bytes, '\n', n);
        size_t part = newline != NULL ? (size_t)(newline - bytes) + 1 : n;
        if (csv_parse(parser, bytes, part, on_cell, on_row, t) != part)
            fail(t, csv_error(parser) == CSV_ENOMEM
                        ? SB_ERR_NOMEM
                        : sb_bad(t->report, t->file, t->line,
                                 "broken CSV (%s), expected cells parted by commas",
                                 csv_strerror(csv_error(parser))));
        t->line += newline != NULL;
        bytes += part;
        n -= part;
    }
}

/* Where a comma is the decimal sign, spreadsheets part cells by semicolons: the first row tells,
 * because it holds no numbers. */
static void choose_delimiter(table *t, struct csv_parser *parser, const char *bytes, size_t n)
{
    const char *newline = memchr(bytes, '\n', n);
    size_t first_row = newline != NULL ? (size_t)(newline - bytes) : n;
    t->semicolons = memchr(bytes, ';', first_row) != NULL && memchr(bytes, ',', first_row) == NULL;
    if (t->semicolons)
        csv_set_delim(parser, ';');
}

static void read_all(table *t, struct csv_parser *parser, sb_source *source, char *bytes)
{
    static const char byte_order_mark[] = "\xEF\xBB\xBF";
    for (bool first = true; t->status == SB_OK; first = false) {
        long got = sb_source_fill(source, bytes, CHUNK_BYTES);
        if (got < 0) {
            fail(t, sb_source_failed(source, t->report));
            return;
        }
        size_t skip = first && got >= 3 && memcmp(bytes, byte_order_mark, 3) == 0 ? 3 : 0;
        if (first)
            choose_delimiter(t, parser, bytes, (size_t)got);
        feed(t, parser, bytes + skip, (size_t)got - skip);
        if (got < (long)CHUNK_BYTES)
            break;
    }
    if (t->status == SB_OK && csv_fini(parser, on_cell, on_row, t) != 0)
        fail(t,
             sb_bad(t->report, t->file, t->line, "broken CSV (%s), expected cells parted by commas",
                    csv_strerror(csv_error(parser))));
}

static void check_complete(table *t)
{
    char excerpt[SB_EXCERPT_BYTES];
    if (t->status == SB_OK && t->row == 0)
        fail(t, sb_bad(t->report, t->file, 0, "empty file, expected a travel table"));
    for (size_t i = 0; t->status == SB_OK && i < t->columns.count; i++)
        if (!t->seen[i])
            fail(t, sb_bad(t->report, t->file, t->line,
                           "column '%s' has no row of that name, expected rows and columns for the "
                           "same places",
                           sb_excerpt(t->columns.items[i], excerpt)));
}

static void hand_over(table *t, sb_travel_table *travel)
{
    *travel = (sb_travel_table){t->file, t->columns.items, t->columns.count, t->km};
    t->columns = (names){0};
    t->km = NULL;
}

sb_status sb_travel_read(sb_draft *draft, const char *path, sb_report *report)
{
    table t = {.file = sb_draft_file(draft, path), .report = report, .line = 1};
    if (t.file == NULL)
        return SB_ERR_NOMEM;
    sb_source source;
    sb_status status = sb_source_open(&source, t.file, report);
    if (status != SB_OK)
        return status;
    struct csv_parser parser;
    char *bytes = sb_alloc(CHUNK_BYTES, 1);
    if (bytes == NULL || csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI) != 0) {
        t.status = SB_ERR_NOMEM;
    } else {
        read_all(&t, &parser, &source, bytes);
        check_complete(&t);
        csv_free(&parser);
    }
    if (t.status == SB_OK)
        hand_over(&t, &draft->travel);
    for (size_t i = 0; i < t.columns.count; i++)
        sb_free(t.columns.items[i]);
    sb_free(t.columns.items);
    sb_free(t.row_place);
    sb_free(t.seen);
    sb_free(t.km);
    sb_free(bytes);
    source.close(&source);
    return t.status;
}
