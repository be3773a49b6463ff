/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rule on what growers receive, against every assignment, order and level of small random
 * seasons in which any rule may bind: caps are kept, bounds are bounds, and what is said to be
 * impossible is. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "brute.h"
#include "machines.h"
#include "plan/plan.h"
#include "seasons.h"

#define SAME 1e-6 /* relative: proofs are good to 1e-7, the brute force sums in another order */
#define GROWERS 3
#define WORST_SLACK 0.1 /* by which the least worst loss may be exceeded */

static brute_counts counts;
static int capped, binding, proven, best_found, impossible, ruled_out, worst_proven, worst_best;
static double gaps;

static void share_out_fields(sb_season *season, uint64_t seed)
{
    while (season->n_growers < GROWERS)
        support_add_grower(season, "grower");
    for (size_t j = 0; j < season->n_fields; j++)
        season->fields[j].grower = (int)((seed + j * (1 + seed % 2)) % (GROWERS + 1)) - 1;
}

static double worst_loss(const sb_season *season, const sb_plan *plan)
{
    double loss[GROWERS + 1] = {0}, worst = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t t = 0; t < plan->routes[r].n_stops; t++)
            loss[season->fields[plan->routes[r].stops[t].field].grower + 1] +=
                plan->routes[r].stops[t].loss;
    for (int g = 0; g <= GROWERS; g++)
        worst = fmax(worst, loss[g]);
    return worst;
}

static sb_plan *order(const sb_season *season, double most, bool least_worst, sb_report *report)
{
    sb_order_options how;
    sb_order_options_init(&how);
    how.threads = 1;
    how.loss_per_grower = most;
    how.least_worst = least_worst;
    sb_plan *plan = NULL;
    sb_status status = sb_order(season, &how, report, &plan);
    assert_true(status == SB_OK || status == SB_ERR_INFEASIBLE);
    assert_true((plan != NULL) == (status == SB_OK));
    return plan;
}

static bool was_said(const sb_report *report, const char *words)
{
    for (size_t i = 0; i < sb_report_count(report); i++)
        if (strstr(sb_report_get(report, i).text, words) != NULL)
            return true;
    return false;
}

/* The independent checker must say what the plan without the rule breaks. */
static void checker_names_growers(sb_season *season, const sb_plan *plan, double most)
{
    sb_report *report = sb_report_new();
    size_t broken = 0, before = 0;
    assert_int_equal(sb_plan_check(season, plan, SB_NOTE, NULL, &before), SB_OK);
    season->setup.limits.loss_per_grower = most;
    assert_int_equal(sb_plan_check(season, plan, SB_NOTE, report, &broken), SB_OK);
    assert_true(broken > before);
    assert_true(was_said(report, "of expected loss"));
    season->setup.limits.loss_per_grower = INFINITY;
    sb_report_free(report);
}

static void caps_agree(sb_season *season, double most, const sb_plan *free)
{
    sb_report *report = sb_report_new();
    double best = brute_best_capped(season, most, &counts);
    sb_plan *plan = order(season, most, false, report);
    if (plan == NULL) {
        /* Said to be impossible only when it is; else that none was found. */
        bool sure = was_said(report, "no plan can keep every grower");
        assert_true(sure || was_said(report, "none is ruled out"));
        assert_true(isinf(best) || !sure);
        impossible += isinf(best);
        ruled_out += isinf(best) && sure;
        sb_report_free(report);
        return;
    }
    double cost = sb_plan_cost(plan).total;
    assert_true(isfinite(best));
    assert_true(worst_loss(season, plan) <= most * (1 + SAME));
    assert_true(cost >= best * (1 - SAME));
    assert_true(sb_plan_bound(plan) <= best * (1 + SAME));
    assert_true(!sb_plan_optimal(plan) || fabs(cost - best) <= SAME * best);
    assert_true(fabs(plan->fairness.free_cost - sb_plan_cost(free).total) <= SAME * cost);
    capped++;
    binding += cost > sb_plan_cost(free).total * (1 + SAME);
    proven += sb_plan_optimal(plan);
    best_found += fabs(cost - best) <= SAME * best;
    gaps += cost / best - 1;
    sb_plan_free(plan);
    sb_report_free(report);
}

/* A cap that names one grower, beside one for all or none: the same against brute force. */
static int named, named_binding;

static double loss_of(const sb_season *season, const sb_plan *plan, int grower)
{
    double loss = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t t = 0; t < plan->routes[r].n_stops; t++)
            if (season->fields[plan->routes[r].stops[t].field].grower == grower)
                loss += plan->routes[r].stops[t].loss;
    return loss;
}

static void named_cap_agrees(sb_season *season, const sb_plan *free, double for_all)
{
    int who = -1;
    for (int g = 0; g < GROWERS; g++)
        if (who < 0 || loss_of(season, free, g) > loss_of(season, free, who))
            who = g;
    double loss = loss_of(season, free, who);
    if (loss < 0.01)
        return;
    sb_report *report = sb_report_new();
    season->grower_most = sb_alloc(season->n_growers, sizeof *season->grower_most);
    assert_non_null(season->grower_most);
    for (size_t g = 0; g < season->n_growers; g++)
        season->grower_most[g] = INFINITY;
    season->grower_most[who] = loss * 0.8;
    double best = brute_best_capped(season, for_all, &counts);
    sb_plan *plan = order(season, for_all, false, report);
    assert_true((plan != NULL) == isfinite(best));
    if (plan != NULL) {
        double cost = sb_plan_cost(plan).total;
        assert_true(loss_of(season, plan, who) <= loss * 0.8 * (1 + SAME));
        assert_true(sb_plan_optimal(plan) && fabs(cost - best) <= SAME * best);
        assert_true(fabs(plan->fairness.free_cost - sb_plan_cost(free).total) <= SAME * cost);
        assert_true(plan->fairness.most == for_all);
        named_binding += cost > sb_plan_cost(free).total * (1 + SAME);
        named++;
        /* The least worst loss of the plans that keep the cap. */
        sb_plan *fair = order(season, INFINITY, true, report);
        double least = brute_least_worst(season, &counts);
        assert_non_null(fair);
        assert_true(loss_of(season, fair, who) <= loss * 0.8 * (1 + SAME));
        assert_true(fair->fairness.worst_bound <= least * (1 + SAME) + 1e-6);
        assert_true(worst_loss(season, fair) <= least * (1 + WORST_SLACK + SAME) + 1e-6);
        sb_plan_free(fair);
    } else {
        assert_true(was_said(report, "no plan can keep every grower's expected loss within"));
    }
    sb_plan_free(plan);
    sb_report_free(report);
    sb_free(season->grower_most);
    season->grower_most = NULL;
}

static void least_worst_agrees(const sb_season *season)
{
    sb_report *report = sb_report_new();
    double least = brute_least_worst(season, &counts);
    sb_plan *plan = order(season, INFINITY, true, report);
    assert_non_null(plan);
    double worst = worst_loss(season, plan);
    const sb_fairness *fairness = &plan->fairness;
    assert_true(fairness->least_worst);
    assert_true(fairness->worst_bound <= least * (1 + SAME) + 1e-6);
    assert_true(worst >= least * (1 - SAME) - 1e-9);
    worst_best += worst <= least * (1 + WORST_SLACK + SAME) + 1e-6;
    worst_proven += fairness->worst_bound >= least * (1 - SAME) - 1e-6;
    sb_plan_free(plan);
    sb_report_free(report);
}

static void agrees(sb_season *season, uint64_t seed)
{
    sb_report *report = sb_report_new();
    share_out_fields(season, seed);
    sb_plan *free = order(season, INFINITY, false, report);
    if (free != NULL) {
        double worst = worst_loss(season, free);
        double least = brute_least_worst(season, &counts);
        if (worst - least > 0.01) {
            /* Of what a rule can ask for; now and then more than that. */
            const double shares[] = {0.9, 0.5, -1, 0.1, 0.3};
            double most =
                shares[seed % 5] < 0 ? least * 0.9 : least + (worst - least) * shares[seed % 5];
            checker_names_growers(season, free, most);
            caps_agree(season, most, free);
        }
        if (seed % 4 == 0)
            least_worst_agrees(season);
        if (seed % 3 == 0)
            named_cap_agrees(season, free, seed % 2 ? INFINITY : worst * 0.95);
    }
    sb_plan_free(free);
    sb_report_free(report);
    sb_season_free(season);
}

static void one_machine(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 18; seed++) {
        support_options options = support_random_options(seed);
        agrees(support_random_season(seed, 3 + seed % 3, &options), seed);
    }
}

static void two_machines(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 6; seed++) {
        support_options options = support_random_options(seed);
        agrees(support_random_fleet(seed, 3, &options), seed);
    }
}

static int looks_left;

static bool stop_soon(void *context)
{
    (void)context;
    return --looks_left < 0;
}

/* Another cleanout somewhere that keeps every rule, costs less and leaves the worst loss alone. */
static bool keeps_a_needless_cleanout(const sb_season *season, const sb_plan *plan)
{
    double worst = worst_loss(season, plan);
    bool found = false;
    sb_plan *other = NULL;
    assert_int_equal(sb_plan_copy(season, plan, &other), SB_OK);
    other->proof.bound = -INFINITY;
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t t = 0; t < plan->routes[r].n_stops; t++) {
            int *level = &other->routes[r].stops[t].cleanout, own = *level;
            for (*level = 0; *level < (int)season->setup.n_cleanouts; ++*level) {
                size_t broken = 0;
                assert_int_equal(sb_plan_price(season, other), SB_OK);
                assert_int_equal(sb_plan_check(season, other, SB_NOTE, NULL, &broken), SB_OK);
                found |= broken == 0 && worst_loss(season, other) <= worst * (1 + 1e-9) &&
                         other->cost.total < plan->cost.total - 1e-6;
            }
            *level = own;
        }
    sb_plan_free(other);
    return found;
}

/* Once: what the least worst loss was found with kept cleanouts that nobody needed when the time
 * was over before the cost had its turn. */
static void a_search_cut_short_leaves_no_needless_cleanout(void **state)
{
    (void)state;
    int made = 0;
    for (uint64_t seed = 1; seed <= 4; seed++)
        for (int looks = 30; looks <= 3000; looks *= 10) {
            support_options options = {.n_weeds = 2, .n_levels = 4, .feasible = true};
            sb_season *season = support_random_season(seed, 10, &options);
            share_out_fields(season, seed);
            sb_order_options how;
            sb_order_options_init(&how);
            how.threads = 1;
            how.least_worst = true;
            how.stop = stop_soon;
            looks_left = looks;
            sb_plan *plan = NULL;
            if (sb_order(season, &how, NULL, &plan) == SB_OK) {
                assert_true(looks_left < 0); /* it was cut short */
                assert_false(plan->fairness.searched_out);
                assert_false(keeps_a_needless_cleanout(season, plan));
                made++;
            }
            sb_plan_free(plan);
            sb_season_free(season);
        }
    assert_true(made >= 8);
}

/* Once: an end long before the time limit gave no reason. */
static void an_end_before_the_time_says_that_more_would_not_help(void **state)
{
    (void)state;
    int searched_out = 0;
    for (uint64_t seed = 1; seed <= 3; seed++) {
        support_options options = {.n_weeds = 1, .n_levels = 2, .feasible = true};
        sb_season *season = support_random_season(seed, 10, &options);
        share_out_fields(season, seed);
        sb_plan *free = order(season, INFINITY, false, NULL);
        double most = worst_loss(season, free) * 0.6;
        sb_plan *plan = order(season, most, false, NULL);
        if (plan != NULL) {
            bool told = plan->fairness.searched_out;
            assert_int_equal(told, !sb_plan_optimal(plan));
            assert_true(!told || plan->fairness.searches > 0);
            searched_out += told;
            sb_plan *again = order(season, most, false, NULL);
            assert_true(again->cost.total == plan->cost.total);
            sb_plan_free(again);
        }
        sb_plan_free(plan);
        sb_plan_free(free);
        sb_season_free(season);
    }
    assert_true(searched_out > 0);
}

static void was_worth_trying(void **state)
{
    (void)state;
    print_message("%d capped plans (%d dearer for it, %d the best there is, %d proven; on average "
                  "%.3g %% too dear); %d impossible (%d ruled out); least worst loss: %d found, %d "
                  "proven\n",
                  capped, binding, best_found, proven, 100 * gaps / capped, impossible, ruled_out,
                  worst_best, worst_proven);
    assert_true(capped >= 10 && binding >= 10 && impossible > 0 && worst_best >= 4);
    assert_int_equal(worst_proven, worst_best);
    assert_int_equal(best_found, capped);
    assert_int_equal(proven, capped);
    assert_int_equal(ruled_out, impossible);
    assert_true(counts.grower > 100);
    assert_true(named >= 3 && named_binding >= 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_machine),
        cmocka_unit_test(two_machines),
        cmocka_unit_test(a_search_cut_short_leaves_no_needless_cleanout),
        cmocka_unit_test(an_end_before_the_time_says_that_more_would_not_help),
        cmocka_unit_test(was_worth_trying),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
