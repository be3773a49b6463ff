/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The order found and proven is the best of all orders and levels: brute force on random seasons
 * in which every rule occurs. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "brute.h"
#include "plan/plan.h"
#include "season/service.h"
#include "seasons.h"

#define SAME_COST 1e-6 /* relative: an order of magnitude above the proof's own tolerance */

static brute_counts counts;
static int feasible, infeasible;

static void print_report(const sb_report *report)
{
    for (size_t i = 0; i < sb_report_count(report); i++)
        print_message("  %s\n", sb_report_get(report, i).text);
}

static void same_as_brute_force(uint64_t seed, size_t n, const support_options *options)
{
    sb_season *season = support_random_season(seed, n, options);
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
        /* A headline and a rule, or each field that the machine may not cut. */
        bool servable = sb_season_unservable(season, 0, NULL) == SB_OK;
        assert_true(sb_report_count(report) >= (servable ? 2 : 1));
    } else {
        feasible++;
        if (status != SB_OK)
            print_report(report);
        assert_int_equal(status, SB_OK);
        double total = sb_plan_cost(plan).total;
        if (fabs(total - best) > SAME_COST * best)
            print_message("seed %lu, %zu fields: brute force %.9g, ours %.9g\n",
                          (unsigned long)seed, n, best, total);
        assert_true(fabs(total - best) <= SAME_COST * best);
        assert_true(sb_plan_optimal(plan));
        assert_true(sb_plan_bound(plan) <= total && sb_plan_bound(plan) >= total * (1 - SAME_COST));
    }
    sb_plan_free(plan);
    sb_report_free(report);
    sb_season_free(season);
}

static void random_rules(uint64_t first, uint64_t last, size_t n, bool may_be_impossible)
{
    for (uint64_t seed = first; seed <= last; seed++) {
        support_options options = support_random_options(seed);
        options.feasible = !may_be_impossible;
        same_as_brute_force(seed, n, &options);
    }
}

static void small_seasons_with_any_rules(void **state)
{
    (void)state;
    for (size_t n = 1; n <= 4; n++)
        random_rules(1000 * n, 1000 * n + 119, n, false);
    random_rules(5000, 5119, 5, false);
    random_rules(6000, 6079, 6, false);
    random_rules(7000, 7019, 7, false);
}

/* A machine that waits for the next field was once taken to have finished the last one too late. */
static void waiting_is_not_finishing_late(void **state)
{
    (void)state;
    random_rules(259, 259, 6, false);
}

static void small_seasons_with_every_rule(void **state)
{
    (void)state;
    support_options options = support_every_rule();
    for (uint64_t seed = 1; seed <= 120; seed++)
        same_as_brute_force(seed, 3 + seed % 4, &options);
}

static void seasons_that_may_be_impossible(void **state)
{
    (void)state;
    int before = infeasible;
    random_rules(9000, 9149, 4, true);
    random_rules(9200, 9249, 5, true);
    assert_true(infeasible - before >= 20);
}

static void small_seasons_of_machines_that_are_shared(void **state)
{
    (void)state;
    for (uint64_t seed = 20000; seed < 20024; seed++) {
        support_options options = support_random_options(seed);
        options.service = true;
        options.feasible = seed % 3 > 0;
        same_as_brute_force(seed, 3 + seed % 3, &options);
    }
}

static void every_rule_has_bound_somewhere(void **state)
{
    (void)state;
    print_message(
        "%d seasons with a plan, %d without; branches stopped by latest %ld, entry %ld, "
        "after %ld, seed limits %ld, tank limits %ld, full cleanouts %ld, spend %ld, "
        "season end %ld, missing ways %ld, service %ld, apart %ld, last day %ld; %ld first "
        "moves waited for the machine, %ld for the field, %ld fields were late\n",
        feasible, infeasible, counts.latest, counts.entry, counts.after, counts.seed_limit,
        counts.tank_limit, counts.full, counts.spend, counts.season_end, counts.no_way,
        counts.service, counts.apart, counts.to, counts.from, counts.waited, counts.late);
    const long bound[] = {counts.latest,     counts.entry,  counts.after, counts.seed_limit,
                          counts.tank_limit, counts.full,   counts.spend, counts.season_end,
                          counts.no_way,     counts.waited, counts.late,  counts.apart};
    for (size_t i = 0; i < sizeof bound / sizeof *bound; i++)
        assert_true(bound[i] > 100);
    assert_true(counts.service >= 10 && counts.from >= 10 && counts.to >= 10);
    assert_true(feasible >= 800);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(small_seasons_with_any_rules),
        cmocka_unit_test(waiting_is_not_finishing_late),
        cmocka_unit_test(small_seasons_with_every_rule),
        cmocka_unit_test(seasons_that_may_be_impossible),
        cmocka_unit_test(small_seasons_of_machines_that_are_shared),
        cmocka_unit_test(every_rule_has_bound_somewhere),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
