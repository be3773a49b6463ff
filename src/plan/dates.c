/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The clock of a plan: all machines go through the season side by side, and whichever wants to
 * clean first is looked at first, so that nobody is served before one who came earlier. */
#include "plan/dates.h"

#include <math.h>

#include "base/mem.h"
#include "season/service.h"

typedef enum stage {
    WANTS_CLEANOUT, /* free from now_h on: before the next stop, or home for the final cleanout */
    CLEANED,        /* since now_h; drives off when the earlier fields are finished */
    DONE,
} stage;

/* One machine under way. */
typedef struct under_way {
    sb_route *route;
    const sb_machine *machine;
    stage stage;
    size_t next; /* the stop to come; n_stops: none, it is home */
    int place;
    double now_h;
} under_way;

typedef struct season_clock {
    const sb_season *season;
    under_way *crews; /* n_crews */
    size_t n_crews;
    int *crew_of;     /* by field: who cuts it, -1: nobody */
    double *finish_h; /* by field: NAN until it is cut */
    double *free_h;   /* by unit of every resource, one resource after the other */
} season_clock;

static double cleaning_hours(const season_clock *c, int cleanout)
{
    return c->season->setup.cleanouts[cleanout].minutes / 60;
}

/* The unit of a resource that is free first. */
static double *first_free(const season_clock *c, size_t resource)
{
    const sb_resource *resources = c->season->setup.resources;
    double *units = c->free_h;
    for (size_t r = 0; r < resource; r++)
        units += resources[r].count;
    double *first = units;
    for (int u = 1; u < resources[resource].count; u++)
        if (units[u] < *first)
            first = &units[u];
    return first;
}

/* When a cleanout wanted at wanted_h begins; what it needs is taken until it ends. */
static double begin_cleanout(const season_clock *c, int cleanout, double wanted_h)
{
    unsigned needs = c->season->setup.cleanouts[cleanout].needs;
    double hours = cleaning_hours(c, cleanout), begin_h = wanted_h;
    if (hours <= 0)
        return wanted_h;
    for (size_t r = 0; r < c->season->setup.n_resources; r++)
        if (needs >> r & 1)
            begin_h = fmax(begin_h, *first_free(c, r));
    for (size_t r = 0; r < c->season->setup.n_resources; r++)
        if (needs >> r & 1)
            *first_free(c, r) = begin_h + hours;
    return begin_h;
}

static double road_hours(const under_way *crew, double km)
{
    return isnan(km) ? 0 : km / crew->machine->road_km_h;
}

/* Home after the last stop. */
static void drive_home(const season_clock *c, under_way *crew)
{
    sb_route *route = crew->route;
    route->km_home =
        sb_season_km(c->season, crew->place, sb_season_yard_place(c->season, route->machine));
    route->km_total += route->km_home;
    route->home_h = crew->now_h + road_hours(crew, route->km_home);
    route->final_clean_h = route->end_h = crew->now_h = route->home_h;
    crew->stage = route->final_cleanout >= 0 ? WANTS_CLEANOUT : DONE;
}

static void clean(const season_clock *c, under_way *crew)
{
    sb_route *route = crew->route;
    if (crew->next == route->n_stops) {
        route->final_clean_h = begin_cleanout(c, route->final_cleanout, crew->now_h);
        route->end_h = route->final_clean_h + cleaning_hours(c, route->final_cleanout);
        crew->stage = DONE;
        return;
    }
    sb_stop *stop = &route->stops[crew->next];
    stop->clean_h = begin_cleanout(c, stop->cleanout, crew->now_h);
    crew->now_h = stop->clean_h + cleaning_hours(c, stop->cleanout);
    crew->stage = CLEANED;
}

/* When the fields that other machines must cut before this one are finished: 0 when there are none,
 * NAN while that is unknown. */
static double earlier_finished_h(const season_clock *c, const under_way *crew, int field)
{
    const sb_field *f = &c->season->fields[field];
    double finished_h = 0;
    for (size_t a = 0; a < f->n_after; a++) {
        int by = c->crew_of[f->after[a]];
        if (by < 0 || &c->crews[by] == crew)
            continue;
        if (isnan(c->finish_h[f->after[a]]))
            return NAN;
        finished_h = fmax(finished_h, c->finish_h[f->after[a]]);
    }
    return finished_h;
}

/* Drives to the next field when it is known that it may begin there, and cuts it. Forced, it does
 * not wait for what is not known. */
static bool drive_and_cut(season_clock *c, under_way *crew, bool forced)
{
    sb_route *route = crew->route;
    sb_stop *stop = &route->stops[crew->next];
    double earlier_h = earlier_finished_h(c, crew, stop->field);
    if (isnan(earlier_h) && !forced)
        return false;
    stop->km = sb_season_km(c->season, crew->place, stop->field);
    double road_h = road_hours(crew, stop->km);
    stop->leave_h = fmax(crew->now_h, sb_season_ready_h(c->season, stop->field) - road_h);
    if (!isnan(earlier_h) && earlier_h > 0)
        stop->leave_h = fmax(stop->leave_h, earlier_h - road_h);
    stop->arrive_h = stop->leave_h + road_h;
    stop->finish_h =
        stop->arrive_h + sb_season_cutting_hours(c->season, route->machine, stop->field);
    route->km_total += stop->km;
    c->finish_h[stop->field] = stop->finish_h;
    crew->now_h = stop->finish_h;
    crew->place = stop->field;
    crew->stage = WANTS_CLEANOUT;
    crew->next++;
    if (crew->next == route->n_stops)
        drive_home(c, crew);
    return true;
}

/* The machine of that stage that is furthest behind, of several the one declared first. */
static under_way *furthest_behind(const season_clock *c, stage wanted)
{
    under_way *found = NULL;
    for (size_t i = 0; i < c->n_crews; i++) {
        under_way *crew = &c->crews[i];
        if (crew->stage != wanted)
            continue;
        if (found == NULL || crew->now_h < found->now_h ||
            (crew->now_h == found->now_h && crew->route->machine < found->route->machine))
            found = crew;
    }
    return found;
}

static void run(season_clock *c)
{
    for (;;) {
        bool moved = false;
        for (size_t i = 0; i < c->n_crews; i++)
            if (c->crews[i].stage == CLEANED)
                moved |= drive_and_cut(c, &c->crews[i], false);
        if (moved)
            continue;
        under_way *crew = furthest_behind(c, WANTS_CLEANOUT);
        if (crew != NULL) {
            clean(c, crew);
            continue;
        }
        crew = furthest_behind(c, CLEANED);
        if (crew == NULL)
            return;
        drive_and_cut(c, crew, true);
    }
}

static void set_out(season_clock *c, sb_plan *plan)
{
    for (size_t i = 0; i < c->n_crews; i++) {
        sb_route *route = &plan->routes[i];
        bool moves = sb_route_moves(c->season, route);
        route->start_h = moves ? sb_season_window(c->season, route->machine).from_h : 0;
        route->km_total = route->km_home = route->home_h = route->end_h = 0;
        route->final_clean_h = 0;
        c->crews[i] = (under_way){
            .route = route,
            .machine = &c->season->setup.machines[route->machine],
            .stage = moves ? WANTS_CLEANOUT : DONE,
            .place = sb_season_start_place(c->season, route->machine),
            .now_h = route->start_h,
        };
        if (moves && route->n_stops == 0)
            drive_home(c, &c->crews[i]);
        for (size_t s = 0; s < route->n_stops; s++)
            c->crew_of[route->stops[s].field] = (int)i;
    }
}

sb_status sb_plan_dates(const sb_season *season, sb_plan *plan)
{
    size_t units = 0;
    for (size_t r = 0; r < season->setup.n_resources; r++)
        units += (size_t)season->setup.resources[r].count;
    season_clock c = {.season = season, .n_crews = plan->n_routes};
    sb_status status = SB_ERR_NOMEM;
    c.crews = sb_alloc(plan->n_routes, sizeof *c.crews);
    c.crew_of = sb_alloc(season->n_fields, sizeof *c.crew_of);
    c.finish_h = sb_alloc(season->n_fields, sizeof *c.finish_h);
    c.free_h = sb_alloc(units, sizeof *c.free_h);
    if (c.crews == NULL || c.crew_of == NULL || c.finish_h == NULL || c.free_h == NULL)
        goto out;
    for (size_t j = 0; j < season->n_fields; j++) {
        c.crew_of[j] = -1;
        c.finish_h[j] = NAN;
    }
    set_out(&c, plan);
    run(&c);
    status = SB_OK;
out:
    sb_free(c.crews);
    sb_free(c.crew_of);
    sb_free(c.finish_h);
    sb_free(c.free_h);
    return status;
}
