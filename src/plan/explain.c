/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Why each cleanout is where it is: the plan priced again with every other level in its place. */
#include <math.h>

#include "base/mem.h"
#include "plan/whatif.h"

bool sb_route_demands(const sb_season *season, const sb_route *route, size_t i)
{
    const sb_stop *stop = &route->stops[i];
    int entry = season->fields[stop->field].entry;
    int on_record = i == 0 ? season->joins[route->machine].start_cleanout : 0;
    return !sb_season_satisfies(season, 0, entry) &&
           !sb_season_satisfies(season, on_record, entry) &&
           sb_season_satisfies(season, stop->cleanout, entry);
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

/* What "none" in the cleanout's place would come to. */
static sb_status weigh_cleanout(const sb_season *season, const sb_plan *plan, sb_whatif *whatif,
                                size_t r, size_t i, sb_reason *reason)
{
    sb_cost more;
    sb_status status = sb_whatif_level(whatif, r, i, 0, &more);
    if (status == SB_OK)
        status = sb_whatif_breaks(whatif, &reason->limit, &reason->breach[0]);
    if (status != SB_OK)
        return status;
    reason->growers = sb_whatif_unfair(whatif, &reason->without);
    const sb_plan *without = sb_whatif_plan(whatif);
    reason->cost = plan->cost.cleanout - without->cost.cleanout;
    reason->saves =
        without->cost.spread + without->cost.delay - plan->cost.spread - plan->cost.delay;
    find_served(season, plan, without, reason);
    return SB_OK;
}

/* The last change breaks a rule: was it what growers may lose that kept a cheaper level out? */
static void note_barred(const sb_whatif *whatif, int level, double more, sb_reason *reason)
{
    if (level > 0 && reason->barred < 0 && more < 0 && sb_whatif_unfair(whatif, &reason->over)) {
        reason->barred = level;
        reason->barred_saves = -more;
    }
}

/* The cheapest other level that breaks no more rules: tried from the cheapest up, since asking
 * about rules takes longer than pricing. */
static sb_status find_next_best(const sb_season *season, const sb_plan *plan, sb_whatif *whatif,
                                size_t r, size_t i, sb_reason *reason)
{
    double more[SB_MAX_LEVELS] = {0};
    sb_cost cost;
    int n = (int)season->setup.n_cleanouts, own = plan->routes[r].stops[i].cleanout;
    sb_status status = SB_OK;
    for (int level = 0; status == SB_OK && level < n; level++) {
        status = sb_whatif_level(whatif, r, i, level, &cost);
        more[level] = level != own && !isnan(cost.total) ? cost.total : INFINITY;
        reason->more[level] = level != own ? cost.total : 0;
    }
    while (status == SB_OK) {
        int best = 0;
        for (int level = 1; level < n; level++)
            if (more[level] < more[best])
                best = level;
        if (isinf(more[best]))
            break;
        bool breaks;
        status = sb_whatif_level(whatif, r, i, best, &cost);
        if (status == SB_OK)
            status = sb_whatif_breaks(whatif, &breaks, &reason->breach[best]);
        if (status == SB_OK && !breaks) {
            reason->next_best = more[best];
            reason->next_level = best;
            break;
        }
        if (status == SB_OK)
            note_barred(whatif, best, more[best], reason);
        more[best] = INFINITY;
    }
    return status;
}

static sb_status explain_stop(const sb_season *season, const sb_plan *plan, sb_whatif *whatif,
                              size_t r, size_t i, sb_reason *reason)
{
    const sb_stop *stop = &plan->routes[r].stops[i];
    *reason =
        (sb_reason){.field = stop->field, .next_best = INFINITY, .next_level = -1, .barred = -1};
    reason->demanded = sb_route_demands(season, &plan->routes[r], i);
    sb_status status =
        stop->cleanout > 0 ? weigh_cleanout(season, plan, whatif, r, i, reason) : SB_OK;
    return status == SB_OK ? find_next_best(season, plan, whatif, r, i, reason) : status;
}

sb_status sb_plan_explain(const sb_season *season, sb_plan *plan)
{
    for (size_t r = 0; r < plan->n_routes; r++) {
        sb_free(plan->routes[r].reasons);
        plan->routes[r].reasons = NULL;
    }
    sb_whatif *whatif = NULL;
    sb_status status = sb_whatif_new(season, plan, &whatif);
    for (size_t r = 0; status == SB_OK && r < plan->n_routes; r++) {
        sb_route *route = &plan->routes[r];
        route->reasons = sb_alloc(route->n_stops, sizeof *route->reasons);
        if (route->reasons == NULL)
            status = SB_ERR_NOMEM;
        for (size_t i = 0; status == SB_OK && i < route->n_stops; i++)
            status = explain_stop(season, plan, whatif, r, i, &route->reasons[i]);
    }
    for (size_t r = 0; status != SB_OK && r < plan->n_routes; r++) {
        sb_free(plan->routes[r].reasons);
        plan->routes[r].reasons = NULL;
    }
    sb_whatif_free(whatif);
    return status;
}
