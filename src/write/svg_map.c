/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The map: fields by their rating, the yard, every move with its direction, where the machine is
 * cleaned, and the first passes to scout. */
#include <math.h>

#include "base/mem.h"
#include "write/first_pass.h"
#include "write/html_text.h"
#include "write/map_ways.h"
#include "write/palette.h"
#include "write/pen.h"
#include "write/projection.h"
#include "write/receipts.h"
#include "write/words.h"

#define FOOT 46.0 /* below the map, for scale bar and north arrow */
#define YARD_COLUMNS 22
#define STROKE 0.1      /* of a texture, share of the field's longer side */
#define MUCH_HIGHER 1.2 /* than wide: strokes lie */
#define SAME_POINT 0.35 /* units: corners nearer than this to the last one are left out */

/* Two sizes of one picture: most width and height, units; a unit is at least a pixel, and the wide
 * one fills a sheet so that its letters are 7 points high. */
static const struct {
    double width, most_height, margin;
    const char *class_name, *id;
} sizes[] = {[SB_PAGE_WIDE] = {920, 652, 30, "wide-only", "w"},
             [SB_PAGE_NARROW] = {334, 600, 22, "narrow-only", "n"}};

typedef struct map {
    const sb_page *page;
    sb_projection projection;
    sb_map_room room;
    sb_map_marks marks;
    sb_page_width size;
    sb_text *text;
} map;

/* As many strokes as the class has a number, across the longer side of whatever is filled: they can
 * be counted on a field of any size, and in grey print.
 * @param lying for fields that are much higher than wide */
static void add_texture(size_t i, size_t n, bool lying, sb_text *text)
{
    sb_colour c = sb_palette_class((int)i, n);
    double share = n > 2 && i > 0 ? (double)(i - 1) / (double)(n - 2) : 1;
    double stroke = fmin(STROKE, 0.45 / (double)i);
    sb_text_addf(text,
                 "<pattern id=\"%c%zu\" width=\"1\" height=\"1\" "
                 "patternContentUnits=\"objectBoundingBox\"><path fill=\"#%02x%02x%02x\" "
                 "d=\"M0 0H1V1H0z\"/><path fill=\"%s\" d=\"",
                 lying ? 'u' : 't', i, c.red, c.green, c.blue,
                 share > 0.55 ? "#fffa" : "#222a35b0");
    for (size_t k = 1; k <= i; k++) {
        double at = (double)k / (double)(i + 1) - stroke / 2;
        sb_text_addf(text, lying ? "M0 %.3fh1v%.3fh-1z" : "M%.3f 0v1h%.3fv-1z", at, stroke);
    }
    sb_text_addf(text, "\"/></pattern>\n");
}

void sb_svg_textures(const sb_page *page, sb_text *text)
{
    size_t n = page->season->setup.scale.n_classes;
    sb_text_addf(text,
                 "<svg class=\"defs\" width=\"0\" height=\"0\" aria-hidden=\"true\"><defs>\n");
    for (size_t i = 0; i < n; i++) {
        add_texture(i, n, false, text);
        add_texture(i, n, true, text);
    }
    sb_text_addf(text,
                 "<marker id=\"arrow\" viewBox=\"-6 -5 12 10\" markerWidth=\"12\" "
                 "markerHeight=\"10\" markerUnits=\"userSpaceOnUse\" orient=\"auto\">"
                 "<path d=\"M-5-4.5L6 0-5 4.5-2.5 0z\" class=\"ink\"/></marker>\n</defs></svg>\n");
}

/* Corners that the eye cannot tell apart are left out. */
static void add_ring_path(const map *m, const sb_field_shape *shape, const sb_ring *ring)
{
    sb_pen pen = {.text = m->text};
    sb_point last = {0, 0};
    for (size_t i = 0; i < ring->count; i++) {
        sb_point p = sb_shape_corner(shape, &m->projection, ring->items[i]);
        if (i > 0 && hypot(p.x - last.x, p.y - last.y) < SAME_POINT)
            continue;
        if (i == 0)
            sb_pen_move(&pen, p.x, p.y);
        else
            sb_pen_line(&pen, p.x, p.y);
        last = p;
    }
    sb_pen_close(&pen);
}

/* What a pointer resting on the field is told where scripts do not run. */
static void add_field_title(const map *m, int f)
{
    const sb_season *season = m->page->season;
    sb_text *text = m->text;
    sb_text_addf(text, "<title>");
    sb_svg_title_name(text, season->fields[f].name);
    sb_text_addf(text, ", ");
    sb_words_area(text, season->fields[f].area_ha);
    sb_text_addf(text, " ");
    sb_svg_title_name(text, season->setup.crops[season->fields[f].crop].name);
    for (int i = 0; i < m->page->n_weeds; i++) {
        const sb_rating *rating = &season->fields[f].ratings[m->page->weeds[i]];
        if (rating->source == SB_RATING_NONE || rating->class_index == 0)
            continue;
        sb_text_addf(text, "; ");
        sb_svg_title_name(text, season->setup.weeds[m->page->weeds[i]].name);
        sb_text_addf(text, " rated ");
        sb_svg_title_name(text, season->setup.scale.labels[rating->class_index]);
    }
    sb_text_addf(text, "</title>");
}

/* data-r: the texture of the worst rating, then of each weed in the order of the choice. */
static void open_field(const map *m, int f)
{
    const sb_page *page = m->page;
    long stop = page->stop_of[f];
    sb_text_addf(m->text, "<g class=\"field\" data-r=\"%d", sb_worst_class(page->season, f));
    for (int i = 0; i < page->n_weeds; i++) {
        const sb_rating *rating = &page->season->fields[f].ratings[page->weeds[i]];
        sb_text_addf(m->text, " %d", rating->source != SB_RATING_NONE ? rating->class_index : 0);
    }
    sb_text_addf(m->text, "\"");
    if (stop >= 0) {
        sb_text_addf(m->text, " data-s=\"");
        sb_page_key(m->text, page->stops[stop].route, page->stops[stop].i);
        sb_text_addf(m->text, "\"");
    }
    sb_text_addf(m->text, ">");
    if (m->size == SB_PAGE_WIDE)
        add_field_title(m, f);
}

static void add_field(const map *m, int f)
{
    const sb_field *field = &m->page->season->fields[f];
    sb_field_shape shape = sb_field_shape_on(&m->projection, field);
    double width = shape.box.right - shape.box.left, height = shape.box.bottom - shape.box.top;
    open_field(m, f);
    if (field->n_parts == 0) {
        sb_text_addf(m->text, "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"%.1f\"", shape.middle.x,
                     shape.middle.y, width / 2);
    } else {
        sb_text_addf(m->text, "<path d=\"");
        for (size_t i = 0; i < field->n_parts; i++) {
            add_ring_path(m, &shape, &field->parts[i].outer);
            for (size_t h = 0; h < field->parts[i].n_holes; h++)
                add_ring_path(m, &shape, &field->parts[i].holes[h]);
        }
        sb_text_addf(m->text, "\"");
    }
    sb_text_addf(m->text, " fill=\"url(#%c%d)\"/></g>\n", height > MUCH_HIGHER * width ? 'u' : 't',
                 sb_worst_class(m->page->season, f));
}

/* The first passes that hold 90 % of the loose seeds, along the edge of each field. */
static void add_first_passes(const map *m)
{
    const sb_season *season = m->page->season;
    sb_text_addf(m->text, "<path class=\"strip\" d=\"");
    for (size_t s = 0; s < m->page->n_stops; s++) {
        const sb_page_stop *at = &m->page->stops[s];
        const sb_route *route = &m->page->plan->routes[at->route];
        const sb_stop *stop = &route->stops[at->i];
        sb_lonlat from =
            at->i > 0 ? sb_place_after(season, route, at->i - 1) : sb_place_at_start(season, route);
        sb_field_shape shape = sb_field_shape_on(&m->projection, &season->fields[stop->field]);
        sb_first_pass(&season->fields[stop->field], &shape, &m->projection, from,
                      stop->trace.strip90_m, m->text);
    }
    sb_text_addf(m->text, "\"/>\n");
}

static sb_map_box yard_box(const map *m, size_t y)
{
    return sb_map_box_around(sb_project(&m->projection, m->page->season->yards[y].place),
                             SB_YARD_HALF_WIDTH * m->room.sign, SB_YARD_HALF_HEIGHT * m->room.sign);
}

/* A yard with its name, which a move may cross: no list below has it. */
static bool add_yard(map *m, size_t y)
{
    const sb_yard *yard = &m->page->season->yards[y];
    sb_map_box box = yard_box(m, y);
    double width = sb_svg_name_width(yard->name, YARD_COLUMNS, SB_NAME_SIZE);
    sb_place_beside place;
    if (!sb_map_place_beside(&m->room, &box, width, 13, true, &place))
        return false;
    sb_text_addf(m->text, "<g><title>");
    sb_svg_title_name(m->text, yard->name);
    double half = (box.right - box.left) / 2, roof = 8 * m->room.sign;
    sb_text_addf(
        m->text,
        "</title><path class=\"yard\" d=\"M%.1f %.1fv-%.1fl%.1f-%.1f %.1f %.1fv%.1fz\"/></g>",
        box.left, box.bottom, half, half, roof, half, roof, half);
    if (place.box.right > place.box.left)
        sb_label_draw(&place, "halo", 10.5, yard->name, YARD_COLUMNS, m->text);
    return true;
}

/* A round length of 1, 2 or 5 times a power of ten, at most a quarter of the map. */
static double scale_length_m(const map *m)
{
    double most = m->projection.width / 4 / m->projection.units_per_m;
    double power = pow(10, floor(log10(most)));
    return most >= 5 * power ? 5 * power : most >= 2 * power ? 2 * power : power;
}

static void add_foot(const map *m)
{
    double length_m = scale_length_m(m), bar = length_m * m->projection.units_per_m;
    double left = 14, right = m->projection.width - 14, y = m->projection.height + FOOT - 14;
    sb_text_addf(m->text,
                 "<path class=\"bar\" d=\"M%.1f %.1fv8h%.1fv-8\"/>"
                 "<text class=\"small\" x=\"%.1f\" y=\"%.1f\">",
                 left, y - 8, bar, left + bar + 8, y);
    sb_text_addf(m->text, length_m < 1000 ? "%.0f m" : "%.0f km",
                 length_m < 1000 ? length_m : length_m / 1000);
    sb_text_addf(m->text,
                 "</text><path class=\"ink\" d=\"M%.1f %.1fl8 24-8-6-8 6z\"/>"
                 "<text class=\"north\" x=\"%.1f\" y=\"%.1f\">N</text>\n",
                 right, y - 20, right - 14, y);
}

static void add_class_limits(const sb_scale *scale, size_t i, sb_text *text)
{
    if (!(scale->high[i] > 0))
        sb_text_addf(text, " none");
    else if (isfinite(scale->high[i]))
        sb_text_addf(text, " %.3g–%.3g plants/m²", scale->low[i], scale->high[i]);
    else
        sb_text_addf(text, " over %.3g plants/m²", scale->low[i]);
}

/* A line of the machine's kind; of several also its mark with its letter. */
static void add_legend_route(const sb_page *page, size_t r, sb_text *text)
{
    bool several = page->plan->n_routes > 1;
    char letter = sb_words_letter(page->plan->n_routes, r);
    sb_text_addf(text, "<li><svg width=\"%d\" height=\"20\" aria-hidden=\"true\">",
                 letter ? 66 : 34);
    sb_map_route_line(page, r, "", "M2 10L18 10 34 10", text);
    if (letter) {
        sb_map_mark_draw(r, (sb_point){52, 10}, 11, 9.5, text);
        sb_text_addf(text, "%c</text>", letter);
    }
    sb_text_addf(text, "</svg> move");
    if (several) {
        sb_text_addf(text, "s of ");
        sb_html_name(text, page->season->setup.machines[page->plan->routes[r].machine].name);
    }
}

static void add_legend(const sb_page *page, sb_text *text)
{
    const sb_scale *scale = &page->season->setup.scale;
    sb_text_addf(text, "<ul class=\"legend\">\n");
    for (size_t i = 0; i < scale->n_classes; i++) {
        sb_text_addf(text,
                     "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect "
                     "class=\"swatch\" x=\".5\" y=\".5\" width=\"25\" height=\"15\" "
                     "fill=\"url(#t%zu)\"/></svg> rating ",
                     i);
        sb_html_name(text, scale->labels[i]);
        add_class_limits(scale, i, text);
        sb_text_addf(text, "</li>\n");
    }
    for (size_t r = 0; r < page->plan->n_routes; r++) {
        if (page->plan->routes[r].n_stops == 0)
            continue;
        add_legend_route(page, r, text);
        sb_text_addf(text, "</li>\n");
    }
    sb_text_addf(
        text,
        "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><path class=\"clean\" "
        "d=\"M13 1l7 7-7 7-7-7z\"/></svg> cleanout before this move</li>\n"
        "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><path class=\"strip\" "
        "d=\"M3 12H23V4\"/></svg> first pass to scout: 90 %% of the loose seeds, if it begins "
        "where the edge is nearest to the place before</li>\n"
        "<li><svg width=\"26\" height=\"18\" aria-hidden=\"true\"><path class=\"yard\" "
        "d=\"M3 17v-9l10-7 10 7v9z\"/></svg> yard</li>\n</ul>\n");
}

/* What stays where it is, whatever else has to make room. */
static bool take_room(map *m)
{
    const sb_season *season = m->page->season;
    for (size_t f = 0; f < season->n_fields; f++)
        if (!SB_PUSH(&m->room.shapes, sb_field_shape_on(&m->projection, &season->fields[f]).box))
            return false;
    for (size_t y = 0; y < season->n_yards; y++)
        if (!SB_PUSH(&m->room.taken, yard_box(m, y)))
            return false;
    return true;
}

/* Marks make way for moves where they can, and moves then end at the marks that were merged. */
static bool lay_out(map *m)
{
    return take_room(m) &&
           sb_map_marks_init(m->page, &m->projection, &m->room, &m->marks) == SB_OK &&
           sb_map_ways_lay(&m->marks, &m->projection, &m->room) &&
           sb_map_marks_settle(&m->marks, &m->projection) &&
           sb_map_ways_lay(&m->marks, &m->projection, &m->room);
}

static bool draw(map *m)
{
    const sb_season *season = m->page->season;
    if (!lay_out(m))
        return false;
    sb_map_ways_draw(&m->marks, &m->projection, m->text);
    for (size_t f = 0; f < season->n_fields; f++)
        add_field(m, (int)f);
    add_first_passes(m);
    if (!sb_map_cleanouts_draw(&m->marks, &m->projection, &m->room, m->text))
        return false;
    for (size_t y = 0; y < season->n_yards; y++)
        if (!add_yard(m, y))
            return false;
    if (!sb_map_letters_draw(&m->marks, &m->projection, &m->room, m->text))
        return false;
    if (!sb_map_marks_name(&m->marks))
        return false;
    sb_map_marks_draw(&m->marks, m->text);
    add_foot(m);
    return true;
}

/* @param named [out] by stop: gets the bit of a map that names it */
static sb_status draw_size(const sb_page *page, sb_page_width size, sb_text *text,
                           unsigned char *named)
{
    map m = {.page = page, .size = size, .text = text};
    const char *id = sizes[size].id;
    m.projection = sb_projection_fit(page->season, sizes[size].width, sizes[size].most_height,
                                     sizes[size].margin);
    m.room = sb_map_room_new(m.projection.width, m.projection.height);
    sb_text_addf(
        text,
        "<div class=\"frame %s\"><svg class=\"map\" viewBox=\"0 0 %.0f %.0f\" "
        "role=\"group\" aria-labelledby=\"map-%s map-%s-text\"><title id=\"map-%s\">Map of "
        "the season</title><desc id=\"map-%s-text\">%zu fields by their worst rating, and "
        "the moves between them in cutting order. The same is in the list of stops.</desc>"
        "\n",
        sizes[size].class_name, m.projection.width, m.projection.height + FOOT, id, id, id, id,
        page->season->n_fields);
    bool fine = draw(&m);
    sb_text_addf(text, "</svg></div>\n");
    for (size_t s = 0; fine && s < page->n_stops; s++)
        if (sb_map_marks_names(&m.marks, page->stops[s].route, page->stops[s].i))
            named[s] |= (unsigned char)(1U << size);
    sb_map_marks_release(&m.marks);
    sb_map_room_release(&m.room);
    return fine ? SB_OK : SB_ERR_NOMEM;
}

sb_status sb_draw_map(const sb_page *page, sb_text *text)
{
    unsigned char *named = sb_alloc(page->n_stops, sizeof *named);
    if (named == NULL)
        return SB_ERR_NOMEM;
    sb_status status = draw_size(page, SB_PAGE_WIDE, text, named);
    if (status == SB_OK)
        status = draw_size(page, SB_PAGE_NARROW, text, named);
    sb_map_list(page, named, text);
    add_legend(page, text);
    sb_free(named);
    return status != SB_OK ? status : text->failed ? SB_ERR_NOMEM : SB_OK;
}
