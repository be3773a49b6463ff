/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two machines, every assignment, order and level: brute force on random seasons in which every
 * rule occurs. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "brute.h"
#include "machines.h"
#include "plan/plan.h"

#define SAME_COST 1e-6 /* relative */

static brute_counts counts;
static int feasible, infeasible, both_used;

static int machines_used(const sb_plan *plan)
{
    int used = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        used += plan->routes[r].n_stops > 0;
    return used;
}

static void same_as_brute_force(uint64_t seed, size_t n, const support_options *options)
{
    sb_season *season = support_random_fleet(seed, n, options);
    sb_report *report = sb_report_new();
    sb_order_options how;
    sb_order_options_init(&how);
    sb_plan *plan = NULL;
    double best = brute_best(season, &counts);
    sb_status status = sb_order(season, &how, report, &plan);
    if (isinf(best)) {
        infeasible++;
        assert_int_equal(status, SB_ERR_INFEASIBLE);
        assert_null(plan);
        assert_true(sb_report_count(report) > 0);
    } else {
        feasible++;
        for (size_t i = 0; i < sb_report_count(report) && status != SB_OK; i++)
            print_message("  %s\n", sb_report_get(report, i).text);
        assert_int_equal(status, SB_OK);
        double total = sb_plan_cost(plan).total;
        if (fabs(total - best) > SAME_COST * best)
            print_message("seed %lu, %zu fields: brute force %.9g, ours %.9g\n",
                          (unsigned long)seed, n, best, total);
        assert_true(fabs(total - best) <= SAME_COST * best);
        assert_true(sb_plan_optimal(plan));
        assert_true(sb_plan_bound(plan) <= total && sb_plan_bound(plan) >= total * (1 - SAME_COST));
        assert_int_equal(plan->n_routes, 2);
        both_used += machines_used(plan) == 2;
    }
    sb_plan_free(plan);
    sb_report_free(report);
    sb_season_free(season);
}

static void random_rules(uint64_t first, uint64_t last, size_t n)
{
    for (uint64_t seed = first; seed <= last; seed++) {
        support_options options = support_random_options(seed);
        same_as_brute_force(seed, n, &options);
    }
}

static void small_seasons_with_any_rules(void **state)
{
    (void)state;
    for (size_t n = 1; n <= 4; n++)
        random_rules(1000 * n, 1000 * n + 39, n);
    random_rules(5000, 5024, 5);
    random_rules(6000, 6003, 6);
}

static void seven_fields_with_two_levels(void **state)
{
    (void)state;
    for (uint64_t seed = 7000; seed < 7002; seed++) {
        support_options options = support_random_options(seed);
        options.n_levels = 2;
        same_as_brute_force(seed, 7, &options);
    }
}

static void small_seasons_with_every_rule(void **state)
{
    (void)state;
    support_options options = support_every_rule();
    for (uint64_t seed = 1; seed <= 60; seed++)
        same_as_brute_force(seed, 3 + seed % 3, &options);
}

static void every_rule_has_bound_somewhere(void **state)
{
    (void)state;
    print_message("%d seasons with a plan (%d with both machines "
                  "out), %d without; "
                  "branches stopped by latest %ld, entry %ld, after %ld, seed limits %ld, tank "
                  "limits %ld, full cleanouts %ld, spend %ld, season end %ld, missing ways %ld; "
                  "%ld moves waited, %ld fields were late\n",
                  feasible, both_used, infeasible, counts.latest, counts.entry, counts.after,
                  counts.seed_limit, counts.tank_limit, counts.full, counts.spend,
                  counts.season_end, counts.no_way, counts.waited, counts.late);
    const long bound[] = {counts.latest,     counts.entry,  counts.after, counts.seed_limit,
                          counts.tank_limit, counts.full,   counts.spend, counts.season_end,
                          counts.no_way,     counts.waited, counts.late};
    for (size_t i = 0; i < sizeof bound / sizeof *bound; i++)
        assert_true(bound[i] > 50);
    assert_true(feasible >= 200 && infeasible > 0 && both_used >= 50);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(small_seasons_with_any_rules),
        cmocka_unit_test(seven_fields_with_two_levels),
        cmocka_unit_test(small_seasons_with_every_rule),
        cmocka_unit_test(every_rule_has_bound_somewhere),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
