/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/page.h"

#include "base/mem.h"
#include "write/columns.h"
#include "write/html_text.h"
#include "write/words.h"

#define DIGIT 7.4 /* of .number in page.css */

const sb_page_part sb_page_parts[] = {
    {"totals", sb_draw_totals}, {"ribbon", sb_draw_ribbons},    {"map", sb_draw_map},
    {"stops", sb_draw_stops},   {"board", sb_draw_board},       {"load", sb_draw_loads},
    {"matrix", sb_draw_matrix}, {"supplies", sb_draw_supplies},
};
const size_t sb_n_page_parts = sizeof sb_page_parts / sizeof *sb_page_parts;

sb_status sb_page_init(sb_page *page, const sb_season *season, const sb_plan *plan)
{
    *page = (sb_page){.season = season, .plan = plan};
    for (int k = 0; k < (int)season->setup.n_weeds; k++)
        if (sb_weed_in_play(season, k))
            page->weeds[page->n_weeds++] = k;
    size_t n = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        n += plan->routes[r].n_stops;
    page->stops = sb_alloc(n, sizeof *page->stops);
    page->stop_of = sb_alloc(season->n_fields, sizeof *page->stop_of);
    if (page->stops == NULL || page->stop_of == NULL) {
        sb_page_release(page);
        return SB_ERR_NOMEM;
    }
    for (size_t f = 0; f < season->n_fields; f++)
        page->stop_of[f] = -1;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < plan->routes[r].n_stops; i++) {
            int field = plan->routes[r].stops[i].field;
            page->stop_of[field] = (long)page->n_stops;
            page->stops[page->n_stops++] = (sb_page_stop){r, i, field};
        }
    return SB_OK;
}

void sb_page_release(sb_page *page)
{
    sb_free(page->stops);
    sb_free(page->stop_of);
    *page = (sb_page){0};
}

void sb_page_key(sb_text *text, size_t route, size_t i)
{
    sb_text_addf(text, "%zu-%zu", route + 1, i + 1);
}

void sb_page_number(sb_text *text, const sb_page *page, size_t route, size_t i)
{
    sb_words_stop(text, page->plan->n_routes, route, i);
}

double sb_page_number_width(const sb_page *page, size_t route, size_t i)
{
    sb_text number = {0};
    sb_page_number(&number, page, route, i);
    double width = sb_columns_width(sb_text_get(&number)) * DIGIT;
    sb_text_release(&number);
    return width;
}

void sb_svg_disc(sb_text *text, double x, double y, double half_width, double half_height)
{
    if (half_width > half_height)
        sb_text_addf(text,
                     "<rect class=\"disc\" x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" "
                     "rx=\"%.1f\"/>",
                     x - half_width, y - half_height, 2 * half_width, 2 * half_height, half_height);
    else
        sb_text_addf(text, "<circle class=\"disc\" cx=\"%.1f\" cy=\"%.1f\" r=\"%.1f\"/>", x, y,
                     half_height);
}

int sb_page_level(const sb_route *route, size_t i)
{
    if (i < route->n_stops)
        return route->stops[i].cleanout;
    bool goes_home = route->n_stops > 0 || route->end_h > route->start_h;
    return goes_home ? route->final_cleanout : -1;
}

void sb_page_heading(const sb_page *page, size_t route, const char *heading, sb_text *text)
{
    sb_text_addf(text, "<h3>%s", heading);
    if (page->plan->n_routes > 1) {
        sb_text_addf(text, ": ");
        if (sb_words_letter(page->plan->n_routes, route))
            sb_text_addf(text, "%c, ", sb_words_letter(page->plan->n_routes, route));
        sb_html_name(text, page->season->setup.machines[page->plan->routes[route].machine].name);
    }
    sb_text_addf(text, "</h3>\n");
}
