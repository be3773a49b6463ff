/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The season ribbon down, for a phone: the crew's list, a row for every stop as high as its hours,
 * a break for every cleanout. Left of each weed's line what the machine holds, right of it what the
 * field receives. */
#include <math.h>

#include "write/html_text.h"
#include "write/pen.h"
#include "write/ribbon.h"
#include "write/words.h"

#define LANES 150.0      /* units for all lanes */
#define WIDEST_LANE 50.0 /* a single weed does not fill them */
#define AMOUNT 37.0      /* of a number of seeds received and a gap: narrower lanes take turns */
#define LEAST_ROW 54.0   /* a thumb and two lines of text have room */
#define MOST_ROW 130.0
#define ROW_PER_HOUR 3.4
#define BREAK 40.0
#define NAME_COLUMNS 11
#define NAME_TURN 35   /* degrees: the names run down to their lanes */
#define NAME_ROOM 62.0 /* units left of the lanes for the first of them */
#define HEAD 54.0

/* Points of the curve that are drawn: loads change most in the first tonnes. */
static const int drawn[] = {0, 2, SB_CURVE_POINTS - 1};

/* Everything is drawn in whole units: on a phone that is a pixel. */

typedef struct lanes {
    const sb_ribbon *ribbon;
    double width;       /* of one lane */
    double left, right; /* of its line, what the highest load and amount may take */
    sb_text *text;
} lanes;

static double lane_line(const lanes *l, int lane)
{
    return round(lane * l->width + l->left + 1);
}

/* Of an amount, where the highest takes `most`: what is more than a seed can be seen. */
static double width_of(double most, const sb_ribbon *ribbon, double seeds)
{
    double share = sb_ribbon_height(ribbon, seeds);
    return share > 0 ? fmax(round(most * share), 1) : 0;
}

static void open_lanes(const lanes *l, double height)
{
    double width = l->width * l->ribbon->page->n_weeds;
    sb_text_addf(l->text,
                 "<svg width=\"%.0f\" viewBox=\"0 0 %.0f %.0f\" preserveAspectRatio=\"none\">",
                 width, width, height);
}

/* A path is begun when there is something to draw in it. */
static void need_path(const char *class_name, bool *open, sb_text *text)
{
    if (!*open)
        sb_text_addf(text, "<path class=\"%s\" d=\"", class_name);
    *open = true;
}

/* The loads of all weeds in one stop. */
static void add_areas(const lanes *l, size_t stop, bool lodged_only, double height)
{
    const sb_held *held = &l->ribbon->curve[stop * SB_CURVE_POINTS];
    sb_pen pen = {.text = l->text};
    bool open = false;
    for (int lane = 0; lane < l->ribbon->page->n_weeds; lane++) {
        int weed = l->ribbon->page->weeds[lane];
        if (!(sb_most_held(held, weed, lodged_only) > 1))
            continue;
        need_path(lodged_only ? "lodged" : "loose", &open, l->text);
        sb_pen_move(&pen, lane_line(l, lane), 0);
        for (size_t d = 0; d < sizeof drawn / sizeof *drawn; d++) {
            int p = drawn[d];
            double seeds = held[p].lodged[weed] + (lodged_only ? 0 : held[p].loose[weed]);
            sb_pen_line(&pen, lane_line(l, lane) - width_of(l->left, l->ribbon, seeds),
                        round(height * p / (SB_CURVE_POINTS - 1)));
        }
        sb_pen_line(&pen, lane_line(l, lane), height);
    }
    sb_text_addf(l->text, open ? "\"/>" : "");
}

static void add_received(const lanes *l, size_t stop, double height)
{
    sb_pen pen = {.text = l->text};
    bool open = false;
    for (int lane = 0; lane < l->ribbon->page->n_weeds; lane++) {
        double got =
            width_of(l->right, l->ribbon,
                     l->ribbon->route->stops[stop].trace.ground[l->ribbon->page->weeds[lane]]);
        if (!(got > 0))
            continue;
        need_path("received", &open, l->text);
        sb_pen_box(&pen, lane_line(l, lane), 1, got, height - 2);
    }
    sb_text_addf(l->text, open ? "\"/>" : "");
}

/* So many lines the amounts of a stop need, so that none lies on another. */
static int lines_of_amounts(const lanes *l)
{
    double pushed_in = fmax((AMOUNT - l->width) / 2, 0); /* the first one, to stay in the picture */
    return (int)ceil((AMOUNT + pushed_in) / l->width);
}

/* How many seeds the field receives, over its lanes (page.css puts each on a plate of its own); for
 * the ear the stop's card says it. */
static void add_amounts(const lanes *l, size_t stop)
{
    const sb_page *page = l->ribbon->page;
    const double *ground = l->ribbon->route->stops[stop].trace.ground;
    double most = 0;
    for (int lane = 0; lane < page->n_weeds; lane++)
        most = fmax(most, ground[page->weeds[lane]]);
    if (!(most > 1))
        return;
    sb_text_addf(l->text, "<em class=\"in%d\" aria-hidden=\"true\">", lines_of_amounts(l));
    for (int lane = 0; lane < page->n_weeds; lane++) {
        sb_text_addf(l->text, "<i>");
        if (ground[page->weeds[lane]] > 1)
            sb_words_seeds(l->text, ground[page->weeds[lane]]);
        sb_text_addf(l->text, "</i>");
    }
    sb_text_addf(l->text, "</em>");
}

static void add_stop_lanes(const lanes *l, size_t i, double height)
{
    open_lanes(l, height);
    add_areas(l, i, false, height);
    add_areas(l, i, true, height);
    add_received(l, i, height);
    sb_text_addf(l->text, "</svg>");
    add_amounts(l, i);
}

static void add_break_lanes(const lanes *l, const sb_stop_trace *trace)
{
    const sb_page *page = l->ribbon->page;
    open_lanes(l, BREAK);
    sb_pen pen = {.text = l->text};
    sb_text_addf(l->text, "<path class=\"removed\" d=\"");
    for (int lane = 0; lane < page->n_weeds; lane++) {
        int weed = page->weeds[lane];
        double line = lane_line(l, lane);
        double before = width_of(l->left, l->ribbon, trace->before_clean[weed]);
        double after =
            width_of(l->left, l->ribbon, trace->before_clean[weed] - trace->on_tarp[weed]);
        if (!(before > 0))
            continue;
        sb_pen_move(&pen, line, 0);
        sb_pen_line(&pen, line - before, 0);
        sb_pen_line(&pen, line - after, BREAK);
        sb_pen_line(&pen, line, BREAK);
        sb_pen_close(&pen);
    }
    sb_text_addf(l->text, "\"/></svg>");
}

static void open_row(const lanes *l, const char *attributes, size_t i)
{
    sb_text_addf(l->text, "<li%s><a href=\"#s", attributes);
    sb_page_key(l->text, l->ribbon->number, i);
    sb_text_addf(l->text, "\">");
}

static void add_break(const lanes *l, size_t i)
{
    const sb_route *route = l->ribbon->route;
    const sb_season *season = l->ribbon->page->season;
    const sb_cleanout *level = &season->setup.cleanouts[sb_page_level(route, i)];
    open_row(l, " class=\"gap\"", i);
    sb_text_addf(l->text, "<span>◆</span><span><b>");
    sb_html_name(l->text, level->name);
    sb_text_addf(l->text, "</b><small>");
    sb_words_minutes(l->text, level->minutes);
    sb_text_addf(l->text, "</small></span>");
    add_break_lanes(l, i < route->n_stops ? &route->stops[i].trace : &route->final_trace);
    sb_text_addf(l->text, "</a>\n");
}

/* Days of waiting: the lanes' lines are torn. */
static void add_wait(const lanes *l, size_t i, bool to_drive)
{
    sb_wait wait;
    int days = sb_ribbon_wait(l->ribbon, i, to_drive, &wait);
    if (days == 0)
        return;
    sb_text_addf(l->text, "<li class=\"tear\"><svg width=\"26\" height=\"12\" aria-hidden=\"true\">"
                          "<path class=\"skip\" d=\"M1 6l3-3 6 6 6-6 6 6 3-3\"/></svg> <small>");
    sb_ribbon_wait_words(l->ribbon, days, &wait, sb_html_name, l->text);
    sb_text_addf(l->text, "</small>\n");
}

static void add_stop(const lanes *l, size_t i)
{
    const sb_season *season = l->ribbon->page->season;
    const sb_route *route = l->ribbon->route;
    const sb_stop *stop = &route->stops[i];
    double hours = sb_season_cutting_hours(season, route->machine, stop->field);
    open_row(l, "", i);
    sb_text_addf(l->text, "<span>");
    sb_page_number(l->text, l->ribbon->page, l->ribbon->number, i);
    sb_text_addf(l->text, "</span><span><b>");
    sb_html_name(l->text, season->fields[stop->field].name);
    sb_text_addf(l->text, "</b><small>");
    sb_words_moment(l->text, &season->setup.calendar, stop->arrive_h, false);
    sb_text_addf(l->text, "<br>");
    sb_words_km(l->text, stop->km);
    sb_text_addf(l->text, "</small></span>");
    add_stop_lanes(l, i, round(fmin(fmax(hours * ROW_PER_HOUR, LEAST_ROW), MOST_ROW)));
    sb_text_addf(l->text, "</a>\n");
}

/* The weeds over their lanes, aslant: they are longer than the lanes are wide. */
static void add_head(const lanes *l)
{
    const sb_page *page = l->ribbon->page;
    double width = l->width * page->n_weeds;
    sb_text_addf(l->text,
                 "<div class=\"tall-head\" aria-hidden=\"true\"><svg width=\"%.0f\" "
                 "viewBox=\"-%.0f 0 %.0f %.0f\">",
                 width + NAME_ROOM, NAME_ROOM, width + NAME_ROOM, HEAD);
    for (int lane = 0; lane < page->n_weeds; lane++) {
        sb_text_addf(l->text,
                     "<text class=\"tiny end\" transform=\"translate(%.0f %.0f) rotate(%d)\">",
                     lane_line(l, lane), HEAD - 6, NAME_TURN);
        sb_svg_name(l->text, page->season->setup.weeds[page->weeds[lane]].name, NAME_COLUMNS);
        sb_text_addf(l->text, "</text>");
    }
    sb_text_addf(l->text, "</svg></div>\n");
}

/* The lanes' lines, once for all rows: they lie behind them, and the breaks cover them. */
static void add_lines(const lanes *l)
{
    sb_text_addf(l->text, "<div class=\"rows\">");
    open_lanes(l, 1);
    sb_text_addf(l->text, "<path class=\"line\" d=\"");
    for (int lane = 0; lane < l->ribbon->page->n_weeds; lane++)
        sb_text_addf(l->text, "M%.0f 0v1", lane_line(l, lane));
    sb_text_addf(l->text, "\"/></svg>\n");
}

void sb_html_tall_ribbon(const sb_ribbon *ribbon, sb_text *text)
{
    lanes l = {.ribbon = ribbon, .text = text};
    l.width = fmin(LANES / fmax(ribbon->page->n_weeds, 1), WIDEST_LANE);
    l.left = (l.width - 4) * 0.55;
    l.right = (l.width - 4) * 0.45;
    sb_text_addf(text, "<div class=\"narrow-only tall\">");
    add_head(&l);
    add_lines(&l);
    sb_text_addf(text, "<ol>\n");
    for (size_t i = 0; i <= ribbon->route->n_stops; i++) {
        add_wait(&l, i, false);
        if (sb_page_level(ribbon->route, i) > 0)
            add_break(&l, i);
        if (i == ribbon->route->n_stops)
            break;
        add_wait(&l, i, true);
        add_stop(&l, i);
    }
    sb_text_addf(text, "</ol></div></div>\n");
}
