/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Plans for many seasons: the mean as one problem, and both aims against every plan there is. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "doubt/robust.h"
#include "doubt/scenarios.h"
#include "plan/plan.h"
#include "seasons.h"

enum { FIELDS = 4, SCENARIOS = 6 };

static void assert_near(double value, double expected)
{
    assert_true(fabs(value - expected) <= 1e-9 * fmax(1, fabs(expected)));
}

static sb_season *small_season(uint64_t seed)
{
    support_options options = support_every_rule();
    if (seed % 2 == 0) /* few rules leave much to choose */
        options = (support_options){.seed_limits = true, .varied_machine = true, .feasible = true};
    options.missing_ways = false;
    options.n_weeds = 1;
    options.n_levels = 3;
    sb_season *season = support_random_season(seed, FIELDS, &options);
    for (size_t i = 0; i < FIELDS; i++)
        support_rate(season, i, 0, season->fields[i].ratings[0].density_plants_m2, 10);
    sb_season_derive(season);
    return season;
}

static bool next_order(int *field)
{
    int i = FIELDS - 2, j = FIELDS - 1;
    while (i >= 0 && field[i] > field[i + 1])
        i--;
    if (i < 0)
        return false;
    while (field[j] < field[i])
        j--;
    int swap = field[i];
    field[i] = field[j];
    field[j] = swap;
    for (int a = i + 1, b = FIELDS - 1; a < b; a++, b--) {
        swap = field[a];
        field[a] = field[b];
        field[b] = swap;
    }
    return true;
}

/* The least value that any order with any levels has. */
static double by_brute_force(const sb_scenarios *scenarios, sb_aim aim)
{
    int field[FIELDS], levels = scenarios->central.problems[0].levels, combinations = 1;
    double best = INFINITY, cost[SCENARIOS], value;
    for (int t = 0; t < FIELDS; t++) {
        field[t] = t;
        combinations *= levels;
    }
    do {
        for (int c = 0; c < combinations; c++) {
            int level[FIELDS], rest = c;
            for (int t = 0; t < FIELDS; t++, rest /= levels)
                level[t] = rest % levels;
            sb_routes routes = {.count = (int[]){FIELDS}, .field = field, .level = level};
            assert_int_equal(sb_scenario_costs(scenarios, &routes, cost), SB_OK);
            if (isinf(cost[0]))
                continue;
            assert_int_equal(sb_aim_value(aim, cost, scenarios->n, NULL, &value), SB_OK);
            best = fmin(best, value);
        }
    } while (next_order(field));
    return best;
}

/* Costs 1 to 10: the dearest two are a fifth. Of 1 to 8 it is one and six tenths. */
static void the_worst_fifth_is_as_by_hand(void **state)
{
    (void)state;
    const double ten[] = {3, 10, 1, 8, 2, 9, 4, 6, 5, 7}, eight[] = {8, 1, 7, 2, 6, 3, 5, 4};
    double value, weight[10], sum = 0;
    assert_int_equal(sb_aim_value(SB_AIM_MEAN, ten, 10, weight, &value), SB_OK);
    assert_near(value, 5.5);
    assert_near(weight[4], 0.1);
    assert_int_equal(sb_aim_value(SB_AIM_WORST_FIFTH, ten, 10, weight, &value), SB_OK);
    assert_near(value, 9.5);
    for (int i = 0; i < 10; i++)
        sum += weight[i] * ten[i];
    assert_near(sum, 9.5);
    assert_near(weight[0], 0);
    assert_int_equal(sb_aim_value(SB_AIM_WORST_FIFTH, eight, 8, weight, &value), SB_OK);
    assert_near(value, (8 + 0.6 * 7) / 1.6);
    assert_near(weight[2], 0.6 / 1.6);
}

/* Against the model itself: each scenario's season priced by src/plan. */
static void a_scenario_costs_what_its_season_says(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 3; seed++) {
        sb_season *season = small_season(seed), *sampled;
        sb_spreads spreads;
        sb_scenarios scenarios;
        sb_plan *plan;
        sb_report *report = sb_report_new();
        sb_order_options options;
        sb_order_options_init(&options);
        options.threads = 1;
        assert_int_equal(sb_order(season, &options, report, &plan), SB_OK);
        assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
        assert_int_equal(sb_scenarios_init(&scenarios, season, 0, &spreads, 3, SB_SCENARIO_STREAM,
                                           11, SCENARIOS, NULL),
                         SB_OK);
        assert_int_equal(sb_season_copy(season, NULL, NULL, &sampled), SB_OK);
        double *multiplier = sb_alloc(spreads.count, sizeof *multiplier);
        double cost[SCENARIOS], weight[SCENARIOS], mean = 0, whole = 0;
        int field[FIELDS], level[FIELDS];
        for (int t = 0; t < FIELDS; t++) {
            field[t] = plan->routes[0].stops[t].field;
            level[t] = plan->routes[0].stops[t].cleanout;
        }
        sb_routes routes = {.count = (int[]){FIELDS}, .field = field, .level = level};
        assert_int_equal(sb_scenario_costs(&scenarios, &routes, cost), SB_OK);
        for (size_t s = 0; s < SCENARIOS; s++) {
            sb_spreads_draw(&spreads, 3, SB_SCENARIO_STREAM, 11 + s, multiplier);
            sb_spreads_apply(&spreads, multiplier, season, sampled);
            assert_int_equal(sb_plan_price_only(sampled, plan), SB_OK);
            assert_near(cost[s], plan->cost.total);
            weight[s] = (double)(s % 4); /* some are left out */
            mean += weight[s] * cost[s];
            whole += weight[s];
        }
        sb_fleet fleet;
        assert_int_equal(sb_scenarios_mean(&scenarios, weight, &fleet), SB_OK);
        assert_near(sb_sequence_cost(&fleet.problems[0], field, level), mean / whole);
        sb_fleet_release(&fleet);
        sb_free(multiplier);
        sb_free(spreads.items);
        sb_scenarios_release(&scenarios);
        sb_plan_free(plan);
        sb_report_free(report);
        sb_season_free(sampled);
        sb_season_free(season);
    }
}

/* A robust plan, and the sampled seasons that it is made for. */
typedef struct insured {
    sb_plan *plan;
    sb_spreads spreads;
    sb_scenarios scenarios;
} insured;

static insured insure(const sb_season *season, int machine, sb_aim aim)
{
    insured i;
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    sb_report *report = sb_report_new();
    assert_int_equal(sb_order_robust(season, &options, aim, SCENARIOS, report, &i.plan), SB_OK);
    assert_int_equal(sb_spreads_of(season, &i.spreads), SB_OK);
    assert_int_equal(sb_scenarios_init(&i.scenarios, season, machine, &i.spreads, 1,
                                       SB_SCENARIO_STREAM, 1, SCENARIOS, NULL),
                     SB_OK);
    sb_report_free(report);
    return i;
}

static void release(insured *i)
{
    sb_free(i->spreads.items);
    sb_scenarios_release(&i->scenarios);
    sb_plan_free(i->plan);
}

static void no_plan_at_all_does_better_than_the_robust_one(void **state)
{
    (void)state;
    int proven = 0, better = 0;
    for (uint64_t seed = 1; seed <= 4; seed++)
        for (int aim = SB_AIM_MEAN; aim <= SB_AIM_WORST_FIFTH; aim++) {
            sb_season *season = small_season(seed);
            insured i = insure(season, 0, (sb_aim)aim);
            const sb_insurance *insurance = &i.plan->insurance;
            double least = by_brute_force(&i.scenarios, (sb_aim)aim);
            assert_true(insurance->bound <= least * (1 + 1e-7));
            assert_true(insurance->value >= least * (1 - 1e-9));
            assert_true(insurance->value <= insurance->cheapest_value * (1 + 1e-12));
            assert_true(i.plan->cost.total >= insurance->cheapest_cost * (1 - 1e-9));
            if (aim == SB_AIM_MEAN)
                assert_true(insurance->proven);
            if (insurance->proven)
                assert_true(insurance->value <= least * (1 + 1e-6));
            proven += insurance->proven;
            better += insurance->value < insurance->cheapest_value * (1 - 1e-6);
            release(&i);
            sb_season_free(season);
        }
    assert_true(proven >= 5);
    assert_true(better >= 1); /* else these seasons would test nothing */
}

/* Two machines that share one wash pad, for which they may have to wait. */
static sb_season *shared_season(uint64_t seed)
{
    support_options options = {.n_weeds = 1, .n_levels = 3, .delay = true, .feasible = true};
    sb_season *season = support_random_season(seed, FIELDS, &options);
    support_add_yard_mate(season, "other");
    int pad = support_add_resource(season, 1);
    for (size_t l = 1; l < season->setup.n_cleanouts; l++)
        season->setup.cleanouts[l].needs = 1u << pad;
    season->setup.calendar.hours_per_day = 2; /* so that a wait is soon a day */
    for (size_t i = 0; i < FIELDS; i++) {
        season->fields[i].best_before_day = season->setup.calendar.start_day;
        season->fields[i].delay_cost_per_day = 10;
        support_rate(season, i, 0, 0.02 * pow(5, (double)((i + seed) % 3)), 10);
    }
    sb_season_derive(season);
    return season;
}

static void set_routes(const sb_routes *routes, sb_plan *plan)
{
    for (int m = 0; m < 2; m++)
        for (int t = 0; t < routes->count[m]; t++) {
            plan->routes[m].stops[t].field = routes->field[m * FIELDS + t];
            plan->routes[m].stops[t].cleanout = routes->level[m * FIELDS + t];
        }
}

/* The least mean that any shares, orders and levels of two machines have. */
static double by_brute_force_shared(const sb_scenarios *scenarios, sb_aim aim)
{
    int order[FIELDS], levels = scenarios->central.problems[0].levels, combinations = 1;
    double best = INFINITY, cost[SCENARIOS], value;
    for (int t = 0; t < FIELDS; t++) {
        order[t] = t;
        combinations *= levels;
    }
    do {
        for (int c = 0; c < combinations * (FIELDS + 1); c++) {
            int field[2 * FIELDS], level[2 * FIELDS], split = c % (FIELDS + 1);
            sb_routes routes = {
                .count = (int[]){split, FIELDS - split}, .field = field, .level = level};
            for (int t = 0, rest = c / (FIELDS + 1); t < FIELDS; t++, rest /= levels) {
                int at = t < split ? t : FIELDS + t - split;
                field[at] = order[t];
                level[at] = rest % levels;
            }
            assert_int_equal(sb_scenario_costs(scenarios, &routes, cost), SB_OK);
            if (isinf(cost[0]))
                continue;
            assert_int_equal(sb_aim_value(aim, cost, scenarios->n, NULL, &value), SB_OK);
            best = fmin(best, value);
        }
    } while (next_order(order));
    return best;
}

/* Each machine cuts two fields and cleans on the shared pad. */
static void machines_cost_what_the_sampled_season_says(void **state)
{
    (void)state;
    double waited = 0;
    for (uint64_t seed = 1; seed <= 3; seed++) {
        sb_season *season = shared_season(seed), *sampled;
        sb_spreads spreads;
        sb_scenarios scenarios;
        sb_plan *plan;
        int field[2 * FIELDS] = {0, 1, 0, 0, 2, 3}, level[2 * FIELDS] = {2, 1, 0, 0, 2, 2};
        sb_routes routes = {.count = (int[]){2, 2}, .field = field, .level = level};
        assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
        assert_int_equal(sb_scenarios_init(&scenarios, season, -1, &spreads, 3, SB_SCENARIO_STREAM,
                                           11, SCENARIOS, NULL),
                         SB_OK);
        assert_int_equal(sb_season_copy(season, NULL, NULL, &sampled), SB_OK);
        assert_int_equal(sb_plan_new(season, 2, &plan), SB_OK);
        for (int m = 0; m < 2; m++)
            assert_int_equal(sb_route_init(season, m, 2, &plan->routes[m]), SB_OK);
        set_routes(&routes, plan);
        double *multiplier = sb_alloc(spreads.count, sizeof *multiplier);
        double cost[SCENARIOS], waits;
        assert_int_equal(sb_scenario_waits(&scenarios.central, &routes, &waits), SB_OK);
        assert_int_equal(sb_scenario_costs(&scenarios, &routes, cost), SB_OK);
        waited += waits;
        for (size_t s = 0; s < SCENARIOS; s++) {
            sb_spreads_draw(&spreads, 3, SB_SCENARIO_STREAM, 11 + s, multiplier);
            sb_spreads_apply(&spreads, multiplier, season, sampled);
            assert_int_equal(sb_plan_price_only(sampled, plan), SB_OK);
            assert_near(cost[s], plan->cost.total);
        }
        sb_free(multiplier);
        sb_free(spreads.items);
        sb_scenarios_release(&scenarios);
        sb_plan_free(plan);
        sb_season_free(sampled);
        sb_season_free(season);
    }
    assert_true(waited > 0); /* else nothing was tested of waits */
}

static void several_machines_hold_up_together(void **state)
{
    (void)state;
    int better = 0, shared = 0;
    for (uint64_t seed = 1; seed <= 2; seed++)
        for (int aim = SB_AIM_MEAN; aim <= SB_AIM_WORST_FIFTH; aim++) {
            sb_season *season = shared_season(seed);
            insured i = insure(season, -1, (sb_aim)aim);
            const sb_insurance *insurance = &i.plan->insurance;
            double least = by_brute_force_shared(&i.scenarios, (sb_aim)aim);
            assert_true(insurance->searched && !insurance->proven);
            assert_true(insurance->value >= least * (1 - 1e-9));
            assert_true(insurance->value <= insurance->cheapest_value * (1 + 1e-12));
            assert_true(i.plan->cost.total >= insurance->cheapest_cost * (1 - 1e-9));
            if (aim == SB_AIM_MEAN) /* annealing of so few fields finds it */
                assert_near(insurance->value, least);
            better += insurance->value < insurance->cheapest_value * (1 - 1e-6);
            shared += i.plan->routes[0].n_stops > 0 && i.plan->routes[1].n_stops > 0;
            release(&i);
            sb_season_free(season);
        }
    assert_true(better >= 1);
    assert_true(shared >= 1);
}

static void a_season_that_is_certain_needs_no_insurance(void **state)
{
    (void)state;
    sb_season *season = support_season_new(3, 1);
    sb_season_derive(season);
    sb_order_options options;
    sb_order_options_init(&options);
    sb_report *report = sb_report_new();
    sb_plan *plan;
    assert_int_equal(sb_order_robust(season, &options, SB_AIM_WORST_FIFTH, 10, report, &plan),
                     SB_OK);
    assert_true(plan->insurance.proven);
    assert_near(plan->insurance.value, plan->cost.total);
    assert_near(plan->insurance.cheapest_cost, plan->cost.total);
    assert_true(plan->proof.optimal);
    sb_plan_free(plan);
    assert_int_equal(sb_order_robust(season, &options, (sb_aim)0, 10, report, &plan), SB_ERR_ARG);
    assert_int_equal(sb_order_robust(season, &options, SB_AIM_MEAN, 0, report, &plan), SB_ERR_ARG);
    assert_null(plan);
    sb_report_free(report);
    sb_season_free(season);
}

static void comes_back_from_a_lack_of_memory(void **state)
{
    (void)state;
    sb_season *season = small_season(2);
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    sb_report *report = sb_report_new();
    sb_plan *plan;
    sb_mem_set_budget(1000000);
    assert_int_equal(sb_order_robust(season, &options, SB_AIM_MEAN, 3, report, &plan), SB_OK);
    long needed = 1000000 - sb_mem_set_budget(-1);
    sb_plan_free(plan);
    sb_report_free(report);
    long live = sb_mem_live();
    for (int i = 0; i < 16; i++) {
        report = sb_report_new();
        sb_mem_set_budget(needed * i / 16);
        sb_status status = sb_order_robust(season, &options, SB_AIM_MEAN, 3, report, &plan);
        sb_mem_set_budget(-1);
        assert_int_equal(status, SB_ERR_NOMEM);
        assert_null(plan);
        sb_report_free(report);
        assert_int_equal(sb_mem_live(), live);
    }
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_worst_fifth_is_as_by_hand),
        cmocka_unit_test(a_scenario_costs_what_its_season_says),
        cmocka_unit_test(no_plan_at_all_does_better_than_the_robust_one),
        cmocka_unit_test(machines_cost_what_the_sampled_season_says),
        cmocka_unit_test(several_machines_hold_up_together),
        cmocka_unit_test(a_season_that_is_certain_needs_no_insurance),
        cmocka_unit_test(comes_back_from_a_lack_of_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
