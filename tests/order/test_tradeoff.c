/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The trade-off curve against every order and every level of small seasons, and against itself:
 * what a change of weights and limits may and may not do. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "bench_season.h"
#include "brute.h"
#include "order/tradeoff.h"
#include "seasons.h"

#define SAME 1e-6 /* relative: proofs are good to 1e-7, the brute force sums in another order */

static brute_counts counts;

static sb_curve *weigh(const sb_season *season, const sb_order_options *options)
{
    sb_report *report = sb_report_new();
    sb_curve *curve = NULL;
    sb_status status = sb_weigh(season, options, report, &curve);
    sb_report_free(report);
    assert_true(status == SB_OK || status == SB_ERR_INFEASIBLE);
    assert_true((curve != NULL) == (status == SB_OK));
    return curve;
}

static sb_order_options one_thread(void)
{
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    return options;
}

static bool same(double a, double b)
{
    return a == b || fabs(a - b) <= SAME * (1 + fabs(a));
}

/** The season with its spread counted so many times and full cleanouts so much dearer, as the brute
 * force sees it; undone by the same call with 1 / weight and -surcharge. */
static void price_season(sb_season *season, double weight, double surcharge)
{
    for (size_t j = 0; j < season->n_fields; j++)
        for (size_t k = 0; k < season->setup.n_weeds; k++)
            season->fields[j].loss_per_seed[k] *= weight;
    for (size_t l = 0; l < season->setup.n_cleanouts; l++)
        if (season->setup.cleanouts[l].full)
            season->setup.cleanouts[l].supplies_cost += surcharge;
}

static double brute_weighed(sb_season *season, double weight)
{
    price_season(season, weight, 0);
    double best = brute_best(season, &counts);
    price_season(season, 1 / weight, 0);
    return best;
}

static double cheapest(const sb_curve *curve, double weight)
{
    double least = INFINITY;
    for (size_t i = 0; i < sb_curve_count(curve); i++) {
        sb_trade trade = sb_curve_trade(curve, i);
        least = fmin(least, trade.money + weight * trade.spread);
    }
    return least;
}

/** The least cost is concave in the weight: when it agrees at every corner and between, the curve
 * has every plan that a weight picks, and no other. */
static void agrees_with_brute_force(sb_season *season, const sb_curve *curve)
{
    for (size_t i = 0; i < sb_curve_count(curve); i++) {
        sb_trade trade = sb_curve_trade(curve, i);
        assert_true(trade.proven && trade.gap == 0 && curve->open_share == 0);
        assert_true(trade.weight_from < trade.weight_to);
        double weights[] = {trade.weight_from, sqrt(trade.weight_from * trade.weight_to),
                            trade.weight_to};
        for (size_t w = 0; w < 3; w++) {
            double least = brute_weighed(season, weights[w]);
            assert_true(same(cheapest(curve, weights[w]), least));
            assert_true(same(trade.money + weights[w] * trade.spread, least));
        }
        if (i == 0)
            continue;
        sb_trade before = sb_curve_trade(curve, i - 1);
        assert_true(before.weight_to == trade.weight_from);
        assert_true(before.money < trade.money && before.spread > trade.spread);
    }
}

static void full_cleanouts_agree_with_brute_force(sb_season *season, const sb_curve *curve)
{
    double own_limit = season->setup.limits.full_cleanouts;
    size_t n = sb_curve_full_count(curve);
    sb_trade best = sb_curve_trade(curve, sb_curve_best(curve));
    for (size_t i = 0; i < n; i++) {
        sb_trade trade = sb_curve_full_trade(curve, i);
        double total = trade.money + trade.spread;
        assert_true(trade.proven && trade.gap == 0);
        if (trade.full_cleanouts <= best.full_cleanouts) {
            season->setup.limits.full_cleanouts = trade.full_cleanouts;
            assert_true(same(total, brute_best(season, &counts)));
        } else if (isinf(season->setup.limits.cleaning_cost)) { /* a price would change that, too */
            /* What it costs more than the best, for each full cleanout more, is the least there
             * is: with so much off, none is better than the best. */
            double off =
                (total - best.money - best.spread) / (trade.full_cleanouts - best.full_cleanouts);
            int final = season->joins[0].final_cleanout;
            bool full_end = final >= 0 && season->setup.cleanouts[final].full;
            price_season(season, 1, -off);
            assert_true(same(brute_best(season, &counts) + off * (best.full_cleanouts + full_end),
                             best.money + best.spread));
            price_season(season, 1, off);
        }
        season->setup.limits.full_cleanouts = own_limit;
        if (i > 0)
            assert_true(trade.full_cleanouts > sb_curve_full_trade(curve, i - 1).full_cleanouts);
    }
    /* Numbers that are left out bring nothing. */
    for (int most = 0, at = -1; most < best.full_cleanouts; most++) {
        season->setup.limits.full_cleanouts = most;
        double least = brute_best(season, &counts);
        season->setup.limits.full_cleanouts = own_limit;
        if (at + 1 < (int)n && sb_curve_full_trade(curve, (size_t)at + 1).full_cleanouts <= most)
            at++;
        assert_true(isinf(least) == (at < 0));
        if (at >= 0) {
            sb_trade trade = sb_curve_full_trade(curve, (size_t)at);
            assert_true(same(trade.money + trade.spread, least));
        }
    }
}

static void small_seasons_with_any_rules(void **state)
{
    (void)state;
    size_t corners = 0, fulls = 0, seasons = 0;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        support_options options = support_random_options(seed);
        sb_season *season = support_random_season(seed, 4 + seed % 2, &options);
        /* Cleanouts that are full, and cheap enough to be worth several. */
        for (size_t l = 1; l < season->setup.n_cleanouts; l++)
            season->setup.cleanouts[l].minutes *= 0.2;
        season->setup.cleanouts[season->setup.n_cleanouts - 1].full = true;
        sb_order_options how = one_thread();
        sb_curve *curve = weigh(season, &how);
        assert_true((curve == NULL) == isinf(brute_best(season, &counts)));
        if (curve != NULL) {
            agrees_with_brute_force(season, curve);
            full_cleanouts_agree_with_brute_force(season, curve);
            corners += sb_curve_count(curve);
            fulls += sb_curve_full_count(curve);
            seasons++;
        }
        sb_curve_free(curve);
        sb_season_free(season);
    }
    print_message("%zu seasons, %zu plans on curves, %zu by full cleanouts\n", seasons, corners,
                  fulls);
    assert_true(corners > 2 * seasons && fulls > seasons);
}

static sb_season *bench(int n_fields, uint64_t seed)
{
    bench_options options = {.n_fields = n_fields, .seed = seed, .n_weeds = 3};
    return bench_season(&options);
}

static void the_best_is_what_order_gives(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 2; seed++) {
        sb_season *season = bench(8, seed);
        for (int asked = 0; asked < 4; asked++) {
            sb_order_options how = one_thread();
            how.spread_weight = asked == 1 ? 2.5 : 1;
            how.full_limit = asked == 2 ? 0 : INFINITY;
            how.spend_limit = asked == 3 ? 500 : INFINITY;
            sb_curve *curve = weigh(season, &how);
            sb_plan *plan = NULL;
            assert_int_equal(sb_order(season, &how, NULL, &plan), SB_OK);
            sb_trade best = sb_curve_trade(curve, sb_curve_best(curve));
            assert_true(
                same(sb_plan_weighed_cost(plan), best.money + how.spread_weight * best.spread));
            assert_true(sb_plan_optimal(plan) && best.proven);
            assert_true(best.weight_from <= how.spread_weight &&
                        how.spread_weight <= best.weight_to);
            for (size_t i = 0; i < sb_curve_count(curve); i++) {
                sb_trade trade = sb_curve_trade(curve, i);
                assert_true(trade.cleaning <= how.spend_limit * (1 + 1e-9));
                assert_true(trade.full_cleanouts <= how.full_limit);
            }
            sb_plan_free(plan);
            sb_curve_free(curve);
        }
        sb_season_free(season);
    }
}

/** Weights ask about the same plans: where two curves overlap they agree, but for gains so small
 * that they were left alone. */
static void curves_of_two_weights_agree_where_they_overlap(void **state)
{
    (void)state;
    sb_season *season = bench(8, 4);
    sb_order_options how = one_thread();
    sb_curve *first = weigh(season, &how);
    how.spread_weight = 3;
    sb_curve *second = weigh(season, &how);
    double open = fmax(first->open_share, second->open_share);
    assert_true(open < 1e-3);
    for (double weight = 1.05; weight < 3; weight *= 1.07) {
        double a = cheapest(first, weight), b = cheapest(second, weight);
        assert_true(fabs(a - b) <= (open + SAME) * a);
    }
    assert_true(sb_curve_count(first) > 4);
    sb_curve_free(first);
    sb_curve_free(second);
    sb_season_free(season);
}

/** All money counted in another currency: the same curve, its money scaled. */
static void money_scales(void **state)
{
    (void)state;
    sb_season *season = bench(8, 5);
    sb_order_options how = one_thread();
    sb_curve *before = weigh(season, &how);
    for (size_t j = 0; j < season->n_fields; j++)
        for (size_t k = 0; k < season->setup.n_weeds; k++)
            season->fields[j].loss_per_seed[k] *= 8;
    for (size_t l = 0; l < season->setup.n_cleanouts; l++)
        season->setup.cleanouts[l].supplies_cost *= 8;
    season->setup.wage_per_hour *= 8;
    season->setup.lost_time_per_hour *= 8;
    season->setup.machines[0].cost_per_km *= 8;
    season->setup.machines[0].cost_per_hour *= 8;
    sb_curve *after = weigh(season, &how);
    assert_true(sb_curve_count(before) == sb_curve_count(after) && sb_curve_count(after) > 3);
    for (size_t i = 0; i < sb_curve_count(after); i++) {
        sb_trade a = sb_curve_trade(before, i), b = sb_curve_trade(after, i);
        assert_true(same(8 * a.money, b.money) && same(8 * a.spread, b.spread));
        assert_true(same(a.seeds, b.seeds) && a.full_cleanouts == b.full_cleanouts);
    }
    sb_curve_free(before);
    sb_curve_free(after);
    sb_season_free(season);
}

static void a_plan_to_begin_with_is_improved_on(void **state)
{
    (void)state;
    sb_season *season = bench(9, 6);
    sb_order_options how = one_thread();
    sb_plan *road = NULL, *plan = NULL, *again = NULL;
    how.by = SB_BY_SHORTEST_ROAD;
    assert_int_equal(sb_order(season, &how, NULL, &road), SB_OK);
    how.by = SB_BY_COST;
    assert_int_equal(sb_order(season, &how, NULL, &plan), SB_OK);
    how.begin_with = road;
    assert_int_equal(sb_order(season, &how, NULL, &again), SB_OK);
    assert_true(same(sb_plan_cost(plan).total, sb_plan_cost(again).total));
    assert_true(sb_plan_cost(again).total < sb_plan_cost(road).total);
    sb_plan_free(road);
    sb_plan_free(plan);
    sb_plan_free(again);
    sb_season_free(season);
}

static void bad_options_are_refused(void **state)
{
    (void)state;
    sb_season *season = support_season_new(2, 1);
    sb_curve *curve = (sb_curve *)season;
    for (int bad = 0; bad < 4; bad++) {
        sb_order_options how = one_thread();
        if (bad == 0)
            how.spread_weight = 0;
        if (bad == 1)
            how.spread_weight = INFINITY;
        if (bad == 2)
            how.spend_limit = -1;
        if (bad == 3)
            how.full_limit = NAN;
        assert_int_equal(sb_weigh(season, &how, NULL, &curve), SB_ERR_ARG);
        assert_null(curve);
    }
    sb_season_free(season);
}

static void a_season_without_weeds_is_one_plan(void **state)
{
    (void)state;
    sb_season *season = support_season_new(5, 1);
    sb_order_options how = one_thread();
    sb_curve *curve = weigh(season, &how);
    assert_int_equal(sb_curve_count(curve), 1);
    sb_trade trade = sb_curve_trade(curve, 0);
    assert_true(trade.spread == 0 && trade.cleanouts == 0 && trade.proven);
    sb_curve_free(curve);
    sb_season_free(season);
}

static void a_curve_cut_short_says_how_far_off_it_may_be(void **state)
{
    (void)state;
    sb_season *season = bench(18, 2);
    sb_order_options how = one_thread();
    how.time_limit_s = 0.03;
    sb_curve *curve = weigh(season, &how);
    sb_order_options whole = one_thread();
    sb_plan *plan = NULL;
    assert_int_equal(sb_order(season, &whole, NULL, &plan), SB_OK);
    assert_true(sb_plan_optimal(plan));
    sb_trade best = sb_curve_trade(curve, sb_curve_best(curve));
    double total = best.money + best.spread;
    assert_true(!best.proven && best.gap > 0);
    assert_true(total * (1 - best.gap) <= sb_plan_cost(plan).total * (1 + SAME));
    sb_plan_free(plan);
    sb_curve_free(curve);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(small_seasons_with_any_rules),
        cmocka_unit_test(the_best_is_what_order_gives),
        cmocka_unit_test(curves_of_two_weights_agree_where_they_overlap),
        cmocka_unit_test(money_scales),
        cmocka_unit_test(a_plan_to_begin_with_is_improved_on),
        cmocka_unit_test(bad_options_are_refused),
        cmocka_unit_test(a_season_without_weeds_is_one_plan),
        cmocka_unit_test(a_curve_cut_short_says_how_far_off_it_may_be),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
