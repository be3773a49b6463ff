/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dates are as early as can be (plan/dates.h), so a wait ends with what it was for. */
#include "plan/wait.h"

#include <math.h>

double sb_work_begin_h(const sb_route *route, size_t i)
{
    double hours;
    if (i < route->n_stops)
        hours = route->stops[i].cleanout > 0 ? route->stops[i].clean_h : route->stops[i].leave_h;
    else
        hours = i > 0 ? route->stops[i - 1].finish_h : route->home_h;
    return isfinite(hours) ? fmax(hours, 0) : INFINITY;
}

static bool same_moment(double a, double b)
{
    return fabs(a - b) <= SB_SAME_TIME_H;
}

/* The field of another machine that must be cut before this one and is finished at that moment. */
static sb_wait finished_at(const sb_season *season, const sb_plan *plan, size_t route, int field,
                           double hours)
{
    const sb_field *f = &season->fields[field];
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; r != route && i < plan->routes[r].n_stops; i++) {
            const sb_stop *stop = &plan->routes[r].stops[i];
            for (size_t a = 0; a < f->n_after; a++)
                if (f->after[a] == stop->field && same_moment(stop->finish_h, hours))
                    return (sb_wait){.cause = SB_WAIT_EARLIER, .which = stop->field, .route = r};
        }
    return (sb_wait){.cause = SB_WAIT_UNKNOWN};
}

static double cleaning_hours(const sb_season *season, int level)
{
    return level > 0 ? season->setup.cleanouts[level].minutes / 60 : 0;
}

/* From when on a machine could do the cleanout before stop i, or the final one. */
static double free_h(const sb_route *route, size_t i)
{
    if (i == 0 && route->n_stops > 0)
        return sb_work_begin_h(route, 0);
    return i < route->n_stops ? route->stops[i - 1].finish_h : route->home_h;
}

/* The cleanout before a stop, or the final one, and when it begins. */
static int cleanout_at(const sb_route *route, size_t i, double *begin_h)
{
    *begin_h = i < route->n_stops ? route->stops[i].clean_h : route->final_clean_h;
    return i < route->n_stops ? route->stops[i].cleanout : route->final_cleanout;
}

/* The other machine whose cleanout ends then and needs one of the same things. */
static sb_wait freed_at(const sb_season *season, const sb_plan *plan, size_t route, unsigned needs,
                        double hours)
{
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; r != route && i <= plan->routes[r].n_stops; i++) {
            double begin_h;
            int level = cleanout_at(&plan->routes[r], i, &begin_h);
            if (level <= 0)
                continue;
            const sb_cleanout *cleanout = &season->setup.cleanouts[level];
            unsigned both = cleanout->needs & needs;
            if (both == 0 || !same_moment(begin_h + cleaning_hours(season, level), hours))
                continue;
            int which = 0;
            while (!(both >> which & 1))
                which++;
            return (sb_wait){.cause = SB_WAIT_SHARED, .which = which, .route = r};
        }
    return (sb_wait){.cause = SB_WAIT_UNKNOWN};
}

sb_wait sb_wait_to_drive(const sb_season *season, const sb_plan *plan, size_t route, size_t i)
{
    const sb_route *of = &plan->routes[route];
    const sb_stop *stop = &of->stops[i];
    int day = season->fields[stop->field].ready_day;
    sb_wait wait = {.cause = SB_WAIT_RIPE, .which = stop->field};
    if (day == SB_NO_DAY ||
        !same_moment(stop->arrive_h, sb_calendar_hours_before(&season->setup.calendar, day)))
        wait = finished_at(season, plan, route, stop->field, stop->arrive_h);
    wait.begin_h = fmax(stop->clean_h, free_h(of, i)) + cleaning_hours(season, stop->cleanout);
    wait.end_h = stop->leave_h;
    return wait;
}

sb_wait sb_wait_to_clean(const sb_season *season, const sb_plan *plan, size_t route, size_t i)
{
    const sb_route *of = &plan->routes[route];
    double begin_h;
    int level = cleanout_at(of, i, &begin_h);
    sb_wait wait = {.cause = SB_WAIT_UNKNOWN};
    if (level > 0)
        wait = freed_at(season, plan, route, season->setup.cleanouts[level].needs, begin_h);
    wait.begin_h = free_h(of, i);
    wait.end_h = fmax(begin_h, wait.begin_h); /* without a cleanout it begins when it is free */
    return wait;
}
