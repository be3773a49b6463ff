/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Why each cleanout is where it is: the plan priced again with every other level in its place. */
#include <math.h>

#include "base/mem.h"
#include "plan/plan.h"

bool sb_route_demands(const sb_season *season, const sb_route *route, size_t i)
{
    const sb_stop *stop = &route->stops[i];
    int entry = season->fields[stop->field].entry;
    int on_record = i == 0 ? season->joins[route->machine].start_cleanout : 0;
    return !sb_season_satisfies(season, 0, entry) &&
           !sb_season_satisfies(season, on_record, entry) &&
           sb_season_satisfies(season, stop->cleanout, entry);
}

/* Prices the trial and counts the rules it breaks. */
static sb_status price_trial(const sb_season *season, sb_plan *trial, size_t *broken)
{
    sb_status status = sb_plan_price_only(season, trial);
    if (status == SB_OK)
        status = sb_plan_check(season, trial, SB_NOTE, NULL, broken);
    return status;
}

/* Which weed and which field the cleanout serves most: `without` has "none" in its place. */
static void find_served(const sb_season *season, const sb_plan *plan, const sb_plan *without,
                        sb_reason *reason)
{
    double by_weed[SB_MAX_WEEDS] = {0}, seeds[SB_MAX_WEEDS] = {0}, most = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < plan->routes[r].n_stops; i++) {
            const sb_stop *with = &plan->routes[r].stops[i];
            const sb_stop *bare = &without->routes[r].stops[i];
            for (size_t w = 0; w < season->setup.n_weeds; w++) {
                double kept_off = bare->trace.ground[w] - with->trace.ground[w];
                seeds[w] += kept_off;
                by_weed[w] += kept_off * season->fields[with->field].loss_per_seed[w];
            }
            double saved = bare->loss - with->loss + bare->delay_cost - with->delay_cost;
            if (saved > most) {
                most = saved;
                reason->field = with->field;
            }
        }
    for (size_t w = 1; w < season->setup.n_weeds; w++)
        if (by_weed[w] > by_weed[reason->weed])
            reason->weed = (int)w;
    reason->stops_seeds = seeds[reason->weed];
    reason->field_share = reason->saves > 0 ? fmin(most / reason->saves, 1) : 0;
}

/* Tries every other level at one stop of the trial, which is left as it was found. */
static sb_status explain_stop(const sb_season *season, const sb_plan *plan, size_t broken,
                              sb_plan *trial, size_t r, size_t i, sb_reason *reason)
{
    const sb_stop *stop = &plan->routes[r].stops[i];
    *reason = (sb_reason){.field = stop->field, .next_best = INFINITY, .next_level = -1};
    reason->demanded = sb_route_demands(season, &plan->routes[r], i);
    for (int level = 0; level < (int)season->setup.n_cleanouts; level++) {
        if (level == stop->cleanout)
            continue;
        size_t broken_then;
        trial->routes[r].stops[i].cleanout = level;
        sb_status status = price_trial(season, trial, &broken_then);
        if (status != SB_OK)
            return status;
        double more = trial->cost.total - plan->cost.total;
        if (broken_then <= broken && more < reason->next_best) {
            reason->next_best = more;
            reason->next_level = level;
        }
        if (level != 0)
            continue;
        reason->cost = plan->cost.cleanout - trial->cost.cleanout;
        reason->saves =
            trial->cost.spread + trial->cost.delay - plan->cost.spread - plan->cost.delay;
        reason->limit = broken_then > broken;
        find_served(season, plan, trial, reason);
    }
    trial->routes[r].stops[i].cleanout = stop->cleanout;
    return SB_OK;
}

sb_status sb_plan_explain(const sb_season *season, sb_plan *plan)
{
    sb_plan *trial = NULL;
    size_t broken;
    for (size_t r = 0; r < plan->n_routes; r++) {
        sb_free(plan->routes[r].reasons);
        plan->routes[r].reasons = NULL;
    }
    sb_status status = sb_plan_copy(season, plan, &trial);
    if (status != SB_OK)
        return status;
    trial->proof.bound = -INFINITY; /* the trials are worse, and claim nothing */
    status = price_trial(season, trial, &broken);
    for (size_t r = 0; status == SB_OK && r < plan->n_routes; r++) {
        sb_route *route = &plan->routes[r];
        route->reasons = sb_alloc(route->n_stops, sizeof *route->reasons);
        if (route->reasons == NULL)
            status = SB_ERR_NOMEM;
        for (size_t i = 0; status == SB_OK && i < route->n_stops; i++)
            status = explain_stop(season, plan, broken, trial, r, i, &route->reasons[i]);
    }
    for (size_t r = 0; status != SB_OK && r < plan->n_routes; r++) {
        sb_free(plan->routes[r].reasons);
        plan->routes[r].reasons = NULL;
    }
    sb_plan_free(trial);
    return status;
}
