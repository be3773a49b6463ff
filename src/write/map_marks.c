/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/map_marks.h"

#include <math.h>

#include "base/mem.h"
#include "write/columns.h"
#include "write/html_text.h"
#include "write/receipts.h"
#include "write/words.h"

#define COLUMNS 18 /* of a name or a rating on a map as wide as WIDE */
#define HALF 9.5   /* of the height of a mark */
#define NARROW_COLUMNS 12
#define NARROW_HALF 7.2
#define WIDE 800.0
#define DIGIT 7.4 /* of a number in a mark */
#define RATING_SIZE 10.5
#define ROUNDS 60 /* of moving marks apart; a few do */
#define NAME_HEIGHT 13.0
#define RATING_HEIGHT 11.0
#define RANGES 2 /* shown in a mark that stands for several stops */

static bool overlap(const sb_room *a, const sb_room *b)
{
    return a->left < b->right && b->left < a->right && a->top < b->bottom && b->top < a->bottom;
}

static sb_room around(sb_point centre, double half_width, double half_height)
{
    return (sb_room){centre.x - half_width, centre.y - half_height, centre.x + half_width,
                     centre.y + half_height};
}

/* ---- Marks ---- */

/* Where a route's stops begin in mark_of. */
static size_t first_stop(const sb_map_marks *marks, size_t route)
{
    size_t n = 0;
    for (size_t r = 0; r < route; r++)
        n += marks->page->plan->routes[r].n_stops;
    return n;
}

const sb_mark *sb_mark_of(const sb_map_marks *marks, size_t route, size_t i)
{
    return &marks->marks[marks->mark_of[first_stop(marks, route) + i]];
}

/* "7", "24–43", "2–4, 14 …": the stops of a mark, from 1. */
static void add_numbers(const sb_map_marks *marks, size_t m, sb_text *text)
{
    const size_t *of = marks->mark_of + first_stop(marks, marks->marks[m].route);
    size_t n = marks->page->plan->routes[marks->marks[m].route].n_stops;
    int ranges = 0;
    for (size_t i = 0; i < n; i++) {
        if (of[i] != m)
            continue;
        size_t last = i;
        while (last + 1 < n && of[last + 1] == m)
            last++;
        if (ranges++ == RANGES) {
            sb_text_addf(text, " …");
            return;
        }
        sb_text_addf(text, ranges > 1 ? ", " : "");
        sb_page_number(text, marks->page, marks->marks[m].route, i);
        if (last > i)
            sb_text_addf(text, last == i + 1 ? ", %zu" : "–%zu", last + 1);
        i = last;
    }
}

static bool fit_width(sb_map_marks *marks, size_t m)
{
    sb_text numbers = {0};
    add_numbers(marks, m, &numbers);
    double wanted =
        sb_columns_width(sb_text_get(&numbers)) * DIGIT / 2 * marks->half_height / HALF + 3;
    bool fine = !numbers.failed;
    sb_text_release(&numbers);
    marks->marks[m].half_width = fmax(wanted, marks->half_height);
    return fine;
}

/* Mark b becomes part of mark a, which stands in the middle of all its stops. */
static bool merge(sb_map_marks *marks, size_t a, size_t b)
{
    sb_mark *into = &marks->marks[a], *from = &marks->marks[b];
    double n = (double)(into->n_stops + from->n_stops);
    into->at.x += (from->at.x - into->at.x) * (double)from->n_stops / n;
    into->at.y += (from->at.y - into->at.y) * (double)from->n_stops / n;
    into->n_stops += from->n_stops;
    into->first = into->first < from->first ? into->first : from->first;
    from->n_stops = 0;
    size_t *of = marks->mark_of + first_stop(marks, into->route);
    for (size_t i = 0; i < marks->page->plan->routes[into->route].n_stops; i++)
        of[i] = of[i] == b ? a : of[i];
    return fit_width(marks, a);
}

/* Merges marks of one machine until none lies on another. */
static bool merge_all(sb_map_marks *marks)
{
    for (bool changed = true; changed;) {
        changed = false;
        for (size_t a = 0; a < marks->n_marks; a++)
            for (size_t b = a + 1; b < marks->n_marks; b++) {
                const sb_mark *one = &marks->marks[a], *other = &marks->marks[b];
                if (one->n_stops == 0 || other->n_stops == 0 || one->route != other->route)
                    continue;
                sb_room first = around(one->at, one->half_width, marks->half_height);
                sb_room second = around(other->at, other->half_width, marks->half_height);
                if (!overlap(&first, &second))
                    continue;
                if (!merge(marks, a, b))
                    return false;
                changed = true;
            }
    }
    return true;
}

/* How far a box must move right or left, down or up, to leave another: along the shorter way. */
static sb_point way_out(const sb_room *box, const sb_room *other)
{
    double right = other->right - box->left, left = box->right - other->left;
    double down = other->bottom - box->top, up = box->bottom - other->top;
    sb_point way = {right < left ? right : -left, down < up ? down : -up};
    if (fabs(way.x) < fabs(way.y))
        way.y = 0;
    else
        way.x = 0;
    return way;
}

static sb_room room_of(const sb_map_marks *marks, const sb_mark *mark)
{
    return around(mark->at, mark->half_width, marks->half_height);
}

/* Moves a mark off a yard, which stays. */
static bool leave_yards(const sb_map_marks *marks, const sb_projection *projection, sb_mark *mark)
{
    const sb_season *season = marks->page->season;
    bool moved = false;
    for (size_t y = 0; y < season->n_yards; y++) {
        sb_room yard = around(sb_project(projection, season->yards[y].place),
                              SB_YARD_HALF_WIDTH + 1, SB_YARD_HALF_HEIGHT + 1);
        sb_room room = room_of(marks, mark);
        if (!overlap(&room, &yard))
            continue;
        sb_point way = way_out(&room, &yard);
        mark->at.x += way.x;
        mark->at.y += way.y;
        moved = true;
    }
    return moved;
}

/* Moves two marks that lie on each other half the way each. */
static bool part(const sb_map_marks *marks, sb_mark *one, sb_mark *other)
{
    sb_room first = room_of(marks, one), second = room_of(marks, other);
    if (!overlap(&first, &second))
        return false;
    sb_point way = way_out(&first, &second);
    one->at.x += way.x * 0.51;
    one->at.y += way.y * 0.51;
    other->at.x -= way.x * 0.51;
    other->at.y -= way.y * 0.51;
    return true;
}

static void move_apart(sb_map_marks *marks, const sb_projection *projection)
{
    bool moved = true;
    for (int round = 0; moved && round < ROUNDS; round++) {
        moved = false;
        for (size_t a = 0; a < marks->n_marks; a++) {
            sb_mark *mark = &marks->marks[a];
            if (mark->n_stops == 0)
                continue;
            for (size_t b = 0; b < a; b++)
                if (marks->marks[b].n_stops > 0)
                    moved |= part(marks, mark, &marks->marks[b]);
            moved |= leave_yards(marks, projection, mark);
        }
    }
}

sb_status sb_map_marks_init(const sb_page *page, const sb_projection *projection,
                            sb_map_marks *marks)
{
    const sb_plan *plan = page->plan;
    *marks = (sb_map_marks){.page = page,
                            .width = projection->width,
                            .height = projection->height,
                            .columns = projection->width < WIDE ? NARROW_COLUMNS : COLUMNS,
                            .half_height = projection->width < WIDE ? NARROW_HALF : HALF};
    size_t n = first_stop(marks, plan->n_routes);
    marks->marks = sb_alloc(n, sizeof *marks->marks);
    marks->mark_of = sb_alloc(n, sizeof *marks->mark_of);
    if (marks->marks == NULL || marks->mark_of == NULL)
        return SB_ERR_NOMEM;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < plan->routes[r].n_stops; i++, marks->n_marks++) {
            const sb_field *field = &page->season->fields[plan->routes[r].stops[i].field];
            marks->mark_of[marks->n_marks] = marks->n_marks;
            marks->marks[marks->n_marks] = (sb_mark){.route = r,
                                                     .first = i,
                                                     .n_stops = 1,
                                                     .at = sb_project(projection, field->place),
                                                     .half_width = marks->half_height};
        }
    for (size_t m = 0; m < n; m++)
        if (!fit_width(marks, m))
            return SB_ERR_NOMEM;
    if (!merge_all(marks))
        return SB_ERR_NOMEM;
    move_apart(marks, projection);
    for (size_t m = 0; m < n; m++)
        if (marks->marks[m].n_stops > 0 &&
            !sb_map_marks_avoid(marks, marks->marks[m].at, marks->marks[m].half_width,
                                marks->half_height))
            return SB_ERR_NOMEM;
    return SB_OK;
}

void sb_map_marks_release(sb_map_marks *marks)
{
    sb_free(marks->marks);
    sb_free(marks->mark_of);
    sb_free(marks->taken.items);
    *marks = (sb_map_marks){0};
}

/* ---- Names ---- */

bool sb_map_marks_avoid(sb_map_marks *marks, sb_point centre, double half_width, double half_height)
{
    return SB_PUSH(&marks->taken, around(centre, half_width, half_height));
}

static bool is_free(const sb_map_marks *marks, const sb_room *box)
{
    if (box->left < 0 || box->top < 0 || box->right > marks->width || box->bottom > marks->height)
        return false;
    for (size_t i = 0; i < marks->taken.count; i++)
        if (overlap(box, &marks->taken.items[i]))
            return false;
    return true;
}

bool sb_map_marks_find(sb_map_marks *marks, sb_point at, double half_width, double half_height,
                       double width, double height, sb_room *box, sb_side *side)
{
    const sb_point centres[] = {[SB_BELOW] = {at.x, at.y + half_height + 1 + height / 2},
                                [SB_ABOVE] = {at.x, at.y - half_height - 1 - height / 2},
                                [SB_RIGHT] = {at.x + half_width + 3 + width / 2, at.y},
                                [SB_LEFT] = {at.x - half_width - 3 - width / 2, at.y}};
    for (int s = 0; s < SB_N_SIDES; s++) {
        *box = around(centres[s], width / 2, height / 2);
        *side = (sb_side)s;
        if (is_free(marks, box))
            return SB_PUSH(&marks->taken, *box);
    }
    *box = (sb_room){0};
    return true;
}

static const sb_field *field_of(const sb_map_marks *marks, const sb_mark *mark, size_t i)
{
    const sb_route *route = &marks->page->plan->routes[mark->route];
    return &marks->page->season->fields[route->stops[i].field];
}

/* "Kochia 3", nothing when no weed was found. */
static void add_rating(const sb_season *season, const sb_field *field, sb_text *text)
{
    int f = (int)(field - season->fields), weed = sb_worst_weed(season, f);
    if (sb_worst_class(season, f) > 0)
        sb_text_addf(text, "%s %s", season->setup.weeds[weed].name,
                     season->setup.scale.labels[sb_worst_class(season, f)]);
}

/* A name with its rating, or else without. */
static bool name_mark(sb_map_marks *marks, sb_mark *mark)
{
    const sb_field *field = field_of(marks, mark, mark->first);
    double width = sb_svg_name_width(field->name, marks->columns, SB_NAME_SIZE);
    sb_text rating = {0};
    add_rating(marks->page->season, field, &rating);
    bool fine = !rating.failed;
    if (fine && rating.count > 0) {
        double wanted =
            fmax(width, sb_svg_name_width(sb_text_get(&rating), marks->columns, RATING_SIZE));
        fine = sb_map_marks_find(marks, mark->at, mark->half_width, marks->half_height, wanted,
                                 NAME_HEIGHT + RATING_HEIGHT, &mark->label, &mark->side);
        mark->rated = mark->label.right > mark->label.left;
    }
    if (fine && !mark->rated)
        fine = sb_map_marks_find(marks, mark->at, mark->half_width, marks->half_height, width,
                                 NAME_HEIGHT, &mark->label, &mark->side);
    sb_text_release(&rating);
    return fine;
}

bool sb_map_marks_name(sb_map_marks *marks)
{
    for (size_t m = 0; m < marks->n_marks; m++)
        if (marks->marks[m].n_stops == 1 && !name_mark(marks, &marks->marks[m]))
            return false;
    return true;
}

/* ---- Drawing ---- */

void sb_label_draw(const sb_room *box, sb_side side, const char *class_name, double baseline,
                   const char *name, int columns, sb_text *text)
{
    static const char *const anchors[] = {" mid", " mid", "", " end"};
    double x = side == SB_RIGHT  ? box->left
               : side == SB_LEFT ? box->right
                                 : (box->left + box->right) / 2;
    sb_text_addf(text, "<text class=\"%s%s\" x=\"%.1f\" y=\"%.1f\">", class_name, anchors[side], x,
                 box->top + baseline);
    sb_svg_name(text, name, columns);
    sb_text_addf(text, "</text>\n");
}

static void draw_label(const sb_map_marks *marks, const sb_mark *mark, sb_text *text)
{
    const sb_field *field = field_of(marks, mark, mark->first);
    sb_label_draw(&mark->label, mark->side, "halo", 10.5, field->name, marks->columns, text);
    if (!mark->rated)
        return;
    sb_text rating = {0};
    add_rating(marks->page->season, field, &rating);
    sb_label_draw(&mark->label, mark->side, "halo rate", NAME_HEIGHT + 8.5, sb_text_get(&rating),
                  marks->columns, text);
    text->failed |= rating.failed;
    sb_text_release(&rating);
}

/* Carries the keys of all stops where the mark stands for several. */
static void draw_link(const sb_map_marks *marks, size_t m, sb_text *text)
{
    const sb_mark *mark = &marks->marks[m];
    const size_t *of = marks->mark_of + first_stop(marks, mark->route);
    sb_text_addf(text, "<a href=\"#s");
    sb_page_key(text, mark->route, mark->first);
    if (mark->n_stops > 1) {
        sb_text_addf(text, "\" data-s=\"");
        bool any = false;
        for (size_t i = 0; i < marks->page->plan->routes[mark->route].n_stops; i++) {
            if (of[i] != m)
                continue;
            sb_text_addf(text, any ? " " : "");
            sb_page_key(text, mark->route, i);
            any = true;
        }
        sb_text_addf(text, "\">");
        return;
    }
    sb_text_addf(text, "\"><title>");
    sb_svg_title_name(text, field_of(marks, mark, mark->first)->name);
    sb_text_addf(text, "</title>");
}

/* Longer than high where it holds more than a number or two. */
static void draw_disc(const sb_map_marks *marks, const sb_mark *mark, sb_text *text)
{
    if (mark->half_width > marks->half_height)
        sb_text_addf(text,
                     "<rect class=\"disc\" x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" "
                     "height=\"%.1f\" rx=\"%.1f\"/>",
                     mark->at.x - mark->half_width, mark->at.y - marks->half_height,
                     2 * mark->half_width, 2 * marks->half_height, marks->half_height);
    else
        sb_text_addf(text, "<circle class=\"disc\" cx=\"%.1f\" cy=\"%.1f\" r=\"%.1f\"/>",
                     mark->at.x, mark->at.y, marks->half_height);
}

void sb_map_marks_draw(const sb_map_marks *marks, sb_text *text)
{
    for (size_t m = 0; m < marks->n_marks; m++) {
        const sb_mark *mark = &marks->marks[m];
        if (mark->n_stops == 0)
            continue;
        draw_link(marks, m, text);
        draw_disc(marks, mark, text);
        sb_text_addf(text, "<text class=\"number%s\" x=\"%.1f\" y=\"%.1f\">",
                     marks->half_height < HALF ? " dense" : "", mark->at.x, mark->at.y + 3.7);
        add_numbers(marks, m, text);
        sb_text_addf(text, "</text></a>\n");
        if (mark->label.right > mark->label.left)
            draw_label(marks, mark, text);
    }
}

bool sb_map_marks_all_named(const sb_map_marks *marks)
{
    for (size_t m = 0; m < marks->n_marks; m++)
        if (!(marks->marks[m].label.right > marks->marks[m].label.left))
            return false;
    return true;
}

static void list_stop(const sb_page *page, size_t r, size_t i, sb_text *text)
{
    const sb_season *season = page->season;
    const sb_stop *stop = &page->plan->routes[r].stops[i];
    sb_text rating = {0};
    add_rating(season, &season->fields[stop->field], &rating);
    sb_text_addf(text, "<li><b>");
    sb_page_number(text, page, r, i);
    sb_text_addf(text, "</b> <a href=\"#s");
    sb_page_key(text, r, i);
    sb_text_addf(text, "\">");
    sb_html_name(text, season->fields[stop->field].name);
    sb_text_addf(text, "</a>%s", rating.count > 0 ? " <small>" : "");
    sb_html_escape(text, sb_text_get(&rating));
    sb_text_addf(text, "%s%s\n", rating.count > 0 ? "</small>" : "",
                 stop->cleanout > 0 ? " <i>◆</i>" : "");
    text->failed |= rating.failed;
    sb_text_release(&rating);
}

void sb_map_list(const sb_page *page, sb_text *text)
{
    const sb_plan *plan = page->plan;
    sb_text_addf(text, "<p>Not every name has room on the map: here are all, with the worst rating "
                       "and ◆ for a cleanout before the move.</p>\n");
    for (size_t r = 0; r < plan->n_routes; r++) {
        if (plan->routes[r].n_stops == 0)
            continue;
        if (plan->n_routes > 1) {
            sb_text_addf(text, "<p><b>");
            sb_html_name(text, page->season->setup.machines[plan->routes[r].machine].name);
            sb_text_addf(text, "</b></p>");
        }
        sb_text_addf(text, "<ul class=\"places\">\n");
        for (size_t i = 0; i < plan->routes[r].n_stops; i++)
            list_stop(page, r, i, text);
        sb_text_addf(text, "</ul>\n");
    }
}
