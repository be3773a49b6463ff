/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/ribbon.h"

#include <math.h>

#include "base/mem.h"
#include "write/board_words.h"

static double largest_load(const sb_ribbon *ribbon)
{
    double most = 10;
    for (size_t i = 0; i < ribbon->route->n_stops * SB_CURVE_POINTS; i++)
        for (int k = 0; k < ribbon->page->n_weeds; k++) {
            int weed = ribbon->page->weeds[k];
            most = fmax(most, ribbon->curve[i].loose[weed] + ribbon->curve[i].lodged[weed]);
        }
    return most;
}

sb_status sb_ribbon_init(const sb_page *page, size_t route, sb_ribbon *ribbon)
{
    const sb_route *r = &page->plan->routes[route];
    *ribbon = (sb_ribbon){.page = page, .route = r, .number = route};
    ribbon->curve = sb_alloc(r->n_stops * SB_CURVE_POINTS, sizeof *ribbon->curve);
    ribbon->passages = sb_alloc(r->n_stops, sizeof *ribbon->passages);
    if (ribbon->curve == NULL || ribbon->passages == NULL) {
        sb_ribbon_release(ribbon);
        return SB_ERR_NOMEM;
    }
    sb_load_curve(page->season, r, ribbon->curve);
    for (size_t i = 0; i < r->n_stops; i++)
        sb_passage_of(page->season, r->machine, r->stops[i].field, &ribbon->passages[i]);
    ribbon->decades = ceil(log10(largest_load(ribbon)));
    return SB_OK;
}

void sb_ribbon_release(sb_ribbon *ribbon)
{
    sb_free(ribbon->curve);
    sb_free(ribbon->passages);
    *ribbon = (sb_ribbon){0};
}

double sb_ribbon_height(const sb_ribbon *ribbon, double seeds)
{
    return seeds > 1 ? log10(seeds) / ribbon->decades : 0;
}

double sb_most_held(const sb_held *held, int weed, bool lodged_only)
{
    double most = 0;
    for (int p = 0; p < SB_CURVE_POINTS; p++)
        most = fmax(most, held[p].lodged[weed] + (lodged_only ? 0 : held[p].loose[weed]));
    return most;
}

int sb_ribbon_wait(const sb_ribbon *ribbon, size_t i, bool to_drive, sb_wait *wait)
{
    const sb_page *page = ribbon->page;
    if (!isfinite(ribbon->route->end_h))
        return 0;
    *wait = to_drive ? sb_wait_to_drive(page->season, page->plan, ribbon->number, i)
                     : sb_wait_to_clean(page->season, page->plan, ribbon->number, i);
    return sb_wait_days(&page->season->setup.calendar, wait);
}

void sb_ribbon_wait_words(const sb_ribbon *ribbon, int days, const sb_wait *wait,
                          sb_add_name *add_name, sb_text *text)
{
    sb_text_addf(text, "%d day%s waiting", days, days == 1 ? "" : "s");
    sb_wait_words(ribbon->page->season, ribbon->page->plan, wait, add_name, text);
}

static void add_legend(sb_text *text)
{
    sb_text_addf(
        text,
        "<ul class=\"legend\"><li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect "
        "class=\"loose\" width=\"26\" height=\"16\"/></svg> in the machine, loose</li>\n"
        "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect class=\"lodged\" "
        "width=\"26\" height=\"16\"/></svg> in the machine, lodged</li>\n"
        "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect "
        "class=\"lodged\" width=\"26\" height=\"16\"/><path class=\"origin\" d=\"M0 15Q3 4 26 "
        "9\"/></svg> of that, from one field (10 seeds and more)</li>\n"
        "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect class=\"received\" "
        "width=\"26\" height=\"16\"/></svg> brought to the ground of the field; the "
        "numbers are seeds</li>\n"
        "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect class=\"break\" x=\"5\" "
        "width=\"16\" height=\"16\"/><path class=\"removed\" d=\"M5 3L21 11V16H5z\"/></svg> "
        "cleanout, and what it takes out</li>\n"
        "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><path class=\"skip\" d=\"M7 "
        "0l3 4-3 4 3 4-3 4M17 0l3 4-3 4 3 4-3 4\"/></svg> a day and more of waiting, left "
        "out</li>\n"
        "<li>Seeds on a log scale from 1: each 10 times as many is one step further from the "
        "line. Stops are as long as their hours, the shortest drawn longer to be seen.</li></ul>"
        "\n");
}

sb_status sb_draw_ribbons(const sb_page *page, sb_text *text)
{
    for (size_t r = 0; r < page->plan->n_routes; r++) {
        if (page->plan->routes[r].n_stops == 0)
            continue;
        sb_ribbon ribbon;
        sb_status status = sb_ribbon_init(page, r, &ribbon);
        if (status != SB_OK)
            return status;
        if (page->plan->n_routes > 1)
            sb_page_heading(page, r, "Ribbon", text);
        sb_svg_ribbon(&ribbon, text);
        sb_html_tall_ribbon(&ribbon, text);
        sb_ribbon_release(&ribbon);
    }
    add_legend(text);
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
