/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several machines in one season that has begun. */
#define _POSIX_C_SOURCE 200809L
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "base/report.h"
#include "log/resume.h"
#include "logs.h"
#include "machines.h"
#include "plan/plan.h"
#include "plans.h"
#include "seasons.h"

/* Minutes are rounded in a log: what depends on hours may differ by that, in money a cent. */
#define ROUNDED_MONEY 0.01

/* A season under way. */
typedef struct under_way {
    sb_season *season;
    sb_log *log;
    sb_report *report;
    sb_resumed *resumed;
} under_way;

static under_way begin(sb_season *season)
{
    under_way u = {.season = season, .report = sb_report_new()};
    assert_non_null(u.report);
    assert_int_equal(sb_log_new("made.log", &u.log), SB_OK);
    return u;
}

#define say(u, ...) support_log_say((u)->log, __VA_ARGS__)

static void resume(under_way *u)
{
    sb_resumed_free(u->resumed);
    if (sb_resume(u->season, u->log, NULL, u->report, &u->resumed) != SB_OK)
        fail_msg("cannot resume: %s", support_said(u->report));
}

static void end(under_way *u)
{
    sb_resumed_free(u->resumed);
    sb_log_free(u->log);
    sb_report_free(u->report);
    sb_season_free(u->season);
}

/* Writes down what one machine has done by an hour, as if it had gone by the plan.
 * @return stops cut */
static size_t log_route(under_way *u, const sb_route *route, double until_h)
{
    const sb_season *season = u->season;
    char machine[64], from[32], to[32], what[128];
    snprintf(machine, sizeof machine, "machine=%s", season->setup.machines[route->machine].id);
    for (size_t i = 0; i < route->n_stops; i++) {
        const sb_stop *stop = &route->stops[i];
        const sb_cleanout *level = &season->setup.cleanouts[stop->cleanout];
        strcpy(from, "from=");
        strcpy(to, "to=");
        if (stop->finish_h > until_h)
            return i;
        if (stop->cleanout > 0) {
            snprintf(what, sizeof what, "cleanout=%s", level->id);
            sb_calendar_stamp(&season->setup.calendar, stop->clean_h + level->minutes / 60, true,
                              to + 3);
            say(u, "cleanout", machine, what, to, NULL);
        }
        snprintf(what, sizeof what, "field=%s", season->fields[stop->field].name);
        sb_calendar_stamp(&season->setup.calendar, stop->arrive_h, false, from + 5);
        sb_calendar_stamp(&season->setup.calendar, stop->finish_h, true, to + 3);
        say(u, "cut", machine, what, from, to, NULL);
    }
    return route->n_stops;
}

static const sb_route *route_of(const sb_plan *plan, int machine)
{
    for (size_t r = 0; r < plan->n_routes; r++)
        if (plan->routes[r].machine == machine)
            return &plan->routes[r];
    fail_msg("no route for machine %d", machine);
    return NULL;
}

/* All went by the plan until an hour: the rest of the plan is the plan for the rest.
 * @param one_done counts if a machine that worked has no field left and another has */
static bool check_same_from(sb_season *season, const sb_plan *plan, double until_h, uint64_t seed,
                            size_t *one_done)
{
    under_way u = begin(season);
    size_t done[8] = {0};
    for (size_t r = 0; r < plan->n_routes; r++)
        done[plan->routes[r].machine] = log_route(&u, &plan->routes[r], until_h);
    resume(&u);
    bool any_left = sb_resumed_season(u.resumed) != NULL;
    if (any_left) {
        sb_plan *rest = support_order(u.resumed->rest);
        double total = sb_state_cost(&u.resumed->state).total + rest->cost.total;
        if (fabs(total - plan->cost.total) > ROUNDED_MONEY + 1e-6 * plan->cost.total)
            fail_msg("seed %d until %g h: %.9g in all, planned %.9g", (int)seed, until_h, total,
                     plan->cost.total);
        for (int m = 0; m < (int)season->setup.n_machines; m++) {
            const sb_route *then = route_of(plan, m), *now = route_of(rest, m);
            assert_int_equal(now->n_stops, then->n_stops - done[m]);
            *one_done += then->n_stops > 0 && now->n_stops == 0;
            for (size_t i = 0; i < now->n_stops; i++) {
                const sb_stop *planned = &then->stops[done[m] + i];
                assert_int_equal(now->stops[i].field, u.resumed->becomes[planned->field]);
                assert_int_equal(now->stops[i].cleanout, planned->cleanout);
            }
        }
        sb_plan_free(rest);
    }
    u.season = NULL;
    end(&u);
    return any_left;
}

static void a_fleet_resumed_goes_on_as_planned(void **state)
{
    (void)state;
    size_t resumed = 0, one_done = 0;
    for (uint64_t seed = 1; seed <= 8; seed++) {
        support_options options = support_every_rule();
        options.dates = options.delay = options.season_end = options.missing_ways = false;
        options.full_limit = options.spend_limit = seed % 2;
        options.n_weeds = 1 + seed % 2;
        sb_season *season = support_random_fleet(seed, 6, &options);
        season->setup.calendar.end_day = SB_NO_DAY;
        for (size_t m = 0; m < 2; m++) {
            season->setup.machines[m].season_hours = INFINITY;
            season->setup.machines[m].to_day = SB_NO_DAY;
        }
        sb_plan *plan = support_order(season);
        for (size_t r = 0; r < 2; r++)
            for (size_t i = r; i < plan->routes[r].n_stops; i += 2)
                resumed += check_same_from(season, plan, plan->routes[r].stops[i].finish_h, seed,
                                           &one_done);
        sb_plan_free(plan);
        sb_season_free(season);
    }
    print_message("%zu resumed, %zu of them with one machine done\n", resumed, one_done);
    assert_true(resumed > 12 && one_done > 2);
}

/* Two machines with a yard each, four fields 5 km from everything, the first weedy. */
static sb_season *two_machines(void)
{
    sb_season *season = support_season_new(4, 1);
    support_add_machine(season);
    support_set_density(season, 0, 0, 2);
    for (size_t m = 0; m < 2; m++)
        season->joins[m].final_cleanout = 1;
    return season;
}

/* m1 has cut two fields, m2 broke down: everything comes to m1, or waits for m2, whatever costs
 * less; and m2 begins no sooner than it is back. */
static void a_machine_that_broke_down_begins_when_it_is_back(void **state)
{
    (void)state;
    under_way u = begin(two_machines());
    const char *first = u.season->setup.machines[0].id;
    char machine[64];
    snprintf(machine, sizeof machine, "machine=%s", first);
    say(&u, "cut", machine, "field=Field 2", "to=2026-08-01T14:00", NULL);
    say(&u, "cut", machine, "field=Field 1", "to=2026-08-02T11:00", NULL);
    say(&u, "away", "machine=m2", "from=2026-08-01T10:00", "to=2026-08-05T12:00", "why=gearbox",
        NULL);
    resume(&u);
    const sb_season *rest = u.resumed->rest;
    assert_int_equal(rest->n_fields, 2);
    double back_h =
        sb_calendar_hours_before(&rest->setup.calendar, rest->setup.calendar.start_day + 4) + 12 -
        rest->setup.calendar.day_starts_h;
    assert_true(fabs(rest->joins[1].start_h - back_h) < 1e-9);
    assert_int_equal(sb_season_start_place(rest, 1), sb_season_yard_place(rest, 1));
    assert_int_not_equal(sb_season_start_place(rest, 0), sb_season_yard_place(rest, 0));
    assert_true(rest->joins[0].goes_home && !rest->joins[1].goes_home);
    sb_plan *plan = support_order(rest);
    for (size_t i = 0; i < route_of(plan, 1)->n_stops; i++)
        assert_true(route_of(plan, 1)->stops[i].clean_h >= back_h - 1e-9);
    sb_plan_free(plan);
    end(&u);
}

/* A machine whose work is done has its way home and its final cleanout before it all the same. */
static void a_machine_without_a_field_goes_home_and_is_cleaned(void **state)
{
    (void)state;
    under_way u = begin(two_machines());
    char machine[64];
    snprintf(machine, sizeof machine, "machine=%s", u.season->setup.machines[0].id);
    say(&u, "cut", machine, "field=Field 1", "to=2026-08-01T14:00", NULL);
    u.season->fields[1].n_only = u.season->fields[2].n_only = u.season->fields[3].n_only = 0;
    for (int f = 1; f < 4; f++)
        support_add_only(u.season, f, 1);
    resume(&u);
    sb_plan *plan = support_order(u.resumed->rest);
    const sb_route *idle = route_of(plan, 0);
    const sb_machine *says = &u.season->setup.machines[0];
    assert_int_equal(idle->n_stops, 0);
    assert_true(idle->km_home == 5 && idle->km_total == 5);
    double minutes = u.season->setup.cleanouts[1].minutes;
    assert_true(fabs(idle->end_h - idle->start_h - 5 / says->road_km_h - minutes / 60) < 1e-9);
    sb_plan *alone = NULL;
    assert_int_equal(sb_plan_new(u.resumed->rest, 1, &alone), SB_OK);
    assert_int_equal(sb_route_init(u.resumed->rest, 1, 3, &alone->routes[0]), SB_OK);
    for (size_t i = 0; i < 3; i++)
        alone->routes[0].stops[i] = route_of(plan, 1)->stops[i];
    assert_int_equal(sb_plan_price(u.resumed->rest, alone), SB_OK);
    double home = 5 * says->cost_per_km + 5 / says->road_km_h * says->cost_per_hour +
                  sb_season_cleanout_cost(u.season, 1);
    assert_true(fabs(plan->cost.total - alone->cost.total - home) < 1e-9);
    sb_plan_free(alone);
    sb_plan_free(plan);

    /* Once that is done nothing is left of it. */
    char place[64];
    snprintf(place, sizeof place, "place=%s", u.season->yards[u.season->joins[0].yard].name);
    say(&u, "cleanout", machine, "cleanout=blowdown", place, "to=2026-08-01T16:00", NULL);
    resume(&u);
    assert_false(u.resumed->rest->joins[0].goes_home);
    end(&u);
}

/* The machine that stands in a field goes on there first; the other does not come in. */
static void a_field_cut_in_part_is_finished_first_by_its_machine(void **state)
{
    (void)state;
    under_way u = begin(two_machines());
    char machine[64];
    snprintf(machine, sizeof machine, "machine=%s", u.season->setup.machines[0].id);
    say(&u, "cut", machine, "field=Field 1", "to=2026-08-01T11:00", "part=true", "ha=8", NULL);
    resume(&u);
    int first = u.resumed->becomes[0];
    sb_plan *plan = support_order(u.resumed->rest);
    assert_true(route_of(plan, 0)->n_stops > 0);
    assert_int_equal(route_of(plan, 0)->stops[0].field, first);
    assert_int_equal(route_of(plan, 0)->stops[0].cleanout, 0);
    /* 12 of 20 ha at 4 ha/h. */
    const sb_stop *stop = &route_of(plan, 0)->stops[0];
    assert_true(fabs(stop->finish_h - stop->arrive_h - 3) < 1e-9);
    sb_plan_free(plan);

    /* It breaks down: what is left is for whoever gets there, and what it holds stays in it. */
    say(&u, "away", machine, "from=2026-08-01T11:00", "to=2026-08-20T09:00", NULL);
    resume(&u);
    const sb_season *rest = u.resumed->rest;
    assert_int_equal(rest->fields[first].n_only, 0);
    assert_true(fabs(rest->fields[first].area_ha - 12) < 1e-9);
    assert_true(fabs(rest->fields[first].grain_t - 12 * 3.4) < 1e-9);
    double holds = 0;
    for (size_t pool = 0; pool < 2 * rest->setup.n_sections; pool++)
        holds += rest->joins[0].start_seeds[pool * SB_MAX_WEEDS];
    double held = sb_machine_state_seeds(&u.resumed->state, 0, 0);
    assert_true(held > 0 && fabs(holds - held) < 1e-9 * held);
    plan = support_order(rest);
    for (size_t i = 0; i < route_of(plan, 0)->n_stops; i++)
        assert_true(route_of(plan, 0)->stops[i].clean_h >= rest->joins[0].start_h - 1e-9);
    sb_plan_free(plan);

    /* The other one finishes it. */
    say(&u, "cut", "machine=m2", "field=Field 1", "to=2026-08-03T12:00", NULL);
    resume(&u);
    assert_int_equal(u.resumed->becomes[0], -1);
    assert_false(u.resumed->state.machines[0].half_way);
    end(&u);
}

/* Two machines in one field: the one that cut there last goes on, the other is free. */
static void of_two_in_a_field_the_last_goes_on(void **state)
{
    (void)state;
    under_way u = begin(two_machines());
    char machine[64];
    snprintf(machine, sizeof machine, "machine=%s", u.season->setup.machines[0].id);
    say(&u, "cut", machine, "field=Field 1", "to=2026-08-01T11:00", "part=true", "ha=8", NULL);
    say(&u, "cut", "machine=m2", "field=Field 1", "to=2026-08-01T11:00", "part=true", "ha=4", NULL);
    resume(&u);
    assert_false(u.resumed->state.machines[0].half_way);
    assert_true(u.resumed->state.machines[1].half_way);
    const sb_field *left = &u.resumed->rest->fields[u.resumed->becomes[0]];
    assert_int_equal(left->n_only, 1);
    assert_int_equal(left->only[0], 1);
    end(&u);
}

/* Field 3 after Field 1, which the other machine finished on the third day. */
static void a_field_waits_for_the_end_of_what_another_machine_cut(void **state)
{
    (void)state;
    under_way u = begin(two_machines());
    char machine[64];
    snprintf(machine, sizeof machine, "machine=%s", u.season->setup.machines[0].id);
    support_add_after(u.season, 2, 0);
    say(&u, "cut", "machine=m2", "field=Field 2", "to=2026-08-01T14:00", NULL);
    say(&u, "cut", machine, "field=Field 1", "from=2026-08-03T10:00", "to=2026-08-03T15:00", NULL);
    resume(&u);
    const sb_season *rest = u.resumed->rest;
    double finished_h = u.resumed->state.machines[0].free_h;
    sb_plan *plan = support_order(rest);
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < plan->routes[r].n_stops; i++)
            if (plan->routes[r].stops[i].field == u.resumed->becomes[2])
                assert_true(plan->routes[r].stops[i].arrive_h >= finished_h - 1e-9);
    assert_true(sb_season_ready_h(rest, u.resumed->becomes[2]) == finished_h);
    assert_true(sb_season_ready_h(rest, u.resumed->becomes[3]) == 0);
    sb_plan_free(plan);
    end(&u);
}

/* Growers of the same number modulo 64 were once taken for each other: what is kept apart from the
 * 65th was cleaned for after a field of the first. */
static void more_than_64_growers_are_kept_apart_from_their_own_fields_only(void **state)
{
    (void)state;
    enum { GROWERS = 200, WANTS_AWAY_FROM_CUT = 2, WANTS_AWAY_FROM_OTHER = 3 };
    sb_season *season = support_season_new(4, 1);
    char name[32];
    for (int g = 0; g < GROWERS; g++) {
        snprintf(name, sizeof name, "Grower %d", g + 1);
        support_add_grower(season, name);
    }
    season->fields[0].grower = 0;
    season->fields[1].grower = 64;
    season->fields[2].grower = 1;
    season->fields[3].grower = GROWERS - 1;
    support_add_apart(season, WANTS_AWAY_FROM_CUT, 0, -1);
    support_add_apart(season, WANTS_AWAY_FROM_OTHER, 64, -1);
    under_way u = begin(season);
    snprintf(name, sizeof name, "machine=%s", season->setup.machines[0].id);
    say(&u, "cut", name, "field=Field 1", "to=2026-08-01T14:00", NULL);
    resume(&u);
    const sb_season *rest = u.resumed->rest;
    int full = (int)rest->setup.n_cleanouts - 1;
    for (int g = 0; g < GROWERS; g++)
        for (int l = -1; l < (int)rest->setup.n_cleanouts; l++) {
            sb_apart from = {.grower = g, .cleanout = l};
            assert_int_equal(sb_season_starts_after(rest, 0, &from), g == 0);
        }
    /* The field of the grower who shared a bit with the first is ordered as if nothing was cut. */
    sb_plan *plan = support_order(rest);
    for (size_t i = 0; i < plan->routes[0].n_stops; i++) {
        const sb_stop *stop = &plan->routes[0].stops[i];
        if (stop->field == u.resumed->becomes[WANTS_AWAY_FROM_CUT])
            assert_true(stop->cleanout == full);
        else
            assert_int_equal(stop->cleanout, 0);
    }
    sb_plan_free(plan);

    say(&u, "cleanout", name, "cleanout=deep", "to=2026-08-02T12:00", NULL);
    resume(&u);
    for (int g = 0; g < GROWERS; g++)
        assert_false(sb_season_starts_after(u.resumed->rest, 0, &(sb_apart){.grower = g}));
    end(&u);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fleet_resumed_goes_on_as_planned),
        cmocka_unit_test(a_machine_that_broke_down_begins_when_it_is_back),
        cmocka_unit_test(a_machine_without_a_field_goes_home_and_is_cleaned),
        cmocka_unit_test(a_field_cut_in_part_is_finished_first_by_its_machine),
        cmocka_unit_test(of_two_in_a_field_the_last_goes_on),
        cmocka_unit_test(a_field_waits_for_the_end_of_what_another_machine_cut),
        cmocka_unit_test(more_than_64_growers_are_kept_apart_from_their_own_fields_only),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
