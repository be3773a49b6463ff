/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who gives what to whom: for each weed a heat map of seeds from field (row) to field (column) in
 * cutting order, with what each gives and receives at the edges. */
#include <math.h>

#include "base/mem.h"
#include "write/fairness.h"
#include "write/growers.h"
#include "write/html_text.h"
#include "write/palette.h"
#include "write/pen.h"
#include "write/receipts.h"
#include "write/words.h"

/* Colours: below 1 seed, then one for each power of ten, the last from 100,000 up. */
#define STEPS 7
#define MOST_NUMBERS 20   /* columns: with more the cells hold no numbers */
#define PAGE_WIDTH 1214.0 /* units that a laptop shows side by side */
#define LEAST_CELL 15.0   /* a number fits above it, turned */
#define LABEL 172.0       /* of the rows */
#define LABEL_COLUMNS 20
#define LABEL_SIZE 12.0
#define NUMBER 40.0     /* of the label, for the number of the stop */
#define SUM 62.0        /* the column of what a field gives */
#define HEAD 22.0       /* the numbers of the columns */
#define DENSE_HEAD 34.0 /* turned */
#define FOOT 50.0

typedef struct matrix {
    const sb_page *page;
    int weed;
    size_t *rows; /* givers: index into page->stops, n_stops for the start of the season */
    size_t n_rows;
    double *cells; /* n_rows x n_stops */
    double cell_width, cell_height, head;
    bool numbers;
    sb_text *text;
} matrix;

static int step_of(double seeds)
{
    int step = seeds < 1 ? 0 : 1 + (int)floor(log10(seeds));
    return step < STEPS ? step : STEPS - 1;
}

static void add_colour(int step, sb_text *text)
{
    sb_colour c = sb_palette_share(step / (double)(STEPS - 1));
    sb_text_addf(text, " fill=\"#%02x%02x%02x\"", c.red, c.green, c.blue);
}

/* Dark cells want light numbers. */
static const char *number_class(double seeds)
{
    return step_of(seeds) > 3 ? "on-dark" : "on-pale";
}

static size_t origin_of(const matrix *m, size_t row)
{
    const sb_page *page = m->page;
    return row < page->n_stops ? (size_t)page->stops[row].field : page->season->n_fields;
}

static double seeds_at(const matrix *m, size_t row, size_t column)
{
    return m->cells[row * m->page->n_stops + column];
}

static double x_of(const matrix *m, size_t column)
{
    return LABEL + (double)column * m->cell_width;
}

static double y_of(const matrix *m, size_t row)
{
    return m->head + (double)row * m->cell_height;
}

/* Fills one row, unless it gives next to nothing: then the next giver gets its place. */
static void collect_row(matrix *m, size_t giver)
{
    double sum = 0;
    for (size_t to = 0; to < m->page->n_stops; to++) {
        double seeds = sb_given(&m->page->plan->ledger, origin_of(m, giver),
                                m->page->stops[to].field, m->weed);
        m->cells[m->n_rows * m->page->n_stops + to] = seeds;
        sum += seeds;
    }
    if (sum >= SB_SEEDS_SHOWN)
        m->rows[m->n_rows++] = giver;
}

static void add_key(const matrix *m, size_t stop)
{
    sb_page_key(m->text, m->page->stops[stop].route, m->page->stops[stop].i);
}

static void add_row_label(const matrix *m, size_t row)
{
    const sb_page *page = m->page;
    size_t stop = m->rows[row];
    double y = y_of(m, row) + m->cell_height / 2 + 4;
    if (stop == page->n_stops) {
        sb_text_addf(m->text,
                     "<text class=\"end\" x=\"%.1f\" y=\"%.1f\">start of the season</text>\n",
                     LABEL - 8, y);
        return;
    }
    const char *name = page->season->fields[page->stops[stop].field].name;
    sb_text_addf(m->text, "<a href=\"#s");
    add_key(m, stop);
    sb_text_addf(m->text, "\"><text class=\"end\" x=\"%.0f\" y=\"%.0f\"", LABEL - NUMBER, y);
    sb_svg_squeeze(m->text, name, LABEL_COLUMNS, LABEL_SIZE, LABEL - NUMBER - 4);
    sb_text_addf(m->text, ">");
    sb_svg_name(m->text, name, LABEL_COLUMNS);
    sb_text_addf(m->text, "</text><text class=\"end strong\" x=\"%.0f\" y=\"%.0f\">", LABEL - 8, y);
    sb_page_number(m->text, page, page->stops[stop].route, page->stops[stop].i);
    sb_text_addf(m->text, "</text></a>\n");
}

static void add_column_label(const matrix *m, size_t column)
{
    const sb_page_stop *stop = &m->page->stops[column];
    sb_text_addf(m->text, "<a href=\"#s");
    add_key(m, column);
    double x = x_of(m, column) + m->cell_width / 2, y = m->head - 6;
    if (m->numbers)
        sb_text_addf(m->text, "\"><text class=\"mid strong\" x=\"%.0f\" y=\"%.0f\">", x, y);
    else
        sb_text_addf(m->text,
                     "\"><text class=\"fine\" transform=\"rotate(-90)\" x=\"%.0f\" y=\"%.0f\">", -y,
                     x + 4);
    sb_page_number(m->text, m->page, stop->route, stop->i);
    sb_text_addf(m->text, "</text></a>\n");
}

/* The step of a cell, -1 for none. */
static int cell_step(const matrix *m, size_t row, size_t column)
{
    double seeds = seeds_at(m, row, column);
    return seeds >= SB_SEEDS_SHOWN ? step_of(seeds) : -1;
}

/* All cells of one colour are one path, neighbours one block: a page of many fields stays small. */
static void add_cells(const matrix *m)
{
    sb_pen pen = {.text = m->text};
    for (int step = 0; step < STEPS; step++) {
        sb_text_addf(m->text, "<path");
        add_colour(step, m->text);
        sb_text_addf(m->text, " d=\"");
        for (size_t r = 0; r < m->n_rows; r++)
            for (size_t c = 0; c < m->page->n_stops; c++) {
                size_t first = c;
                while (c < m->page->n_stops && cell_step(m, r, c) == step)
                    c++;
                if (c > first)
                    sb_pen_box(&pen, x_of(m, first), y_of(m, r), x_of(m, c) - x_of(m, first),
                               m->cell_height);
            }
        sb_text_addf(m->text, "\"/>\n");
    }
}

/* Lines between the cells. */
static void add_mesh(const matrix *m)
{
    sb_text_addf(m->text, "<path class=\"mesh\" d=\"");
    for (size_t r = 0; r <= m->n_rows; r++)
        sb_text_addf(m->text, "M%.0f %.0fH%.0f", LABEL, y_of(m, r), x_of(m, m->page->n_stops));
    for (size_t c = 0; c <= m->page->n_stops; c++)
        sb_text_addf(m->text, "M%.0f %.0fV%.0f", x_of(m, c), m->head, y_of(m, m->n_rows));
    sb_text_addf(m->text, "\"/>\n");
}

/* What lies behind a field in time can receive nothing from it: a shaded staircase. */
static void add_past(const matrix *m)
{
    sb_pen pen = {.text = m->text};
    sb_text_addf(m->text, "<path class=\"past\" d=\"");
    for (size_t r = 0; r < m->n_rows; r++) {
        size_t stop = m->rows[r];
        if (stop == m->page->n_stops)
            continue;
        size_t first = stop - m->page->stops[stop].i;
        sb_pen_box(&pen, x_of(m, first), y_of(m, r), x_of(m, stop + 1) - x_of(m, first),
                   m->cell_height);
    }
    sb_text_addf(m->text, "\"/>\n");
}

static void add_numbers(const matrix *m)
{
    for (size_t r = 0; m->numbers && r < m->n_rows; r++)
        for (size_t c = 0; c < m->page->n_stops; c++) {
            double seeds = seeds_at(m, r, c);
            if (!(seeds >= SB_SEEDS_SHOWN))
                continue;
            sb_text_addf(m->text, "<text class=\"mid fine %s\" x=\"%.1f\" y=\"%.1f\">",
                         number_class(seeds), x_of(m, c) + m->cell_width / 2,
                         y_of(m, r) + m->cell_height / 2 + 4);
            sb_words_seeds(m->text, seeds);
            sb_text_addf(m->text, "</text>");
        }
}

/* Given away at the right edge, received at the lower one. */
static void add_sums(const matrix *m)
{
    double all = 0, bottom = y_of(m, m->n_rows);
    for (size_t r = 0; r < m->n_rows; r++) {
        double sum = 0;
        for (size_t c = 0; c < m->page->n_stops; c++)
            sum += seeds_at(m, r, c);
        all += sum;
        sb_text_addf(m->text, "<text class=\"end sum\" x=\"%.1f\" y=\"%.1f\">",
                     x_of(m, m->page->n_stops) + SUM - 6, y_of(m, r) + m->cell_height / 2 + 4);
        sb_words_seeds(m->text, sum);
        sb_text_addf(m->text, "</text>\n");
    }
    sb_text_addf(m->text, "<g class=\"sum\" transform=\"rotate(-90)\">");
    for (size_t c = 0; c < m->page->n_stops; c++) {
        double sum = sb_ledger_brought(&m->page->plan->ledger, m->page->stops[c].field, m->weed);
        if (!(sum >= SB_SEEDS_SHOWN))
            continue;
        sb_text_addf(m->text, "<text x=\"%.0f\" y=\"%.0f\">", -bottom - 7,
                     x_of(m, c) + m->cell_width / 2 + 4);
        sb_words_seeds(m->text, sum);
        sb_text_addf(m->text, "</text>");
    }
    sb_text_addf(m->text, "</g>\n");
    sb_text_addf(m->text,
                 "<text class=\"end soft\" x=\"%.1f\" y=\"%.1f\">receives</text><text class=\"end "
                 "soft\" x=\"%.1f\" y=\"%.1f\">gives</text><text class=\"end strong\" x=\"%.1f\" "
                 "y=\"%.1f\">",
                 LABEL - 8, bottom + 18, x_of(m, m->page->n_stops) + SUM - 6, m->head - 6,
                 x_of(m, m->page->n_stops) + SUM - 6, bottom + 18);
    sb_words_seeds(m->text, all);
    sb_text_addf(m->text, "</text>\n");
}

/* For the script, which finds the cell under the pointer: where the cells lie, the rows' keys, and
 * every amount that is worth a word. */
static void open_grid(const matrix *m)
{
    sb_text_addf(m->text, "<g class=\"grid\" data-box=\"%.4g %.4g %.4g %.4g\" data-rows=\"", LABEL,
                 m->head, m->cell_width, m->cell_height);
    for (size_t r = 0; r < m->n_rows; r++) {
        sb_text_addf(m->text, r > 0 ? " " : "");
        if (m->rows[r] == m->page->n_stops)
            sb_text_addf(m->text, "start");
        else
            add_key(m, m->rows[r]);
    }
    sb_text_addf(m->text, "\" data-seeds=\"");
    for (size_t r = 0; r < m->n_rows; r++)
        for (size_t c = 0; c < m->page->n_stops; c++)
            if (seeds_at(m, r, c) >= SB_SEEDS_TOLD)
                sb_text_addf(m->text, "%zu,%zu,%.3g;", r, c, seeds_at(m, r, c));
    sb_text_addf(m->text, "\">\n");
}

static void draw(const matrix *m)
{
    const sb_page *page = m->page;
    const char *name = page->season->setup.weeds[m->weed].name;
    double width = x_of(m, page->n_stops) + SUM, height = y_of(m, m->n_rows) + FOOT;
    sb_text_addf(m->text, "<figure class=\"weed\" data-w=\"%d\"><figcaption><span>", m->weed);
    sb_html_name(m->text, name);
    sb_text_addf(m->text, "</span>");
    if (m->n_rows == 0) {
        sb_text_addf(m->text, ": no field gives any of its seeds to another.</figcaption></figure>"
                              "\n");
        return;
    }
    sb_text_addf(m->text, ": seeds brought to the ground, from (rows) to (columns)</figcaption>\n");
    sb_html_open_scroll(m->text, "Who gives what to whom", "");
    sb_text_addf(m->text,
                 "<svg class=\"matrix\" width=\"%.0f\" height=\"%.0f\" viewBox=\"0 0 %.0f %.0f\" "
                 "role=\"group\" aria-labelledby=\"m%d\"><title id=\"m%d\">From field to field: ",
                 width, height, width, height, m->weed, m->weed);
    sb_svg_title_name(m->text, name);
    sb_text_addf(m->text, "</title>\n");
    open_grid(m);
    sb_text_addf(m->text,
                 "<rect class=\"ground\" x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" "
                 "height=\"%.1f\"/>",
                 LABEL, m->head, (double)page->n_stops * m->cell_width,
                 (double)m->n_rows * m->cell_height);
    add_past(m);
    add_cells(m);
    add_mesh(m);
    add_numbers(m);
    sb_text_addf(m->text, "</g>\n");
    for (size_t r = 0; r < m->n_rows; r++)
        add_row_label(m, r);
    for (size_t c = 0; c < page->n_stops; c++)
        add_column_label(m, c);
    add_sums(m);
    sb_text_addf(m->text, "</svg></div>\n");
    sb_html_growers(page, m->weed, m->text);
    sb_text_addf(m->text, "</figure>\n");
}

static sb_status draw_weed(const sb_page *page, int weed, sb_text *text)
{
    matrix m = {.page = page, .weed = weed, .text = text};
    m.numbers = page->n_stops <= MOST_NUMBERS;
    m.head = m.numbers ? HEAD : DENSE_HEAD;
    double room = (PAGE_WIDTH - LABEL - SUM) / (double)page->n_stops;
    m.cell_width = m.numbers ? 42 : fmax(LEAST_CELL, fmin(floor(room), 17));
    m.cell_height = m.numbers ? 22 : 17;
    m.rows = sb_alloc(page->n_stops + 1, sizeof *m.rows);
    m.cells = sb_alloc((page->n_stops + 1) * page->n_stops, sizeof *m.cells);
    sb_status status = m.rows != NULL && m.cells != NULL ? SB_OK : SB_ERR_NOMEM;
    if (status == SB_OK) {
        collect_row(&m, page->n_stops);
        for (size_t stop = 0; stop < page->n_stops; stop++)
            collect_row(&m, stop);
        draw(&m);
    }
    sb_free(m.rows);
    sb_free(m.cells);
    return status;
}

static void add_legend(sb_text *text)
{
    static const char *const words[STEPS] = {"under 1",  "1 – 10",     "10 – 100",     "100 – 1k",
                                             "1k – 10k", "10k – 100k", "100k and more"};
    sb_text_addf(text, "<ul class=\"legend\">\n");
    for (int i = 0; i < STEPS; i++) {
        sb_text_addf(text, "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect "
                           "class=\"cell\" width=\"26\" height=\"16\"");
        add_colour(i, text);
        sb_text_addf(text, "/></svg> %s</li>\n", words[i]);
    }
    sb_text_addf(text, "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect "
                       "class=\"ground\" width=\"26\" height=\"16\"/></svg> none</li>\n"
                       "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect "
                       "class=\"past\" width=\"26\" height=\"16\"/></svg> cut before the giver</li>"
                       "\n<li>Seeds; columns carry the numbers of the stops. Fields that give "
                       "nothing have no row; ~0 is fewer than 1 seed.</li></ul>\n");
}

sb_status sb_draw_matrix(const sb_page *page, sb_text *text)
{
    sb_status status = sb_html_losses(page, text);
    add_legend(text);
    for (int i = 0; status == SB_OK && i < page->n_weeds; i++)
        status = draw_weed(page, page->weeds[i], text);
    return status != SB_OK ? status : text->failed ? SB_ERR_NOMEM : SB_OK;
}
