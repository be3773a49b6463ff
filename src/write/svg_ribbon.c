/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The season ribbon: stops from left to right in cutting order, each as wide as its hours. One lane
 * a weed; above its line what the machine holds, below it what the field receives, both on one log
 * scale. A cleanout is a break through all lanes, as wide as its minutes. */
#include <math.h>

#include "base/mem.h"
#include "write/html_text.h"
#include "write/load_curve.h"
#include "write/sheet.h"
#include "write/words.h"

#define WIDTH 1180.0 /* a longer ribbon than the page is scrolled sideways */
#define LEFT 104.0   /* weeds and axis labels */
#define RIGHT 84.0   /* the last name runs out here */
#define HEAD 118.0   /* names, numbers, cleanouts */
#define FOOT 26.0    /* dates */
#define UP 78.0      /* of a lane, for the load */
#define NUMBER 14.0  /* of a lane, for the number under what is received */
#define LANE_GAP 16.0
#define LEAST_STOP 22.0 /* units: a number has room */
#define LEAST_BREAK 7.0 /* a break can be seen */
#define SPARE 1.5       /* of the least widths: what is left tells longer stops from short ones */
#define NAME_COLUMNS 16

/* One box of the ribbon: a stop (stop >= 0) or a cleanout. */
typedef struct box {
    int stop, cleanout;
    double hours, x, width;
} box;

typedef struct ribbon {
    const sb_sheet *sheet;
    const sb_route *route;
    size_t number; /* of the route, from 1 */
    box *boxes;
    size_t n_boxes;
    sb_held *curve;
    double decades; /* that UP stands for */
    double down;    /* of a lane, below its line */
    double width, height;
    sb_text *text;
} ribbon;

static double least(const box *b)
{
    return b->stop >= 0 ? LEAST_STOP : LEAST_BREAK;
}

static double total_width(const ribbon *r, double per_hour)
{
    double sum = 0;
    for (size_t i = 0; i < r->n_boxes; i++)
        sum += fmax(r->boxes[i].hours * per_hour, least(&r->boxes[i]));
    return sum;
}

/* Widths in proportion to hours, but none too small to be seen: the scale that then fills the page
 * is found by halving. Where the least widths nearly fill the page, the ribbon grows longer. */
static void lay_out(ribbon *r)
{
    r->width = fmax(WIDTH, LEFT + RIGHT + SPARE * total_width(r, 0));
    double room = r->width - LEFT - RIGHT, low = 0, high = 1e6;
    for (int i = 0; i < 60; i++) {
        double middle = (low + high) / 2;
        if (total_width(r, middle) > room)
            high = middle;
        else
            low = middle;
    }
    double x = LEFT;
    for (size_t i = 0; i < r->n_boxes; i++) {
        box *b = &r->boxes[i];
        b->x = x;
        b->width = fmax(b->hours * low, least(b));
        x += b->width;
    }
}

static void add_box(ribbon *r, int stop, int cleanout, double hours)
{
    r->boxes[r->n_boxes++] = (box){.stop = stop, .cleanout = cleanout, .hours = hours};
}

static void collect_boxes(ribbon *r)
{
    const sb_setup *setup = &r->sheet->season->setup;
    for (size_t i = 0; i <= r->route->n_stops; i++) {
        bool stop = i < r->route->n_stops;
        int level = stop ? r->route->stops[i].cleanout : r->route->final_cleanout;
        if (level > 0)
            add_box(r, -1, level, setup->cleanouts[level].minutes / 60);
        if (stop)
            add_box(r, (int)i, -1,
                    sb_season_cutting_hours(r->sheet->season, r->route->machine,
                                            r->route->stops[i].field));
    }
}

static double largest_load(const ribbon *r)
{
    double most = 10;
    for (size_t i = 0; i < r->route->n_stops * SB_CURVE_POINTS; i++)
        for (int k = 0; k < r->sheet->n_weeds; k++) {
            int weed = r->sheet->weeds[k];
            most = fmax(most, r->curve[i].loose[weed] + r->curve[i].lodged[weed]);
        }
    return most;
}

/* Height of a number of seeds on the log scale; one seed or less has none. */
static double height_of(const ribbon *r, double seeds)
{
    return seeds > 1 ? log10(seeds) / r->decades * UP : 0;
}

static double lane_line(const ribbon *r, int lane)
{
    return HEAD + UP + lane * (UP + r->down + LANE_GAP);
}

/* The area under the load in one stop: all seeds, or only the lodged ones. */
static void add_load_area(const ribbon *r, const box *b, int weed, bool lodged_only, double line)
{
    const sb_held *held = &r->curve[b->stop * SB_CURVE_POINTS];
    sb_text_addf(r->text, "<path class=\"%s\" d=\"M%.1f %.1f", lodged_only ? "lodged" : "loose",
                 b->x, line);
    for (int p = 0; p < SB_CURVE_POINTS; p++) {
        double seeds = held[p].lodged[weed] + (lodged_only ? 0 : held[p].loose[weed]);
        sb_text_addf(r->text, "L%.1f %.1f", b->x + b->width * p / (SB_CURVE_POINTS - 1),
                     line - height_of(r, seeds));
    }
    sb_text_addf(r->text, "V%.1fz\"/>\n", line);
}

static void add_received(const ribbon *r, const box *b, int weed, double line)
{
    double seeds = r->route->stops[b->stop].trace.ground[weed];
    double height = height_of(r, seeds);
    if (!(height > 0))
        return;
    sb_text_addf(r->text,
                 "<rect class=\"received\" x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\"/>",
                 b->x + 1, line, fmax(b->width - 2, 1), height);
    if (b->width < 28)
        return;
    sb_text_addf(r->text, "<text class=\"tiny mid\" x=\"%.1f\" y=\"%.1f\">", b->x + b->width / 2,
                 line + height + 10);
    sb_words_seeds(r->text, seeds);
    sb_text_addf(r->text, "</text>\n");
}

/* The lane's line, its name, and a rule for every power of ten that has room. */
static void add_axis(const ribbon *r, int lane, double line)
{
    const sb_weed *weed = &r->sheet->season->setup.weeds[r->sheet->weeds[lane]];
    int step = r->decades > 5 ? 2 : 1;
    for (int power = step; power <= (int)r->decades; power += step) {
        double y = line - power / r->decades * UP;
        sb_text_addf(r->text,
                     "<path class=\"rule\" d=\"M%.1f %.1fH%.1f\"/>"
                     "<text class=\"tiny end\" x=\"%.1f\" y=\"%.1f\">",
                     LEFT, y, r->width - RIGHT, LEFT - 5, y + 3.5);
        sb_words_seeds(r->text, pow(10, power));
        sb_text_addf(r->text, "</text>");
    }
    sb_text_addf(r->text,
                 "<path class=\"line\" d=\"M%.1f %.1fH%.1f\"/><text class=\"lane\" x=\"%.1f\" "
                 "y=\"%.1f\"><title>",
                 LEFT, line, r->width - RIGHT, LEFT - 5, line + 4.5);
    sb_svg_title_name(r->text, weed->name);
    sb_text_addf(r->text, "</title>");
    sb_svg_name(r->text, weed->name, 14);
    sb_text_addf(r->text, "</text>\n");
}

static void add_lane(const ribbon *r, int lane)
{
    double line = lane_line(r, lane);
    int weed = r->sheet->weeds[lane];
    add_axis(r, lane, line);
    for (size_t i = 0; i < r->n_boxes; i++) {
        const box *b = &r->boxes[i];
        if (b->stop < 0)
            continue;
        add_load_area(r, b, weed, false, line);
        add_load_area(r, b, weed, true, line);
        add_received(r, b, weed, line);
    }
}

static void add_stop_head(const ribbon *r, const box *b)
{
    const sb_season *season = r->sheet->season;
    const char *name = season->fields[r->route->stops[b->stop].field].name;
    double x = b->x + b->width / 2, y = HEAD - 24;
    sb_text_addf(r->text, "<a href=\"#s%zu-%d\"><title>%d ", r->number, b->stop + 1, b->stop + 1);
    sb_svg_title_name(r->text, name);
    sb_text_addf(r->text,
                 "</title><text class=\"tag\" transform=\"translate(%.1f %.1f)rotate(-42)\">",
                 x + 3, y - 13);
    sb_svg_name(r->text, name, NAME_COLUMNS);
    sb_text_addf(r->text,
                 "</text><circle class=\"disc\" cx=\"%.1f\" cy=\"%.1f\" r=\"%.1f\"/>"
                 "<text class=\"number%s\" x=\"%.1f\" y=\"%.1f\">%d</text></a>\n",
                 x, y, fmin(10, b->width / 2), b->width < 18 ? " narrow" : "", x, y + 4,
                 b->stop + 1);
}

static void add_break(const ribbon *r, const box *b)
{
    const sb_cleanout *level = &r->sheet->season->setup.cleanouts[b->cleanout];
    sb_text_addf(r->text, "<g><title>");
    sb_svg_title_name(r->text, level->name);
    sb_text_addf(r->text, ", ");
    sb_words_minutes(r->text, level->minutes);
    sb_text_addf(r->text,
                 "</title><rect class=\"break\" x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" "
                 "height=\"%.1f\"/><path class=\"clean\" d=\"M%.1f %.1fl6 6-6 6-6-6z\"/></g>\n",
                 b->x + 1, HEAD - 6, b->width - 2, r->height - HEAD - FOOT + 8, b->x + b->width / 2,
                 HEAD - 12);
}

/* Dates below the stops where there is room: the day on which cutting starts. */
static void add_dates(const ribbon *r)
{
    double free_from = 0;
    int shown = SB_NO_DAY;
    for (size_t i = 0; i < r->n_boxes; i++) {
        const box *b = &r->boxes[i];
        if (b->stop < 0 || b->x < free_from || !isfinite(r->route->stops[b->stop].arrive_h))
            continue;
        int day = sb_calendar_day(&r->sheet->season->setup.calendar,
                                  r->route->stops[b->stop].arrive_h, false);
        if (day == shown)
            continue;
        shown = day;
        free_from = b->x + 66;
        sb_text_addf(r->text,
                     "<path class=\"rule\" d=\"M%.1f %.1fv8\"/><text class=\"tiny\" x=\"%.1f\" "
                     "y=\"%.1f\">",
                     b->x, r->height - FOOT, b->x + 2, r->height - 6);
        sb_words_day(r->text, day);
        sb_text_addf(r->text, "</text>\n");
    }
}

static void add_legend(const ribbon *r)
{
    sb_text_addf(
        r->text,
        "<ul class=\"legend\"><li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect "
        "class=\"loose\" width=\"26\" height=\"16\"/></svg> in the machine, loose</li>\n"
        "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect class=\"lodged\" "
        "width=\"26\" height=\"16\"/></svg> in the machine, lodged</li>\n"
        "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect class=\"received\" "
        "width=\"26\" height=\"16\"/></svg> brought to the ground of the field</li>\n"
        "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect class=\"break\" x=\"6\" "
        "width=\"14\" height=\"16\"/><path class=\"clean\" d=\"M13 2l6 6-6 6-6-6z\"/></svg> "
        "cleanout</li>\n"
        "<li>Seeds on a log scale from 1: each 10 times as many is one step further from the "
        "line. Stops are as wide as their hours, the shortest widened to be seen.</li></ul>\n");
}

/* Below the line the scale is the same as above; the lanes are as deep as they need to be. */
static double depth_of_lanes(const ribbon *r)
{
    double most = 0;
    for (size_t i = 0; i < r->route->n_stops; i++)
        for (int k = 0; k < r->sheet->n_weeds; k++)
            most = fmax(most, r->route->stops[i].trace.ground[r->sheet->weeds[k]]);
    return height_of(r, most) + NUMBER;
}

static void draw(ribbon *r)
{
    r->down = depth_of_lanes(r);
    r->height = HEAD + r->sheet->n_weeds * (UP + r->down) +
                fmax(r->sheet->n_weeds - 1, 0) * LANE_GAP + FOOT;
    sb_html_open_scroll(r->text, "Ribbon");
    sb_text_addf(r->text,
                 "<svg class=\"ribbon%s\" width=\"%.0f\" viewBox=\"0 0 %.0f %.0f\" "
                 "role=\"group\" aria-labelledby=\"r%zu-title r%zu-text\"><title id=\"r%zu-title\">"
                 "Season ribbon</title><desc id=\"r%zu-text\">Stops in cutting order, as wide as "
                 "their hours: seeds in the machine above each line, seeds brought to the field "
                 "below it. The list of stops gives the same numbers.</desc>\n",
                 r->width > WIDTH ? " long" : "", r->width, r->width, r->height, r->number,
                 r->number, r->number, r->number);
    for (int lane = 0; lane < r->sheet->n_weeds; lane++)
        add_lane(r, lane);
    for (size_t i = 0; i < r->n_boxes; i++) {
        if (r->boxes[i].stop >= 0)
            add_stop_head(r, &r->boxes[i]);
        else
            add_break(r, &r->boxes[i]);
    }
    add_dates(r);
    sb_text_addf(r->text, "</svg></div>\n");
    add_legend(r);
}

sb_status sb_svg_ribbon(const sb_sheet *sheet, size_t route, sb_text *text)
{
    ribbon r = {
        .sheet = sheet, .route = &sheet->plan->routes[route], .number = route + 1, .text = text};
    size_t n = r.route->n_stops;
    r.boxes = sb_alloc(2 * n + 1, sizeof *r.boxes);
    r.curve = sb_alloc(n * SB_CURVE_POINTS, sizeof *r.curve);
    bool failed = r.boxes == NULL || r.curve == NULL;
    if (!failed) {
        sb_load_curve(sheet->season, r.route, r.curve);
        collect_boxes(&r);
        lay_out(&r);
        r.decades = ceil(log10(largest_load(&r)));
        draw(&r);
    }
    sb_free(r.boxes);
    sb_free(r.curve);
    return failed || text->failed ? SB_ERR_NOMEM : SB_OK;
}
