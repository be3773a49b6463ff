/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Reasons are what pricing the plan again says, and name what a crew would name. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/mem.h"
#include "plan/plan.h"
#include "plans.h"
#include "seasons.h"

static sb_plan *plan_in_order(const sb_season *season, const int *order, const int *levels, int n)
{
    sb_plan *plan;
    assert_int_equal(sb_plan_new_single(season, 0, (size_t)n, &plan), SB_OK);
    for (int i = 0; i < n; i++) {
        plan->routes[0].stops[i].field = order[i];
        plan->routes[0].stops[i].cleanout = levels[i];
    }
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    return plan;
}

/** The three fields in order: the first weedy, the third dear, cleaned before the second. */
static sb_season *weedy_then_dear(void)
{
    sb_season *season = support_season_new(3, 2);
    support_set_density(season, 0, 1, 0.05);
    season->fields[2].loss_per_seed[1] = 5;
    return season;
}

static const int in_order[] = {0, 1, 2};
static const int clean_before_second[] = {0, 2, 0};

static void the_reason_names_the_weed_and_the_field_it_protects(void **state)
{
    (void)state;
    sb_season *season = weedy_then_dear();
    sb_plan *plan = plan_in_order(season, in_order, clean_before_second, 3);
    sb_plan *bare = plan_in_order(season, in_order, (const int[]){0, 0, 0}, 3);
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    const sb_reason *reason = &plan->routes[0].reasons[1];
    assert_int_equal(reason->weed, 1);
    assert_int_equal(reason->field, 2);
    double cost = sb_season_cleanout_cost(season, 2);
    assert_true(fabs(reason->cost - cost) < 1e-9 * cost);
    double saves = bare->cost.spread - plan->cost.spread;
    assert_true(saves > 0 && fabs(reason->saves - saves) < 1e-9 * saves);
    double seeds = 0;
    for (int i = 1; i < 3; i++)
        seeds += sb_ledger_brought(&bare->ledger, i, 1) - sb_ledger_brought(&plan->ledger, i, 1);
    assert_true(fabs(reason->stops_seeds - seeds) < 1e-9 * seeds);
    double on_third = bare->routes[0].stops[2].loss - plan->routes[0].stops[2].loss;
    assert_true(fabs(reason->field_share - on_third / saves) < 1e-9);
    assert_false(reason->demanded || reason->limit);
    sb_plan_free(plan);
    sb_plan_free(bare);
    sb_season_free(season);
}

static void a_demanded_cleanout_says_so(void **state)
{
    (void)state;
    sb_season *season = weedy_then_dear();
    season->fields[1].entry = 1;
    sb_plan *plan = plan_in_order(season, in_order, clean_before_second, 3);
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    assert_true(plan->routes[0].reasons[1].demanded && plan->routes[0].reasons[1].limit);
    assert_false(plan->routes[0].reasons[0].demanded || plan->routes[0].reasons[2].demanded);

    /* Nothing less than deep will do: no other level keeps the rules. */
    season->fields[1].entry = 3;
    plan->routes[0].stops[1].cleanout = 3;
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    assert_int_equal(plan->routes[0].reasons[1].next_level, -1);
    assert_true(isinf(plan->routes[0].reasons[1].next_best));
    sb_plan_free(plan);
    sb_season_free(season);
}

static void the_cleanout_on_record_takes_the_demand_away(void **state)
{
    (void)state;
    sb_season *season = weedy_then_dear();
    season->fields[0].entry = 1;
    sb_plan *plan = plan_in_order(season, in_order, (const int[]){1, 0, 0}, 3);
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    assert_true(plan->routes[0].reasons[0].demanded);
    season->joins[0].start_cleanout = 2;
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    assert_false(plan->routes[0].reasons[0].demanded || plan->routes[0].reasons[0].limit);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void a_seed_limit_behind_a_later_field_is_a_limit(void **state)
{
    (void)state;
    sb_season *season = weedy_then_dear();
    sb_plan *plan = plan_in_order(season, in_order, clean_before_second, 3);
    season->fields[2].limit_seeds_ha[1] = sb_ledger_brought(&plan->ledger, 2, 1) / 20;
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    const sb_reason *reason = &plan->routes[0].reasons[1];
    assert_true(reason->limit && !reason->demanded);
    assert_int_equal(reason->next_level, 3); /* blow-down breaks it too */
    sb_plan *bare = plan_in_order(season, in_order, (const int[]){0, 0, 0}, 3);
    const sb_breach *breach = &reason->breach[0];
    assert_int_equal(breach->rule, SB_BROKEN_SEED_LIMIT);
    assert_int_equal(breach->field, 2);
    assert_int_equal(breach->which, 1);
    assert_true(breach->allowed == season->fields[2].limit_seeds_ha[1]);
    double per_ha = sb_ledger_brought(&bare->ledger, 2, 1) / season->fields[2].area_ha;
    assert_true(fabs(breach->found - per_ha) < 1e-9 * per_ha);
    assert_true(fabs(reason->more[0] - (bare->cost.total - plan->cost.total)) <
                1e-9 * plan->cost.total);
    sb_plan_free(bare);
    assert_int_equal(reason->breach[2].rule, SB_BROKEN_NONE);
    assert_int_equal(reason->breach[3].rule, SB_BROKEN_NONE);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* The rule that asks for a cleanout need not be the one that asks for this thorough a one. */
static void each_other_level_has_the_rule_that_it_breaks(void **state)
{
    (void)state;
    sb_season *season = weedy_then_dear();
    sb_plan *plan = plan_in_order(season, in_order, clean_before_second, 3);
    season->fields[1].entry = 1;
    season->fields[2].tank_limit_seeds_kg = 0;
    for (size_t w = 0; w < season->setup.n_weeds; w++)
        season->fields[2].tank_limit_seeds_kg +=
            plan->routes[0].stops[2].trace.tank[w] / season->fields[2].grain_t / 1000;
    season->setup.limits.cleaning_cost = sb_season_cleanout_cost(season, 2);
    season->setup.limits.full_cleanouts = 0;
    season->setup.cleanouts[2].full = false;
    season->setup.cleanouts[3].full = true;
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    const sb_reason *reason = &plan->routes[0].reasons[1];
    assert_true(reason->demanded && reason->next_level == -1);
    assert_int_equal(reason->breach[0].rule, SB_BROKEN_ENTRY);
    assert_int_equal(reason->breach[0].field, 1);
    assert_int_equal(reason->breach[1].rule, SB_BROKEN_TANK_LIMIT);
    assert_int_equal(reason->breach[1].field, 2);
    assert_int_equal(reason->breach[2].rule, SB_BROKEN_NONE);
    assert_int_equal(reason->breach[3].rule, SB_BROKEN_FULL_CLEANOUTS);
    assert_true(reason->breach[3].allowed == 0 && reason->breach[3].found == 1);
    season->setup.limits.full_cleanouts = INFINITY;
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    reason = &plan->routes[0].reasons[1];
    assert_int_equal(reason->breach[3].rule, SB_BROKEN_CLEANING_COST);
    assert_true(fabs(reason->breach[3].found - sb_season_cleanout_cost(season, 3)) < 1e-9);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Without the rule a cheaper level would be the next best beside a plan that is proven cheapest. */
static void what_growers_may_lose_is_a_rule_that_is_named(void **state)
{
    (void)state;
    sb_season *season = weedy_then_dear();
    for (size_t i = 0; i < season->n_fields; i++)
        season->fields[i].grower = -1;
    sb_plan *plan = plan_in_order(season, in_order, clean_before_second, 3);
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    const sb_reason *reason = &plan->routes[0].reasons[1];
    assert_false(reason->growers || reason->limit);
    plan->fairness.takers = sb_alloc(1, sizeof *plan->fairness.takers);
    assert_non_null(plan->fairness.takers);
    plan->fairness.n_takers = 1;
    for (int least = 0; least < 2; least++) {
        double loss = plan->cost.spread;
        plan->fairness.takers[0] =
            (sb_taker){.grower = -1, .most = least ? INFINITY : loss, .loss = loss};
        plan->fairness.least_worst = least == 1;
        assert_int_equal(sb_plan_explain(season, plan), SB_OK);
        reason = &plan->routes[0].reasons[1];
        assert_true(reason->growers && reason->limit);
        assert_int_equal(reason->next_level, 3); /* blow-down breaks it too */
        sb_plan *bare = plan_in_order(season, in_order, (const int[]){0, 0, 0}, 3);
        const sb_overloss *without = &reason->without;
        assert_int_equal(without->grower, -1);
        assert_true(without->loss == loss && without->most == loss);
        assert_true(without->worst == (least == 1));
        assert_true(fabs(without->otherwise - bare->cost.spread) < 1e-9 * bare->cost.spread);
        sb_plan_free(bare);
    }
    sb_plan_free(plan);
    sb_season_free(season);
}

/* A cheaper level that only the growers' rule keeps out is told, with who would lose what. */
static void a_cheaper_level_that_growers_could_not_bear_is_told(void **state)
{
    (void)state;
    sb_season *season = weedy_then_dear();
    int one = support_add_grower(season, "Ash"), other = support_add_grower(season, "Birch");
    for (size_t i = 0; i < season->n_fields; i++)
        season->fields[i].grower = i == 2 ? other : one;
    sb_plan *plan = plan_in_order(season, in_order, clean_before_second, 3);
    sb_plan *lighter = plan_in_order(season, in_order, (const int[]){0, 1, 0}, 3);
    double more = lighter->cost.spread - plan->cost.spread;
    season->setup.cleanouts[2].supplies_cost += 2 * more; /* a light cleanout is now cheaper */
    season->setup.cleanouts[3].supplies_cost += 4 * more;
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    assert_int_equal(sb_plan_price(season, lighter), SB_OK);
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    assert_true(plan->routes[0].reasons[1].next_best < 0);
    assert_int_equal(plan->routes[0].reasons[1].barred, -1);
    season->setup.limits.loss_per_grower = plan->routes[0].stops[2].loss;
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    const sb_reason *reason = &plan->routes[0].reasons[1];
    double saves = plan->cost.total - lighter->cost.total;
    assert_int_equal(reason->barred, 1);
    assert_true(saves > 0 && fabs(reason->barred_saves - saves) < 1e-9 * plan->cost.total);
    assert_int_equal(reason->over.grower, other);
    assert_true(reason->over.loss == plan->routes[0].stops[2].loss);
    double then = lighter->routes[0].stops[2].loss;
    assert_true(fabs(reason->over.otherwise - then) < 1e-9 * then);
    assert_true(reason->over.most == season->setup.limits.loss_per_grower && !reason->over.worst);
    sb_plan_free(lighter);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void nothing_carried_protects_nothing(void **state)
{
    (void)state;
    sb_season *season = support_season_new(3, 2);
    sb_plan *plan = plan_in_order(season, in_order, clean_before_second, 3);
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    const sb_reason *reason = &plan->routes[0].reasons[1];
    assert_true(reason->saves == 0 && reason->stops_seeds == 0 && reason->field_share == 0);
    assert_int_equal(reason->field, 1); /* its own */
    assert_int_equal(reason->next_level, 0);
    assert_true(fabs(reason->next_best + reason->cost) < 1e-9 * reason->cost);
    sb_plan_free(plan);
    sb_season_free(season);
}

enum { N = 6 };

/** Every number of one reason against plans priced from nothing. */
static void agree_with_pricing_again(const sb_season *season, const sb_plan *plan, const int *order,
                                     int *levels, int stop)
{
    const sb_reason *reason = &plan->routes[0].reasons[stop];
    int own = levels[stop], best_level = -1;
    double best = INFINITY;
    for (int level = 0; level < (int)season->setup.n_cleanouts; level++) {
        levels[stop] = level;
        sb_plan *other = plan_in_order(season, order, levels, N);
        bool keeps = !support_breaks_another(season, plan, other);
        double more = other->cost.total - plan->cost.total, scale = plan->cost.total;
        if (level != own && keeps && more < best) {
            best = more;
            best_level = level;
        }
        if (level == 0 && own != 0) {
            assert_true(fabs(reason->cost - plan->cost.cleanout + other->cost.cleanout) <
                        1e-12 * scale);
            assert_true(fabs(reason->saves - reason->cost - more) < 1e-12 * scale);
            assert_true(reason->limit == !keeps);
            assert_true((reason->breach[0].rule != SB_BROKEN_NONE) == !keeps);
        }
        sb_plan_free(other);
    }
    levels[stop] = own;
    assert_int_equal(reason->next_level, best_level);
    assert_true(best_level < 0 || fabs(reason->next_best - best) < 1e-12 * plan->cost.total);
    assert_true(reason->field_share >= 0 && reason->field_share <= 1);
}

static void reasons_agree_with_pricing_again(void **state)
{
    (void)state;
    size_t limits = 0;
    for (uint64_t seed = 1; seed <= 60; seed++) {
        support_options options = support_random_options(seed);
        support_random random = {seed};
        int order[N], levels[N];
        options.missing_ways = false; /* every plan has a price */
        sb_season *season = support_random_season(seed, N, &options);
        support_random_order(&random, order, N);
        for (int i = 0; i < N; i++)
            levels[i] = (int)support_random_below(&random, season->setup.n_cleanouts);
        sb_plan *plan = plan_in_order(season, order, levels, N);
        assert_int_equal(sb_plan_explain(season, plan), SB_OK);
        for (int i = 0; i < N; i++) {
            agree_with_pricing_again(season, plan, order, levels, i);
            limits += plan->routes[0].reasons[i].limit;
        }
        sb_plan_free(plan);
        sb_season_free(season);
    }
    assert_true(limits > 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_reason_names_the_weed_and_the_field_it_protects),
        cmocka_unit_test(a_demanded_cleanout_says_so),
        cmocka_unit_test(the_cleanout_on_record_takes_the_demand_away),
        cmocka_unit_test(a_seed_limit_behind_a_later_field_is_a_limit),
        cmocka_unit_test(each_other_level_has_the_rule_that_it_breaks),
        cmocka_unit_test(what_growers_may_lose_is_a_rule_that_is_named),
        cmocka_unit_test(a_cheaper_level_that_growers_could_not_bear_is_told),
        cmocka_unit_test(nothing_carried_protects_nothing),
        cmocka_unit_test(reasons_agree_with_pricing_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
