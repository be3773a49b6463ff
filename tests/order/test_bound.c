/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bounds: a second one made another way never exceeds a cost said to be the least, and the bound of
 * a search that was cut short never exceeds what brute force finds. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "bench_season.h"
#include "brute.h"
#include "flow_bound.h"
#include "plan/plan.h"
#include "seasons.h"

#define SAME_COST 1e-6 /* relative: an order of magnitude above the proof's own tolerance */
#define SAME_FLOW \
    1e-5 /* relative: GLPK's own tolerance, 1e-7 on every row, was seen to move it by 1.4e-6 */

#ifdef __SANITIZE_ADDRESS__
#define SEEDS 6
#else
#define SEEDS 25
#endif

static sb_status order(const sb_season *season, const sb_order_options *how, sb_plan **plan)
{
    sb_report *report = sb_report_new();
    *plan = NULL;
    sb_status status = sb_order(season, how, report, plan);
    sb_report_free(report);
    return status;
}

/* The flow bound as a share of our cost; of a season without a plan, 0. */
static double flow_share(const sb_season *season)
{
    sb_order_options how;
    sb_order_options_init(&how);
    sb_plan *plan = NULL;
    sb_status status = order(season, &how, &plan);
    double bound = flow_bound(season), share = 0;
    assert_false(isnan(bound));
    assert_true(status == SB_OK || status == SB_ERR_INFEASIBLE);
    if (status == SB_OK) {
        assert_true(sb_plan_optimal(plan));
        double cost = sb_plan_cost(plan).total;
        if (bound > cost * (1 + SAME_FLOW))
            print_message("flow bound %.9g above the cost %.9g\n", bound, cost);
        assert_true(bound <= cost * (1 + SAME_FLOW));
        share = bound / cost;
    }
    sb_plan_free(plan);
    return share;
}

static void the_flow_bound_is_not_above_the_cost_with_any_rules(void **state)
{
    (void)state;
    int near = 0;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        support_options options = support_random_options(seed);
        sb_season *season = support_random_season(seed, 3 + seed % 5, &options);
        near += flow_share(season) > .9;
        sb_season_free(season);
    }
    assert_true(near >= SEEDS / 4); /* it is no idle check: often the bounds nearly meet */
}

static void the_flow_bound_is_not_above_the_cost_of_ordinary_seasons(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= SEEDS / 3; seed++) {
        bench_options options = {5 + (int)(seed % 3), seed, 2, false};
        sb_season *season = bench_season(&options);
        assert_non_null(season);
        assert_true(flow_share(season) > .4);
        sb_season_free(season);
    }
}

/* ---- Cut short ----------------------------------------------------------------------------- */

typedef struct cut_short {
    int told, enough; /* stops after so many progress calls */
} cut_short;

static void count_progress(const sb_progress *now, void *context)
{
    (void)now;
    ((cut_short *)context)->told++;
}

static bool told_enough(void *context)
{
    const cut_short *cut = context;
    return cut->told >= cut->enough;
}

/* @return 1 when the search had not come to its end */
static int bound_holds(const sb_season *season, double best, const sb_order_options *how)
{
    sb_plan *plan = NULL;
    sb_status status = order(season, how, &plan);
    assert_true(status == SB_OK || status == SB_ERR_INFEASIBLE);
    int open = 0;
    if (plan != NULL) {
        assert_true(sb_plan_cost(plan).total >= best * (1 - SAME_COST));
        assert_true(sb_plan_bound(plan) <= best * (1 + SAME_COST));
        assert_true(!sb_plan_optimal(plan) || sb_plan_cost(plan).total <= best * (1 + SAME_COST));
        open = !sb_plan_optimal(plan);
    }
    sb_plan_free(plan);
    return open;
}

static void the_bound_of_a_search_cut_short_holds(void **state)
{
    (void)state;
    int open = 0;
    for (uint64_t seed = 100; seed < 100 + SEEDS; seed++) {
        support_options options = support_random_options(seed);
        sb_season *season = support_random_season(seed, 4 + seed % 3, &options);
        brute_counts counts = {0};
        double best = brute_best(season, &counts);
        for (int enough = 1; enough <= 4; enough++) {
            cut_short cut = {.enough = enough};
            sb_order_options how;
            sb_order_options_init(&how);
            how.threads = 1;
            how.progress = count_progress;
            how.stop = told_enough;
            how.context = &cut;
            open += bound_holds(season, best, &how);
        }
        for (double limit_s = 1e-6; limit_s < .1; limit_s *= 10) {
            sb_order_options how;
            sb_order_options_init(&how);
            how.time_limit_s = limit_s;
            open += bound_holds(season, best, &how);
        }
        sb_season_free(season);
    }
    assert_true(open >= SEEDS / 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_flow_bound_is_not_above_the_cost_with_any_rules),
        cmocka_unit_test(the_flow_bound_is_not_above_the_cost_of_ordinary_seasons),
        cmocka_unit_test(the_bound_of_a_search_cut_short_holds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
