/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "log/resume.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "season/service.h"

/* A season that rests longer is over; the year is mistyped. */
#define MOST_REST_DAYS 366

/* The season's beginning, or the end of the log's last work. */
static sb_moment latest_moment(const sb_log_state *state)
{
    sb_moment latest = (sb_moment)state->season->setup.calendar.start_day * SB_MINUTES_PER_DAY;
    for (size_t m = 0; m < state->season->setup.n_machines; m++) {
        sb_moment last = state->machines[m].last;
        if (last != SB_NO_MOMENT && last > latest)
            latest = last;
    }
    return latest;
}

/* No machine goes on before that moment.
 * @param said [out] the moment, "": none was given */
static sb_status wait_until(sb_log_state *state, const char *from, char said[17], sb_report *report)
{
    char excerpt[SB_EXCERPT_BYTES];
    sb_moment moment;
    said[0] = '\0';
    if (from == NULL)
        return SB_OK;
    if (!sb_moment_parse(from, &moment))
        return sb_bad(report, NULL, 0, "time '%s', expected one as 2026-08-12T09:00",
                      sb_excerpt(from, excerpt));
    sb_moment latest = latest_moment(state);
    sb_moment_format(moment, said);
    if (moment > latest + (sb_moment)MOST_REST_DAYS * SB_MINUTES_PER_DAY) {
        char before[17];
        sb_moment_format(latest, before);
        return sb_bad(report, NULL, 0, "time '%s', expected one within a year of %s", said, before);
    }
    double from_h = sb_moment_hours(&state->season->setup.calendar, moment);
    for (size_t m = 0; m < state->season->setup.n_machines; m++)
        state->machines[m].free_h = fmax(state->machines[m].free_h, from_h);
    return SB_OK;
}

bool sb_resumed_is_over(const sb_resumed *resumed)
{
    return resumed->rest->n_fields == 0;
}

double sb_resumed_in_all(const sb_resumed *resumed, double to_come)
{
    return sb_state_cost(&resumed->state).total + sb_state_standing(&resumed->state) + to_come;
}

double sb_resumed_to_come(const sb_resumed *resumed)
{
    return (resumed->plan != NULL ? resumed->plan : resumed->home)->cost.total;
}

/* Routes without a stop: those who are on their way go home and are cleaned there. */
static sb_status plan_way_home(sb_resumed *resumed)
{
    const sb_season *rest = resumed->rest;
    sb_status status = sb_plan_new(rest, rest->setup.n_machines, &resumed->home);
    for (size_t m = 0; m < rest->setup.n_machines && status == SB_OK; m++)
        status = sb_route_init(rest, (int)m, 0, &resumed->home->routes[m]);
    if (status == SB_OK)
        status = sb_plan_price(rest, resumed->home);
    if (status != SB_OK)
        return status;
    sb_proof *proof = &resumed->home->proof;
    proof->optimal = true; /* nothing is to be chosen */
    proof->bound = resumed->home->cost.total;
    strcpy(proof->method, "nothing left to order");
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
    char said[17] = "";
    made->whole = season;
    made->becomes = sb_alloc(season->n_fields, sizeof *made->becomes);
    sb_status status = sb_log_replay(season, log, report, &made->state);
    if (status == SB_OK)
        status = wait_until(&made->state, from, said, report);
    if (status == SB_OK)
        status = made->becomes != NULL ? sb_state_rest(&made->state, made->becomes, &made->rest)
                                       : SB_ERR_NOMEM;
    if (status == SB_OK)
        strcpy(made->rest->so_far.from, said);
    if (status == SB_OK && sb_resumed_is_over(made))
        status = plan_way_home(made);
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
    sb_plan_free(resumed->home);
    sb_season_free(resumed->rest);
    sb_free(resumed->changes.items);
    sb_free(resumed->becomes);
    sb_log_state_release(&resumed->state);
    sb_free(resumed);
}

const sb_season *sb_resumed_season(const sb_resumed *resumed)
{
    return sb_resumed_is_over(resumed) ? NULL : resumed->rest;
}

const sb_plan *sb_resumed_way_home(const sb_resumed *resumed, const sb_season **season)
{
    *season = resumed->rest;
    return resumed->home;
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

sb_status sb_resumed_price_going_on(const sb_resumed *resumed, double *money)
{
    if (resumed->home != NULL) {
        *money = resumed->home->cost.total;
        return SB_OK;
    }
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
        *money = kept->cost.total;
    else if (status == SB_ERR_INFEASIBLE)
        *money = INFINITY;
    sb_plan_free(kept);
    sb_report_free(unread);
    return status == SB_ERR_INFEASIBLE ? SB_OK : status;
}

sb_status sb_resumed_set_earlier(sb_resumed *resumed, const char *path, sb_report *report,
                                 sb_plan_stated *stated)
{
    sb_plan_free(resumed->earlier);
    sb_status status = sb_plan_read_partly(resumed->rest, path, report, &resumed->earlier, stated);
    if (status == SB_OK && resumed->earlier->n_routes == 0)
        status = sb_bad(report, path, 0, "a plan for no machine, expected a list of stops");
    if (status == SB_OK)
        status = add_missing_routes(resumed->rest, resumed->earlier);
    if (status == SB_OK)
        status = add_missing(resumed->rest, resumed->earlier);
    if (status == SB_OK)
        status = begin_half_way(resumed, resumed->earlier);
    if (status == SB_OK)
        drop_done_cleanouts(resumed->rest, resumed->earlier);
    return status;
}

/* The seal of the n-th entry, 1 <= n <= count, whether or not it bears it. */
static sb_status seal_of(const sb_log *log, size_t n, char seal[SB_SEAL_LENGTH + 1])
{
    sb_status status = SB_OK;
    sb_log_first_seal(seal);
    for (size_t i = 0; i < n && status == SB_OK; i++)
        status = sb_log_seal(seal, &log->entries.items[i], seal);
    return status;
}

/* How far the log was when the earlier plan was made, and what the season was to cost by it. */
static sb_status place_earlier(sb_resumed *resumed, const char *path, const sb_plan_stated *stated,
                               sb_report *report)
{
    const sb_log *log = resumed->state.log;
    const sb_so_far *so_far = &stated->so_far;
    char seal[SB_SEAL_LENGTH + 1];
    resumed->since = 0;
    resumed->waited[0] = '\0';
    resumed->planned = stated->total;
    if (!so_far->is_rest)
        return SB_OK;
    resumed->since = so_far->entries;
    strcpy(resumed->waited, so_far->from);
    resumed->planned += so_far->spent + so_far->standing;
    if (so_far->entries <= log->entries.count) {
        sb_status status = seal_of(log, so_far->entries, seal);
        if (status != SB_OK || strcmp(seal, so_far->seal) == 0)
            return status;
    }
    sb_say(report, SB_WARNING, path, 0,
           "this plan goes on from entry %zu of another log, or of this one before it was changed: "
           "what it was to cost says nothing here",
           so_far->entries);
    resumed->planned = NAN;
    return SB_OK;
}

sb_status sb_resumed_compare(sb_resumed *resumed, const char *earlier_plan, const sb_plan *plan,
                             sb_report *report)
{
    sb_plan_stated stated;
    if (resumed == NULL || earlier_plan == NULL || report == NULL ||
        (plan == NULL) != sb_resumed_is_over(resumed))
        return SB_ERR_ARG;
    const sb_plan *to_come = plan != NULL ? plan : resumed->home;
    resumed->compared = false;
    resumed->changes.count = 0;
    resumed->plan = plan;
    sb_status status = sb_resumed_set_earlier(resumed, earlier_plan, report, &stated);
    if (status == SB_OK)
        status = place_earlier(resumed, earlier_plan, &stated, report);
    if (status == SB_OK) {
        resumed->same = same_stops(to_come, resumed->earlier);
        resumed->going_on = NAN;
        if (to_come->n_routes == resumed->rest->setup.n_machines)
            status = sb_resumed_price_going_on(resumed, &resumed->going_on);
    }
    resumed->compared = status == SB_OK;
    return sb_report_settle(report, status);
}
