/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What cleaning buys: the trade-off curve on the page, a handle to step through its plans, and all
 * of them in a table. */
#include "write/html_trade.h"

#include <math.h>

#include "write/html_text.h"
#include "write/trade.h"
#include "write/words.h"

static void add_money_cell(const sb_page *page, double money, sb_text *text)
{
    sb_text_addf(text, "<td class=\"num\">");
    sb_words_money(text, page->season, money);
    sb_text_addf(text, "</td>");
}

static void add_row(const sb_page *page, size_t i, sb_text *text)
{
    const sb_curve *curve = page->curve;
    const sb_curve_point *point = &curve->points.items[i];
    const sb_trade *trade = &point->trade;
    sb_text_addf(text, "<tr data-plan=\"%zu\"%s><th scope=\"row\" class=\"num\">%zu</th>", i,
                 i == curve->best ? " class=\"chosen\"" : "", i + 1);
    add_money_cell(page, trade->money, text);
    add_money_cell(page, trade->spread, text);
    add_money_cell(page, trade->money + trade->spread, text);
    sb_text_addf(text, "<td class=\"num\">%d</td><td class=\"num\">%d</td><td class=\"num\">",
                 trade->cleanouts, trade->full_cleanouts);
    sb_words_seeds(text, trade->seeds);
    sb_text_addf(text, "</td><td>%s",
                 trade->between ? "Best at no weight, only under a limit on money. " : "");
    if (i > 0)
        sb_trade_step(page->season, &curve->points.items[i - 1], point, curve->weight, sb_html_name,
                      text);
    else
        sb_text_addf(text,
                     "The least money spent of those looked for: the best while spread counts "
                     "%.2f times.",
                     curve->weight_low);
    sb_text_addf(text, "</td></tr>\n");
}

static void add_table(const sb_page *page, sb_text *text)
{
    static const char *const heads[] = {"Money",     "Spread", "Together",      "Cleanouts",
                                        "Full ones", "Seeds",  "The step to it"};
    sb_html_open_scroll(text, "Plans of the curve", "");
    sb_text_addf(text,
                 "<table class=\"plain\" id=\"trade-plans\"><caption>Plans of the curve, each "
                 "the cheapest for some weight of spread%s</caption><thead><tr><th "
                 "scope=\"col\">Plan</th>",
                 page->curve->every_plan ? " or under a limit on money" : "");
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++)
        sb_text_addf(text, "<th scope=\"col\">%s</th>", heads[i]);
    sb_text_addf(text, "</tr></thead><tbody>\n");
    for (size_t i = 0; i < page->curve->points.count; i++)
        add_row(page, i, text);
    sb_text_addf(text, "</tbody></table></div>\n");
}

void sb_html_trade(const sb_page *page, sb_text *text)
{
    const sb_curve *curve = page->curve;
    sb_text_addf(
        text,
        "<section id=\"trade\" class=\"page\"><h2>What cleaning buys</h2>\n<p>Every plan "
        "that no other beats in both money spent and expected loss from spread, while spread "
        "counts %.2f to %.2f times. There the search stopped looking: beyond, others may spend "
        "or spread still less.</p>\n<p "
        "class=\"handle\" id=\"trade-handle\" hidden><label for=\"trade-plan\">Plan</label> "
        "<input type=\"range\" id=\"trade-plan\" min=\"0\" max=\"%zu\" value=\"%zu\" "
        "data-best=\"%zu\"> <output id=\"trade-told\" for=\"trade-plan\"></output></p>\n<div "
        "class=\"frame fit\">",
        curve->weight_low, curve->weight_high, curve->points.count - 1, curve->best, curve->best);
    sb_svg_curve_plot(page->season, curve, text);
    sb_text_addf(text, "</div>\n");
    add_table(page, text);
    sb_text_addf(text, "</section>\n");
}
