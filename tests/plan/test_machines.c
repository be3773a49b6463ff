/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Plans of two machines: dates worked out by hand, waiting, and every rule on each route.
 *
 * Every way is 5 km, a quarter of an hour, and every field takes 5 hours, unless a test says
 * otherwise. Level 1 takes half an hour, level 2 an hour, level 3, the full one, two hours. Levels
 * 2 and 3 need the wash pad. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "plan/board.h"
#include "seasons.h"

#define NEAR_H 1e-9

typedef struct trial {
    sb_season *season;
    sb_plan *plan;
    sb_report *report;
    size_t broken;
    sb_status status;
} trial;

/** Field and cleanout before it. */
typedef struct visit {
    int field, cleanout;
} visit;

static int set_up(void **state)
{
    trial *t = sb_alloc(1, sizeof *t);
    sb_season *season = t->season = support_season_new(6, 1);
    t->report = sb_report_new();
    support_add_yard_mate(season, "blue");
    support_add_resource(season, 1);
    static const double minutes[] = {0, 30, 60, 120};
    for (int level = 0; level < 4; level++) {
        season->setup.cleanouts[level].minutes = minutes[level];
        season->setup.cleanouts[level].full = level == 3;
        season->setup.cleanouts[level].needs = level >= 2 ? 1 : 0;
    }
    assert_int_equal(sb_plan_new(season, 2, &t->plan), SB_OK);
    *state = t;
    return 0;
}

static int tear_down(void **state)
{
    trial *t = *state;
    sb_plan_free(t->plan);
    sb_season_free(t->season);
    sb_report_free(t->report);
    sb_free(t);
    return 0;
}

/** Route r is that of machine r and visits these fields. */
static void give(trial *t, int r, const visit *visits, size_t n)
{
    sb_route *route = &t->plan->routes[r];
    sb_free(route->stops);
    assert_int_equal(sb_route_init(t->season, r, n, route), SB_OK);
    for (size_t i = 0; i < n; i++) {
        route->stops[i].field = visits[i].field;
        route->stops[i].cleanout = visits[i].cleanout;
    }
}

#define GIVE(t, r, ...) \
    give(t, r, (visit[]){__VA_ARGS__}, sizeof((visit[]){__VA_ARGS__}) / sizeof(visit))

static void check(trial *t)
{
    t->status = sb_plan_check(t->season, t->plan, SB_WARNING, t->report, &t->broken);
}

/** Prices and checks; expects these broken rules, one a line, and no false claim. */
static void expect_broken(trial *t, const char *expected)
{
    assert_int_equal(sb_plan_price(t->season, t->plan), SB_OK);
    check(t);
    sb_text all = {0};
    for (size_t i = 0; i < sb_report_count(t->report); i++)
        sb_text_addf(&all, "%s\n", sb_report_get(t->report, i).text);
    assert_string_equal(sb_text_get(&all), expected);
    sb_text_release(&all);
    assert_int_equal(t->status, SB_OK);
}

static void assert_near(double value, double expected, double slack)
{
    if (!(fabs(value - expected) <= slack))
        print_error("%.12g, expected %.12g\n", value, expected);
    assert_true(fabs(value - expected) <= slack);
}

static const sb_stop *stop(const trial *t, int r, int i)
{
    return &t->plan->routes[r].stops[i];
}

static void assert_moments(const sb_stop *stop, double clean_h, double leave_h, double finish_h)
{
    assert_near(stop->clean_h, clean_h, NEAR_H);
    assert_near(stop->leave_h, leave_h, NEAR_H);
    assert_near(stop->finish_h, finish_h, NEAR_H);
}

/** The first wait of a route on the board of the plan. */
static sb_wait first_wait(const trial *t, size_t route)
{
    sb_board board;
    sb_wait wait = {.cause = SB_WAIT_UNKNOWN};
    assert_int_equal(sb_board_init(t->season, t->plan, &board), SB_OK);
    for (size_t i = board.n_spans; i-- > 0;)
        if (board.spans[i].route == route && board.spans[i].activity == SB_WAITING)
            wait = board.spans[i].wait;
    sb_board_release(&board);
    return wait;
}

static void assert_waits(const trial *t, size_t route, sb_wait expected)
{
    sb_wait wait = first_wait(t, route);
    assert_int_equal(wait.cause, expected.cause);
    assert_int_equal(wait.which, expected.which);
    assert_int_equal(wait.route, expected.route);
    assert_near(wait.begin_h, expected.begin_h, NEAR_H);
    assert_near(wait.end_h, expected.end_h, NEAR_H);
}

/* ---- Dates by hand ---- */

static void two_machines_work_side_by_side(void **state)
{
    trial *t = *state;
    GIVE(t, 0, {0, 0}, {1, 1}, {2, 0});
    GIVE(t, 1, {3, 0}, {4, 0}, {5, 0});
    expect_broken(t, "");
    /* 0.25 on the road, 5 cutting; half an hour of level 1 before Field 2. */
    assert_moments(stop(t, 0, 0), 0, 0, 5.25);
    assert_moments(stop(t, 0, 1), 5.25, 5.75, 11);
    assert_moments(stop(t, 0, 2), 11, 11, 16.25);
    assert_near(t->plan->routes[0].end_h, 16.5, NEAR_H);
    assert_moments(stop(t, 1, 2), 10.5, 10.5, 15.75);
    assert_near(t->plan->routes[1].km_total, 20, NEAR_H);
    /* 40 km at 2 a km and 2 hours at 60 an hour on the road, by both. */
    assert_near(t->plan->cost.travel, 40 * 2 + 2 * 60, 1e-9);
}

static void who_comes_second_waits_for_the_pad(void **state)
{
    trial *t = *state;
    GIVE(t, 0, {0, 0}, {1, 2}, {2, 0});
    GIVE(t, 1, {3, 0}, {4, 2}, {5, 0});
    support_set_km(t->season, sb_season_yard_place(t->season, 1), 3, 4); /* 0.2 h: there first */
    t->season->fields[1].best_before_day = t->season->setup.calendar.start_day;
    t->season->fields[1].delay_cost_per_day = 70;
    expect_broken(t, "");
    assert_moments(stop(t, 1, 1), 5.2, 6.2, 11.45);
    /* Free at 5.25, on the pad from 6.2 to 7.2. */
    assert_moments(stop(t, 0, 1), 6.2, 7.2, 12.45);
    assert_near(t->plan->routes[0].end_h, 12.45 + 5.25 + 0.25, NEAR_H);
    /* 12.45 is on the second working day of 10 hours, one late. */
    assert_near(t->plan->cost.delay, 70, 1e-9);
    /* The board shows the wait between cutting and cleaning. */
    sb_board board;
    assert_int_equal(sb_board_init(t->season, t->plan, &board), SB_OK);
    assert_near(board.hours[0][SB_WAITING], 6.2 - 5.25, NEAR_H);
    assert_near(board.hours[0][SB_CLEANING], 1, NEAR_H);
    assert_near(board.hours[1][SB_WAITING], 0, NEAR_H);
    sb_board_release(&board);
    assert_waits(t, 0, (sb_wait){SB_WAIT_SHARED, 0, 1, 5.25, 6.2});
}

static void together_the_machine_declared_first_goes_first(void **state)
{
    trial *t = *state;
    GIVE(t, 0, {0, 0}, {1, 2}, {2, 0});
    GIVE(t, 1, {3, 0}, {4, 3}, {5, 0});
    expect_broken(t, "");
    assert_moments(stop(t, 0, 1), 5.25, 6.25, 11.5);
    assert_moments(stop(t, 1, 1), 6.25, 8.25, 13.5);
    /* The order in which the routes are listed is no matter. */
    sb_route first = t->plan->routes[0];
    t->plan->routes[0] = t->plan->routes[1];
    t->plan->routes[1] = first;
    expect_broken(t, "");
    assert_moments(stop(t, 1, 1), 5.25, 6.25, 11.5);
    assert_moments(stop(t, 0, 1), 6.25, 8.25, 13.5);
}

static void two_pads_serve_two_machines_and_the_third_waits(void **state)
{
    trial *t = *state;
    t->season->setup.resources[0].count = 2;
    support_add_yard_mate(t->season, "green");
    sb_plan_free(t->plan);
    assert_int_equal(sb_plan_new(t->season, 3, &t->plan), SB_OK);
    GIVE(t, 0, {0, 0}, {1, 3});
    GIVE(t, 1, {2, 0}, {3, 2});
    GIVE(t, 2, {4, 0}, {5, 2});
    expect_broken(t, "");
    assert_near(stop(t, 0, 1)->clean_h, 5.25, NEAR_H);
    assert_near(stop(t, 1, 1)->clean_h, 5.25, NEAR_H);
    assert_near(stop(t, 2, 1)->clean_h, 6.25, NEAR_H); /* the hour of blue is over */
}

static void who_waits_for_one_thing_holds_the_other(void **state)
{
    trial *t = *state;
    /* Level 1 needs the compressor alone, level 2 the pad and the compressor. */
    int compressor = support_add_resource(t->season, 1);
    t->season->setup.cleanouts[1].needs = 1u << compressor;
    t->season->setup.cleanouts[2].needs |= 1u << compressor;
    support_add_yard_mate(t->season, "green");
    sb_plan_free(t->plan);
    assert_int_equal(sb_plan_new(t->season, 3, &t->plan), SB_OK);
    int yard = sb_season_yard_place(t->season, 0);
    support_set_km(t->season, yard, 2, 6); /* blue comes at 5.3 */
    support_set_km(t->season, yard, 4, 7); /* green at 5.35 */
    GIVE(t, 0, {0, 0}, {1, 3});
    GIVE(t, 1, {2, 0}, {3, 2});
    GIVE(t, 2, {4, 0}, {5, 1});
    expect_broken(t, "");
    assert_near(stop(t, 0, 1)->clean_h, 5.25, NEAR_H); /* the pad until 7.25 */
    assert_near(stop(t, 1, 1)->clean_h, 7.25, NEAR_H); /* both until 8.25 */
    assert_near(stop(t, 2, 1)->clean_h, 8.25, NEAR_H);
}

static void the_final_cleanout_waits_for_the_pad_too(void **state)
{
    trial *t = *state;
    t->season->joins[0].final_cleanout = t->season->joins[1].final_cleanout = 3;
    GIVE(t, 0, {0, 0}, {1, 0}, {2, 0});
    GIVE(t, 1, {3, 0}, {4, 0}, {5, 0});
    expect_broken(t, "");
    /* Both are home at 3 x 5.25 + 0.25. */
    assert_near(t->plan->routes[0].final_clean_h, 16, NEAR_H);
    assert_near(t->plan->routes[0].end_h, 18, NEAR_H);
    assert_near(t->plan->routes[1].home_h, 16, NEAR_H);
    assert_near(t->plan->routes[1].final_clean_h, 18, NEAR_H);
    assert_near(t->plan->routes[1].end_h, 20, NEAR_H);
    sb_wait wait = first_wait(t, 1);
    assert_int_equal(wait.cause, SB_WAIT_SHARED);
    assert_int_equal(wait.route, 0);
}

static void a_machine_waits_for_an_earlier_field_of_another(void **state)
{
    trial *t = *state;
    support_add_after(t->season, 3, 1); /* Field 4 after Field 2 */
    GIVE(t, 0, {0, 0}, {1, 0}, {2, 0});
    GIVE(t, 1, {3, 1}, {4, 0}, {5, 0});
    expect_broken(t, "");
    assert_moments(stop(t, 0, 1), 5.25, 5.25, 10.5);
    /* Clean at 0.5; leaves so as to begin when Field 2 is finished. */
    assert_moments(stop(t, 1, 0), 0, 10.25, 15.5);
    assert_near(stop(t, 1, 0)->arrive_h, 10.5, NEAR_H);
    assert_waits(t, 1, (sb_wait){SB_WAIT_EARLIER, 1, 0, 0.5, 10.25});
}

static void a_machine_that_stays_in_the_yard_takes_no_time(void **state)
{
    trial *t = *state;
    t->season->joins[1].final_cleanout = 3;
    t->season->setup.machines[1].from_day = t->season->setup.calendar.start_day + 3;
    GIVE(t, 0, {0, 0}, {1, 0}, {2, 0}, {3, 0}, {4, 0}, {5, 0});
    give(t, 1, NULL, 0);
    expect_broken(t, "");
    assert_near(t->plan->routes[1].end_h, 0, 0);
    assert_near(t->plan->cost.cleanout, 0, 0);
}

static void a_machine_sets_out_when_its_window_opens(void **state)
{
    trial *t = *state;
    t->season->setup.machines[1].from_day = t->season->setup.calendar.start_day + 2;
    t->season->setup.machines[1].to_day = t->season->setup.calendar.start_day + 3;
    GIVE(t, 0, {0, 0}, {1, 0}, {2, 0});
    GIVE(t, 1, {3, 1}, {4, 0}, {5, 0});
    expect_broken(t, "");
    assert_near(t->plan->routes[1].start_h, 20, NEAR_H);
    assert_moments(stop(t, 1, 0), 20, 20.5, 25.75);
    assert_near(t->plan->routes[1].end_h, 36.5, NEAR_H); /* before 40 */
}

/* ---- Broken rules ---- */

static void back_too_late_is_named(void **state)
{
    trial *t = *state;
    t->season->setup.machines[1].from_day = t->season->setup.calendar.start_day + 2;
    t->season->setup.machines[1].to_day = t->season->setup.calendar.start_day + 2;
    GIVE(t, 0, {0, 0}, {1, 0}, {2, 0}, {3, 0});
    GIVE(t, 1, {4, 0}, {5, 0});
    /* 20 + 2 x 5.25 + 0.25: forty-five minutes into the next day, which begins at nine. */
    expect_broken(t, "machine 'blue' has to be back and clean by 2026-08-03, the plan ends at "
                     "2026-08-04T09:45\n");
}

static void a_machine_that_may_not_cut_a_field_is_named_with_the_reason(void **state)
{
    trial *t = *state;
    sb_season *season = t->season;
    support_add_only(season, 0, 1);
    season->fields[1].gate_m = 5;
    season->setup.machines[0].header_m = 7.5;
    season->setup.machines[1].header_m = 5;
    season->fields[3].slope_percent = 13;
    season->setup.machines[1].most_slope_percent = 12;
    season->setup.machines[1].cuts_crop = sb_alloc(season->setup.n_crops, sizeof(bool));
    season->setup.machines[1].cuts_crop[0] = true;
    season->fields[5].crop = 1;
    GIVE(t, 0, {0, 0}, {1, 0}, {2, 0});
    GIVE(t, 1, {3, 0}, {4, 0}, {5, 0});
    expect_broken(t, "machine 'combine' may not cut 'Field 1': the field is for 'blue' only\n"
                     "machine 'combine' may not cut 'Field 2': its header is 7.5 m wide, the gate "
                     "5 m\n"
                     "machine 'blue' may not cut 'Field 4': it may cut slopes of up to 12 %, the "
                     "field has 13 %\n"
                     "machine 'blue' may not cut 'Field 6': it does not cut corn\n");
}

static void a_grower_is_remembered_three_fields_later(void **state)
{
    trial *t = *state;
    sb_season *season = t->season;
    int ash = support_add_grower(season, "Ash");
    season->fields[0].grower = ash;
    support_add_apart(season, 3, ash, -1);
    GIVE(t, 0, {0, 0}, {1, 2}, {2, 0}, {3, 1});
    GIVE(t, 1, {4, 0}, {5, 0});
    expect_broken(t, "'Field 4' is kept apart from grower 'Ash', whose 'Field 1' machine 'combine' "
                     "cut before it; no cleanout (a full one) in between\n");
}

static void a_full_cleanout_anywhere_since_parts_them(void **state)
{
    trial *t = *state;
    sb_season *season = t->season;
    int ash = support_add_grower(season, "Ash");
    season->fields[0].grower = ash;
    support_add_apart(season, 3, ash, -1);
    for (int at = 1; at <= 3; at++) {
        visit visits[] = {{0, 3}, {1, 0}, {2, 0}, {3, 0}};
        visits[at].cleanout = 3;
        give(t, 0, visits, 4);
        GIVE(t, 1, {4, 0}, {5, 0});
        expect_broken(t, "");
    }
}

static void another_machine_is_no_matter_for_apart(void **state)
{
    trial *t = *state;
    int ash = support_add_grower(t->season, "Ash");
    t->season->fields[0].grower = ash;
    support_add_apart(t->season, 3, ash, -1);
    GIVE(t, 0, {0, 0}, {1, 0}, {2, 0});
    GIVE(t, 1, {4, 0}, {3, 0}, {5, 0});
    expect_broken(t, "");
}

static void apart_asks_for_a_cleanout_of_its_own(void **state)
{
    trial *t = *state;
    sb_season *season = t->season;
    int ash = support_add_grower(season, "Ash"), birch = support_add_grower(season, "Birch");
    season->fields[0].grower = ash;
    season->fields[4].grower = birch;
    support_add_apart(season, 1, ash, 2);
    support_add_apart(season, 5, birch, 2);
    GIVE(t, 0, {0, 0}, {1, 2}, {2, 0});
    GIVE(t, 1, {4, 0}, {3, 1}, {5, 1});
    expect_broken(t, "'Field 6' is kept apart from grower 'Birch', whose 'Field 5' machine 'blue' "
                     "cut before it; no cleanout (thorough) in between\n");
}

static void where_a_machine_comes_from_counts(void **state)
{
    trial *t = *state;
    sb_season *season = t->season;
    int ash = support_add_grower(season, "Ash");
    for (int m = 0; m < 2; m++) {
        season->setup.machines[m].start = SB_START_FIELD;
        season->joins[m].start_grower = ash;
    }
    season->joins[1].start_cleanout = 3; /* cleaned since */
    support_add_apart(season, 1, ash, -1);
    support_add_apart(season, 4, ash, -1);
    GIVE(t, 0, {0, 0}, {1, 0}, {2, 0});
    GIVE(t, 1, {3, 0}, {4, 0}, {5, 0});
    expect_broken(t, "'Field 2' is kept apart from grower 'Ash', whose field machine 'combine' "
                     "comes from; no cleanout (a full one) in between\n");
}

static void limits_on_cleanouts_hold_for_all_machines_together(void **state)
{
    trial *t = *state;
    t->season->setup.limits.full_cleanouts = 1;
    /* Per cleanout: 2 h of lost time at 100, one more at 25 a person, supplies. */
    double cost = sb_season_cleanout_cost(t->season, 3);
    t->season->setup.limits.cleaning_cost = 1.5 * cost;
    GIVE(t, 0, {0, 0}, {1, 3}, {2, 0});
    GIVE(t, 1, {3, 0}, {4, 3}, {5, 0});
    assert_int_equal(sb_plan_price(t->season, t->plan), SB_OK);
    check(t);
    assert_int_equal(t->status, SB_OK);
    assert_int_equal(t->broken, 2);
    assert_string_equal(sb_report_get(t->report, 0).text,
                        "at most 1 full cleanouts are allowed, the plan does 2");
}

static void machines_that_wait_for_each_other_break_a_rule(void **state)
{
    trial *t = *state;
    support_add_after(t->season, 0, 4); /* Field 1 after Field 5, */
    support_add_after(t->season, 3, 1); /* Field 4, before it on blue's route, after Field 2 */
    GIVE(t, 0, {0, 0}, {1, 0}, {2, 0});
    GIVE(t, 1, {3, 0}, {4, 0}, {5, 0});
    expect_broken(t, "'Field 1' must be cut after 'Field 5', the plan cuts it before\n");
    assert_near(stop(t, 0, 0)->arrive_h, 0.25, NEAR_H); /* it gave in */
    assert_near(stop(t, 1, 0)->arrive_h, 10.5, NEAR_H);
}

static void order_on_its_own_route_is_never_waited_for(void **state)
{
    trial *t = *state;
    support_add_after(t->season, 0, 1);
    GIVE(t, 0, {0, 0}, {1, 0}, {2, 0});
    GIVE(t, 1, {3, 0}, {4, 0}, {5, 0});
    expect_broken(t, "'Field 1' must be cut after 'Field 2', the plan cuts it before\n");
}

/* ---- Claims ---- */

/** Moves everything on a route from stop i on by so many hours. */
static void shift(sb_route *route, size_t i, double hours)
{
    for (; i < route->n_stops; i++) {
        route->stops[i].clean_h += hours;
        route->stops[i].leave_h += hours;
        route->stops[i].arrive_h += hours;
        route->stops[i].finish_h += hours;
    }
    route->home_h += hours;
    route->final_clean_h += hours;
    route->end_h += hours;
}

static void two_on_one_pad_are_found_in_a_forged_plan(void **state)
{
    trial *t = *state;
    GIVE(t, 0, {0, 0}, {1, 3}, {2, 0});
    GIVE(t, 1, {3, 0}, {4, 2}, {5, 0});
    expect_broken(t, "");
    shift(&t->plan->routes[1], 1, -2); /* as if it did not wait */
    check(t);
    assert_int_equal(t->status, SB_OK); /* no moment is impossible, */
    assert_int_equal(t->broken, 1);     /* but the pad is taken */
    assert_string_equal(sb_report_get(t->report, 0).text,
                        "at 2026-08-01T14:15 2 machines need 'resource 1', there is 1");
}

static void a_wait_without_a_reason_is_a_false_claim(void **state)
{
    trial *t = *state;
    support_add_after(t->season, 5, 1);
    GIVE(t, 0, {0, 0}, {1, 3}, {2, 0});
    GIVE(t, 1, {3, 0}, {4, 2}, {5, 0});
    for (size_t i = 0; i < 3; i++)
        for (int r = 0; r < 2; r++) {
            expect_broken(t, "");
            shift(&t->plan->routes[r], i, 0.125);
            check(t);
            assert_int_equal(t->status, SB_ERR_INTERNAL);
            sb_report_free(t->report);
            t->report = sb_report_new();
        }
}

/* ---- Any plan ---- */

static void random_rules(sb_season *season, support_random *random)
{
    for (int g = 0; g < 3; g++)
        support_add_grower(season, "grower");
    for (int r = 1 + (int)support_random_below(random, 2); r > 0; r--)
        support_add_resource(season, support_random_chance(random, 0.8) ? 1 : 2);
    for (size_t l = 1; l < season->setup.n_cleanouts; l++)
        season->setup.cleanouts[l].needs =
            (unsigned)support_random_below(random, (size_t)1 << season->setup.n_resources);
    for (int j = 0; j < (int)season->n_fields; j++) {
        season->fields[j].grower = (int)support_random_below(random, 3);
        if (support_random_chance(random, 0.3))
            support_add_after(season, j, (int)support_random_below(random, season->n_fields));
        if (support_random_chance(random, 0.2))
            season->fields[j].ready_day =
                season->setup.calendar.start_day + (int)support_random_below(random, 5);
        if (support_random_chance(random, 0.2))
            support_add_apart(season, j, (int)support_random_below(random, 3), -1);
    }
    for (size_t m = 0; m < season->setup.n_machines; m++) {
        if (support_random_chance(random, 0.3))
            season->setup.machines[m].from_day =
                season->setup.calendar.start_day + (int)support_random_below(random, 3);
        if (support_random_chance(random, 0.3))
            season->joins[m].final_cleanout = 1 + (int)support_random_below(random, 3);
    }
}

static sb_plan *random_plan(const sb_season *season, support_random *random)
{
    sb_plan *plan;
    size_t n = season->n_fields, machines = season->setup.n_machines;
    int *order = sb_alloc(n, sizeof *order);
    support_random_order(random, order, n);
    assert_int_equal(sb_plan_new(season, machines, &plan), SB_OK);
    size_t next = 0;
    for (size_t m = 0; m < machines; m++) {
        size_t count = m + 1 == machines ? n - next : support_random_below(random, n - next + 1);
        assert_int_equal(sb_route_init(season, (int)m, count, &plan->routes[m]), SB_OK);
        for (size_t i = 0; i < count; i++) {
            plan->routes[m].stops[i].field = order[next++];
            plan->routes[m].stops[i].cleanout =
                (int)support_random_below(random, season->setup.n_cleanouts);
        }
    }
    sb_free(order);
    return plan;
}

/** Nobody waits without a reason that can be told. */
static size_t told_waits(const sb_season *season, const sb_plan *plan)
{
    sb_board board;
    size_t n = 0;
    assert_int_equal(sb_board_init(season, plan, &board), SB_OK);
    for (size_t i = 0; i < board.n_spans; i++) {
        if (board.spans[i].activity != SB_WAITING)
            continue;
        assert_int_not_equal(board.spans[i].wait.cause, SB_WAIT_UNKNOWN);
        n++;
    }
    sb_board_release(&board);
    return n;
}

/** Whatever the plan: what pricing says is what the checker finds, and no pad is overbooked. */
static void pricing_and_checking_agree_on_random_fleets(void **state)
{
    (void)state;
    support_random random = {20260801};
    size_t waited = 0, after_broken = 0, apart_broken = 0, waited_for_field = 0, told = 0;
    for (int trial_number = 0; trial_number < 400; trial_number++) {
        sb_season *season = support_season_new(2 + support_random_below(&random, 8), 2);
        support_set_density(season, 0, 1, 0.1);
        for (size_t m = 1 + support_random_below(&random, 3); m > 0; m--)
            support_add_yard_mate(season, "another");
        random_rules(season, &random);
        sb_plan *plan = random_plan(season, &random);
        sb_report *report = sb_report_new();
        size_t broken;
        assert_int_equal(sb_plan_price(season, plan), SB_OK);
        sb_status status = sb_plan_check(season, plan, SB_WARNING, report, &broken);
        for (size_t i = 0; i < sb_report_count(report); i++) {
            const char *text = sb_report_get(report, i).text;
            if (status != SB_OK)
                print_message("%d: %s\n", trial_number, text);
            assert_null(strstr(text, "machines need"));
            after_broken += strstr(text, "must be cut after") != NULL;
            apart_broken += strstr(text, "kept apart") != NULL;
        }
        assert_int_equal(status, SB_OK);
        told += told_waits(season, plan);
        for (size_t r = 0; r < plan->n_routes; r++)
            for (size_t i = 0; i < plan->routes[r].n_stops; i++) {
                const sb_stop *at = &plan->routes[r].stops[i];
                double free_h = i > 0 ? at[-1].finish_h : plan->routes[r].start_h;
                waited += at->clean_h > free_h + 1e-6;
                waited_for_field +=
                    at->leave_h >
                        at->clean_h + 1e-6 + season->setup.cleanouts[at->cleanout].minutes / 60 &&
                    season->fields[at->field].ready_day == SB_NO_DAY;
            }
        sb_report_free(report);
        sb_plan_free(plan);
        sb_season_free(season);
    }
    print_message("waits for what is shared %zu, for a field %zu; broken: after %zu, apart %zu\n",
                  waited, waited_for_field, after_broken, apart_broken);
    assert_true(waited > 50 && waited_for_field > 50 && after_broken > 20 && apart_broken > 20);
    assert_true(told > 100);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(two_machines_work_side_by_side),
        TEST(who_comes_second_waits_for_the_pad),
        TEST(together_the_machine_declared_first_goes_first),
        TEST(two_pads_serve_two_machines_and_the_third_waits),
        TEST(who_waits_for_one_thing_holds_the_other),
        TEST(the_final_cleanout_waits_for_the_pad_too),
        TEST(a_machine_waits_for_an_earlier_field_of_another),
        TEST(a_machine_that_stays_in_the_yard_takes_no_time),
        TEST(a_machine_sets_out_when_its_window_opens),
        TEST(back_too_late_is_named),
        TEST(a_machine_that_may_not_cut_a_field_is_named_with_the_reason),
        TEST(a_grower_is_remembered_three_fields_later),
        TEST(a_full_cleanout_anywhere_since_parts_them),
        TEST(another_machine_is_no_matter_for_apart),
        TEST(apart_asks_for_a_cleanout_of_its_own),
        TEST(where_a_machine_comes_from_counts),
        TEST(limits_on_cleanouts_hold_for_all_machines_together),
        TEST(machines_that_wait_for_each_other_break_a_rule),
        TEST(order_on_its_own_route_is_never_waited_for),
        TEST(two_on_one_pad_are_found_in_a_forged_plan),
        TEST(a_wait_without_a_reason_is_a_false_claim),
        cmocka_unit_test(pricing_and_checking_agree_on_random_fleets),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
