/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/by_hand.h"

#include "order/tradeoff.h"
#include "write/deflated.h"
#include "write/html_text.h"
#include "write/json_out.h"
#include "write/season_pack.h"

/* page/wasm/ as one WebAssembly module, made by the build; empty where no compiler for it was at
 * hand. */
extern const char sb_page_model[];

bool sb_by_hand_possible(const sb_page *page)
{
    return sb_page_model[0] != '\0' && page->season->n_places <= SB_MOST_PACKED_PLACES &&
           page->n_stops > 0;
}

static json_t *numbers_json(const sb_plan *plan, bool *ok)
{
    json_t *routes = json_array();
    for (size_t r = 0; r < plan->n_routes; r++) {
        const sb_route *route = &plan->routes[r];
        json_t *object = json_object(), *stops = json_array();
        for (size_t i = 0; i < route->n_stops; i++) {
            json_t *pair = json_array();
            sb_json_append(pair, json_integer(route->stops[i].field), ok);
            sb_json_append(pair, json_integer(route->stops[i].cleanout), ok);
            sb_json_append(stops, pair, ok);
        }
        sb_json_put(object, "machine", json_integer(route->machine), ok);
        sb_json_put(object, "final", json_integer(route->final_cleanout), ok);
        sb_json_put(object, "stops", stops, ok);
        sb_json_append(routes, object, ok);
    }
    return routes;
}

static json_t *curve_json(const sb_curve *curve, bool *ok)
{
    json_t *plans = json_array();
    for (size_t i = 0; i < curve->points.count; i++)
        sb_json_append(plans, numbers_json(curve->points.items[i].plan, ok), ok);
    return plans;
}

/* What the numbers stand for in plan.json and to people, and what a plan says of a rest. */
static json_t *names_json(const sb_season *season, bool *ok)
{
    const sb_setup *setup = &season->setup;
    json_t *object = json_object(), *fields = json_array(), *machines = json_array();
    json_t *cleanouts = json_array();
    for (size_t f = 0; f < season->n_fields; f++)
        sb_json_append(fields, sb_json_text(season->fields[f].name), ok);
    for (size_t m = 0; m < setup->n_machines; m++) {
        json_t *machine = json_object();
        sb_json_put(machine, "id", sb_json_text(setup->machines[m].id), ok);
        sb_json_put(machine, "name", sb_json_text(setup->machines[m].name), ok);
        sb_json_append(machines, machine, ok);
    }
    for (size_t c = 0; c < setup->n_cleanouts; c++) {
        json_t *cleanout = json_object();
        sb_json_put(cleanout, "id", sb_json_text(setup->cleanouts[c].id), ok);
        sb_json_put(cleanout, "name", sb_json_text(setup->cleanouts[c].name), ok);
        sb_json_append(cleanouts, cleanout, ok);
    }
    sb_json_put(object, "fields", fields, ok);
    sb_json_put(object, "machines", machines, ok);
    sb_json_put(object, "cleanouts", cleanouts, ok);
    sb_json_put(object, "currency", sb_json_text(setup->currency), ok);
    if (season->so_far.is_rest)
        sb_json_put(object, "so_far", sb_so_far_json(&season->so_far, ok), ok);
    return object;
}

static json_t *parts_json(bool *ok)
{
    json_t *parts = json_array();
    for (size_t i = 0; i < sb_n_page_parts; i++)
        sb_json_append(parts, json_string(sb_page_parts[i].id), ok);
    return parts;
}

void sb_by_hand_section(sb_text *text)
{
    sb_text_addf(
        text, "<section id=\"by-hand\" hidden><h2>Try it by hand</h2>\n<p>Move a stop to "
              "another place, or choose another cleanout before it: everything on this page "
              "follows at once.</p>\n<div id=\"hand-lists\"></div>\n<div id=\"hand-bar\"><div "
              "id=\"hand-result\" aria-live=\"polite\"></div><p class=\"actions\"><button "
              "type=\"button\" id=\"hand-back\">Back to the plan</button> <button type=\"button\" "
              "id=\"hand-save\">Save plan.json</button></p></div></section>\n");
}

static void open_data(const char *id, sb_text *text)
{
    sb_text_addf(text, "<script type=\"text/plain\" id=\"%s\">", id);
}

/* Deflated like the rest: what users wrote never stands in a script element as it is. */
static sb_status add_packed(const char *id, const sb_text *bytes, sb_text *text)
{
    open_data(id, text);
    sb_status status = sb_add_deflated(bytes, text);
    sb_text_addf(text, "</script>\n");
    return status;
}

sb_status sb_by_hand_data(const sb_page *page, sb_text *text)
{
    bool ok = true;
    sb_text bytes = {0}, json = {0};
    json_t *root = names_json(page->season, &ok);
    sb_json_put(root, "routes", numbers_json(page->plan, &ok), &ok);
    if (page->curve != NULL)
        sb_json_put(root, "curve", curve_json(page->curve, &ok), &ok);
    sb_json_put(root, "parts", parts_json(&ok), &ok);
    sb_status status = sb_json_finish(root, ok, &json);
    open_data("model", text);
    sb_text_addf(text, "%s</script>\n", sb_page_model);
    if (status == SB_OK)
        status = add_packed("plan-data", &json, text);
    if (status == SB_OK)
        status = sb_season_pack(page->season, page->plan, &bytes);
    if (status == SB_OK)
        status = add_packed("season-data", &bytes, text);
    sb_text_release(&bytes);
    sb_text_release(&json);
    return status != SB_OK ? status : text->failed ? SB_ERR_NOMEM : SB_OK;
}
