/* SPDX-License-Identifier: GPL-3.0-or-later */
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
#include "drafts.h"
#include "log/resume.h"
#include "logs.h"
#include "plan/plan.h"
#include "plans.h"
#include "seasons.h"

/* Minutes are rounded in a log: what depends on hours may differ by that, in money a cent. */
#define ROUNDED_MONEY 0.01

static void say(sb_log *log, sb_report *report, const char *kind, const char *const pairs[][2],
                size_t n)
{
    sb_log_entry entry = {.number = (long)log->entries.count + 1};
    assert_true(sb_log_kind_named(kind, &entry.kind));
    for (size_t i = 0; i < n; i++)
        assert_int_equal(sb_log_entry_say(&entry, pairs[i][0], pairs[i][1]), SB_OK);
    assert_int_equal(sb_log_entry_understand(&entry, "made", report), SB_OK);
    assert_int_equal(sb_log_push(log, &entry, report), SB_OK);
}

/* Writes down the first stops of a plan as if they had gone by it. */
static void log_stops(const sb_season *season, const sb_plan *plan, size_t n, sb_log *log,
                      sb_report *report)
{
    const sb_route *route = &plan->routes[0];
    const char *machine = season->setup.machines[route->machine].id;
    double cleaned_h = season->joins[route->machine].start_h;
    for (size_t i = 0; i < n; i++) {
        const sb_stop *stop = &route->stops[i];
        const sb_cleanout *level = &season->setup.cleanouts[stop->cleanout];
        char from[17], to[17];
        cleaned_h += level->minutes / 60;
        sb_calendar_stamp(&season->setup.calendar, cleaned_h, true, to);
        if (stop->cleanout > 0)
            say(log, report, "cleanout",
                (const char *const[][2]){{"machine", machine}, {"cleanout", level->id}, {"to", to}},
                3);
        sb_calendar_stamp(&season->setup.calendar, stop->arrive_h, false, from);
        sb_calendar_stamp(&season->setup.calendar, stop->finish_h, true, to);
        say(log, report, "cut",
            (const char *const[][2]){{"machine", machine},
                                     {"field", season->fields[stop->field].name},
                                     {"from", from},
                                     {"to", to}},
            4);
        cleaned_h = stop->finish_h;
    }
}

/* The rest of a plan that went as planned is the rest of the plan, and costs what it did. */
static void check_same_from(const sb_season *season, const sb_plan *plan, size_t done)
{
    sb_report *report = sb_report_new();
    sb_log *log = NULL;
    sb_resumed *resumed = NULL;
    assert_int_equal(sb_log_new("made.log", &log), SB_OK);
    log_stops(season, plan, done, log, report);
    if (sb_resume(season, log, NULL, report, &resumed) != SB_OK)
        fail_msg("cannot resume: %s", support_said(report));
    const sb_route *route = &plan->routes[0];
    assert_true((sb_resumed_season(resumed) == NULL) == (done == route->n_stops));
    if (sb_resumed_season(resumed) != NULL) {
        sb_plan *rest = support_order(resumed->rest);
        double total = sb_state_cost(&resumed->state).total + rest->cost.total;
        if (fabs(total - plan->cost.total) > ROUNDED_MONEY + 1e-6 * plan->cost.total)
            fail_msg("%zu done: %.9g in all, planned %.9g", done, total, plan->cost.total);
        assert_int_equal(rest->routes[0].n_stops, route->n_stops - done);
        for (size_t i = done; i < route->n_stops; i++) {
            const sb_stop *now = &rest->routes[0].stops[i - done];
            assert_int_equal(now->field, resumed->becomes[route->stops[i].field]);
            assert_int_equal(now->cleanout, route->stops[i].cleanout);
            for (size_t w = 0; w < season->setup.n_weeds; w++)
                assert_true(fabs(now->trace.ground[w] - route->stops[i].trace.ground[w]) <=
                            1e-9 + 1e-9 * route->stops[i].trace.ground[w]);
        }
        sb_plan_free(rest);
    }
    sb_resumed_free(resumed);
    sb_log_free(log);
    sb_report_free(report);
}

static sb_season *demo(void)
{
    sb_report *report = sb_report_new();
    sb_season *season = NULL;
    assert_int_equal(
        sb_season_read(support_demo_files(), SUPPORT_N_DEMO_FILES, NULL, report, &season), SB_OK);
    sb_report_free(report);
    return season;
}

static void the_demo_resumed_is_the_same_plan(void **state)
{
    (void)state;
    sb_season *season = demo();
    sb_plan *plan = support_order(season);
    for (size_t done = 6; done <= season->n_fields; done += 5)
        check_same_from(season, plan, done);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Every rule that does not turn on a minute. */
static void random_seasons_resumed_cost_what_they_did(void **state)
{
    (void)state;
    size_t resumed = 0;
    for (uint64_t seed = 1; seed <= 8; seed++) {
        support_options options = support_every_rule();
        options.dates = options.delay = options.season_end = false;
        options.n_weeds = 1 + seed % 3;
        sb_season *season = support_random_season(seed, 7, &options);
        sb_plan *plan = support_order(season);
        for (size_t done = 1; done < season->n_fields; done += 2, resumed++) {
            sb_report *report = sb_report_new();
            sb_log *log = NULL;
            sb_resumed *at = NULL;
            assert_int_equal(sb_log_new("made.log", &log), SB_OK);
            log_stops(season, plan, done, log, report);
            if (sb_resume(season, log, NULL, report, &at) != SB_OK)
                fail_msg("seed %d, %zu done: %s", (int)seed, done, support_said(report));
            sb_plan *rest = support_order(at->rest);
            double total = sb_state_cost(&at->state).total + rest->cost.total;
            if (fabs(total - plan->cost.total) > ROUNDED_MONEY + 1e-6 * plan->cost.total)
                fail_msg("seed %d, %zu done: %.9g in all, planned %.9g", (int)seed, done, total,
                         plan->cost.total);
            sb_plan_free(rest);
            sb_resumed_free(at);
            sb_log_free(log);
            sb_report_free(report);
        }
        sb_plan_free(plan);
        sb_season_free(season);
    }
    assert_int_equal(resumed, 24);
}

/* Half a field cut, no cleanout since: the plan goes on in it as it would have. */
static void half_way_through_a_field_the_plan_is_the_same(void **state)
{
    (void)state;
    sb_season *season = demo();
    sb_plan *plan = support_order(season);
    const sb_route *route = &plan->routes[0];
    for (size_t done = 3; done < route->n_stops; done += 8) {
        sb_report *report = sb_report_new();
        sb_log *log = NULL;
        sb_resumed *resumed = NULL;
        assert_int_equal(sb_log_new("made.log", &log), SB_OK);
        log_stops(season, plan, done, log, report);
        const sb_stop *next = &route->stops[done];
        const sb_field *field = &season->fields[next->field];
        char from[17], to[17], ha[32];
        sb_calendar_stamp(&season->setup.calendar, next->arrive_h, false, from);
        sb_calendar_stamp(&season->setup.calendar,
                          next->arrive_h + 0.4 * (next->finish_h - next->arrive_h), true, to);
        snprintf(ha, sizeof ha, "%.9f", 0.4 * field->area_ha);
        if (next->cleanout > 0)
            say(log, report, "cleanout",
                (const char *const[][2]){{"machine", "ring"},
                                         {"cleanout", season->setup.cleanouts[next->cleanout].id},
                                         {"to", from}},
                3);
        say(log, report, "cut",
            (const char *const[][2]){{"machine", "ring"},
                                     {"field", field->name},
                                     {"from", from},
                                     {"to", to},
                                     {"part", "true"},
                                     {"ha", ha}},
            6);
        assert_int_equal(sb_resume(season, log, NULL, report, &resumed), SB_OK);
        sb_plan *rest = support_order(resumed->rest);
        double total = sb_state_cost(&resumed->state).total + rest->cost.total;
        if (fabs(total - plan->cost.total) > ROUNDED_MONEY)
            fail_msg("%zu done: %.9g in all, planned %.9g", done, total, plan->cost.total);
        assert_int_equal(rest->routes[0].n_stops, route->n_stops - done);
        for (size_t i = done; i < route->n_stops; i++)
            assert_int_equal(rest->routes[0].stops[i - done].field,
                             resumed->becomes[route->stops[i].field]);
        assert_true(fabs(rest->routes[0].end_h - route->end_h) < 2.0 / 60);
        sb_plan_free(rest);
        sb_resumed_free(resumed);
        sb_log_free(log);
        sb_report_free(report);
    }
    sb_plan_free(plan);
    sb_season_free(season);
}

/* A machine starts where it stands, no sooner than it is free, under the limits that are left. */
static void the_rest_begins_where_the_machine_stands(void **state)
{
    (void)state;
    sb_season *season = support_season_new(4, 2);
    support_set_density(season, 0, 0, 2);
    season->setup.limits.full_cleanouts = 2;
    season->setup.limits.cleaning_cost = 5000;
    support_keep_levels(season, 4); /* the last is a full one */
    support_set_km(season, 0, 2, 17);
    support_set_km(season, 2, 0, 19);
    const char *machine = season->setup.machines[0].id;
    const char *full = season->setup.cleanouts[season->setup.n_cleanouts - 1].id;
    sb_report *report = sb_report_new();
    sb_log *log = NULL;
    sb_resumed *resumed = NULL;
    assert_int_equal(sb_log_new("made.log", &log), SB_OK);
    say(log, report, "cut",
        (const char *const[][2]){
            {"machine", machine}, {"field", "Field 1"}, {"to", "2026-08-02T14:00"}},
        3);
    say(log, report, "cleanout",
        (const char *const[][2]){
            {"machine", machine}, {"cleanout", full}, {"to", "2026-08-03T12:30"}},
        3);
    say(log, report, "dropped",
        (const char *const[][2]){{"field", "Field 4"}, {"at", "2026-08-03T12:30"}}, 2);
    assert_int_equal(sb_resume(season, log, NULL, report, &resumed), SB_OK);
    const sb_season *rest = resumed->rest;
    assert_int_equal(rest->n_fields, 2);
    assert_string_equal(rest->fields[1].name, "Field 3");
    assert_true(sb_season_km(rest, sb_season_start_place(rest, 0), 1) == 17);
    assert_true(sb_season_km(rest, 1, sb_season_start_place(rest, 0)) == 19);
    assert_true(sb_season_km(rest, sb_season_yard_place(rest, 0), 1) == 5);
    double free_h =
        sb_calendar_hours_before(&rest->setup.calendar, rest->setup.calendar.start_day + 2) + 12.5 -
        rest->setup.calendar.day_starts_h;
    assert_true(fabs(rest->joins[0].start_h - free_h) < 1e-9);
    assert_true(rest->setup.limits.full_cleanouts == 1);
    assert_true(rest->setup.limits.cleaning_cost < 5000);
    assert_int_equal(rest->joins[0].start_cleanout, (int)season->setup.n_cleanouts - 1);
    sb_plan *plan = support_order(rest);
    assert_true(plan->routes[0].stops[0].arrive_h >= free_h);
    sb_plan_free(plan);
    sb_resumed_free(resumed);
    sb_log_free(log);
    sb_report_free(report);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_demo_resumed_is_the_same_plan),
        cmocka_unit_test(random_seasons_resumed_cost_what_they_did),
        cmocka_unit_test(half_way_through_a_field_the_plan_is_the_same),
        cmocka_unit_test(the_rest_begins_where_the_machine_stands),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
