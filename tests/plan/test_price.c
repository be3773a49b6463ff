/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Prices and dates worked out by hand. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/mem.h"
#include "plan/plan.h"
#include "seasons.h"

static void assert_near(double value, double expected)
{
    assert_true(fabs(value - expected) <= 1e-12 * fmax(1, fabs(expected)));
}

/** Two fields of 68 t, 1000 lodged seeds in the header, round numbers everywhere else. */
static sb_season *two_fields(void)
{
    sb_season *season = support_season_new(2, 1);
    enum { FIRST, SECOND, YARD };
    support_set_km(season, YARD, FIRST, 10);
    support_set_km(season, FIRST, SECOND, 4);
    support_set_km(season, SECOND, YARD, 7);
    sb_cleanout *quick = &season->setup.cleanouts[1], *last = &season->setup.cleanouts[2];
    quick->minutes = 30;
    quick->people = 2;
    quick->supplies_cost = 5;
    quick->keep_lodged[0] = 0.75;
    last->minutes = 60;
    last->people = 1;
    last->supplies_cost = 0;
    season->setup.weeds[0].large_seed = false;
    season->setup.machines[0].sections[0].tank_share_small = 0.03;
    season->setup.machines[0].sections[0].tau_lodged_t = 40;
    season->joins[0].start_seeds[sb_pool(0, true) * SB_MAX_WEEDS] = 1000;
    season->joins[0].final_cleanout = 2;
    return season;
}

static sb_plan *first_then_second(const sb_season *season)
{
    sb_plan *plan;
    assert_int_equal(sb_plan_new_single(season, 0, 2, &plan), SB_OK);
    plan->routes[0].stops[1].field = 1;
    plan->routes[0].stops[1].cleanout = 1;
    return plan;
}

static void the_parts_of_the_price_are_as_by_hand(void **state)
{
    (void)state;
    sb_season *season = two_fields();
    sb_plan *plan = first_then_second(season);
    season->fields[1].best_before_day = season->setup.calendar.start_day;
    season->fields[1].delay_cost_per_day = 30;
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    sb_cost cost = sb_plan_cost(plan);
    assert_near(cost.travel, (10 + 4 + 7) * (2 + 60 / 20.0));
    /* Half an hour of two people and the machine, 5 of supplies; at the end an hour of one. */
    assert_near(cost.cleanout, (5 + 0.5 * (2 * 25 + 100)) + (25 + 100));
    double g = exp(-68.0 / 40);
    double to_first = 0.97 * 1000 * (1 - g), to_second = 0.97 * 1000 * g * 0.75 * (1 - g);
    assert_near(plan->routes[0].stops[0].loss, 0.05 * to_first);
    assert_near(plan->routes[0].stops[1].loss, 0.05 * to_second);
    assert_near(cost.spread, 0.05 * (to_first + to_second));
    assert_near(sb_ledger_brought(&plan->ledger, 1, 0), to_second);
    assert_near(cost.delay, 30); /* finished in the second hour of the second day */
    assert_near(cost.total, cost.travel + cost.cleanout + cost.spread + cost.delay);
    assert_true(sb_plan_bound(plan) == -INFINITY && !sb_plan_optimal(plan));
    sb_plan_free(plan);
    sb_season_free(season);
}

static void the_dates_are_as_by_hand(void **state)
{
    (void)state;
    sb_season *season = two_fields();
    sb_plan *plan = first_then_second(season);
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    const sb_route *route = &plan->routes[0];
    assert_near(route->stops[0].leave_h, 0);
    assert_near(route->stops[0].arrive_h, 0.5); /* 10 km at 20 km/h */
    assert_near(route->stops[0].finish_h, 5.5); /* 20 ha at 4 ha/h */
    assert_near(route->stops[1].leave_h, 6.0);  /* half an hour of cleaning */
    assert_near(route->stops[1].arrive_h, 6.2);
    assert_near(route->stops[1].finish_h, 11.2);
    assert_near(route->home_h, 11.55);
    assert_near(route->end_h, 12.55); /* the final cleanout */
    assert_near(route->km_total, 21);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void the_machine_waits_before_it_drives(void **state)
{
    (void)state;
    sb_season *season = two_fields();
    sb_plan *plan = first_then_second(season);
    season->fields[1].ready_day = season->setup.calendar.start_day + 2; /* hour 20 */
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    assert_near(plan->routes[0].stops[1].leave_h, 19.8);
    assert_near(plan->routes[0].stops[1].arrive_h, 20);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void a_missing_way_costs_everything_and_keeps_the_dates(void **state)
{
    (void)state;
    sb_season *season = two_fields();
    sb_plan *plan = first_then_second(season);
    support_set_km(season, 0, 1, NAN);
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    assert_true(isinf(plan->cost.travel) && isinf(plan->cost.total));
    assert_true(isnan(plan->routes[0].stops[1].km) && isnan(plan->routes[0].km_total));
    assert_near(plan->routes[0].stops[1].arrive_h, 6.0);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void a_machine_without_stops_stays_in_the_yard(void **state)
{
    (void)state;
    sb_season *season = two_fields();
    sb_plan *plan;
    assert_int_equal(sb_plan_new_single(season, 0, 0, &plan), SB_OK);
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    assert_true(plan->cost.total == 0 && plan->routes[0].end_h == 0);
    assert_near(plan->ledger.left[2], 1000); /* nothing cleaned, nothing lost */
    sb_plan_free(plan);
    sb_season_free(season);
}

static void without_the_ledger_the_price_is_the_same(void **state)
{
    (void)state;
    support_options options = support_every_rule();
    for (uint64_t seed = 1; seed <= 50; seed++) {
        sb_season *season = support_random_season(seed, 8, &options);
        sb_plan *plan;
        support_random random = {seed};
        int order[8];
        support_random_order(&random, order, 8);
        assert_int_equal(sb_plan_new_single(season, 0, 8, &plan), SB_OK);
        for (int i = 0; i < 8; i++) {
            plan->routes[0].stops[i].field = order[i];
            plan->routes[0].stops[i].cleanout = (int)support_random_below(&random, 4);
        }
        assert_int_equal(sb_plan_price(season, plan), SB_OK);
        sb_cost cost = plan->cost;
        assert_int_equal(sb_plan_price_only(season, plan), SB_OK);
        assert_null(plan->ledger.ground);
        assert_true(cost.travel == plan->cost.travel && cost.delay == plan->cost.delay);
        assert_near(plan->cost.spread, cost.spread);
        sb_plan_free(plan);
        sb_season_free(season);
    }
}

static void a_copy_shares_nothing(void **state)
{
    (void)state;
    sb_season *season = two_fields();
    sb_plan *plan = first_then_second(season), *copy;
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    plan->proof.optimal = true;
    assert_int_equal(sb_plan_copy(season, plan, &copy), SB_OK);
    double total = plan->cost.total, brought = sb_ledger_brought(&plan->ledger, 1, 0);
    double cost = plan->routes[0].reasons[1].cost;
    sb_plan_free(plan);
    assert_true(copy->cost.total == total && sb_plan_optimal(copy));
    assert_true(sb_ledger_brought(&copy->ledger, 1, 0) == brought);
    assert_int_equal(copy->routes[0].stops[1].cleanout, 1);
    assert_true(copy->routes[0].reasons[1].cost == cost);
    sb_plan_free(copy);
    sb_season_free(season);
}

static sb_status whole_life(const sb_season *season)
{
    sb_plan *plan = NULL, *copy = NULL;
    size_t broken;
    sb_status status = sb_plan_new_single(season, 0, 2, &plan);
    if (status == SB_OK) {
        plan->routes[0].stops[1].field = 1;
        status = sb_plan_price(season, plan);
    }
    if (status == SB_OK)
        status = sb_plan_explain(season, plan);
    if (status == SB_OK)
        status = sb_plan_check(season, plan, SB_WARNING, NULL, &broken);
    if (status == SB_OK)
        status = sb_plan_copy(season, plan, &copy);
    sb_plan_free(plan);
    sb_plan_free(copy);
    return status;
}

static void a_shut_door_leaks_nothing(void **state)
{
    (void)state;
    sb_season *season = two_fields();
    long live = sb_mem_live(), budget = 0;
    sb_status status;
    do {
        sb_mem_set_budget(budget);
        status = whole_life(season);
        sb_mem_set_budget(-1);
        assert_int_equal(sb_mem_live(), live);
        assert_true(status == SB_OK || status == SB_ERR_NOMEM);
        budget++;
    } while (status != SB_OK);
    assert_true(budget > 30);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_parts_of_the_price_are_as_by_hand),
        cmocka_unit_test(the_dates_are_as_by_hand),
        cmocka_unit_test(the_machine_waits_before_it_drives),
        cmocka_unit_test(a_missing_way_costs_everything_and_keeps_the_dates),
        cmocka_unit_test(a_machine_without_stops_stays_in_the_yard),
        cmocka_unit_test(without_the_ledger_the_price_is_the_same),
        cmocka_unit_test(a_copy_shares_nothing),
        cmocka_unit_test(a_shut_door_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
