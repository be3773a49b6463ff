/* SPDX-License-Identifier: GPL-3.0-or-later */
/* route.gpx: the stops as waypoints and every move as a route, for handheld receivers (GPX 1.1). */
#include "write/receipts.h"
#include "write/words.h"
#include "write/write.h"
#include "write/xml_out.h"

/* Receivers cut names: waypoints at 10 characters, routes at 15, some show capitals, digits and '-'
 * only. So names are short codes and the full name stands in the description. */
static void short_name(const sb_plan *plan, size_t route, char kind, size_t number, sb_text *name)
{
    sb_text_clear(name);
    if (sb_words_letter(plan->n_routes, route))
        sb_text_addf(name, "%c-", sb_words_letter(plan->n_routes, route)); /* as on the page */
    else if (plan->n_routes > 1)
        sb_text_addf(name, "M%zu-", route + 1);
    if (kind == 'Y')
        sb_text_addf(name, "YARD");
    else
        sb_text_addf(name, "%c%02zu", kind, number);
}

static void add_point(sb_xml_out *out, const char *element, sb_lonlat place, const char *name,
                      const char *description)
{
    sb_xml_open(out, element);
    sb_xml_lat_lon(out, place);
    sb_xml_element(out, "name", name);
    sb_xml_element(out, "desc", description);
    sb_xml_close(out);
}

static void describe_move(const sb_season *season, const sb_route *route, size_t i, sb_text *text)
{
    const sb_stop *stop = &route->stops[i];
    sb_text_clear(text);
    sb_text_addf(text, "%s: ", season->fields[stop->field].name);
    if (stop->cleanout > 0) {
        const sb_cleanout *level = &season->setup.cleanouts[stop->cleanout];
        sb_text_addf(text, "before leaving, %s (", level->name);
        sb_words_minutes(text, level->minutes);
        sb_text_addf(text, "); ");
    }
    sb_words_km(text, stop->km);
    sb_text_addf(text, ", arrive ");
    sb_words_moment(text, &season->setup.calendar, stop->arrive_h, false);
}

/* Where a stop, or the yard for stop n_stops, lies; its short name and its full one. */
typedef struct end {
    sb_lonlat place;
    sb_text name;
    const char *full_name;
} end;

static void find_end(const sb_season *season, const sb_plan *plan, size_t r, size_t stop, end *e)
{
    const sb_route *route = &plan->routes[r];
    if (stop < route->n_stops) {
        const sb_field *field = &season->fields[route->stops[stop].field];
        short_name(plan, r, 'F', stop + 1, &e->name);
        e->place = field->place;
        e->full_name = field->name;
        return;
    }
    const sb_yard *yard = &season->yards[season->joins[route->machine].yard];
    short_name(plan, r, 'Y', 0, &e->name);
    e->place = yard->place;
    e->full_name = yard->name;
}

static void add_waypoints(sb_xml_out *out, const sb_season *season, const sb_plan *plan, size_t r,
                          sb_text *scratch)
{
    const sb_route *route = &plan->routes[r];
    end e = {0};
    find_end(season, plan, r, route->n_stops, &e);
    add_point(out, "wpt", e.place, sb_text_get(&e.name), e.full_name);
    for (size_t i = 0; i < route->n_stops; i++) {
        find_end(season, plan, r, i, &e);
        describe_move(season, route, i, scratch);
        sb_text_addf(scratch, ". ");
        sb_receipt_words(season, plan, route->stops[i].field, sb_add_plain_name, scratch);
        add_point(out, "wpt", e.place, sb_text_get(&e.name), sb_text_get(scratch));
    }
    scratch->failed |= e.name.failed;
    sb_text_release(&e.name);
}

/* One rte a move: yard to first field, field to field, last field to yard. */
static void add_moves(sb_xml_out *out, const sb_season *season, const sb_plan *plan, size_t r,
                      sb_text *scratch)
{
    const sb_route *route = &plan->routes[r];
    end from = {0}, to = {0};
    sb_text name = {0};
    find_end(season, plan, r, route->n_stops, &from);
    const sb_yard *start = &season->yards[season->joins[route->machine].start];
    from.place = start->place;
    from.full_name = start->name;
    for (size_t i = 0; i <= route->n_stops; i++) {
        find_end(season, plan, r, i, &to);
        short_name(plan, r, 'L', i + 1, &name);
        if (i < route->n_stops) {
            describe_move(season, route, i, scratch);
        } else {
            sb_text_clear(scratch);
            sb_text_addf(scratch, "home to %s, ", to.full_name);
            sb_words_km(scratch, route->km_home);
        }
        sb_xml_open(out, "rte");
        sb_xml_element(out, "name", sb_text_get(&name));
        sb_xml_element(out, "desc", sb_text_get(scratch));
        add_point(out, "rtept", from.place, sb_text_get(&from.name), from.full_name);
        add_point(out, "rtept", to.place, sb_text_get(&to.name), to.full_name);
        sb_xml_close(out);
        find_end(season, plan, r, i, &from);
    }
    scratch->failed |= from.name.failed || to.name.failed || name.failed;
    sb_text_release(&from.name);
    sb_text_release(&to.name);
    sb_text_release(&name);
}

sb_status sb_render_route_gpx(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    sb_xml_out *out = sb_xml_out_new();
    if (out == NULL)
        return SB_ERR_NOMEM;
    sb_text scratch = {0};
    sb_xml_open(out, "gpx");
    sb_xml_attribute(out, "xmlns", "http://www.topografix.com/GPX/1/1");
    sb_xml_attribute(out, "version", "1.1");
    sb_xml_attribute(out, "creator", "seedbreak");
    sb_xml_open(out, "metadata");
    sb_xml_element(out, "name", "Harvest order");
    sb_xml_close(out);
    for (size_t r = 0; r < plan->n_routes; r++)
        if (plan->routes[r].n_stops > 0)
            add_waypoints(out, season, plan, r, &scratch);
    for (size_t r = 0; r < plan->n_routes; r++)
        if (plan->routes[r].n_stops > 0)
            add_moves(out, season, plan, r, &scratch);
    sb_xml_close(out);
    sb_status status = sb_xml_out_finish(out, text);
    if (scratch.failed)
        status = SB_ERR_NOMEM;
    sb_text_release(&scratch);
    return status;
}
