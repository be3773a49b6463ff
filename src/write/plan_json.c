/* SPDX-License-Identifier: GPL-3.0-or-later */
/* plan.json: the plan for other programs, and for `trace` to read back (docs/formats.md). */
#include <math.h>

#include "write/breach_json.h"
#include "write/json_out.h"
#include "write/lessons.h"
#include "write/needs.h"
#include "write/patches_out.h"
#include "write/warnings.h"
#include "write/why.h"
#include "write/why_move.h"
#include "write/write.h"

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
        sb_json_put(object, season->setup.weeds[k].id, sb_json_number(seeds[k]), ok);
    return object;
}

static json_t *tarp_json(const sb_season *season, const sb_stop_trace *trace, bool *ok)
{
    json_t *object = json_object();
    sb_json_put(object, "kg", sb_json_number(trace->tarp_kg), ok);
    sb_json_put(object, "seeds", by_weed(season, trace->on_tarp, ok), ok);
    return object;
}

/* By cleanout: the rule that it would break in that place, as far as that was asked. */
static json_t *broken_levels(const sb_season *season, const sb_reason *reason, bool *ok)
{
    json_t *object = json_object();
    for (size_t l = 0; l < season->setup.n_cleanouts; l++)
        if (reason->breach[l].rule != SB_BROKEN_NONE)
            sb_json_put(object, season->setup.cleanouts[l].id,
                        sb_breach_json(season, &reason->breach[l], ok), ok);
    return object;
}

/* Who would lose more than a rule lets him; null: nobody. */
static json_t *overloss_json(const sb_season *season, const sb_overloss *over, bool *ok)
{
    json_t *object = json_object();
    sb_json_put(object, "grower",
                over->grower < 0 ? json_null() : sb_json_text(season->growers[over->grower]), ok);
    sb_json_put(object, "loss", sb_json_number(over->loss), ok);
    sb_json_put(object, "would_lose", sb_json_number(over->otherwise), ok);
    sb_json_put(object, "may_lose", sb_json_number(over->most), ok);
    return object;
}

static json_t *reason_json(const sb_season *season, const sb_route *route, size_t i, bool *ok)
{
    const sb_reason *reason = &route->reasons[i];
    sb_text why = {0};
    sb_why(season, route, i, sb_add_plain_name, &why);
    *ok &= !why.failed;
    json_t *object = json_object();
    sb_json_put(object, "text", json_string(sb_text_get(&why)), ok);
    sb_json_put(object, "cost", sb_json_number(reason->cost), ok);
    sb_json_put(object, "saves", sb_json_number(reason->saves), ok);
    sb_json_put(object, "stops_seeds", sb_json_number(reason->stops_seeds), ok);
    sb_json_put(object, "weed", json_string(season->setup.weeds[reason->weed].id), ok);
    sb_json_put(object, "field", json_string(season->fields[reason->field].name), ok);
    sb_json_put(object, "field_share", sb_json_number(reason->field_share), ok);
    sb_json_put(object, "demanded", json_boolean(reason->demanded), ok);
    sb_json_put(object, "limit", json_boolean(reason->limit), ok);
    sb_json_put(object, "breaks", broken_levels(season, reason, ok), ok);
    sb_json_put(object, "growers",
                reason->growers ? overloss_json(season, &reason->without, ok) : json_null(), ok);
    sb_json_put(object, "next_level", level(season, reason->next_level), ok);
    sb_json_put(object, "next_best", sb_json_number(reason->next_best), ok);
    sb_text_release(&why);
    return object;
}

static json_t *stop_json(const sb_season *season, const sb_route *route, size_t i, bool *ok)
{
    const sb_stop *stop = &route->stops[i];
    json_t *object = json_object();
    sb_json_put(object, "field", json_string(season->fields[stop->field].name), ok);
    sb_json_put(object, "cleanout", level(season, stop->cleanout), ok);
    sb_json_put(object, "cleanout_minutes",
                sb_json_number(season->setup.cleanouts[stop->cleanout].minutes), ok);
    sb_json_put(object, "km", sb_json_number(stop->km), ok);
    sb_json_put(object, "clean", stamp(season, stop->clean_h, false), ok);
    sb_json_put(object, "leave", stamp(season, stop->leave_h, false), ok);
    sb_json_put(object, "arrive", stamp(season, stop->arrive_h, false), ok);
    sb_json_put(object, "finish", stamp(season, stop->finish_h, true), ok);
    sb_json_put(object, "clean_h", sb_json_number(stop->clean_h), ok);
    sb_json_put(object, "leave_h", sb_json_number(stop->leave_h), ok);
    sb_json_put(object, "arrive_h", sb_json_number(stop->arrive_h), ok);
    sb_json_put(object, "finish_h", sb_json_number(stop->finish_h), ok);
    sb_json_put(object, "brought", by_weed(season, stop->trace.ground, ok), ok);
    sb_json_put(object, "tank", by_weed(season, stop->trace.tank, ok), ok);
    sb_json_put(object, "loss", sb_json_number(stop->loss), ok);
    sb_json_put(object, "delay_cost", sb_json_number(stop->delay_cost), ok);
    sb_json_put(object, "strip50_m", sb_json_number(stop->trace.strip50_m), ok);
    sb_json_put(object, "strip90_m", sb_json_number(stop->trace.strip90_m), ok);
    if (stop->cleanout > 0)
        sb_json_put(object, "tarp", tarp_json(season, &stop->trace, ok), ok);
    if (stop->cleanout > 0 && route->reasons != NULL)
        sb_json_put(object, "reason", reason_json(season, route, i, ok), ok);
    if (route->moves != NULL)
        sb_json_put(object, "why", sb_why_move_json(season, route, i, ok), ok);
    return object;
}

static json_t *need_json(const sb_need *need, bool *ok)
{
    json_t *object = json_object();
    if (need->unit == NULL) {
        sb_json_put(object, "words", sb_json_text(need->name), ok);
        sb_json_put(object, "times", sb_json_number(need->amount), ok);
        return object;
    }
    sb_json_put(object, "name", sb_json_text(need->name), ok);
    sb_json_put(object, "unit", sb_json_text(need->unit), ok);
    sb_json_put(object, "amount", sb_json_number(need->amount), ok);
    return object;
}

/* What all cleanouts of these machines take together. */
static json_t *supplies_json(const sb_season *season, const sb_route *routes, size_t n_routes,
                             bool *ok)
{
    json_t *array = json_array();
    sb_needs needs = {0};
    *ok &= sb_needs_of_routes(&needs, season, routes, n_routes, 0) == SB_OK;
    for (size_t i = 0; i < needs.n_supplies; i++)
        sb_json_append(array, need_json(&needs.supplies[i], ok), ok);
    sb_needs_release(&needs);
    return array;
}

static json_t *route_json(const sb_season *season, const sb_route *route, bool *ok)
{
    json_t *stops = json_array();
    /* A machine that cuts nothing stays in its yard as it is, unless it is on its way. */
    int final_cleanout = sb_route_moves(season, route) ? route->final_cleanout : -1;
    for (size_t i = 0; i < route->n_stops; i++)
        sb_json_append(stops, stop_json(season, route, i, ok), ok);
    json_t *object = json_object();
    sb_json_put(object, "id", json_string(season->setup.machines[route->machine].id), ok);
    sb_json_put(object, "yard", json_string(season->yards[season->joins[route->machine].yard].name),
                ok);
    sb_json_put(object, "start_h", sb_json_number(route->start_h), ok);
    sb_json_put(object, "km_total", sb_json_number(route->km_total), ok);
    sb_json_put(object, "stops", stops, ok);
    sb_json_put(object, "km_home", sb_json_number(route->km_home), ok);
    sb_json_put(object, "home", stamp(season, route->home_h, true), ok);
    sb_json_put(object, "home_h", sb_json_number(route->home_h), ok);
    sb_json_put(object, "final_cleanout", level(season, final_cleanout), ok);
    sb_json_put(object, "final_clean_h", sb_json_number(route->final_clean_h), ok);
    if (final_cleanout > 0)
        sb_json_put(object, "final_tarp", tarp_json(season, &route->final_trace, ok), ok);
    sb_json_put(object, "end", stamp(season, route->end_h, true), ok);
    sb_json_put(object, "end_h", sb_json_number(route->end_h), ok);
    sb_json_put(object, "supplies", supplies_json(season, route, 1, ok), ok);
    return object;
}

static json_t *proof_json(const sb_proof *proof, bool *ok)
{
    json_t *object = json_object();
    sb_json_put(object, "seconds", sb_json_number(proof->seconds), ok);
    sb_json_put(object, "labels", json_integer(proof->labels), ok);
    sb_json_put(object, "method", json_string(proof->method), ok);
    return object;
}

static json_t *robust_json(const sb_insurance *insurance, bool *ok)
{
    json_t *object = json_object();
    sb_json_put(object, "aim", json_string(insurance->aim == SB_AIM_MEAN ? "mean" : "worst20"), ok);
    sb_json_put(object, "scenarios", json_integer((json_int_t)insurance->scenarios), ok);
    sb_json_put(object, "seed", json_integer((json_int_t)insurance->seed), ok);
    sb_json_put(object, "value", sb_json_number(insurance->value), ok);
    sb_json_put(object, "bound", sb_json_number(insurance->bound), ok);
    sb_json_put(object, "proven", json_boolean(insurance->proven), ok);
    sb_json_put(object, "cheapest_value", sb_json_number(insurance->cheapest_value), ok);
    sb_json_put(object, "cheapest_cost", sb_json_number(insurance->cheapest_cost), ok);
    sb_json_put(object, "judged", json_integer((json_int_t)insurance->judged), ok);
    sb_json_put(object, "judged_value", sb_json_number(insurance->judged_value), ok);
    sb_json_put(object, "judged_cheapest", sb_json_number(insurance->judged_cheapest), ok);
    return object;
}

static json_t *fairness_json(const sb_season *season, const sb_plan *plan, bool *ok)
{
    const sb_fairness *fairness = &plan->fairness;
    json_t *object = json_object(), *growers = json_array();
    for (size_t g = 0; g < fairness->n_takers; g++) {
        const sb_taker *taker = &fairness->takers[g];
        json_t *one = json_object();
        sb_json_put(one, "grower",
                    taker->grower < 0 ? json_null() : sb_json_text(season->growers[taker->grower]),
                    ok);
        sb_json_put(one, "may_lose", sb_json_number(taker->most), ok);
        sb_json_put(one, "loss", sb_json_number(taker->loss), ok);
        sb_json_put(one, "from_others", sb_json_number(taker->from_others), ok);
        sb_json_put(one, "free_loss", sb_json_number(taker->free_loss), ok);
        sb_json_put(one, "free_from_others", sb_json_number(taker->free_from_others), ok);
        sb_json_append(growers, one, ok);
    }
    sb_json_put(object, "loss_per_grower", sb_json_number(fairness->most), ok);
    sb_json_put(object, "least_worst", json_boolean(fairness->least_worst), ok);
    if (fairness->least_worst)
        sb_json_put(object, "worst_bound", sb_json_number(fairness->worst_bound), ok);
    sb_json_put(object, "free_cost", sb_json_number(fairness->free_cost), ok);
    sb_json_put(object, "free_bound", sb_json_number(fairness->free_bound), ok);
    sb_json_put(object, "costs", sb_json_number(sb_plan_weighed_cost(plan) - fairness->free_cost),
                ok);
    sb_json_put(object, "searched_out", json_boolean(fairness->searched_out), ok);
    sb_json_put(object, "growers", growers, ok);
    return object;
}

json_t *sb_so_far_json(const sb_so_far *so_far, bool *ok)
{
    json_t *object = json_object();
    sb_json_put(object, "entries", json_integer((json_int_t)so_far->entries), ok);
    sb_json_put(object, "seal", json_string(so_far->seal), ok);
    sb_json_put(object, "from", so_far->from[0] != '\0' ? json_string(so_far->from) : json_null(),
                ok);
    sb_json_put(object, "spent", sb_json_number(so_far->spent), ok);
    sb_json_put(object, "standing", sb_json_number(so_far->standing), ok);
    return object;
}

static json_t *assumptions_json(const sb_season *season, bool *ok)
{
    json_t *array = json_array();
    for (size_t i = 0; i < season->assumptions.count; i++) {
        const sb_assumption *assumption = &season->assumptions.items[i];
        json_t *object = json_object();
        sb_json_put(object, "text", json_string(assumption->text), ok);
        sb_json_put(object, "source", json_string(assumption->source), ok);
        sb_json_append(array, object, ok);
    }
    return array;
}

json_t *sb_plan_json(const sb_season *season, const sb_plan *plan, bool *ok)
{
    json_t *machines = json_array();
    for (size_t r = 0; r < plan->n_routes; r++)
        sb_json_append(machines, route_json(season, &plan->routes[r], ok), ok);
    bool weighed = sb_plan_weighed_cost(plan) != plan->cost.total;
    json_t *root = json_object();
    sb_json_put(root, "format", json_string("seedbreak-plan"), ok);
    sb_json_put(root, "version", json_integer(1), ok);
    sb_json_put(root, "status", json_string(plan->proof.optimal ? "optimal" : "feasible"), ok);
    sb_json_put(root, "currency", json_string(season->setup.currency), ok);
    sb_json_put(root, "cost", sb_cost_json(&plan->cost, ok), ok);
    if (weighed)
        sb_json_put(root, "spread_weight", sb_json_number(plan->proof.spread_weight), ok);
    sb_json_put(root, "bound", sb_json_number(weighed ? NAN : plan->proof.bound), ok);
    sb_json_put(root, "gap", sb_json_number(sb_plan_gap(plan)), ok);
    sb_json_put(root, "proof", proof_json(&plan->proof, ok), ok);
    if (season->so_far.is_rest)
        sb_json_put(root, "so_far", sb_so_far_json(&season->so_far, ok), ok);
    if (plan->insurance.aim != 0)
        sb_json_put(root, "robust", robust_json(&plan->insurance, ok), ok);
    if (plan->fairness.n_takers > 0)
        sb_json_put(root, "fairness", fairness_json(season, plan, ok), ok);
    sb_json_put(root, "machines", machines, ok);
    sb_json_put(root, "supplies", supplies_json(season, plan->routes, plan->n_routes, ok), ok);
    return root;
}

/* What is doubtful, and which rules the plan breaks. */
static void put_warnings(json_t *root, const sb_season *season, const sb_plan *plan, bool *ok)
{
    sb_report *warnings;
    size_t broken;
    if (sb_warnings_collect(season, plan, &warnings, &broken) != SB_OK) {
        *ok = false;
        return;
    }
    sb_json_put(root, "rules_broken", json_integer((json_int_t)broken), ok);
    sb_json_put(root, "warnings", sb_messages_json(warnings, SB_WARNING, ok), ok);
    sb_report_free(warnings);
}

json_t *sb_whole_plan_json(const sb_season *season, const sb_plan *plan, bool *ok)
{
    json_t *root = sb_plan_json(season, plan, ok);
    sb_json_put(root, "board", sb_board_json(season, plan, ok), ok);
    sb_json_put(root, "assumptions", assumptions_json(season, ok), ok);
    put_warnings(root, season, plan, ok);
    if (season->patches.count > 0)
        sb_json_put(root, "patches", sb_patches_json(season, ok), ok);
    if (season->lessons.samples > 0)
        sb_json_put(root, "learned", sb_lessons_json(season, ok), ok);
    return root;
}

sb_status sb_render_plan_json(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    bool ok = true;
    json_t *root = sb_whole_plan_json(season, plan, &ok);
    return sb_json_finish(root, ok, text);
}
