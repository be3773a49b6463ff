/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/map_marks.h"

#include <math.h>

#include "base/mem.h"
#include "write/columns.h"
#include "write/field_shape.h"
#include "write/html_text.h"
#include "write/receipts.h"
#include "write/words.h"

#define COLUMNS 18 /* of a name or a rating on a map as wide as SB_WIDE_MAP */
#define HALF 9.5   /* of the height of a mark */
#define NARROW_COLUMNS 12
#define NARROW_HALF 8.0
#define DIGIT 7.4 /* of a number in a mark, .number in page.css */
#define RATING_SIZE 11.0
#define ROUNDS 60 /* of moving marks apart; a few do */
#define NAME_HEIGHT 13.0
#define RATING_HEIGHT 12.0
#define RANGES 2        /* shown in a mark that stands for several stops */
#define MUCH_LARGER 2.6 /* than its mark: the field that has it inside */
#define TOO_NEAR 0.3    /* of marks: nearer fields share one */
#define NEXT_PLACE 0.05 /* what each further place beside a thing costs, to choose the first */

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
    double wanted = sb_columns_width(sb_text_get(&numbers)) * DIGIT / 2 + 3.5;
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
    into->place.x += (from->place.x - into->place.x) * (double)from->n_stops / n;
    into->place.y += (from->place.y - into->place.y) * (double)from->n_stops / n;
    into->at = into->place;
    into->shape = sb_map_box_both(&into->shape, &from->shape);
    into->n_stops += from->n_stops;
    into->first = into->first < from->first ? into->first : from->first;
    from->n_stops = 0;
    size_t *of = marks->mark_of + first_stop(marks, into->route);
    for (size_t i = 0; i < marks->page->plan->routes[into->route].n_stops; i++)
        of[i] = of[i] == b ? a : of[i];
    return fit_width(marks, a);
}

/* Merges marks of one machine whose boxes, this much smaller, lie on each other, until there are
 * none. */
static bool merge_all(sb_map_marks *marks, double share)
{
    for (bool changed = true; changed;) {
        changed = false;
        for (size_t a = 0; a < marks->n_marks; a++)
            for (size_t b = a + 1; b < marks->n_marks; b++) {
                const sb_mark *one = &marks->marks[a], *other = &marks->marks[b];
                if (one->n_stops == 0 || other->n_stops == 0 || one->route != other->route)
                    continue;
                double half_height = marks->half_height * share;
                sb_map_box first = sb_map_box_around(one->at, one->half_width * share, half_height);
                sb_map_box second =
                    sb_map_box_around(other->at, other->half_width * share, half_height);
                if (!sb_map_box_meets(&first, &second))
                    continue;
                if (!merge(marks, a, b))
                    return false;
                changed = true;
            }
    }
    return true;
}

/* How far a box must move right or left, down or up, to leave another: along the shorter way. */
static sb_point way_out(const sb_map_box *box, const sb_map_box *other)
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

static sb_map_box room_of(const sb_map_marks *marks, const sb_mark *mark)
{
    return sb_map_box_around(mark->at, mark->half_width, marks->half_height);
}

/* Moves a mark off a yard, which stays. */
static bool leave_yards(const sb_map_marks *marks, const sb_projection *projection, sb_mark *mark)
{
    const sb_season *season = marks->page->season;
    bool moved = false;
    for (size_t y = 0; y < season->n_yards; y++) {
        sb_map_box yard = sb_map_box_around(sb_project(projection, season->yards[y].place),
                                            SB_YARD_HALF_WIDTH * marks->room->sign + 1,
                                            SB_YARD_HALF_HEIGHT * marks->room->sign + 1);
        sb_map_box room = room_of(marks, mark);
        if (!sb_map_box_meets(&room, &yard))
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
    sb_map_box first = room_of(marks, one), second = room_of(marks, other);
    if (!sb_map_box_meets(&first, &second))
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

/* ---- Where they stand ---- */

sb_status sb_map_marks_init(const sb_page *page, const sb_projection *projection, sb_map_room *room,
                            sb_map_marks *marks)
{
    const sb_plan *plan = page->plan;
    bool narrow = projection->width < SB_WIDE_MAP;
    *marks = (sb_map_marks){.page = page,
                            .room = room,
                            .columns = narrow ? NARROW_COLUMNS : COLUMNS,
                            .half_height = narrow ? NARROW_HALF : HALF};
    size_t n = first_stop(marks, plan->n_routes);
    marks->marks = sb_alloc(n, sizeof *marks->marks);
    marks->mark_of = sb_alloc(n, sizeof *marks->mark_of);
    if (marks->marks == NULL || marks->mark_of == NULL)
        return SB_ERR_NOMEM;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < plan->routes[r].n_stops; i++, marks->n_marks++) {
            const sb_field *field = &page->season->fields[plan->routes[r].stops[i].field];
            sb_point place = sb_project(projection, field->place);
            marks->mark_of[marks->n_marks] = marks->n_marks;
            marks->marks[marks->n_marks] =
                (sb_mark){.route = r,
                          .first = i,
                          .n_stops = 1,
                          .place = place,
                          .at = place,
                          .shape = sb_field_shape_on(projection, field).box,
                          .half_width = marks->half_height};
        }
    for (size_t m = 0; m < n; m++)
        if (!fit_width(marks, m))
            return SB_ERR_NOMEM;
    return merge_all(marks, TOO_NEAR) ? SB_OK : SB_ERR_NOMEM;
}

void sb_map_marks_release(sb_map_marks *marks)
{
    sb_free(marks->marks);
    sb_free(marks->mark_of);
    *marks = (sb_map_marks){0};
}

/* Is a field so large that enough of it is seen round its mark? */
static bool is_large(const sb_map_marks *marks, const sb_mark *mark)
{
    return mark->shape.right - mark->shape.left > 2 * MUCH_LARGER * mark->half_width &&
           mark->shape.bottom - mark->shape.top > 2 * MUCH_LARGER * marks->half_height;
}

/* A mark goes beside its field, to where it hides least; or stays on it, where there is no room.
 * @return false: no memory */
static bool settle(sb_map_marks *marks, sb_mark *mark)
{
    static const signed char sides[][2] = {{1, 0},  {-1, 0},  {0, 1}, {0, -1},
                                           {1, -1}, {-1, -1}, {1, 1}, {-1, 1}};
    double half_width = mark->half_width, half_height = marks->half_height;
    sb_point middle = {(mark->shape.left + mark->shape.right) / 2,
                       (mark->shape.top + mark->shape.bottom) / 2};
    double across = (mark->shape.right - mark->shape.left) / 2 + half_width + 1;
    double down = (mark->shape.bottom - mark->shape.top) / 2 + half_height + 1;
    double least = INFINITY;
    sb_map_box box = sb_map_box_around(mark->at, half_width, half_height);
    for (size_t s = 0; !is_large(marks, mark) && s < sizeof sides / sizeof *sides; s++) {
        sb_point at = {middle.x + sides[s][0] * across, middle.y + sides[s][1] * down};
        sb_map_box tried = sb_map_box_around(at, half_width, half_height);
        double cost = sb_map_room_cost(marks->room, &tried, least) + NEXT_PLACE * (double)s;
        if (!(cost < least))
            continue;
        least = cost;
        mark->at = at;
        box = tried;
    }
    return SB_PUSH(&marks->room->taken, box);
}

bool sb_map_marks_settle(sb_map_marks *marks, const sb_projection *projection)
{
    size_t taken = marks->room->taken.count;
    for (size_t m = 0; m < marks->n_marks; m++)
        if (marks->marks[m].n_stops > 0 && !settle(marks, &marks->marks[m]))
            return false;
    if (!merge_all(marks, 1))
        return false;
    move_apart(marks, projection);
    marks->room->taken.count = taken;
    for (size_t m = 0; m < marks->n_marks; m++)
        if (marks->marks[m].n_stops > 0 &&
            !SB_PUSH(&marks->room->taken, room_of(marks, &marks->marks[m])))
            return false;
    return true;
}

/* ---- Names ---- */

/* Where a label may stand beside a thing: its middle at a share of the thing's and its own width
 * and height from the thing's middle. */
static const struct {
    double across, across_own, down, down_own;
    sb_align align;
} places[] = {
    {0, 0, 1, 1, SB_CENTRED},      {0, 0, -1, -1, SB_CENTRED},   {1, 1, 0, 0, SB_FROM_LEFT},
    {-1, -1, 0, 0, SB_TO_RIGHT},   {-1, 1, 1, 1, SB_FROM_LEFT},  {1, -1, 1, 1, SB_TO_RIGHT},
    {-1, 1, -1, -1, SB_FROM_LEFT}, {1, -1, -1, -1, SB_TO_RIGHT}, {1, 1, 1, -1, SB_FROM_LEFT},
    {1, 1, -1, 1, SB_FROM_LEFT},   {-1, -1, 1, -1, SB_TO_RIGHT}, {-1, -1, -1, 1, SB_TO_RIGHT},
    {1, 1, 1, 1, SB_FROM_LEFT},    {1, 1, -1, -1, SB_FROM_LEFT}, {-1, -1, 1, 1, SB_TO_RIGHT},
    {-1, -1, -1, -1, SB_TO_RIGHT},
};

static bool is_placed(const sb_place_beside *place)
{
    return place->box.right > place->box.left;
}

bool sb_map_place_beside(sb_map_room *room, const sb_map_box *thing, double width, double height,
                         bool crossed, sb_place_beside *place)
{
    sb_point middle = {(thing->left + thing->right) / 2, (thing->top + thing->bottom) / 2};
    double half_across = (thing->right - thing->left) / 2 + 3;
    double half_down = (thing->bottom - thing->top) / 2 + 1;
    double least = crossed ? INFINITY : SB_CROSSED;
    *place = (sb_place_beside){0};
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        sb_point at = {middle.x + places[i].across * half_across + places[i].across_own * width / 2,
                       middle.y + places[i].down * half_down + places[i].down_own * height / 2};
        sb_map_box box = sb_map_box_around(at, width / 2, height / 2);
        double cost = sb_map_room_cost(room, &box, least) + NEXT_PLACE * (double)i;
        if (!(cost < least))
            continue;
        least = cost;
        *place = (sb_place_beside){box, places[i].align};
    }
    return !is_placed(place) || SB_PUSH(&room->taken, place->box);
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

/* A name with its rating, or else without: beside field and mark, or inside a large field. */
static bool name_mark(sb_map_marks *marks, sb_mark *mark)
{
    const sb_field *field = field_of(marks, mark, mark->first);
    double width = sb_svg_name_width(field->name, marks->columns, SB_NAME_SIZE);
    sb_text rating = {0};
    add_rating(marks->page->season, field, &rating);
    double wide = fmax(width, sb_svg_name_width(sb_text_get(&rating), marks->columns, RATING_SIZE));
    double high = 2 * (marks->half_height + NAME_HEIGHT + RATING_HEIGHT);
    sb_map_box thing = room_of(marks, mark);
    if (mark->shape.right - mark->shape.left < wide || mark->shape.bottom - mark->shape.top < high)
        thing = sb_map_box_both(&thing, &mark->shape);
    bool fine = !rating.failed;
    if (fine && rating.count > 0) {
        fine = sb_map_place_beside(marks->room, &thing, wide, NAME_HEIGHT + RATING_HEIGHT, false,
                                   &mark->label);
        mark->rated = is_placed(&mark->label);
    }
    if (fine && !mark->rated)
        fine = sb_map_place_beside(marks->room, &thing, width, NAME_HEIGHT, false, &mark->label);
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

void sb_label_draw(const sb_place_beside *place, const char *class_name, double baseline,
                   const char *name, int columns, sb_text *text)
{
    static const char *const anchors[] = {
        [SB_CENTRED] = " mid", [SB_FROM_LEFT] = "", [SB_TO_RIGHT] = " end"};
    double x = place->align == SB_FROM_LEFT  ? place->box.left
               : place->align == SB_TO_RIGHT ? place->box.right
                                             : (place->box.left + place->box.right) / 2;
    sb_text_addf(text, "<text class=\"%s%s\" x=\"%.1f\" y=\"%.1f\">", class_name,
                 anchors[place->align], x, place->box.top + baseline);
    sb_svg_name(text, name, columns);
    sb_text_addf(text, "</text>\n");
}

static void draw_label(const sb_map_marks *marks, const sb_mark *mark, sb_text *text)
{
    const sb_field *field = field_of(marks, mark, mark->first);
    sb_label_draw(&mark->label, "halo", 10.5, field->name, marks->columns, text);
    if (!mark->rated)
        return;
    sb_text rating = {0};
    add_rating(marks->page->season, field, &rating);
    sb_label_draw(&mark->label, "halo rate", NAME_HEIGHT + 8.5, sb_text_get(&rating),
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

void sb_map_mark_draw(size_t route, sb_point at, double half_width, double half_height,
                      sb_text *text)
{
    size_t kind = route % SB_KINDS_OF_LINE;
    bool square = kind == 1 || kind == 2, pale = kind == 1 || kind == 3;
    sb_text_addf(text,
                 "<rect class=\"disc%s\" x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" "
                 "rx=\"%.1f\"/><text class=\"number%s\" x=\"%.1f\" y=\"%.1f\">",
                 pale ? " hollow" : "", at.x - half_width, at.y - half_height, 2 * half_width,
                 2 * half_height, square ? 1.5 : half_height, pale ? " on-hollow" : "", at.x,
                 at.y + 3.9);
}

void sb_map_marks_draw(const sb_map_marks *marks, sb_text *text)
{
    for (size_t m = 0; m < marks->n_marks; m++) {
        const sb_mark *mark = &marks->marks[m];
        if (mark->n_stops == 0)
            continue;
        draw_link(marks, m, text);
        sb_map_mark_draw(mark->route, mark->at, mark->half_width, marks->half_height, text);
        add_numbers(marks, m, text);
        sb_text_addf(text, "</text></a>\n");
        if (is_placed(&mark->label))
            draw_label(marks, mark, text);
    }
}

bool sb_map_marks_names(const sb_map_marks *marks, size_t route, size_t i)
{
    return is_placed(&sb_mark_of(marks, route, i)->label);
}

static const char *class_of(unsigned named)
{
    return named == 1U << SB_PAGE_WIDE     ? " class=\"narrow-only\""
           : named == 1U << SB_PAGE_NARROW ? " class=\"wide-only\""
                                           : "";
}

static void list_stop(const sb_page *page, const sb_page_stop *at, unsigned named, sb_text *text)
{
    const sb_season *season = page->season;
    const sb_stop *stop = &page->plan->routes[at->route].stops[at->i];
    sb_text rating = {0};
    add_rating(season, &season->fields[stop->field], &rating);
    sb_text_addf(text, "<li%s><b>", class_of(named));
    sb_page_number(text, page, at->route, at->i);
    sb_text_addf(text, "</b> <a href=\"#s");
    sb_page_key(text, at->route, at->i);
    sb_text_addf(text, "\">");
    sb_html_name(text, season->fields[stop->field].name);
    sb_text_addf(text, "</a>%s", rating.count > 0 ? " <small>" : "");
    sb_html_escape(text, sb_text_get(&rating));
    sb_text_addf(text, "%s%s\n", rating.count > 0 ? "</small>" : "",
                 stop->cleanout > 0 ? " <i>◆</i>" : "");
    text->failed |= rating.failed;
    sb_text_release(&rating);
}

void sb_map_list(const sb_page *page, const unsigned char *named, sb_text *text)
{
    const unsigned both = 1U << SB_PAGE_WIDE | 1U << SB_PAGE_NARROW;
    unsigned everywhere = both; /* maps that name all */
    for (size_t s = 0; s < page->n_stops; s++)
        everywhere &= named[s];
    if (everywhere == both)
        return;
    sb_text_addf(text,
                 "<div%s><p>What has no room for its name on the map, with the worst rating and ◆ "
                 "for a cleanout before the move:</p>\n<ul class=\"places\">\n",
                 class_of(everywhere));
    for (size_t s = 0; s < page->n_stops; s++)
        if (named[s] != both)
            list_stop(page, &page->stops[s], named[s], text);
    sb_text_addf(text, "</ul></div>\n");
}
