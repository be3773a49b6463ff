/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/compare.h"

#include <math.h>

#include "base/mem.h"
#include "write/json_out.h"
#include "write/stream.h"

static void count_route(const sb_season *season, const sb_route *route, sb_compared *c)
{
    c->km += route->km_total;
    c->end_h = fmax(c->end_h, route->end_h);
    for (size_t i = 0; i <= route->n_stops; i++) {
        int level = i < route->n_stops   ? route->stops[i].cleanout
                    : route->n_stops > 0 ? route->final_cleanout
                                         : 0;
        if (level > 0) {
            c->cleanouts++;
            c->full_cleanouts += season->setup.cleanouts[level].full;
            c->minutes += season->setup.cleanouts[level].minutes;
        }
        if (i == route->n_stops)
            break;
        c->loss[route->stops[i].field] = route->stops[i].loss;
        for (size_t k = 0; k < season->setup.n_weeds; k++)
            c->seeds[k] += route->stops[i].trace.ground[k];
    }
}

static void find_dearer(sb_compared *compared, size_t n)
{
    size_t best = 0;
    for (size_t p = 1; p < n; p++) {
        double cost = compared[p].plan->cost.total, least = compared[best].plan->cost.total;
        if (compared[p].broken < compared[best].broken ||
            (compared[p].broken == compared[best].broken && cost < least))
            best = p;
    }
    double least = compared[best].plan->cost.total;
    for (size_t p = 0; p < n; p++) {
        double cost = compared[p].plan->cost.total;
        compared[p].dearer = p == best ? 0 : least > 0 && isfinite(cost) ? cost / least - 1 : NAN;
    }
}

void sb_compared_free(sb_compared *compared, size_t n)
{
    for (size_t p = 0; compared != NULL && p < n; p++)
        sb_free(compared[p].loss);
    sb_free(compared);
}

sb_status sb_compare(const sb_season *season, const sb_rival *plans, size_t n,
                     sb_compared **compared)
{
    *compared = NULL;
    sb_compared *made = sb_alloc(n, sizeof *made);
    sb_status status = made != NULL ? SB_OK : SB_ERR_NOMEM;
    for (size_t p = 0; status == SB_OK && p < n; p++) {
        sb_compared *c = &made[p];
        c->name = plans[p].name;
        c->plan = plans[p].plan;
        c->loss = sb_alloc(season->n_fields, sizeof *c->loss);
        if (c->loss == NULL) {
            status = SB_ERR_NOMEM;
            break;
        }
        for (size_t r = 0; r < c->plan->n_routes; r++)
            count_route(season, &c->plan->routes[r], c);
        status = sb_plan_check(season, c->plan, SB_NOTE, NULL, &c->broken);
    }
    if (status != SB_OK) {
        sb_compared_free(made, made != NULL ? n : 0);
        return status;
    }
    find_dearer(made, n);
    *compared = made;
    return SB_OK;
}

/* ---- As JSON ------------------------------------------------------------------------------- */

static json_t *stops_json(const sb_season *season, const sb_route *route, bool *ok)
{
    json_t *array = json_array();
    for (size_t i = 0; i < route->n_stops; i++) {
        const sb_stop *stop = &route->stops[i];
        json_t *object = json_object();
        sb_json_put(object, "field", json_string(season->fields[stop->field].name), ok);
        sb_json_put(object, "cleanout", json_string(season->setup.cleanouts[stop->cleanout].id),
                    ok);
        sb_json_put(object, "loss", sb_json_number(stop->loss), ok);
        sb_json_append(array, object, ok);
    }
    return array;
}

static json_t *machines_json(const sb_season *season, const sb_plan *plan, bool *ok)
{
    json_t *array = json_array();
    for (size_t r = 0; r < plan->n_routes; r++) {
        json_t *object = json_object();
        const sb_route *route = &plan->routes[r];
        sb_json_put(object, "id", json_string(season->setup.machines[route->machine].id), ok);
        sb_json_put(object, "stops", stops_json(season, route, ok), ok);
        sb_json_append(array, object, ok);
    }
    return array;
}

static json_t *compared_json(const sb_season *season, const sb_compared *c, bool *ok)
{
    json_t *object = json_object(), *seeds = json_object();
    sb_json_put(object, "name", sb_json_text(c->name), ok);
    sb_json_put(object, "cost", sb_cost_json(&c->plan->cost, ok), ok);
    sb_json_put(object, "dearer", sb_json_number(c->dearer), ok);
    sb_json_put(object, "rules_broken", json_integer((json_int_t)c->broken), ok);
    sb_json_put(object, "km", sb_json_number(c->km), ok);
    sb_json_put(object, "cleanouts", json_integer(c->cleanouts), ok);
    sb_json_put(object, "full_cleanouts", json_integer(c->full_cleanouts), ok);
    sb_json_put(object, "cleaning_minutes", sb_json_number(c->minutes), ok);
    sb_json_put(object, "end_h", sb_json_number(c->end_h), ok);
    for (size_t k = 0; k < season->setup.n_weeds; k++)
        sb_json_put(seeds, season->setup.weeds[k].id, sb_json_number(c->seeds[k]), ok);
    sb_json_put(object, "brought", seeds, ok);
    sb_json_put(object, "machines", machines_json(season, c->plan, ok), ok);
    return object;
}

sb_status sb_render_comparison_json(const sb_season *season, const sb_compared *plans, size_t n,
                                    sb_text *text)
{
    bool ok = true;
    json_t *root = json_object(), *array = json_array();
    for (size_t p = 0; p < n; p++)
        sb_json_append(array, compared_json(season, &plans[p], &ok), &ok);
    sb_json_put(root, "format", json_string("seedbreak-comparison"), &ok);
    sb_json_put(root, "version", json_integer(1), &ok);
    sb_json_put(root, "currency", json_string(season->setup.currency), &ok);
    sb_json_put(root, "plans", array, &ok);
    return sb_json_finish(root, ok, text);
}

/* ---- The public calls ---------------------------------------------------------------------- */

static sb_status print(const sb_season *season, const sb_rival *plans, size_t n, FILE *stream,
                       sb_status (*render)(const sb_season *season, const sb_compared *plans,
                                           size_t n, sb_text *text))
{
    if (season == NULL || plans == NULL || n == 0 || stream == NULL)
        return SB_ERR_ARG;
    sb_compared *compared;
    sb_text text = {0};
    sb_status status = sb_compare(season, plans, n, &compared);
    if (status == SB_OK)
        status = render(season, compared, n, &text);
    if (status == SB_OK)
        status = sb_stream_text(&text, stream);
    sb_compared_free(compared, n);
    sb_text_release(&text);
    return status;
}

sb_status sb_print_comparison(const sb_season *season, const sb_rival *plans, size_t n,
                              FILE *stream)
{
    return print(season, plans, n, stream, sb_render_comparison_text);
}

sb_status sb_print_comparison_json(const sb_season *season, const sb_rival *plans, size_t n,
                                   FILE *stream)
{
    return print(season, plans, n, stream, sb_render_comparison_json);
}
