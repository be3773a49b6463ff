/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Load through the season: seeds in the machine against working time, loose over lodged, dropping
 * at each cleanout. One picture a machine and weed. Where doubt was computed, the band in which the
 * load lies in nine seasons of ten lies over it, and in numbers below. */
#include <math.h>

#include "write/html_text.h"
#include "write/pen.h"
#include "write/ribbon.h"
#include "write/words.h"

#define HEIGHT 150.0
#define LEFT 46.0
#define RIGHT 12.0
#define TOP 20.0
#define FOOT 24.0
#define DIAMOND 6.0 /* half of what a cleanout takes */
#define DATE 74.0   /* units that a date takes */

/* Two sizes of one picture, units wide. */
static const struct {
    double width;
    const char *class_name;
} sizes[] = {[SB_PAGE_WIDE] = {1180, "wide-only"}, [SB_PAGE_NARROW] = {334, "narrow-only"}};

/* What is drawn: of the plan as it is, and over sampled seasons. */
typedef enum amount { ALL, LODGED, LOW, MIDDLE, HIGH } amount;

typedef struct plot {
    const sb_ribbon *ribbon;
    double width;      /* units */
    size_t first_stop; /* of the route, counted through all of them */
    double decades;    /* powers of ten that the picture shows */
    int weed;
    double begin_h, end_h;
    sb_text *text;
} plot;

static double x_of(const plot *p, double hours)
{
    return LEFT + (hours - p->begin_h) / (p->end_h - p->begin_h) * (p->width - LEFT - RIGHT);
}

static double y_of(const plot *p, double seeds)
{
    double share = seeds > 1 ? log10(seeds) / p->decades : 0;
    return HEIGHT - FOOT - share * (HEIGHT - FOOT - TOP);
}

/* Seeds at one of the SB_DRAWN_POINTS points in a stop. */
static double seeds_at(const plot *p, size_t stop, int point, amount what)
{
    const sb_held *held =
        &p->ribbon->curve[stop * SB_CURVE_POINTS + (size_t)sb_drawn_points[point]];
    if (what == ALL || what == LODGED)
        return held->lodged[p->weed] + (what == ALL ? held->loose[p->weed] : 0);
    const sb_band *band =
        sb_load_band_at(p->ribbon->page->band, p->first_stop + stop, point, p->weed);
    return what == LOW ? band->p5 : what == MIDDLE ? band->p50 : band->p95;
}

static void add_axes(const plot *p)
{
    const sb_calendar *calendar = &p->ribbon->page->season->setup.calendar;
    int step = p->decades > 5 ? 2 : 1;
    for (int power = 0; power <= (int)p->decades; power += step) {
        double y = y_of(p, pow(10, power));
        sb_text_addf(p->text,
                     "<path class=\"%s\" d=\"M%.1f %.1fH%.1f\"/><text class=\"tiny end\" "
                     "x=\"%.1f\" y=\"%.1f\">",
                     power == 0 ? "line" : "rule", LEFT, y, p->width - RIGHT, LEFT - 5, y + 3.5);
        sb_words_seeds(p->text, pow(10, power));
        sb_text_addf(p->text, "</text>");
    }
    sb_text_addf(p->text, "<text class=\"tiny end\" x=\"%.1f\" y=\"%.1f\">seeds</text>", LEFT - 5,
                 TOP - 7);
    double free_from = 0;
    for (int day = sb_calendar_day(calendar, p->begin_h, false);; day++) {
        double morning_h = sb_calendar_hours_before(calendar, day);
        if (morning_h > p->end_h)
            break;
        double x = x_of(p, fmax(morning_h, p->begin_h));
        if (x < free_from || x > p->width - DATE ||
            sb_calendar_day(calendar, morning_h, false) != day)
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

/* A line through all stops: level while the machine stands or drives, sheer at the end of a
 * cleanout. It begins and, unless it stays open, ends at no seeds. */
static void add_line(const plot *p, sb_pen *pen, amount what, bool stays_open)
{
    const sb_season *season = p->ribbon->page->season;
    const sb_route *route = p->ribbon->route;
    double y = y_of(p, 0);
    sb_pen_move(pen, x_of(p, p->begin_h), y);
    for (size_t i = 0; i < route->n_stops; i++) {
        const sb_stop *stop = &route->stops[i];
        double cleaned_h =
            sb_work_begin_h(route, i) + season->setup.cleanouts[stop->cleanout].minutes / 60;
        sb_pen_line(pen, x_of(p, fmin(cleaned_h, stop->arrive_h)), y);
        for (int d = 0; d < SB_DRAWN_POINTS; d++) {
            double share = sb_drawn_points[d] / (double)(SB_CURVE_POINTS - 1);
            y = y_of(p, seeds_at(p, i, d, what));
            if (d == 0)
                sb_pen_line(pen, x_of(p, fmin(cleaned_h, stop->arrive_h)), y);
            sb_pen_line(pen, x_of(p, stop->arrive_h + share * (stop->finish_h - stop->arrive_h)),
                        y);
        }
    }
    sb_pen_line(pen, x_of(p, p->end_h), y);
    if (stays_open)
        return;
    sb_pen_line(pen, x_of(p, p->end_h), y_of(p, 0));
    sb_pen_close(pen);
}

static void add_area(const plot *p, amount what)
{
    sb_pen pen = {.text = p->text};
    sb_text_addf(p->text, "<path class=\"%s\" d=\"", what == LODGED ? "lodged" : "loose");
    add_line(p, &pen, what, false);
    sb_text_addf(p->text, "\"/>\n");
}

/* What lies below the high line but not below the low one, both lines, and the middle one. */
static void add_band(const plot *p)
{
    sb_pen pen = {.text = p->text};
    sb_text_addf(p->text, "<path class=\"band\" d=\"");
    add_line(p, &pen, HIGH, false);
    add_line(p, &pen, LOW, false);
    sb_text_addf(p->text, "\"/><path class=\"rim\" d=\"");
    add_line(p, &pen, HIGH, true);
    add_line(p, &pen, LOW, true);
    sb_text_addf(p->text, "\"/><path class=\"median\" d=\"");
    add_line(p, &pen, MIDDLE, true);
    sb_text_addf(p->text, "\"/>\n");
}

/* The number of a stop above it, where it has room between the diamonds. */
static void add_number(const plot *p, size_t stop, double left, double right)
{
    const sb_page *page = p->ribbon->page;
    double room = right - left - 2 * DIAMOND;
    if (sb_page_number_width(page, p->ribbon->number, stop) > room)
        return;
    sb_text_addf(p->text, "<text class=\"tiny mid\" x=\"%.1f\" y=\"%.1f\">", (left + right) / 2,
                 TOP - 5);
    sb_page_number(p->text, page, p->ribbon->number, stop);
    sb_text_addf(p->text, "</text>");
}

/* A diamond above each cleanout, a band over each stop that lights up, and its number. */
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
            add_number(p, i, x_of(p, stop->arrive_h), x_of(p, stop->finish_h));
            done_h = sb_work_begin_h(route, i);
        }
        if (level > 0)
            sb_text_addf(p->text, "<path class=\"clean\" d=\"M%.1f %.1fl5 5-5 5-5-5z\"/>\n",
                         x_of(p, done_h), TOP - 2 - 2 * DIAMOND);
    }
}

static void draw(const plot *whole, sb_page_width size)
{
    plot picture = *whole, *p = &picture;
    p->width = sizes[size].width;
    if (size == SB_PAGE_WIDE)
        sb_html_open_scroll(p->text, "Load", sizes[size].class_name);
    else
        sb_text_addf(p->text, "<div class=\"frame %s\">", sizes[size].class_name);
    sb_text_addf(p->text, "<svg class=\"load\" viewBox=\"0 0 %.0f %.0f\" aria-hidden=\"true\">",
                 p->width, HEIGHT);
    add_axes(p);
    add_area(p, ALL);
    add_area(p, LODGED);
    if (p->ribbon->page->band != NULL)
        add_band(p);
    add_stops(p);
    sb_text_addf(p->text, "</svg></div>\n");
}

/* Powers of ten for all that is drawn of a machine, its band included. */
static double decades_of(const sb_ribbon *ribbon, size_t first_stop)
{
    const sb_page *page = ribbon->page;
    double most = 1;
    for (size_t i = 0; page->band != NULL && i < ribbon->route->n_stops; i++)
        for (int d = 0; d < SB_DRAWN_POINTS; d++)
            for (int k = 0; k < page->n_weeds; k++)
                most =
                    fmax(most, sb_load_band_at(page->band, first_stop + i, d, page->weeds[k])->p95);
    return fmax(ribbon->decades, ceil(log10(most)));
}

static void add_band_cells(const sb_band *band, sb_text *text)
{
    const double shown[] = {band->p5, band->p50, band->p95};
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++) {
        sb_text_addf(text, "<td class=\"num\">");
        sb_words_seeds(text, shown[i]);
        sb_text_addf(text, "</td>");
    }
}

/* The band at both ends of every field, for those who do not see pictures, and for the curious. */
static void add_band_table(const plot *p)
{
    const sb_page *page = p->ribbon->page;
    sb_text_addf(p->text, "<details><summary>The band in numbers</summary>\n");
    sb_html_open_scroll(p->text, "The band in numbers", "");
    sb_text_addf(p->text, "<table class=\"plain\"><caption>");
    sb_html_name(p->text, page->season->setup.weeds[p->weed].name);
    sb_text_addf(
        p->text,
        ": seeds in the machine</caption><thead><tr><th scope=\"col\" rowspan=\"2\">Field</th><th "
        "scope=\"colgroup\" colspan=\"3\">when cutting starts: 5, 50, 95 %%</th><th "
        "scope=\"colgroup\" colspan=\"3\">when it is done: 5, 50, 95 "
        "%%</th></tr></thead><tbody>\n");
    for (size_t i = 0; i < p->ribbon->route->n_stops; i++) {
        sb_text_addf(p->text, "<tr><th scope=\"row\">");
        sb_page_number(p->text, page, p->ribbon->number, i);
        sb_text_addf(p->text, " ");
        sb_html_name(p->text, page->season->fields[p->ribbon->route->stops[i].field].name);
        sb_text_addf(p->text, "</th>");
        for (int d = 0; d < SB_DRAWN_POINTS; d += SB_DRAWN_POINTS - 1)
            add_band_cells(sb_load_band_at(page->band, p->first_stop + i, d, p->weed), p->text);
        sb_text_addf(p->text, "</tr>\n");
    }
    sb_text_addf(p->text, "</tbody></table></div></details>\n");
}

static void draw_machine(const sb_ribbon *ribbon, size_t first_stop, sb_text *text)
{
    const sb_page *page = ribbon->page;
    plot p = {.ribbon = ribbon,
              .first_stop = first_stop,
              .decades = decades_of(ribbon, first_stop),
              .begin_h = sb_work_begin_h(ribbon->route, 0),
              .end_h = ribbon->route->end_h,
              .text = text};
    if (page->plan->n_routes > 1)
        sb_page_heading(page, ribbon->number, "Load", text);
    for (int k = 0; k < page->n_weeds; k++) {
        p.weed = page->weeds[k];
        sb_text_addf(text, "<figure class=\"weed\" data-w=\"%d\"><figcaption><span>", p.weed);
        sb_html_name(text, page->season->setup.weeds[p.weed].name);
        sb_text_addf(text, "</span></figcaption>\n");
        if (isfinite(p.begin_h) && isfinite(p.end_h) && p.end_h > p.begin_h) {
            draw(&p, SB_PAGE_WIDE);
            draw(&p, SB_PAGE_NARROW);
        }
        if (page->band != NULL)
            add_band_table(&p);
        sb_text_addf(text, "</figure>\n");
    }
}

static void add_words(const sb_load_band *band, sb_text *text)
{
    sb_text_addf(text, "<p>Seeds in the machine against working time, on a log scale and in the "
                       "ribbon's colours; numbers are stops, ◆ a cleanout. The stops' cards say "
                       "the same in words.</p>"
                       "\n");
    if (band == NULL)
        return;
    sb_text_addf(
        text,
        "<p>The areas are the plan as everything is rated. How sure is that? %zu seasons were "
        "drawn "
        "(seed %llu) in which ratings, weeds, machine and cleanouts are what they may be.</p>\n<ul "
        "class=\"legend\"><li><svg width=\"36\" height=\"18\" aria-hidden=\"true\"><rect "
        "class=\"lodged\" y=\"9\" width=\"36\" height=\"9\"/><path class=\"band\" "
        "d=\"M0 3H36V15H0z\"/><path class=\"rim\" d=\"M0 3H36M0 15H36\"/></svg> nine seasons in "
        "ten "
        "lie in the band, from 5 to 95 %%</li>\n<li><svg width=\"36\" height=\"18\" "
        "aria-hidden=\"true\"><rect class=\"lodged\" y=\"9\" width=\"36\" height=\"9\"/><path "
        "class=\"median\" d=\"M0 7H36\"/></svg> as many seasons lie above as below</li></ul>\n",
        band->seasons, (unsigned long long)band->seed);
}

sb_status sb_draw_loads(const sb_page *page, sb_text *text)
{
    size_t first_stop = 0;
    add_words(page->band, text);
    for (size_t r = 0; r < page->plan->n_routes; r++) {
        size_t n_stops = page->plan->routes[r].n_stops;
        if (n_stops == 0)
            continue;
        sb_ribbon ribbon;
        sb_status status = sb_ribbon_init(page, r, &ribbon);
        if (status != SB_OK)
            return status;
        draw_machine(&ribbon, first_stop, text);
        sb_ribbon_release(&ribbon);
        first_stop += n_stops;
    }
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
