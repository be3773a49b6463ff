/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fields.geojson: the fields with what the plan does to them (RFC 7946). */
#include <math.h>

#include "base/mem.h"
#include "geo/unwrap.h"
#include "write/json_out.h"
#include "write/write.h"

/* About a centimetre; RFC 7946 section 11.2 advises against more. */
static json_t *coordinate(double degrees)
{
    return json_real(round(degrees * 1e7) / 1e7);
}

static json_t *position(double lon_deg, double lat_deg, bool *ok)
{
    json_t *pair = json_array();
    sb_json_append(pair, coordinate(lon_deg), ok);
    sb_json_append(pair, coordinate(lat_deg), ok);
    return pair;
}

/* Corners on one side of the meridian of 180 degrees; where an edge crosses it, the point on it.
 * side: -1 keeps what lies west of it, with longitudes up to 180, 1 what lies east, from -180.
 * @param cut [out] room for 2 * ring->count points @return how many */
static size_t cut_ring(const sb_ring *ring, double beside_deg, int side, sb_lonlat *cut)
{
    size_t n = 0;
    for (size_t i = 0; i < ring->count; i++) {
        sb_lonlat a = ring->items[i], b = ring->items[(i + 1) % ring->count];
        double border = beside_deg > 0 ? 180 : -180;
        a.lon_deg = sb_unwrap_deg(a.lon_deg, beside_deg);
        b.lon_deg = sb_unwrap_deg(b.lon_deg, beside_deg);
        bool a_in = side * (a.lon_deg - border) >= 0, b_in = side * (b.lon_deg - border) >= 0;
        double turn = side > 0 && border > 0 ? -360 : side < 0 && border < 0 ? 360 : 0;
        if (a_in)
            cut[n++] = (sb_lonlat){a.lon_deg + turn, a.lat_deg};
        if (a_in != b_in) {
            double share = (border - a.lon_deg) / (b.lon_deg - a.lon_deg);
            cut[n++] = (sb_lonlat){border + turn, a.lat_deg + share * (b.lat_deg - a.lat_deg)};
        }
    }
    return n;
}

/* Closed, outer rings anti-clockwise and holes clockwise. NULL when fewer than three corners lie on
 * that side; *ok turns false without memory. */
static json_t *ring_json(const sb_ring *ring, double beside_deg, int side, bool clockwise, bool *ok)
{
    sb_lonlat *corners = sb_alloc(2 * ring->count, sizeof *corners);
    *ok &= corners != NULL;
    size_t n = corners != NULL ? cut_ring(ring, beside_deg, side, corners) : 0;
    bool reverse = clockwise != (sb_ring_winding(ring) < 0);
    json_t *array = n >= 3 ? json_array() : NULL;
    for (size_t i = 0; array != NULL && i <= n; i++) {
        const sb_lonlat *corner = &corners[reverse ? (n - i % n) % n : i % n];
        sb_json_append(array, position(corner->lon_deg, corner->lat_deg, ok), ok);
    }
    *ok &= n < 3 || array != NULL;
    sb_free(corners);
    return array;
}

static void add_part(json_t *polygons, const sb_part *part, double beside_deg, int side, bool *ok)
{
    json_t *outer = ring_json(&part->outer, beside_deg, side, false, ok);
    if (outer == NULL)
        return;
    json_t *polygon = json_array();
    sb_json_append(polygon, outer, ok);
    for (size_t h = 0; h < part->n_holes; h++) {
        json_t *hole = ring_json(&part->holes[h], beside_deg, side, true, ok);
        if (hole != NULL)
            sb_json_append(polygon, hole, ok);
    }
    sb_json_append(polygons, polygon, ok);
}

/* A Point, or a MultiPolygon cut where it crosses the meridian of 180 degrees. */
static json_t *geometry_json(const sb_field *field, bool *ok)
{
    json_t *object = json_object();
    if (field->n_parts == 0) {
        sb_json_put(object, "type", json_string("Point"), ok);
        sb_json_put(object, "coordinates", position(field->place.lon_deg, field->place.lat_deg, ok),
                    ok);
        return object;
    }
    json_t *polygons = json_array();
    for (size_t i = 0; i < field->n_parts; i++) {
        add_part(polygons, &field->parts[i], field->place.lon_deg, -1, ok);
        add_part(polygons, &field->parts[i], field->place.lon_deg, 1, ok);
    }
    sb_json_put(object, "type", json_string("MultiPolygon"), ok);
    sb_json_put(object, "coordinates", polygons, ok);
    return object;
}

static json_t *ratings_json(const sb_season *season, const sb_field *field, bool *ok)
{
    json_t *object = json_object();
    for (size_t k = 0; k < season->setup.n_weeds; k++)
        if (field->ratings[k].source != SB_RATING_NONE)
            sb_json_put(object, season->setup.weeds[k].id,
                        sb_json_text(season->setup.scale.labels[field->ratings[k].class_index]),
                        ok);
    return object;
}

static json_t *stamp_json(const sb_season *season, double hours, bool is_end)
{
    char stamp[17];
    if (!isfinite(hours))
        return json_null();
    sb_calendar_stamp(&season->setup.calendar, hours, is_end, stamp);
    return json_string(stamp);
}

static void add_stop(json_t *properties, const sb_season *season, const sb_route *route, size_t i,
                     bool *ok)
{
    const sb_stop *stop = &route->stops[i];
    json_t *brought = json_object();
    for (size_t k = 0; k < season->setup.n_weeds; k++)
        sb_json_put(brought, season->setup.weeds[k].id, sb_json_number(stop->trace.ground[k]), ok);
    sb_json_put(properties, "machine", sb_json_text(season->setup.machines[route->machine].id), ok);
    sb_json_put(properties, "stop", json_integer((json_int_t)i + 1), ok);
    sb_json_put(properties, "cleanout", sb_json_text(season->setup.cleanouts[stop->cleanout].id),
                ok);
    sb_json_put(properties, "arrive", stamp_json(season, stop->arrive_h, false), ok);
    sb_json_put(properties, "finish", stamp_json(season, stop->finish_h, true), ok);
    sb_json_put(properties, "brought", brought, ok);
    sb_json_put(properties, "loss", sb_json_number(stop->loss), ok);
    sb_json_put(properties, "strip50_m", sb_json_number(stop->trace.strip50_m), ok);
    sb_json_put(properties, "strip90_m", sb_json_number(stop->trace.strip90_m), ok);
}

static json_t *feature_json(const sb_season *season, const sb_route *route, size_t i, bool *ok)
{
    const sb_field *field = &season->fields[route->stops[i].field];
    json_t *feature = json_object(), *properties = json_object();
    sb_json_put(properties, "name", sb_json_text(field->name), ok);
    sb_json_put(properties, "grower",
                sb_json_text(field->grower >= 0 ? season->growers[field->grower] : NULL), ok);
    sb_json_put(properties, "crop", sb_json_text(season->setup.crops[field->crop].id), ok);
    sb_json_put(properties, "area_ha", sb_json_number(field->area_ha), ok);
    sb_json_put(properties, "ratings", ratings_json(season, field, ok), ok);
    add_stop(properties, season, route, i, ok);
    sb_json_put(feature, "type", json_string("Feature"), ok);
    sb_json_put(feature, "properties", properties, ok);
    sb_json_put(feature, "geometry", geometry_json(field, ok), ok);
    return feature;
}

sb_status sb_render_fields_geojson(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    bool ok = true;
    json_t *features = json_array(), *root = json_object();
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < plan->routes[r].n_stops; i++)
            sb_json_append(features, feature_json(season, &plan->routes[r], i, &ok), &ok);
    sb_json_put(root, "type", json_string("FeatureCollection"), &ok);
    sb_json_put(root, "features", features, &ok);
    return sb_json_finish(root, ok, text);
}
