/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The season ribbon across: stops from left to right in cutting order, each as wide as its hours.
 * One lane a weed; above its line what the machine holds, below it what the field receives, both on
 * one log scale. A cleanout is a break through all lanes, as wide as its minutes; where the machine
 * waits for days the lanes are torn. */
#include <math.h>

#include "base/mem.h"
#include "write/html_text.h"
#include "write/pen.h"
#include "write/receipts.h"
#include "write/ribbon.h"
#include "write/words.h"

#define WIDTH 1180.0 /* a longer ribbon than the page is scrolled sideways */
#define LEFT 112.0   /* weeds and axis labels */
#define RIGHT 84.0   /* the last name runs out here */
#define HEAD 118.0   /* names, numbers, cleanouts */
#define FOOT 26.0    /* dates */
#define UP 84.0      /* of a lane, for the load */
#define NUMBER 14.0  /* of a lane, for the number under what is received */
#define LANE_GAP 16.0
#define LEAST_STOP 22.0 /* units: a number has room, and a name aslant */
#define DISC 10.5       /* half of what a number stands on is high */
#define NUMBER_ROOM 7.0 /* beside its letters */
#define LEAST_BREAK 9.0 /* a break can be seen */
#define TEAR 24.0       /* days of waiting, in words that run up */
#define TOOTH 4.0       /* of its edges */
#define SPARE 1.5       /* of the least widths: what is left tells longer stops from short ones */
#define NAME_COLUMNS 16
#define NAME_SIZE 11.5   /* .tag in page.css */
#define NAME_WIDTH 112.0 /* then it reaches the upper edge, aslant as .tag in page.css says */
#define DIGIT 7.0        /* of an amount, units; of its point */
#define POINT 3.5
#define DATE 72.0        /* of a date and a gap */
#define LEAST_SEEDS 10.0 /* of one field's, to be shown by themselves */

typedef enum box_kind { STOP, CLEANOUT, WAIT } box_kind;

/* One box of the ribbon: a stop, the cleanout before it (before stop n_stops: the final one), or
 * days of waiting for either. */
typedef struct box {
    size_t stop;
    box_kind kind;
    sb_wait wait;
    int days; /* of it */
    double hours, least, x, width;
} box;

typedef struct across {
    const sb_ribbon *ribbon;
    box *boxes;
    size_t n_boxes;
    double down; /* of a lane, below its line */
    double width, height;
    sb_text *text;
} across;

static double total_width(const across *a, double per_hour)
{
    double sum = 0;
    for (size_t i = 0; i < a->n_boxes; i++)
        sum += fmax(a->boxes[i].hours * per_hour, a->boxes[i].least);
    return sum;
}

/* Widths in proportion to hours, but none too small to be seen: the scale that then fills the page
 * is found by halving. */
static void lay_out(across *a)
{
    a->width = fmax(WIDTH, LEFT + RIGHT + SPARE * total_width(a, 0));
    double room = a->width - LEFT - RIGHT, low = 0, high = 1e6;
    for (int i = 0; i < 60; i++) {
        double middle = (low + high) / 2;
        if (total_width(a, middle) > room)
            high = middle;
        else
            low = middle;
    }
    double x = LEFT;
    for (size_t i = 0; i < a->n_boxes; i++) {
        box *b = &a->boxes[i];
        b->x = x;
        b->width = fmax(b->hours * low, b->least);
        x += b->width;
    }
}

/* Half the width of what the number of a stop stands on. */
static double half_disc(const across *a, size_t stop)
{
    double width = sb_page_number_width(a->ribbon->page, a->ribbon->number, stop);
    return fmax(DISC, (width + NUMBER_ROOM) / 2);
}

static void collect_wait(across *a, size_t stop, bool to_drive)
{
    sb_wait wait;
    int days = sb_ribbon_wait(a->ribbon, stop, to_drive, &wait);
    if (days > 0)
        a->boxes[a->n_boxes++] =
            (box){.stop = stop, .kind = WAIT, .wait = wait, .days = days, .least = TEAR};
}

static void collect_boxes(across *a)
{
    const sb_season *season = a->ribbon->page->season;
    const sb_route *route = a->ribbon->route;
    for (size_t i = 0; i <= route->n_stops; i++) {
        int level = sb_page_level(route, i);
        collect_wait(a, i, false);
        if (level > 0)
            a->boxes[a->n_boxes++] = (box){.stop = i,
                                           .kind = CLEANOUT,
                                           .hours = season->setup.cleanouts[level].minutes / 60,
                                           .least = LEAST_BREAK};
        if (i == route->n_stops)
            break;
        collect_wait(a, i, true);
        a->boxes[a->n_boxes++] =
            (box){.stop = i,
                  .hours = sb_season_cutting_hours(season, route->machine, route->stops[i].field),
                  .least = fmax(LEAST_STOP, 2 * half_disc(a, i) + 1)};
    }
}

static double lane_line(const across *a, int lane)
{
    return HEAD + UP + lane * (UP + a->down + LANE_GAP);
}

static double height_of(const across *a, double seeds)
{
    return UP * sb_ribbon_height(a->ribbon, seeds);
}

/* The lane's line, its name, and a rule for every power of ten that has room. */
static void add_axis(const across *a, int lane)
{
    const sb_page *page = a->ribbon->page;
    const sb_weed *weed = &page->season->setup.weeds[page->weeds[lane]];
    double line = lane_line(a, lane);
    int step = a->ribbon->decades > 5 ? 2 : 1;
    for (int power = step; power <= (int)a->ribbon->decades; power += step) {
        double y = line - height_of(a, pow(10, power));
        sb_text_addf(a->text,
                     "<path class=\"rule\" d=\"M%.1f %.1fH%.1f\"/>"
                     "<text class=\"tiny end\" x=\"%.1f\" y=\"%.1f\">",
                     LEFT, y, a->width - RIGHT, LEFT - 5, y + 3.5);
        sb_words_seeds(a->text, pow(10, power));
        sb_text_addf(a->text, "</text>");
    }
    sb_text_addf(a->text,
                 "<path class=\"line\" d=\"M%.1f %.1fH%.1f\"/><text class=\"lane\" x=\"%.1f\" "
                 "y=\"%.1f\"><title>",
                 LEFT, line, a->width - RIGHT, LEFT - 5, line + 4.5);
    sb_svg_title_name(a->text, weed->name);
    sb_text_addf(a->text, "</title>");
    sb_svg_name(a->text, weed->name, 14);
    sb_text_addf(a->text, "</text><text class=\"tiny end\" x=\"%.1f\" y=\"%.1f\">seeds</text>\n",
                 LEFT - 5, line + 17.5);
}

/* The areas under the load of all stops: all seeds, or only the lodged ones. */
static void add_load_areas(const across *a, int lane, bool lodged_only)
{
    int weed = a->ribbon->page->weeds[lane];
    double line = lane_line(a, lane);
    sb_pen pen = {.text = a->text};
    sb_text_addf(a->text, "<path class=\"%s\" d=\"", lodged_only ? "lodged" : "loose");
    for (size_t i = 0; i < a->n_boxes; i++) {
        const box *b = &a->boxes[i];
        if (b->kind != STOP)
            continue;
        const sb_held *held = &a->ribbon->curve[b->stop * SB_CURVE_POINTS];
        if (!(sb_most_held(held, weed, lodged_only) > 1))
            continue;
        sb_pen_move(&pen, b->x, line);
        for (int d = 0; d < SB_DRAWN_POINTS; d++) {
            int p = sb_drawn_points[d];
            double seeds = held[p].lodged[weed] + (lodged_only ? 0 : held[p].loose[weed]);
            sb_pen_line(&pen, b->x + b->width * p / (SB_CURVE_POINTS - 1),
                        line - height_of(a, seeds));
        }
        sb_pen_line(&pen, b->x + b->width, line);
    }
    sb_text_addf(a->text, "\"/>\n");
}

/* Units that an amount takes in letters of the class "tiny". */
static double amount_width(const char *words)
{
    double width = 0;
    for (; *words != '\0'; words++)
        width += *words == '.' ? POINT : DIGIT;
    return width;
}

/* The amount below what a field receives, where that is wide enough. */
static void add_amount(const across *a, const box *b, double seeds, double y)
{
    sb_text words = {0};
    sb_words_seeds(&words, seeds);
    if (amount_width(sb_text_get(&words)) <= b->width)
        sb_text_addf(a->text, "<text x=\"%.0f\" y=\"%.0f\">%s</text>", b->x + b->width / 2, y,
                     sb_text_get(&words));
    a->text->failed |= words.failed;
    sb_text_release(&words);
}

/* What each field receives. */
static void add_received(const across *a, int lane)
{
    int weed = a->ribbon->page->weeds[lane];
    double line = lane_line(a, lane);
    sb_pen pen = {.text = a->text};
    sb_text_addf(a->text, "<path class=\"received\" d=\"");
    for (size_t i = 0; i < a->n_boxes; i++) {
        const box *b = &a->boxes[i];
        double seeds = b->kind != STOP ? 0 : a->ribbon->route->stops[b->stop].trace.ground[weed];
        if (height_of(a, seeds) > 0)
            sb_pen_box(&pen, b->x + 1, line, b->width - 2, height_of(a, seeds));
    }
    sb_text_addf(a->text, "\"/><g class=\"tiny mid\">");
    for (size_t i = 0; i < a->n_boxes; i++) {
        const box *b = &a->boxes[i];
        double seeds = b->kind != STOP ? 0 : a->ribbon->route->stops[b->stop].trace.ground[weed];
        if (height_of(a, seeds) > 0)
            add_amount(a, b, seeds, line + height_of(a, seeds) + 10);
    }
    sb_text_addf(a->text, "</g>\n");
}

static void add_stop(const across *a, const box *b)
{
    const sb_page *page = a->ribbon->page;
    const char *name = page->season->fields[a->ribbon->route->stops[b->stop].field].name;
    sb_pen pen = {.text = a->text};
    sb_text_addf(a->text, "<a href=\"#s");
    sb_page_key(a->text, a->ribbon->number, b->stop);
    /* All of it stands around the middle of the disc. */
    sb_text_addf(a->text, "\" transform=\"translate(%.1f %.0f)\"><path class=\"column\" d=\"",
                 b->x + b->width / 2, HEAD - 24);
    sb_pen_box(&pen, -b->width / 2, -12, b->width, a->height - HEAD + 36 - FOOT);
    sb_text_addf(a->text, "\"/><text class=\"tag\"");
    sb_svg_squeeze(a->text, name, NAME_COLUMNS, NAME_SIZE, NAME_WIDTH);
    sb_text_addf(a->text, ">");
    sb_svg_name(a->text, name, NAME_COLUMNS);
    sb_text_addf(a->text, "</text>");
    sb_svg_disc(a->text, 0, 0, half_disc(a, b->stop), DISC);
    sb_text_addf(a->text, "<text class=\"number\" y=\"4\">");
    sb_page_number(a->text, page, a->ribbon->number, b->stop);
    sb_text_addf(a->text, "</text></a>\n");
}

/* What a cleanout takes out of each lane: a slope from the load before to the load after. */
static void add_removed(const across *a, const box *b)
{
    const sb_page *page = a->ribbon->page;
    const sb_route *route = a->ribbon->route;
    const sb_stop_trace *trace =
        b->stop < route->n_stops ? &route->stops[b->stop].trace : &route->final_trace;
    sb_pen pen = {.text = a->text};
    sb_text_addf(a->text, "<path class=\"removed\" d=\"");
    for (int lane = 0; lane < page->n_weeds; lane++) {
        int weed = page->weeds[lane];
        double line = lane_line(a, lane), before = height_of(a, trace->before_clean[weed]);
        double after = height_of(a, trace->before_clean[weed] - trace->on_tarp[weed]);
        if (!(before > 0))
            continue;
        sb_pen_move(&pen, b->x, line - before);
        sb_pen_line(&pen, b->x + b->width, line - after);
        sb_pen_line(&pen, b->x + b->width, line);
        sb_pen_line(&pen, b->x, line);
        sb_pen_close(&pen);
    }
    sb_text_addf(a->text, "\"/>");
}

static void add_break(const across *a, const box *b)
{
    const sb_route *route = a->ribbon->route;
    const sb_cleanout *level =
        &a->ribbon->page->season->setup.cleanouts[sb_page_level(route, b->stop)];
    sb_pen pen = {.text = a->text};
    sb_text_addf(a->text, "<g class=\"clearing\" data-s=\"");
    sb_page_key(a->text, a->ribbon->number, b->stop);
    sb_text_addf(a->text, "\"><title>");
    sb_svg_title_name(a->text, level->name);
    sb_text_addf(a->text, ", ");
    sb_words_minutes(a->text, level->minutes);
    sb_text_addf(a->text, "</title><path class=\"break\" d=\"");
    sb_pen_box(&pen, b->x + 1, HEAD - 6, b->width - 2, a->height - HEAD - FOOT + 8);
    sb_text_addf(a->text, "\"/>");
    add_removed(a, b);
    sb_text_addf(a->text, "<path class=\"clean\" d=\"M%.1f %.1fl6 6-6 6-6-6z\"/></g>\n",
                 b->x + b->width / 2, HEAD - 12);
}

/* One edge of a tear, from above the lanes to below them. */
static void add_edge(const across *a, double x)
{
    double top = HEAD - 6, height = a->height - HEAD - FOOT + 8;
    sb_text_addf(a->text, "M%.1f %.1f", x, top);
    for (double done = 0; done + 2 * TOOTH <= height; done += 2 * TOOTH)
        sb_text_addf(a->text, "l2 %.0f-2 %.0f", TOOTH, TOOTH);
}

/* Days of waiting: they cover the lanes, in which nothing changes meanwhile. */
static void add_tear(const across *a, const box *b)
{
    sb_text_addf(a->text, "<g class=\"tear\"><title>");
    sb_ribbon_wait_words(a->ribbon, b->days, &b->wait, sb_svg_title_name, a->text);
    sb_text_addf(a->text,
                 "</title><rect class=\"cover\" x=\"%.1f\" y=\"%.0f\" width=\"%.1f\" "
                 "height=\"%.1f\"/><path class=\"skip\" d=\"",
                 b->x + 1, HEAD - 6, b->width - 2, a->height - HEAD - FOOT + 8);
    add_edge(a, b->x + 1);
    add_edge(a, b->x + b->width - 3);
    sb_text_addf(a->text,
                 "\"/><text class=\"tiny mid\" transform=\"translate(%.1f %.1f) rotate(-90)\">%d "
                 "day%s</text></g>\n",
                 b->x + b->width / 2 + 4, HEAD + UP / 2, b->days, b->days == 1 ? "" : "s");
}

/* Where the seeds of one weed go that came aboard in one box: its load in the boxes that follow. */
typedef struct origin {
    size_t from, last; /* boxes: the last one where they are worth showing */
    int lane;
    double (*curve)[SB_MAX_WEEDS]; /* of sb_origin_curve, from that box's stop on */
} origin;

/* @return false: too few of them are carried on to be shown */
static bool find_origin(const across *a, size_t from, int lane, double (*curve)[SB_MAX_WEEDS],
                        origin *o)
{
    int weed = a->ribbon->page->weeds[lane];
    size_t first = a->boxes[from].stop;
    *o = (origin){.from = from, .last = from, .lane = lane, .curve = curve};
    for (size_t i = from + 1; i < a->n_boxes; i++)
        if (a->boxes[i].kind == STOP &&
            curve[(a->boxes[i].stop - first) * SB_ORIGIN_POINTS + SB_ORIGIN_POINTS / 2][weed] >
                LEAST_SEEDS)
            o->last = i;
    return o->last > from && curve[SB_ORIGIN_POINTS - 1][weed] > LEAST_SEEDS;
}

/* Its part of the load, as a line. */
static void draw_carried(const across *a, const origin *o, sb_pen *pen)
{
    int weed = a->ribbon->page->weeds[o->lane];
    double line = lane_line(a, o->lane);
    size_t first = a->boxes[o->from].stop;
    sb_pen_move(pen, a->boxes[o->from].x, line);
    for (size_t i = o->from; i <= o->last; i++) {
        const box *b = &a->boxes[i];
        for (size_t p = 0; b->kind == STOP && p < SB_ORIGIN_POINTS; p++)
            sb_pen_line(pen, b->x + b->width * sb_origin_shares[p],
                        line -
                            height_of(a, o->curve[(b->stop - first) * SB_ORIGIN_POINTS + p][weed]));
    }
    sb_pen_line(pen, a->boxes[o->last].x + a->boxes[o->last].width, line);
}

/* What each box got of it, below the lane's line. */
static void draw_given(const across *a, const origin *o, sb_pen *pen)
{
    const sb_page *page = a->ribbon->page;
    const sb_stop *stops = a->ribbon->route->stops;
    size_t giver = (size_t)stops[a->boxes[o->from].stop].field;
    for (size_t i = o->from + 1; i <= o->last; i++) {
        const box *b = &a->boxes[i];
        double seeds = b->kind != STOP ? 0
                                       : sb_given(&page->plan->ledger, giver, stops[b->stop].field,
                                                  page->weeds[o->lane]);
        if (seeds > LEAST_SEEDS)
            sb_pen_box(pen, b->x + 1, lane_line(a, o->lane), b->width - 2, height_of(a, seeds));
    }
}

/* All weeds that came aboard in one box, in one path each for the load and for what was given. */
static void add_origin(const across *a, size_t from, double (*curve)[SB_MAX_WEEDS])
{
    static const struct {
        const char *class_name;
        void (*draw)(const across *a, const origin *o, sb_pen *pen);
    } paths[] = {{"origin", draw_carried}, {"given", draw_given}};
    origin origins[SB_MAX_WEEDS];
    int n = 0;
    for (int lane = 0; lane < a->ribbon->page->n_weeds; lane++)
        n += find_origin(a, from, lane, curve, &origins[n]);
    for (size_t p = 0; n > 0 && p < sizeof paths / sizeof *paths; p++) {
        sb_pen pen = {.text = a->text};
        sb_text_addf(a->text, "<path class=\"%s\" data-o=\"", paths[p].class_name);
        sb_page_key(a->text, a->ribbon->number, a->boxes[from].stop);
        sb_text_addf(a->text, "\" d=\"");
        for (int i = 0; i < n; i++)
            paths[p].draw(a, &origins[i], &pen);
        sb_text_addf(a->text, "\"/>");
    }
}

/* @return false: no memory */
static bool add_origins(const across *a)
{
    const sb_ribbon *ribbon = a->ribbon;
    const sb_route *route = ribbon->route;
    double(*curve)[SB_MAX_WEEDS] = sb_alloc(route->n_stops * SB_ORIGIN_POINTS, sizeof *curve);
    if (curve == NULL)
        return false;
    for (size_t from = 0; from < a->n_boxes; from++) {
        if (a->boxes[from].kind != STOP)
            continue;
        sb_origin_curve(ribbon->page->season, route, a->boxes[from].stop, ribbon->passages, curve);
        add_origin(a, from, curve);
    }
    sb_free(curve);
    return true;
}

/* The place of the next date that must be told, from box i on: that after a wait. */
static double next_told_date(const across *a, size_t i)
{
    for (; i + 1 < a->n_boxes; i++)
        if (a->boxes[i].kind == WAIT)
            return a->boxes[i].x + a->boxes[i].width;
    return INFINITY;
}

/* Dates below the stops where there is room: the day on which cutting starts. */
static void add_dates(const across *a)
{
    const sb_route *route = a->ribbon->route;
    const sb_calendar *calendar = &a->ribbon->page->season->setup.calendar;
    double free_from = 0;
    int shown = SB_NO_DAY;
    for (size_t i = 0; i < a->n_boxes; i++) {
        const box *b = &a->boxes[i];
        if (b->kind != STOP || b->x < free_from || b->x + DATE > next_told_date(a, i) ||
            !isfinite(route->stops[b->stop].arrive_h))
            continue;
        int day = sb_calendar_day(calendar, route->stops[b->stop].arrive_h, false);
        if (day == shown)
            continue;
        shown = day;
        free_from = b->x + DATE;
        sb_text_addf(a->text,
                     "<path class=\"rule\" d=\"M%.1f %.1fv8\"/><text class=\"tiny\" x=\"%.1f\" "
                     "y=\"%.1f\">",
                     b->x, a->height - FOOT, b->x + 2, a->height - 6);
        sb_words_day(a->text, day);
        sb_text_addf(a->text, "</text>\n");
    }
}

/* Below the line the scale is the same as above; the lanes are as deep as they need to be. */
static double depth_of_lanes(const across *a)
{
    const sb_route *route = a->ribbon->route;
    double most = 0;
    for (size_t i = 0; i < route->n_stops; i++)
        for (int k = 0; k < a->ribbon->page->n_weeds; k++)
            most = fmax(most, route->stops[i].trace.ground[a->ribbon->page->weeds[k]]);
    return height_of(a, most) + NUMBER;
}

static bool draw(across *a)
{
    int lanes = a->ribbon->page->n_weeds;
    size_t number = a->ribbon->number + 1;
    a->down = depth_of_lanes(a);
    a->height = HEAD + lanes * (UP + a->down) + fmax(lanes - 1, 0) * LANE_GAP + FOOT;
    sb_html_open_scroll(a->text, "Ribbon", "wide-only");
    sb_text_addf(a->text,
                 "<svg class=\"ribbon%s\" width=\"%.0f\" viewBox=\"0 0 %.0f %.0f\" "
                 "role=\"group\" aria-labelledby=\"r%zu-title r%zu-text\"><title id=\"r%zu-title\">"
                 "Season ribbon</title><desc id=\"r%zu-text\">Stops in cutting order, as wide as "
                 "their hours: seeds in the machine above each line, seeds brought to the field "
                 "below it. The list of stops gives the same numbers.</desc>\n",
                 a->width > WIDTH ? " long" : "", a->width, a->width, a->height, number, number,
                 number, number);
    for (size_t i = 0; i < a->n_boxes; i++)
        if (a->boxes[i].kind == STOP)
            add_stop(a, &a->boxes[i]);
    for (int lane = 0; lane < lanes; lane++) {
        add_axis(a, lane);
        add_load_areas(a, lane, false);
        add_load_areas(a, lane, true);
        add_received(a, lane);
    }
    for (size_t i = 0; i < a->n_boxes; i++)
        if (a->boxes[i].kind == CLEANOUT)
            add_break(a, &a->boxes[i]);
        else if (a->boxes[i].kind == WAIT)
            add_tear(a, &a->boxes[i]);
    bool fine = add_origins(a);
    add_dates(a);
    sb_text_addf(a->text, "</svg></div>\n");
    return fine;
}

void sb_svg_ribbon(const sb_ribbon *ribbon, sb_text *text)
{
    across a = {.ribbon = ribbon, .text = text};
    a.boxes = sb_alloc(4 * ribbon->route->n_stops + 2, sizeof *a.boxes);
    if (a.boxes == NULL) {
        text->failed = true;
        return;
    }
    collect_boxes(&a);
    lay_out(&a);
    text->failed |= !draw(&a);
    sb_free(a.boxes);
}
