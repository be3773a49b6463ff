/* SPDX-License-Identifier: GPL-3.0-or-later */
/* map.kml: the fields with their ratings, the order and what each field receives (KML 2.2).
 * The fields carry the attributes that we read, so the map can be read back as a field file. */
#include <math.h>

#include "base/date.h"
#include "write/kml_out.h"
#include "write/palette.h"
#include "write/receipts.h"
#include "write/words.h"
#include "write/write.h"
#include "write/xml_out.h"

static void add_date(sb_xml_out *out, const char *key, int day)
{
    char date[11];
    if (day == SB_NO_DAY)
        return;
    sb_date_format(day, date);
    sb_kml_data(out, key, date);
}

static void add_weed_data(sb_xml_out *out, const sb_season *season, const sb_field *field, size_t k)
{
    const sb_rating *rating = &field->ratings[k];
    const char *id = season->setup.weeds[k].id;
    sb_text key = {0};
    if (rating->source == SB_RATING_CLASS) {
        sb_text_addf(&key, "weed:%s", id);
        sb_kml_data(out, sb_text_get(&key), season->setup.scale.labels[rating->class_index]);
    } else if (rating->source != SB_RATING_NONE) {
        sb_text_addf(&key, "weed:%s:plants_m2", id);
        sb_kml_number(out, sb_text_get(&key), rating->density_plants_m2);
    }
    if (isfinite(field->limit_seeds_ha[k])) {
        sb_text_clear(&key);
        sb_text_addf(&key, "limit:%s", id);
        sb_kml_number(out, sb_text_get(&key), field->limit_seeds_ha[k]);
    }
    sb_xml_release(out, &key);
}

/* What the files call a field: of a split one its first part stands for the whole. */
static const char *file_name(const sb_field *field)
{
    return field->part == 1 ? field->whole : field->name;
}

static void add_after(sb_xml_out *out, const sb_season *season, const sb_field *field)
{
    if (field->n_after == 0)
        return;
    sb_text names = {0};
    for (size_t i = 0; i < field->n_after; i++) {
        const sb_field *earlier = &season->fields[field->after[i]];
        if (earlier->part <= 1)
            sb_text_addf(&names, "%s%s", names.count > 0 ? "; " : "", file_name(earlier));
    }
    sb_kml_data(out, "after", sb_text_get(&names));
    sb_xml_release(out, &names);
}

/* Which machines may cut a field, and after whom. */
static void add_service(sb_xml_out *out, const sb_season *season, const sb_field *field)
{
    sb_text text = {0};
    for (size_t i = 0; i < field->n_only; i++)
        if (field->only[i] >= 0)
            sb_text_addf(&text, "%s%s", text.count > 0 ? "; " : "",
                         season->setup.machines[field->only[i]].id);
    if (text.count > 0)
        sb_kml_data(out, "only", text.bytes);
    if (field->gate_m > 0)
        sb_kml_number(out, "gate_m", field->gate_m);
    if (field->slope_percent > 0)
        sb_kml_number(out, "slope_percent", field->slope_percent);
    for (size_t a = 0; a < field->n_apart; a++) {
        const sb_apart *rule = &field->apart[a];
        sb_text_clear(&text);
        sb_text_addf(&text, SB_APART_KEY "%s", season->growers[rule->grower]);
        sb_kml_data(out, sb_text_get(&text),
                    rule->cleanout < 0 ? SB_ANY_FULL : season->setup.cleanouts[rule->cleanout].id);
    }
    if (field->n_split > 1)
        sb_kml_number(out, "split", field->n_split);
    sb_xml_release(out, &text);
}

/* The attributes of a field, under the names we read. Parts of a split field have one outline: when
 * the map is read back, the first makes them all. */
static void add_attributes(sb_xml_out *out, const sb_season *season, const sb_field *field)
{
    sb_xml_open(out, "ExtendedData");
    sb_kml_data(out, "role", field->part > 1 ? "stop" : "field");
    sb_kml_data(out, "crop", season->setup.crops[field->crop].id);
    sb_kml_number(out, "yield_t_ha", field->yield_t_ha);
    if (field->grower >= 0)
        sb_kml_data(out, "grower", season->growers[field->grower]);
    add_date(out, "ready", field->ready_day);
    add_date(out, "latest", field->latest_day);
    add_date(out, "best_before", field->best_before_day);
    if (field->worth != 1)
        sb_kml_number(out, "worth", field->worth);
    if (field->entry >= 0)
        sb_kml_data(out, "entry", season->setup.cleanouts[field->entry].id);
    add_after(out, season, field);
    add_service(out, season, field);
    if (field->n_parts == 0)
        sb_kml_number(out, "area_ha", field->area_ha);
    for (size_t k = 0; k < season->setup.n_weeds; k++)
        add_weed_data(out, season, field, k);
    if (isfinite(field->tank_limit_seeds_kg))
        sb_kml_number(out, "tank_limit_seeds_kg", field->tank_limit_seeds_kg);
    sb_xml_close(out);
}

static void add_point(sb_xml_out *out, sb_lonlat place)
{
    sb_text coordinates = {0};
    sb_kml_place(&coordinates, place);
    sb_xml_open(out, "Point");
    sb_xml_element(out, "coordinates", sb_text_get(&coordinates));
    sb_xml_close(out);
    sb_xml_release(out, &coordinates);
}

static void add_shape(sb_xml_out *out, const sb_field *field)
{
    if (field->n_parts == 0) {
        add_point(out, field->place);
        return;
    }
    sb_kml_parts(out, field->parts, field->n_parts);
}

static void add_style_colour(sb_xml_out *out, const char *element, unsigned alpha, sb_colour colour,
                             int width)
{
    sb_text value = {0};
    sb_text_addf(&value, "%02x%02x%02x%02x", alpha, colour.blue, colour.green, colour.red);
    sb_xml_open(out, element);
    sb_xml_element(out, "color", sb_text_get(&value));
    if (width > 0) {
        sb_text_clear(&value);
        sb_text_addf(&value, "%d", width);
        sb_xml_element(out, "width", sb_text_get(&value));
    }
    sb_xml_close(out);
    sb_xml_release(out, &value);
}

/* One style for each class of the scale, shared by the fields; one for the way. */
static void add_styles(sb_xml_out *out, size_t n_classes)
{
    static const sb_colour ink = {0x22, 0x2A, 0x35};
    sb_text id = {0};
    for (size_t i = 0; i < n_classes; i++) {
        sb_text_clear(&id);
        sb_text_addf(&id, "rating-%zu", i);
        sb_xml_open(out, "Style");
        sb_xml_attribute(out, "id", sb_text_get(&id));
        add_style_colour(out, "LineStyle", 0xFF, ink, 2);
        add_style_colour(out, "PolyStyle", 0xB0, sb_palette_class((int)i, n_classes), 0);
        sb_xml_close(out);
    }
    sb_xml_open(out, "Style");
    sb_xml_attribute(out, "id", "way");
    add_style_colour(out, "LineStyle", 0xFF, ink, 4);
    sb_xml_close(out);
    sb_xml_release(out, &id);
}

static void describe_field(const sb_season *season, const sb_plan *plan, int f, sb_text *text)
{
    int weed = sb_worst_weed(season, f);
    sb_words_area(text, season->fields[f].area_ha);
    sb_text_addf(text, " %s. ", season->setup.crops[season->fields[f].crop].name);
    if (weed >= 0)
        sb_text_addf(text, "Worst rating %s (%s). ",
                     season->setup.scale.labels[sb_worst_class(season, f)],
                     season->setup.weeds[weed].name);
    sb_receipt_words(season, plan, f, sb_add_plain_name, text);
}

static void add_field(sb_xml_out *out, const sb_season *season, const sb_plan *plan, int f,
                      sb_text *scratch)
{
    sb_xml_open(out, "Placemark");
    const sb_field *field = &season->fields[f];
    sb_xml_element(out, "name", file_name(field));
    sb_text_clear(scratch);
    if (field->part > 0)
        sb_text_addf(scratch, "%s, part %d of %d. ", field->name, field->part, field->n_split);
    describe_field(season, plan, f, scratch);
    sb_xml_element(out, "description", sb_text_get(scratch));
    sb_text_clear(scratch);
    sb_text_addf(scratch, "#rating-%d", sb_worst_class(season, f));
    sb_xml_element(out, "styleUrl", sb_text_get(scratch));
    add_attributes(out, season, &season->fields[f]);
    add_shape(out, &season->fields[f]);
    sb_xml_close(out);
}

static void add_role(sb_xml_out *out, const char *role)
{
    sb_xml_open(out, "ExtendedData");
    sb_kml_data(out, "role", role);
    sb_xml_close(out);
}

static void add_yard(sb_xml_out *out, const sb_yard *yard)
{
    sb_xml_open(out, "Placemark");
    sb_xml_element(out, "name", yard->name);
    add_role(out, "yard");
    add_point(out, yard->place);
    sb_xml_close(out);
}

static void describe_stop(const sb_season *season, const sb_route *route, size_t i, sb_text *text)
{
    const sb_stop *stop = &route->stops[i];
    sb_text_clear(text);
    sb_text_addf(text, "%s, ", season->fields[stop->field].name);
    sb_words_moment(text, &season->setup.calendar, stop->arrive_h, false);
    sb_text_addf(text, ", after ");
    sb_words_km(text, stop->km);
    if (stop->cleanout > 0)
        sb_text_addf(text, "; cleanout before leaving for it: %s",
                     season->setup.cleanouts[stop->cleanout].name);
}

/* The way of one machine and its numbered stops. */
static void add_route(sb_xml_out *out, const sb_season *season, const sb_plan *plan, size_t r,
                      sb_text *scratch)
{
    const sb_route *route = &plan->routes[r];
    const char *machine = season->setup.machines[route->machine].name;
    const sb_yard *yard = &season->yards[season->joins[route->machine].yard];
    sb_xml_open(out, "Folder");
    sb_xml_element(out, "name", machine);
    sb_xml_open(out, "Placemark");
    sb_text_clear(scratch);
    sb_text_addf(scratch, "Way of %s", machine);
    sb_xml_element(out, "name", sb_text_get(scratch));
    sb_xml_element(out, "styleUrl", "#way");
    sb_xml_open(out, "LineString");
    sb_xml_element(out, "tessellate", "1");
    sb_text_clear(scratch);
    sb_kml_place(scratch, season->yards[season->joins[route->machine].start].place);
    for (size_t i = 0; i < route->n_stops; i++)
        sb_kml_place(scratch, season->fields[route->stops[i].field].place);
    sb_kml_place(scratch, yard->place);
    sb_xml_element(out, "coordinates", sb_text_get(scratch));
    sb_xml_close(out);
    sb_xml_close(out);
    for (size_t i = 0; i < route->n_stops; i++) {
        sb_text_clear(scratch);
        sb_words_stop(scratch, plan->n_routes, r, i);
        sb_xml_open(out, "Placemark");
        sb_xml_element(out, "name", sb_text_get(scratch));
        describe_stop(season, route, i, scratch);
        sb_xml_element(out, "description", sb_text_get(scratch));
        add_role(out, "stop");
        add_point(out, season->fields[route->stops[i].field].place);
        sb_xml_close(out);
    }
    sb_xml_close(out);
}

sb_status sb_render_map_kml(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    sb_xml_out *out = sb_xml_out_new();
    if (out == NULL)
        return SB_ERR_NOMEM;
    sb_text scratch = {0};
    sb_xml_open(out, "kml");
    sb_xml_attribute(out, "xmlns", "http://www.opengis.net/kml/2.2");
    sb_xml_open(out, "Document");
    sb_xml_element(out, "name", "Harvest order");
    add_styles(out, season->setup.scale.n_classes);
    for (size_t f = 0; f < season->n_fields; f++)
        add_field(out, season, plan, (int)f, &scratch);
    for (size_t y = 0; y < season->n_yards; y++)
        add_yard(out, &season->yards[y]);
    for (size_t r = 0; r < plan->n_routes; r++)
        if (plan->routes[r].n_stops > 0)
            add_route(out, season, plan, r, &scratch);
    sb_xml_close(out);
    sb_xml_close(out);
    sb_status status = sb_xml_out_finish(out, text);
    if (scratch.failed)
        status = SB_ERR_NOMEM;
    sb_text_release(&scratch);
    return status;
}
