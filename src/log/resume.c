/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "log/resume.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"

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

/* Puts the fields that no route of the earlier plan has behind the last stop of its first. */
static sb_status add_missing(const sb_season *rest, sb_plan *earlier)
{
    bool *there = sb_alloc(rest->n_fields, sizeof *there);
    if (there == NULL)
        return SB_ERR_NOMEM;
    size_t missing = rest->n_fields;
    for (size_t r = 0; r < earlier->n_routes; r++)
        for (size_t i = 0; i < earlier->routes[r].n_stops; i++) {
            there[earlier->routes[r].stops[i].field] = true;
            missing--;
        }
    sb_route *route = &earlier->routes[0];
    sb_stop *stops = sb_resize(route->stops, route->n_stops + missing + 1, sizeof *stops);
    if (stops != NULL)
        route->stops = stops;
    for (size_t i = 0; i < rest->n_fields && stops != NULL; i++)
        if (!there[i])
            stops[route->n_stops++] = (sb_stop){.field = (int)i};
    sb_free(there);
    return stops != NULL ? SB_OK : SB_ERR_NOMEM;
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

/* A field that all others must wait for is first, whatever was planned. */
static void begin_with_forced(const sb_season *rest, sb_route *route)
{
    for (size_t i = 1; i < route->n_stops; i++) {
        size_t waiting = 0;
        for (size_t other = 0; other < rest->n_fields; other++)
            for (size_t a = 0; a < rest->fields[other].n_after; a++)
                waiting += rest->fields[other].after[a] == route->stops[i].field;
        if (waiting < rest->n_fields - 1)
            continue;
        sb_stop first = route->stops[i];
        memmove(route->stops + 1, route->stops, i * sizeof first);
        route->stops[0] = first;
        return;
    }
}

static const sb_route *route_of(const sb_plan *plan, int machine)
{
    for (size_t r = 0; r < plan->n_routes; r++)
        if (plan->routes[r].machine == machine)
            return &plan->routes[r];
    return NULL;
}

static bool same_stops(const sb_plan *a, const sb_plan *b)
{
    size_t stops_a = 0, stops_b = 0;
    for (size_t r = 0; r < b->n_routes; r++)
        stops_b += b->routes[r].n_stops;
    for (size_t r = 0; r < a->n_routes; r++) {
        const sb_route *one = &a->routes[r], *other = route_of(b, one->machine);
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
static sb_status price_old_order(sb_resumed *resumed)
{
    resumed->going_on = NAN;
    if (resumed->rest->setup.n_machines > 1)
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
        status = add_missing(resumed->rest, resumed->earlier);
    if (status == SB_OK) {
        begin_with_forced(resumed->rest, &resumed->earlier->routes[0]);
        drop_done_cleanouts(resumed->rest, resumed->earlier);
        resumed->same = same_stops(resumed->earlier, plan);
        status = price_old_order(resumed);
    }
    if (status == SB_OK)
        resumed->plan = plan;
    return sb_report_settle(report, status);
}
