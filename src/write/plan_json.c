/* SPDX-License-Identifier: GPL-3.0-or-later */
/* plan.json: the plan for other programs, and for `trace` to read back (docs/formats.md). */
#include <math.h>

#include <jansson.h>

#include "write/why.h"
#include "write/write.h"

/* Enough digits that a reader gets the same double back. */
#define DIGITS 17

/* Sets a key; a NULL value (no memory, or text that is not UTF-8) turns *ok false. */
static void put(json_t *object, const char *key, json_t *value, bool *ok)
{
    if (json_object_set_new(object, key, value) != 0)
        *ok = false;
}

static void append(json_t *array, json_t *value, bool *ok)
{
    if (json_array_append_new(array, value) != 0)
        *ok = false;
}

/* JSON has no infinity and no NaN: what is unknown or unlimited is null. */
static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *stamp(const sb_season *season, double hours, bool is_end)
{
    if (!isfinite(hours))
        return json_null();
    char out[17];
    sb_calendar_stamp(&season->setup.calendar, hours, is_end, out);
    return json_string(out);
}

static json_t *level(const sb_season *season, int cleanout)
{
    return cleanout < 0 ? json_null() : json_string(season->setup.cleanouts[cleanout].id);
}

static json_t *by_weed(const sb_season *season, const double *seeds, bool *ok)
{
    json_t *object = json_object();
    for (size_t k = 0; k < season->setup.n_weeds; k++)
        put(object, season->setup.weeds[k].id, number(seeds[k]), ok);
    return object;
}

static json_t *tarp_json(const sb_season *season, const sb_stop_trace *trace, bool *ok)
{
    json_t *object = json_object();
    put(object, "kg", number(trace->tarp_kg), ok);
    put(object, "seeds", by_weed(season, trace->on_tarp, ok), ok);
    return object;
}

static json_t *reason_json(const sb_season *season, const sb_route *route, size_t i, bool *ok)
{
    const sb_reason *reason = &route->reasons[i];
    sb_text why = {0};
    sb_why(season, route, i, sb_add_plain_name, &why);
    *ok &= !why.failed;
    json_t *object = json_object();
    put(object, "text", json_string(sb_text_get(&why)), ok);
    put(object, "cost", number(reason->cost), ok);
    put(object, "saves", number(reason->saves), ok);
    put(object, "stops_seeds", number(reason->stops_seeds), ok);
    put(object, "weed", json_string(season->setup.weeds[reason->weed].id), ok);
    put(object, "field", json_string(season->fields[reason->field].name), ok);
    put(object, "field_share", number(reason->field_share), ok);
    put(object, "demanded", json_boolean(reason->demanded), ok);
    put(object, "limit", json_boolean(reason->limit), ok);
    put(object, "next_level", level(season, reason->next_level), ok);
    put(object, "next_best", number(reason->next_best), ok);
    sb_text_release(&why);
    return object;
}

static json_t *stop_json(const sb_season *season, const sb_route *route, size_t i, bool *ok)
{
    const sb_stop *stop = &route->stops[i];
    json_t *object = json_object();
    put(object, "field", json_string(season->fields[stop->field].name), ok);
    put(object, "cleanout", level(season, stop->cleanout), ok);
    put(object, "cleanout_minutes", number(season->setup.cleanouts[stop->cleanout].minutes), ok);
    put(object, "km", number(stop->km), ok);
    put(object, "leave", stamp(season, stop->leave_h, false), ok);
    put(object, "arrive", stamp(season, stop->arrive_h, false), ok);
    put(object, "finish", stamp(season, stop->finish_h, true), ok);
    put(object, "leave_h", number(stop->leave_h), ok);
    put(object, "arrive_h", number(stop->arrive_h), ok);
    put(object, "finish_h", number(stop->finish_h), ok);
    put(object, "brought", by_weed(season, stop->trace.ground, ok), ok);
    put(object, "tank", by_weed(season, stop->trace.tank, ok), ok);
    put(object, "loss", number(stop->loss), ok);
    put(object, "delay_cost", number(stop->delay_cost), ok);
    put(object, "strip50_m", number(stop->trace.strip50_m), ok);
    put(object, "strip90_m", number(stop->trace.strip90_m), ok);
    if (stop->cleanout > 0)
        put(object, "tarp", tarp_json(season, &stop->trace, ok), ok);
    if (stop->cleanout > 0 && route->reasons != NULL)
        put(object, "reason", reason_json(season, route, i, ok), ok);
    return object;
}

static json_t *route_json(const sb_season *season, const sb_route *route, bool *ok)
{
    json_t *stops = json_array();
    for (size_t i = 0; i < route->n_stops; i++)
        append(stops, stop_json(season, route, i, ok), ok);
    json_t *object = json_object();
    put(object, "id", json_string(season->setup.machines[route->machine].id), ok);
    put(object, "yard", json_string(season->yards[season->joins[route->machine].yard].name), ok);
    put(object, "km_total", number(route->km_total), ok);
    put(object, "stops", stops, ok);
    put(object, "km_home", number(route->km_home), ok);
    put(object, "home", stamp(season, route->home_h, true), ok);
    put(object, "home_h", number(route->home_h), ok);
    put(object, "final_cleanout", level(season, route->final_cleanout), ok);
    if (route->final_cleanout > 0)
        put(object, "final_tarp", tarp_json(season, &route->final_trace, ok), ok);
    put(object, "end", stamp(season, route->end_h, true), ok);
    put(object, "end_h", number(route->end_h), ok);
    return object;
}

static json_t *cost_json(const sb_cost *cost, bool *ok)
{
    json_t *object = json_object();
    put(object, "total", number(cost->total), ok);
    put(object, "travel", number(cost->travel), ok);
    put(object, "cleanout", number(cost->cleanout), ok);
    put(object, "spread", number(cost->spread), ok);
    put(object, "delay", number(cost->delay), ok);
    return object;
}

static json_t *proof_json(const sb_proof *proof, bool *ok)
{
    json_t *object = json_object();
    put(object, "seconds", number(proof->seconds), ok);
    put(object, "labels", json_integer(proof->labels), ok);
    put(object, "method", json_string(proof->method), ok);
    return object;
}

static json_t *assumptions_json(const sb_season *season, bool *ok)
{
    json_t *array = json_array();
    for (size_t i = 0; i < season->assumptions.count; i++) {
        const sb_assumption *assumption = &season->assumptions.items[i];
        json_t *object = json_object();
        put(object, "text", json_string(assumption->text), ok);
        put(object, "source", json_string(assumption->source), ok);
        append(array, object, ok);
    }
    return array;
}

static int add_chunk(const char *bytes, size_t n, void *text)
{
    sb_text_add(text, bytes, n);
    return ((sb_text *)text)->failed ? -1 : 0;
}

sb_status sb_render_plan_json(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    bool ok = true;
    json_t *machines = json_array();
    for (size_t r = 0; r < plan->n_routes; r++)
        append(machines, route_json(season, &plan->routes[r], &ok), &ok);
    json_t *root = json_object();
    put(root, "format", json_string("seedbreak-plan"), &ok);
    put(root, "version", json_integer(1), &ok);
    put(root, "status", json_string(plan->proof.optimal ? "optimal" : "feasible"), &ok);
    put(root, "currency", json_string(season->setup.currency), &ok);
    put(root, "cost", cost_json(&plan->cost, &ok), &ok);
    put(root, "bound", number(plan->proof.bound), &ok);
    put(root, "gap", number(sb_plan_gap(plan)), &ok);
    put(root, "proof", proof_json(&plan->proof, &ok), &ok);
    put(root, "machines", machines, &ok);
    put(root, "assumptions", assumptions_json(season, &ok), &ok);
    ok = ok && json_dump_callback(root, add_chunk, text,
                                  JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)) == 0;
    sb_text_add(text, "\n", 1);
    json_decref(root);
    return ok && !text->failed ? SB_OK : SB_ERR_NOMEM;
}
