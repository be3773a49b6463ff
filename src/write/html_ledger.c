/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who gives what to whom: for each weed a table of seeds from field to field in cutting order,
 * coloured by powers of ten. */
#include <math.h>

#include "base/mem.h"
#include "write/html_text.h"
#include "write/palette.h"
#include "write/receipts.h"
#include "write/sheet.h"
#include "write/words.h"

/* Colours: below 1 seed, then one for each power of ten, the last from 100,000 up. */
#define STEPS 7

static int step_of(double seeds)
{
    int step = seeds < 1 ? 0 : 1 + (int)floor(log10(seeds));
    return step < STEPS ? step : STEPS - 1;
}

/* The fields in cutting order, machine after machine; returns their number. */
static size_t cutting_order(const sb_plan *plan, int *order)
{
    size_t n = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < plan->routes[r].n_stops; i++)
            order[n++] = plan->routes[r].stops[i].field;
    return n;
}

static double given_away(const sb_sheet *sheet, size_t origin, int weed)
{
    double sum = 0;
    for (size_t to = 0; to < sheet->season->n_fields; to++)
        sum += sb_given(&sheet->plan->ledger, origin, (int)to, weed);
    return sum;
}

static void add_cell(double seeds, sb_text *text)
{
    if (!(seeds >= SB_SEEDS_SHOWN)) {
        sb_text_addf(text, "<td>·</td>");
        return;
    }
    sb_text_addf(text, "<td class=\"h%d\">", step_of(seeds));
    sb_words_seeds(text, seeds);
    sb_text_addf(text, "</td>");
}

static void add_sum(double seeds, sb_text *text)
{
    sb_text_addf(text, "<td class=\"sum\">");
    sb_words_seeds(text, seeds);
    sb_text_addf(text, "</td>");
}

/* One origin's row; at: its place in cutting order, -1 for the start of the season. What lies
 * behind it in time can receive nothing and is shaded. */
static void add_row(const sb_sheet *sheet, size_t origin, long at, const int *order, size_t n,
                    int weed, sb_text *text)
{
    long past = 0; /* cells in a row, written as one */
    sb_text_addf(text, "<tr><th scope=\"row\" class=\"name\">");
    if (at >= 0)
        sb_text_addf(text, "%ld ", at + 1);
    sb_html_name(text, sb_origin_name(sheet->season, origin));
    sb_text_addf(text, "</th>");
    for (long to = 0; to < (long)n; to++) {
        double seeds = sb_given(&sheet->plan->ledger, origin, order[to], weed);
        if (at >= to && !(seeds > 0))
            past++;
        if (past > 0 && (at <= to || seeds > 0)) {
            sb_text_addf(text, "<td class=\"past\" colspan=\"%ld\"></td>", past);
            past = 0;
        }
        if (at < to || seeds > 0)
            add_cell(seeds, text);
    }
    add_sum(given_away(sheet, origin, weed), text);
    sb_text_addf(text, "</tr>\n");
}

static void add_table(const sb_sheet *sheet, const int *order, size_t n, int weed, sb_text *text)
{
    const sb_season *season = sheet->season;
    double all = 0;
    sb_html_open_scroll(text, "Who gives what to whom");
    sb_text_addf(text, "<table class=\"heat\"><caption>");
    sb_html_name(text, season->setup.weeds[weed].name);
    sb_text_addf(text, ": seeds brought to the ground, from (rows) to (columns)</caption><thead>"
                       "<tr><th scope=\"col\" class=\"name\">from</th>");
    for (size_t to = 0; to < n; to++)
        sb_text_addf(text, "<th scope=\"col\">%zu</th>", to + 1);
    sb_text_addf(text, "<th scope=\"col\">gives</th></tr></thead><tbody>\n");
    if (given_away(sheet, season->n_fields, weed) > 0)
        add_row(sheet, season->n_fields, -1, order, n, weed, text);
    for (size_t from = 0; from < n; from++)
        if (given_away(sheet, (size_t)order[from], weed) >= SB_SEEDS_SHOWN)
            add_row(sheet, (size_t)order[from], (long)from, order, n, weed, text);
    sb_text_addf(text, "</tbody><tfoot><tr><th scope=\"row\" class=\"name\">receives</th>");
    for (size_t to = 0; to < n; to++) {
        double seeds = sb_ledger_brought(&sheet->plan->ledger, order[to], weed);
        all += seeds;
        add_sum(seeds, text);
    }
    add_sum(all, text);
    sb_text_addf(text, "</tr></tfoot></table></div>\n");
}

void sb_html_ledger_style(sb_text *text)
{
    for (int i = 0; i < STEPS; i++) {
        double share = i / (double)(STEPS - 1);
        sb_colour c = sb_palette_share(share);
        sb_text_addf(text, ".h%d{background:#%02x%02x%02x;color:%s}\n", i, c.red, c.green, c.blue,
                     share > 0.6 ? "#fff" : "#1c232e");
    }
}

static void add_key(sb_text *text)
{
    static const char *const words[STEPS] = {"under 1",  "1 – 10",     "10 – 100",     "100 – 1k",
                                             "1k – 10k", "10k – 100k", "100k and more"};
    sb_text_addf(text, "<p>Columns carry the numbers of the stops. A dot: none; ~0: fewer than "
                       "1 seed.</p><p class=\"keys\">");
    for (int i = 0; i < STEPS; i++)
        sb_text_addf(text, "<span class=\"h%d\">%s</span>", i, words[i]);
    sb_text_addf(text, "<span>· none</span></p>\n");
}

void sb_html_ledger(const sb_sheet *sheet, sb_text *text)
{
    int *order = sb_alloc(sheet->season->n_fields, sizeof *order);
    if (order == NULL) {
        text->failed = true;
        return;
    }
    size_t n = cutting_order(sheet->plan, order);
    add_key(text);
    for (int i = 0; i < sheet->n_weeds; i++)
        add_table(sheet, order, n, sheet->weeds[i], text);
    sb_free(order);
}
