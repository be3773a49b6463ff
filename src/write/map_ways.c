/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/map_ways.h"
#include "write/words.h"

#include <math.h>

#include "base/mem.h"

/* How far a move bends to the right of the straight way, share of its length. */
#define BULGE 0.07
#define ARROW 5.5   /* units: half the size of the arrow in the middle */
#define DIAMOND 7.0 /* of a cleanout's sign */
#define TRIED 18    /* places for it along a move */
#define NEXT 0.07   /* what each further one costs, to stay near the start */
#define DOUBLE 1    /* kind of line that has paper between its edges */
/* The letter beside a long move. */
#define LONG_WAY 90.0
#define BESIDE_WAY 11.0
#define LETTER_HALF_WIDTH 6.5
#define LETTER_HALF_HEIGHT 7.0
#define MOST_HIDDEN 0.3 /* of a field, by a letter */

sb_lonlat sb_place_after(const sb_season *season, const sb_route *route, size_t i)
{
    return i < route->n_stops ? season->fields[route->stops[i].field].place
                              : season->yards[season->joins[route->machine].yard].place;
}

sb_lonlat sb_place_at_start(const sb_season *season, const sb_route *route)
{
    return season->yards[season->joins[route->machine].start].place;
}

/* A curve of two halves that bend alike. */
typedef struct way {
    sb_point from, first, middle, second, to;
} way;

/* To the right of the straight way, so that there and back lie side by side. */
static way way_between(sb_point a, sb_point b)
{
    sb_point bend = {(a.x + b.x) / 2 - (b.y - a.y) * BULGE * 2,
                     (a.y + b.y) / 2 + (b.x - a.x) * BULGE * 2};
    way w = {.from = a,
             .first = {(a.x + bend.x) / 2, (a.y + bend.y) / 2},
             .second = {(bend.x + b.x) / 2, (bend.y + b.y) / 2},
             .to = b};
    w.middle = (sb_point){(w.first.x + w.second.x) / 2, (w.first.y + w.second.y) / 2};
    return w;
}

static double between(double a, double b, double c, double t)
{
    return (1 - t) * (1 - t) * a + 2 * t * (1 - t) * b + t * t * c;
}

/* The point at a share of the way. */
static sb_point point_at(const way *w, double share)
{
    sb_point a = share < 0.5 ? w->from : w->middle, b = share < 0.5 ? w->first : w->second;
    sb_point c = share < 0.5 ? w->middle : w->to;
    double t = share < 0.5 ? 2 * share : 2 * share - 1;
    return (sb_point){between(a.x, b.x, c.x, t), between(a.y, b.y, c.y, t)};
}

static sb_map_line line_of(const way *w)
{
    sb_map_line line = {.bounds = sb_map_box_around(w->from, 0, 0)};
    for (int i = 0; i <= SB_LINE_PIECES; i++) {
        line.points[i] = point_at(w, (double)i / SB_LINE_PIECES);
        sb_map_box_add(&line.bounds, line.points[i]);
    }
    return line;
}

/* The way of move i of a route. @return false: it is not shown */
static bool find_way(const sb_map_marks *marks, const sb_projection *projection, size_t r, size_t i,
                     way *w)
{
    const sb_season *season = marks->page->season;
    const sb_route *route = &marks->page->plan->routes[r];
    const sb_mark *last = i > 0 ? sb_mark_of(marks, r, i - 1) : NULL;
    const sb_mark *next = i < route->n_stops ? sb_mark_of(marks, r, i) : NULL;
    sb_point from =
        last != NULL ? last->place : sb_project(projection, sb_place_at_start(season, route));
    sb_point to =
        next != NULL ? next->place : sb_project(projection, sb_place_after(season, route, i));
    *w = way_between(from, to);
    return last == NULL || last != next;
}

static size_t n_moves(const sb_route *route)
{
    return route->n_stops > 0 ? route->n_stops + 1 : 0;
}

bool sb_map_ways_lay(const sb_map_marks *marks, const sb_projection *projection, sb_map_room *room)
{
    const sb_plan *plan = marks->page->plan;
    way w;
    room->lines.count = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < n_moves(&plan->routes[r]); i++)
            if (find_way(marks, projection, r, i, &w) && !SB_PUSH(&room->lines, line_of(&w)))
                return false;
    return true;
}

void sb_map_route_line(const sb_page *page, size_t route, const char *key, const char *path,
                       sb_text *text)
{
    size_t kind = route % SB_KINDS_OF_LINE;
    sb_text_addf(text, "<path class=\"move");
    if (page->plan->n_routes > 1)
        sb_text_addf(text, " way%zu", kind);
    sb_text_addf(text, "\"");
    if (*key != '\0')
        sb_text_addf(text, " data-s=\"%s\"", key);
    sb_text_addf(text, " d=\"%s\"/>", path);
    if (kind == DOUBLE)
        sb_text_addf(text, "<path class=\"between\" d=\"%s\"/>", path);
}

static void draw_way(const sb_page *page, const way *w, size_t r, size_t i, sb_text *text)
{
    sb_text key = {0}, d = {0};
    sb_page_key(&key, r, i);
    sb_text_addf(&d, "M%.0f %.0fQ%.0f %.0f %.0f %.0fT%.0f %.0f", w->from.x, w->from.y, w->first.x,
                 w->first.y, w->middle.x, w->middle.y, w->to.x, w->to.y);
    sb_map_route_line(page, r, sb_text_get(&key), sb_text_get(&d), text);
    sb_text_addf(text, "\n");
    text->failed |= key.failed || d.failed;
    sb_text_release(&key);
    sb_text_release(&d);
}

/* A letter beside a move: right or left of it, never under another thing nor on another way. */
static bool draw_letter(const way *w, char letter, sb_map_room *room, sb_text *text)
{
    static const double shares[] = {0.32, 0.68, 0.4, 0.6, 0.24, 0.76};
    double length = hypot(w->to.x - w->from.x, w->to.y - w->from.y);
    sb_map_box best = {0};
    double least = MOST_HIDDEN;
    if (length < LONG_WAY * room->sign)
        return true;
    for (size_t s = 0; s < sizeof shares / sizeof *shares; s++)
        for (int side = -1; side <= 1; side += 2) {
            sb_point on = point_at(w, shares[s]), next = point_at(w, shares[s] + 0.01);
            double step = hypot(next.x - on.x, next.y - on.y), off = side * BESIDE_WAY / step;
            sb_point at = {on.x - (next.y - on.y) * off, on.y + (next.x - on.x) * off};
            sb_map_box box = sb_map_box_around(at, LETTER_HALF_WIDTH, LETTER_HALF_HEIGHT);
            double cost = sb_map_room_cost(room, &box, least);
            if (cost < least) {
                least = cost;
                best = box;
            }
        }
    if (!(best.right > best.left))
        return true;
    sb_text_addf(text, "<text class=\"way\" x=\"%.1f\" y=\"%.1f\">%c</text>\n",
                 (best.left + best.right) / 2, best.bottom - 2, letter);
    return SB_PUSH(&room->taken, best);
}

bool sb_map_letters_draw(const sb_map_marks *marks, const sb_projection *projection,
                         sb_map_room *room, sb_text *text)
{
    const sb_plan *plan = marks->page->plan;
    way w;
    for (size_t r = 0; r < plan->n_routes; r++) {
        char letter = sb_words_letter(plan->n_routes, r);
        for (size_t i = 0; letter && i < n_moves(&plan->routes[r]); i++)
            if (find_way(marks, projection, r, i, &w) && !draw_letter(&w, letter, room, text))
                return false;
    }
    return true;
}

/* A cleanout's sign near the start of its move, off fields, marks and arrows; where there is no
 * such place, near the start anyhow. @return false: no memory */
static bool draw_cleanout(const way *w, size_t r, size_t i, sb_map_room *room, sb_text *text)
{
    double half = DIAMOND * room->sign;
    sb_map_box arrow = sb_map_box_around(w->middle, ARROW, ARROW);
    sb_point at = point_at(w, 0.2);
    double least = INFINITY;
    for (int tried = 1; tried < TRIED; tried++) {
        sb_point p = point_at(w, (double)tried / TRIED);
        sb_map_box box = sb_map_box_around(p, half, half);
        double cost = sb_map_room_cost(room, &box, least) + NEXT * tried;
        if (sb_map_box_meets(&box, &arrow) || !(cost < least))
            continue;
        least = cost;
        at = p;
    }
    sb_text_addf(text, "<path class=\"clean\" data-s=\"");
    sb_page_key(text, r, i);
    sb_text_addf(text, "\" d=\"M%.1f %.1fl%.1f %.1f-%.1f %.1f-%.1f-%.1fz\"/>\n", at.x, at.y - half,
                 half, half, half, half, half, half);
    sb_map_box box = sb_map_box_around(at, half, half);
    return !(least < INFINITY) || SB_PUSH(&room->taken, box);
}

void sb_map_ways_draw(const sb_map_marks *marks, const sb_projection *projection, sb_text *text)
{
    const sb_plan *plan = marks->page->plan;
    way w;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < n_moves(&plan->routes[r]); i++)
            if (find_way(marks, projection, r, i, &w))
                draw_way(marks->page, &w, r, i, text);
}

bool sb_map_cleanouts_draw(const sb_map_marks *marks, const sb_projection *projection,
                           sb_map_room *room, sb_text *text)
{
    const sb_plan *plan = marks->page->plan;
    way w;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < n_moves(&plan->routes[r]); i++) {
            const sb_route *route = &plan->routes[r];
            if (i == route->n_stops || !(route->stops[i].cleanout > 0) ||
                !find_way(marks, projection, r, i, &w))
                continue;
            if (!draw_cleanout(&w, r, i, room, text))
                return false;
        }
    return true;
}
