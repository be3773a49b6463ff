/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The map: fields by their worst rating, the yard, every move with its direction, and where the
 * machine is cleaned. */
#include <math.h>

#include "write/html_text.h"
#include "write/map_marks.h"
#include "write/palette.h"
#include "write/projection.h"
#include "write/receipts.h"
#include "write/sheet.h"
#include "write/words.h"

#define WIDTH 1100.0
#define MAX_HEIGHT 780.0
#define MARGIN 34.0
#define FOOT 46.0 /* below the map, for scale bar and north arrow */
#define BULGE                                                                                     \
    0.07            /* how far a move bends to the right of the straight way, share of its length \
                     */
#define MARK_AT 0.2 /* where along a move its cleanout is marked */
#define CLEAR 24.0  /* units: but not nearer to its start */
#define YARD_COLUMNS 22

void sb_svg_textures(const sb_sheet *sheet, sb_text *text)
{
    size_t n = sheet->season->setup.scale.n_classes;
    sb_text_addf(text,
                 "<svg class=\"defs\" width=\"0\" height=\"0\" aria-hidden=\"true\"><defs>\n");
    for (size_t i = 1; i < n; i++) {
        sb_colour c = sb_palette_class((int)i, n);
        double share = n > 2 ? (double)(i - 1) / (double)(n - 2) : 1;
        /* Closer lines mean more weeds, turned from class to class, so that grey print tells too.
         */
        double step = 13 - 8 * share;
        sb_text_addf(text,
                     "<pattern id=\"t%zu\" width=\"%.1f\" height=\"%.1f\" "
                     "patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(%d)\">"
                     "<rect width=\"%.1f\" height=\"%.1f\" fill=\"#%02x%02x%02x\"/>"
                     "<rect width=\"%.1f\" height=\"1.4\" fill=\"%s\" fill-opacity=\".5\"/>"
                     "</pattern>\n",
                     i, step, step, (int)(45 + 50 * (i - 1)) % 180, step, step, c.red, c.green,
                     c.blue, step, share > 0.55 ? "#fff" : "#222a35");
    }
    sb_text_addf(text,
                 "<marker id=\"arrow\" viewBox=\"-6 -5 12 10\" markerWidth=\"12\" "
                 "markerHeight=\"10\" markerUnits=\"userSpaceOnUse\" orient=\"auto\">"
                 "<path d=\"M-5-4.5L6 0-5 4.5-2.5 0z\" class=\"ink\"/></marker>\n</defs></svg>\n");
}

static void add_fill(const sb_sheet *sheet, int rating_class, sb_text *text)
{
    sb_colour c = sb_palette_class(0, sheet->season->setup.scale.n_classes);
    if (rating_class > 0)
        sb_text_addf(text, " fill=\"url(#t%d)\"", rating_class);
    else
        sb_text_addf(text, " fill=\"#%02x%02x%02x\"", c.red, c.green, c.blue);
}

static void add_ring_path(const sb_projection *projection, const sb_ring *ring, sb_text *text)
{
    for (size_t i = 0; i < ring->count; i++) {
        sb_point p = sb_project(projection, ring->items[i]);
        sb_text_addf(text, "%c%.1f %.1f", i == 0 ? 'M' : 'L', p.x, p.y);
    }
    sb_text_addf(text, "z");
}

/* What a pointer resting on the field, or a screen reader, is told. */
static void add_field_title(const sb_sheet *sheet, int f, sb_text *text)
{
    const sb_season *season = sheet->season;
    sb_text_addf(text, "<title>");
    sb_svg_title_name(text, season->fields[f].name);
    sb_text_addf(text, ", ");
    sb_words_area(text, season->fields[f].area_ha);
    sb_text_addf(text, " ");
    sb_svg_title_name(text, season->setup.crops[season->fields[f].crop].name);
    for (int i = 0; i < sheet->n_weeds; i++) {
        const sb_rating *rating = &season->fields[f].ratings[sheet->weeds[i]];
        if (rating->source == SB_RATING_NONE)
            continue;
        sb_text_addf(text, "; ");
        sb_svg_title_name(text, season->setup.weeds[sheet->weeds[i]].name);
        sb_text_addf(text, " rated ");
        sb_svg_title_name(text, season->setup.scale.labels[rating->class_index]);
    }
    sb_text_addf(text, ". ");
    sb_receipt_words(season, sheet->plan, f, sb_svg_title_name, text);
    sb_text_addf(text, "</title>");
}

static void add_field(const sb_sheet *sheet, const sb_projection *projection, int f, sb_text *text)
{
    const sb_field *field = &sheet->season->fields[f];
    sb_text_addf(text, "<g class=\"field\">");
    add_field_title(sheet, f, text);
    if (field->n_parts == 0) {
        sb_point p = sb_project(projection, field->place);
        double radius = sqrt(field->area_ha * 1e4 / 3.141592653589793) * projection->units_per_m;
        sb_text_addf(text, "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"%.1f\"", p.x, p.y, fmax(radius, 5));
    } else {
        sb_text_addf(text, "<path fill-rule=\"evenodd\" d=\"");
        for (size_t i = 0; i < field->n_parts; i++) {
            add_ring_path(projection, &field->parts[i].outer, text);
            for (size_t h = 0; h < field->parts[i].n_holes; h++)
                add_ring_path(projection, &field->parts[i].holes[h], text);
        }
        sb_text_addf(text, "\"");
    }
    add_fill(sheet, sb_worst_class(sheet->season, f), text);
    sb_text_addf(text, "/></g>\n");
}

/* The bend of a move from a to b: to the right, so that there and back lie side by side. */
static sb_point bend_of(sb_point a, sb_point b)
{
    return (sb_point){(a.x + b.x) / 2 - (b.y - a.y) * BULGE * 2,
                      (a.y + b.y) / 2 + (b.x - a.x) * BULGE * 2};
}

/* A curve with the move's direction in the middle. */
static void add_move(sb_point a, sb_point b, sb_text *text)
{
    sb_point bend = bend_of(a, b);
    sb_point first = {(a.x + bend.x) / 2, (a.y + bend.y) / 2};
    sb_point second = {(bend.x + b.x) / 2, (bend.y + b.y) / 2};
    sb_point middle = {(first.x + second.x) / 2, (first.y + second.y) / 2};
    sb_text_addf(text,
                 "<path class=\"move\" marker-mid=\"url(#arrow)\" "
                 "d=\"M%.1f %.1fQ%.1f %.1f %.1f %.1fQ%.1f %.1f %.1f %.1f\"/>\n",
                 a.x, a.y, first.x, first.y, middle.x, middle.y, second.x, second.y, b.x, b.y);
}

/* A diamond near the start of a move before which the machine is cleaned, clear of the mark. */
static sb_point diamond_of(sb_point a, sb_point b)
{
    sb_point bend = bend_of(a, b);
    double at = fmin(fmax(MARK_AT, CLEAR / fmax(hypot(b.x - a.x, b.y - a.y), 1)), 0.4);
    double u = 1 - at;
    return (sb_point){u * u * a.x + 2 * u * at * bend.x + at * at * b.x,
                      u * u * a.y + 2 * u * at * bend.y + at * at * b.y};
}

/* Where the machine is after stop i; i == n_stops: in the yard. */
static sb_point place_of(const sb_map_marks *marks, const sb_projection *projection, size_t r,
                         size_t i)
{
    const sb_season *season = marks->sheet->season;
    const sb_route *route = &marks->sheet->plan->routes[r];
    if (i < route->n_stops)
        return sb_mark_of(marks, r, i)->at;
    return sb_project(projection, season->yards[season->joins[route->machine].yard].place);
}

/* The moves of a machine. Those between fields that share a mark are too short to show. */
static bool add_route(sb_map_marks *marks, const sb_projection *projection, size_t r, sb_text *text)
{
    const sb_route *route = &marks->sheet->plan->routes[r];
    sb_point from = place_of(marks, projection, r, route->n_stops);
    for (size_t i = 0; i <= route->n_stops; i++) {
        sb_point to = place_of(marks, projection, r, i);
        bool shared =
            i > 0 && i < route->n_stops && sb_mark_of(marks, r, i - 1) == sb_mark_of(marks, r, i);
        if (!shared)
            add_move(from, to, text);
        if (!shared && i < route->n_stops && route->stops[i].cleanout > 0) {
            sb_point p = diamond_of(from, to);
            sb_text_addf(text, "<path class=\"clean\" d=\"M%.1f %.1fl7 7-7 7-7-7z\"/>\n", p.x,
                         p.y - 7);
            if (!sb_map_marks_avoid(marks, p, 7, 7))
                return false;
        }
        from = to;
    }
    return true;
}

/* A yard and its name; where that finds no room it stands below all the same. */
static bool add_yard(sb_map_marks *marks, const sb_projection *projection, size_t y, sb_text *text)
{
    const sb_yard *yard = &marks->sheet->season->yards[y];
    sb_point p = sb_project(projection, yard->place);
    double width = sb_label_width(yard->name, YARD_COLUMNS);
    sb_room box;
    sb_side side;
    if (!sb_map_marks_avoid(marks, p, 11, 10) ||
        !sb_map_marks_find(marks, p, 11, 10, width, 13, &box, &side))
        return false;
    if (!(box.right > box.left)) {
        box = (sb_room){p.x, p.y + 11, p.x, p.y + 24};
        side = SB_BELOW;
    }
    sb_text_addf(text, "<path class=\"yard\" d=\"M%.1f %.1fv-11l11-8 11 8v11z\"/>", p.x - 11,
                 p.y + 10);
    sb_label_draw(&box, side, "halo", 10.5, yard->name, YARD_COLUMNS, text);
    return true;
}

/* A round length of 1, 2 or 5 times a power of ten, at most a quarter of the map. */
static double scale_length_m(const sb_projection *projection)
{
    double most = WIDTH / 4 / projection->units_per_m;
    double power = pow(10, floor(log10(most)));
    return most >= 5 * power ? 5 * power : most >= 2 * power ? 2 * power : power;
}

static void add_foot(const sb_projection *projection, sb_text *text)
{
    double length_m = scale_length_m(projection);
    double bar = length_m * projection->units_per_m, y = projection->height + FOOT - 14;
    sb_text_addf(text,
                 "<path class=\"bar\" d=\"M%.1f %.1fv8h%.1fv-8\"/>"
                 "<text class=\"small\" x=\"%.1f\" y=\"%.1f\">",
                 MARGIN, y - 8, bar, MARGIN + bar + 8, y);
    sb_text_addf(text, length_m < 1000 ? "%.0f m" : "%.0f km",
                 length_m < 1000 ? length_m : length_m / 1000);
    sb_text_addf(text,
                 "</text><path class=\"ink\" d=\"M%.1f %.1fl8 24-8-6-8 6z\"/>"
                 "<text class=\"north\" x=\"%.1f\" y=\"%.1f\">N</text>\n",
                 WIDTH - MARGIN, y - 20, WIDTH - MARGIN - 20, y);
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

static void add_legend(const sb_sheet *sheet, sb_text *text)
{
    const sb_scale *scale = &sheet->season->setup.scale;
    sb_text_addf(text, "<ul class=\"legend\">\n");
    for (size_t i = 0; i < scale->n_classes; i++) {
        sb_text_addf(text, "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\">"
                           "<rect class=\"swatch\" x=\".5\" y=\".5\" width=\"25\" height=\"15\"");
        add_fill(sheet, (int)i, text);
        sb_text_addf(text, "/></svg> rating ");
        sb_html_name(text, scale->labels[i]);
        add_class_limits(scale, i, text);
        sb_text_addf(text, "</li>\n");
    }
    sb_text_addf(text,
                 "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><path class=\"clean\" "
                 "d=\"M13 1l7 7-7 7-7-7z\"/></svg> cleanout before this move</li>\n"
                 "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><path class=\"move\" "
                 "marker-mid=\"url(#arrow)\" d=\"M0 8L14 8 26 8\"/></svg> move</li>\n"
                 "<li><svg width=\"26\" height=\"18\" aria-hidden=\"true\"><path class=\"yard\" "
                 "d=\"M3 17v-9l10-7 10 7v9z\"/></svg> yard</li>\n</ul>\n");
}

static bool draw(const sb_projection *projection, sb_map_marks *marks, sb_text *text)
{
    const sb_season *season = marks->sheet->season;
    for (size_t f = 0; f < season->n_fields; f++)
        add_field(marks->sheet, projection, (int)f, text);
    for (size_t r = 0; r < marks->sheet->plan->n_routes; r++)
        if (!add_route(marks, projection, r, text))
            return false;
    for (size_t y = 0; y < season->n_yards; y++)
        if (!add_yard(marks, projection, y, text))
            return false;
    if (!sb_map_marks_name(marks))
        return false;
    sb_map_marks_draw(marks, text);
    add_foot(projection, text);
    return true;
}

void sb_svg_map(const sb_sheet *sheet, sb_text *text)
{
    sb_projection projection = sb_projection_fit(sheet->season, WIDTH, MAX_HEIGHT, MARGIN);
    sb_map_marks marks;
    bool failed = sb_map_marks_init(sheet, &projection, &marks) != SB_OK;
    sb_html_open_scroll(text, "Map");
    sb_text_addf(text,
                 "<svg class=\"map\" viewBox=\"0 0 %.0f %.0f\" role=\"group\" "
                 "aria-labelledby=\"map-title map-text\"><title id=\"map-title\">Map of the "
                 "season</title><desc id=\"map-text\">%zu fields by their worst rating, and the "
                 "moves between them in cutting order. The same is in the list of stops.</desc>\n",
                 WIDTH, projection.height + FOOT, sheet->season->n_fields);
    failed = failed || !draw(&projection, &marks, text);
    sb_text_addf(text, "</svg></div>\n");
    add_legend(sheet, text);
    if (!failed)
        sb_map_marks_list(&marks, text);
    text->failed |= failed;
    sb_map_marks_release(&marks);
}
