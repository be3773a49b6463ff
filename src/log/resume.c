/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "log/resume.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "season/service.h"

/* No machine goes on before that moment. */
static sb_status wait_until(sb_log_state *state, const char *from, sb_report *report)
{
    char excerpt[SB_EXCERPT_BYTES];
    sb_moment moment;
    if (from == NULL)
        return SB_OK;
    if (!sb_moment_parse(from, &moment))
        return sb_bad(report, NULL, 0, "time '%s', expected one as 2026-08-12T09:00",
                      sb_excerpt(from, excerpt));
    double from_h = sb_moment_hours(&state->season->setup.calendar, moment);
    for (size_t m = 0; m < state->season->setup.n_machines; m++)
        state->machines[m].free_h = fmax(state->machines[m].free_h, from_h);
    return SB_OK;
}

sb_status sb_resume(const sb_season *season, const sb_log *log, const char *from, sb_report *report,
                    sb_resumed **resumed)
{
    if (season == NULL || log == NULL || report == NULL || resumed == NULL)
        return SB_ERR_ARG;
    *resumed = NULL;
    sb_resumed *made = sb_alloc(1, sizeof *made);
    if (made == NULL)
        return SB_ERR_NOMEM;
    made->whole = season;
    made->becomes = sb_alloc(season->n_fields, sizeof *made->becomes);
    sb_status status = sb_log_replay(season, log, report, &made->state);
    if (status == SB_OK)
        status = wait_until(&made->state, from, report);
    if (status == SB_OK)
        status = made->becomes != NULL ? sb_state_rest(&made->state, made->becomes, &made->rest)
                                       : SB_ERR_NOMEM;
    status = sb_report_settle(report, status);
    if (status == SB_OK)
        *resumed = made;
    else
        sb_resumed_free(made);
    return status;
}

void sb_resumed_free(sb_resumed *resumed)
{
    if (resumed == NULL)
        return;
    sb_plan_free(resumed->earlier);
    sb_season_free(resumed->rest);
    sb_free(resumed->becomes);
    sb_log_state_release(&resumed->state);
    sb_free(resumed);
}

const sb_season *sb_resumed_season(const sb_resumed *resumed)
{
    return resumed->rest;
}

/* The earlier plan's route for a machine; NULL: it has none. */
static sb_route *route_for(sb_plan *plan, int machine)
{
    for (size_t r = 0; r < plan->n_routes; r++)
        if (plan->routes[r].machine == machine)
            return &plan->routes[r];
    return NULL;
}

/* Gives every machine of the season a route: a plan by hand may leave out those that stay. */
static sb_status add_missing_routes(const sb_season *rest, sb_plan *earlier)
{
    size_t n = rest->setup.n_machines;
    sb_route *routes = sb_resize(earlier->routes, n, sizeof *routes);
    if (routes == NULL)
        return SB_ERR_NOMEM;
    earlier->routes = routes;
    for (size_t m = 0; m < n; m++) {
        if (route_for(earlier, (int)m) != NULL)
            continue;
        sb_route *added = &routes[earlier->n_routes];
        *added = (sb_route){0};
        if (sb_route_init(rest, (int)m, 0, added) != SB_OK)
            return SB_ERR_NOMEM;
        earlier->n_routes++;
    }
    return SB_OK;
}

/* Puts a field behind the last stop of the first route whose machine may cut it. */
static sb_status add_last(const sb_season *rest, sb_plan *earlier, int field)
{
    int machine = 0;
    while (machine + 1 < (int)rest->setup.n_machines && !sb_season_may_cut(rest, machine, field))
        machine++;
    sb_route *route = route_for(earlier, machine);
    sb_stop *stops = sb_resize(route->stops, route->n_stops + 1, sizeof *stops);
    if (stops == NULL)
        return SB_ERR_NOMEM;
    route->stops = stops;
    stops[route->n_stops++] = (sb_stop){.field = field};
    return SB_OK;
}

/* Adds the fields that no route of the earlier plan has. */
static sb_status add_missing(const sb_season *rest, sb_plan *earlier)
{
    bool *there = sb_alloc(rest->n_fields, sizeof *there);
    sb_status status = there != NULL ? SB_OK : SB_ERR_NOMEM;
    for (size_t r = 0; r < earlier->n_routes && status == SB_OK; r++)
        for (size_t i = 0; i < earlier->routes[r].n_stops; i++)
            there[earlier->routes[r].stops[i].field] = true;
    for (size_t i = 0; i < rest->n_fields && status == SB_OK; i++)
        if (!there[i])
            status = add_last(rest, earlier, (int)i);
    sb_free(there);
    return status;
}

/* What was done before the next move need not be done again. */
static void drop_done_cleanouts(const sb_season *rest, sb_plan *earlier)
{
    for (size_t r = 0; r < earlier->n_routes; r++) {
        sb_route *route = &earlier->routes[r];
        int done = rest->joins[route->machine].start_cleanout;
        if (route->n_stops > 0 && done >= 0 &&
            sb_season_satisfies(rest, done, route->stops[0].cleanout))
            route->stops[0].cleanout = 0;
    }
}

static bool take_out(sb_plan *plan, int field, sb_stop *taken)
{
    for (size_t r = 0; r < plan->n_routes; r++) {
        sb_route *route = &plan->routes[r];
        for (size_t i = 0; i < route->n_stops; i++) {
            if (route->stops[i].field != field)
                continue;
            *taken = route->stops[i];
            route->n_stops--;
            memmove(route->stops + i, route->stops + i + 1,
                    (route->n_stops - i) * sizeof *route->stops);
            return true;
        }
    }
    return false;
}

/* A field in which a machine stands half way is its first, whatever was planned. */
static sb_status begin_half_way(const sb_resumed *resumed, sb_plan *earlier)
{
    for (size_t m = 0; m < resumed->whole->setup.n_machines; m++) {
        const sb_machine_state *state = &resumed->state.machines[m];
        sb_stop first;
        if (!state->half_way || !take_out(earlier, resumed->becomes[state->place], &first))
            continue;
        sb_route *route = route_for(earlier, (int)m);
        sb_stop *stops = sb_resize(route->stops, route->n_stops + 1, sizeof *stops);
        if (stops == NULL)
            return SB_ERR_NOMEM;
        memmove(stops + 1, stops, route->n_stops * sizeof *stops);
        stops[0] = first;
        route->stops = stops;
        route->n_stops++;
    }
    return SB_OK;
}

static bool same_stops(const sb_plan *a, sb_plan *b)
{
    size_t stops_a = 0, stops_b = 0;
    for (size_t r = 0; r < b->n_routes; r++)
        stops_b += b->routes[r].n_stops;
    for (size_t r = 0; r < a->n_routes; r++) {
        const sb_route *one = &a->routes[r], *other = route_for(b, one->machine);
        stops_a += one->n_stops;
        for (size_t i = 0; i < one->n_stops; i++)
            if (other == NULL || i >= other->n_stops ||
                one->stops[i].field != other->stops[i].field ||
                one->stops[i].cleanout != other->stops[i].cleanout)
                return false;
    }
    return stops_a == stops_b;
}

/* Money to come when the old order is kept, with the best cleanouts for it. */
static sb_status price_old_order(sb_resumed *resumed, const sb_plan *plan)
{
    resumed->going_on = NAN;
    if (plan->n_routes < resumed->rest->setup.n_machines)
        return SB_OK;
    sb_order_options how;
    sb_order_options_init(&how);
    how.by = SB_BY_PLAN;
    how.keep_order = resumed->earlier;
    sb_report *unread = sb_report_new();
    if (unread == NULL)
        return SB_ERR_NOMEM;
    sb_plan *kept = NULL;
    sb_status status = sb_order(resumed->rest, &how, unread, &kept);
    if (status == SB_OK)
        resumed->going_on = kept->cost.total;
    else if (status == SB_ERR_INFEASIBLE)
        resumed->going_on = INFINITY;
    sb_plan_free(kept);
    sb_report_free(unread);
    return status == SB_ERR_INFEASIBLE ? SB_OK : status;
}

sb_status sb_resumed_compare(sb_resumed *resumed, const char *earlier_plan, const sb_plan *plan,
                             sb_report *report)
{
    if (resumed == NULL || resumed->rest == NULL || earlier_plan == NULL || plan == NULL)
        return SB_ERR_ARG;
    sb_plan_free(resumed->earlier);
    resumed->plan = NULL;
    sb_status status = sb_plan_read_partly(resumed->rest, earlier_plan, report, &resumed->earlier,
                                           &resumed->earlier_total);
    if (status == SB_OK && resumed->earlier->n_routes == 0)
        status = sb_bad(report, earlier_plan, 0, "a plan for no machine, expected a list of stops");
    if (status == SB_OK)
        status = add_missing_routes(resumed->rest, resumed->earlier);
    if (status == SB_OK)
        status = add_missing(resumed->rest, resumed->earlier);
    if (status == SB_OK)
        status = begin_half_way(resumed, resumed->earlier);
    if (status == SB_OK) {
        drop_done_cleanouts(resumed->rest, resumed->earlier);
        resumed->same = same_stops(plan, resumed->earlier);
        status = price_old_order(resumed, plan);
    }
    if (status == SB_OK)
        resumed->plan = plan;
    return sb_report_settle(report, status);
}
