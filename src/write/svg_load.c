/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Load through the season: seeds in the machine against working time, loose over lodged, dropping
 * at each cleanout. One picture a machine and weed. */
#include <math.h>

#include "write/html_text.h"
#include "write/pen.h"
#include "write/ribbon.h"
#include "write/words.h"

#define WIDTH 1180.0 /* scrolled sideways on a phone */
#define HEIGHT 150.0
#define LEFT 46.0
#define RIGHT 12.0
#define TOP 20.0
#define FOOT 24.0
#define DATE 74.0 /* units that a date takes */
#define EVERY 3   /* points of the curve that are drawn; SB_CURVE_POINTS - 1 is a multiple */

typedef struct plot {
    const sb_ribbon *ribbon;
    int weed;
    double begin_h, end_h;
    sb_text *text;
} plot;

static double x_of(const plot *p, double hours)
{
    return LEFT + (hours - p->begin_h) / (p->end_h - p->begin_h) * (WIDTH - LEFT - RIGHT);
}

static double y_of(const plot *p, double seeds)
{
    return HEIGHT - FOOT - sb_ribbon_height(p->ribbon, seeds) * (HEIGHT - FOOT - TOP);
}

static void add_axes(const plot *p)
{
    const sb_calendar *calendar = &p->ribbon->page->season->setup.calendar;
    int step = p->ribbon->decades > 5 ? 2 : 1;
    for (int power = 0; power <= (int)p->ribbon->decades; power += step) {
        double y = y_of(p, pow(10, power));
        sb_text_addf(p->text,
                     "<path class=\"%s\" d=\"M%.1f %.1fH%.1f\"/><text class=\"tiny end\" "
                     "x=\"%.1f\" y=\"%.1f\">",
                     power == 0 ? "line" : "rule", LEFT, y, WIDTH - RIGHT, LEFT - 5, y + 3.5);
        sb_words_seeds(p->text, pow(10, power));
        sb_text_addf(p->text, "</text>");
    }
    double free_from = 0;
    for (int day = sb_calendar_day(calendar, p->begin_h, false);; day++) {
        double morning_h = sb_calendar_hours_before(calendar, day);
        if (morning_h > p->end_h)
            break;
        double x = x_of(p, fmax(morning_h, p->begin_h));
        if (x < free_from || x > WIDTH - DATE || sb_calendar_day(calendar, morning_h, false) != day)
            continue;
        free_from = x + DATE;
        sb_text_addf(p->text,
                     "<path class=\"rule\" d=\"M%.1f %.1fv6\"/><text class=\"tiny\" x=\"%.1f\" "
                     "y=\"%.1f\">",
                     x, HEIGHT - FOOT, x, HEIGHT - 6);
        sb_words_day(p->text, day);
        sb_text_addf(p->text, "</text>\n");
    }
}

/* Through all stops: level while the machine stands or drives, sheer at the end of a cleanout. */
static void add_area(const plot *p, bool lodged_only)
{
    const sb_season *season = p->ribbon->page->season;
    const sb_route *route = p->ribbon->route;
    sb_pen pen = {.text = p->text};
    double y = y_of(p, 0);
    sb_text_addf(p->text, "<path class=\"%s\" d=\"", lodged_only ? "lodged" : "loose");
    sb_pen_move(&pen, x_of(p, p->begin_h), y);
    for (size_t i = 0; i < route->n_stops; i++) {
        const sb_stop *stop = &route->stops[i];
        double cleaned_h =
            sb_work_begin_h(route, i) + season->setup.cleanouts[stop->cleanout].minutes / 60;
        sb_pen_line(&pen, x_of(p, fmin(cleaned_h, stop->arrive_h)), y);
        for (int q = 0; q < SB_CURVE_POINTS; q += EVERY) {
            const sb_held *held = &p->ribbon->curve[i * SB_CURVE_POINTS + (size_t)q];
            double share = q / (double)(SB_CURVE_POINTS - 1);
            y = y_of(p, held->lodged[p->weed] + (lodged_only ? 0 : held->loose[p->weed]));
            if (q == 0)
                sb_pen_line(&pen, x_of(p, fmin(cleaned_h, stop->arrive_h)), y);
            sb_pen_line(&pen, x_of(p, stop->arrive_h + share * (stop->finish_h - stop->arrive_h)),
                        y);
        }
    }
    sb_pen_line(&pen, x_of(p, p->end_h), y);
    sb_pen_line(&pen, x_of(p, p->end_h), y_of(p, 0));
    sb_text_addf(p->text, "z\"/>\n");
}

/* A diamond above each cleanout, and a band over each stop that lights up. */
static void add_stops(const plot *p)
{
    const sb_route *route = p->ribbon->route;
    for (size_t i = 0; i <= route->n_stops; i++) {
        int level = sb_page_level(route, i);
        double done_h = route->end_h;
        if (i < route->n_stops) {
            const sb_stop *stop = &route->stops[i];
            sb_text_addf(p->text, "<rect class=\"column\" data-s=\"");
            sb_page_key(p->text, p->ribbon->number, i);
            sb_text_addf(p->text, "\" x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\"/>",
                         x_of(p, stop->arrive_h), TOP,
                         x_of(p, stop->finish_h) - x_of(p, stop->arrive_h), HEIGHT - TOP - FOOT);
            done_h = sb_work_begin_h(route, i);
        }
        if (level > 0)
            sb_text_addf(p->text, "<path class=\"clean\" d=\"M%.1f %.1fl5 5-5 5-5-5z\"/>\n",
                         x_of(p, done_h), TOP - 14);
    }
}

static void draw(const sb_ribbon *ribbon, int weed, sb_text *text)
{
    plot p = {.ribbon = ribbon, .weed = weed, .text = text};
    p.begin_h = sb_work_begin_h(ribbon->route, 0);
    p.end_h = ribbon->route->end_h;
    if (!isfinite(p.begin_h) || !isfinite(p.end_h) || !(p.end_h > p.begin_h))
        return;
    sb_html_open_scroll(text, "Load", "");
    sb_text_addf(text, "<svg class=\"load\" viewBox=\"0 0 %.0f %.0f\" aria-hidden=\"true\">", WIDTH,
                 HEIGHT);
    add_axes(&p);
    add_area(&p, false);
    add_area(&p, true);
    add_stops(&p);
    sb_text_addf(text, "</svg></div>\n");
}

static void draw_machine(const sb_ribbon *ribbon, sb_text *text)
{
    const sb_page *page = ribbon->page;
    if (page->plan->n_routes > 1)
        sb_page_heading(page, ribbon->number, "Load", text);
    for (int k = 0; k < page->n_weeds; k++) {
        sb_text_addf(text, "<figure class=\"weed\" data-w=\"%d\"><figcaption><span>",
                     page->weeds[k]);
        sb_html_name(text, page->season->setup.weeds[page->weeds[k]].name);
        sb_text_addf(text, "</span></figcaption>\n");
        draw(ribbon, page->weeds[k], text);
        sb_text_addf(text, "</figure>\n");
    }
}

sb_status sb_draw_loads(const sb_page *page, sb_text *text)
{
    sb_text_addf(text, "<p>Seeds in the machine against working time, on the ribbon's scale and in "
                       "its colours; ◆ a cleanout. The stops' cards say the same in words.</p>\n");
    for (size_t r = 0; r < page->plan->n_routes; r++) {
        if (page->plan->routes[r].n_stops == 0)
            continue;
        sb_ribbon ribbon;
        sb_status status = sb_ribbon_init(page, r, &ribbon);
        if (status != SB_OK)
            return status;
        draw_machine(&ribbon, text);
        sb_ribbon_release(&ribbon);
    }
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
