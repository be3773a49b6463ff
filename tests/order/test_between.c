/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Plans between the corners of the trade-off curve against all plans of small seasons: every order
 * with every level, priced and checked by src/plan, which knows nothing of src/order. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "base/mem.h"
#include "bench_season.h"
#include "order/tradeoff.h"
#include "seasons.h"

#define SAME 1e-6 /* relative */
#define FIELDS 4

typedef struct spot {
    double money, spread;
} spot;

typedef struct spots {
    spot *items;
    size_t count, capacity;
} spots;

static sb_curve *weigh(const sb_season *season, bool every_plan)
{
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    options.every_plan = every_plan;
    sb_report *report = sb_report_new();
    sb_curve *curve = NULL;
    sb_status status = sb_weigh(season, &options, report, &curve);
    sb_report_free(report);
    assert_true(status == SB_OK || status == SB_ERR_INFEASIBLE);
    return curve;
}

static bool same(double a, double b)
{
    return fabs(a - b) <= SAME * (1 + fabs(a));
}

static bool same_spot(const spot *a, const spot *b)
{
    return same(a->money, b->money) && same(a->spread, b->spread);
}

/** Prices the plan with every choice of levels from stop `t` on. */
static void try_levels(const sb_season *season, sb_plan *plan, size_t t, spots *all)
{
    if (t == season->n_fields) {
        size_t broken = 0;
        assert_int_equal(sb_plan_price(season, plan), SB_OK);
        if (sb_plan_check(season, plan, SB_WARNING, NULL, &broken) != SB_OK || broken > 0)
            return;
        const sb_cost *cost = &plan->cost;
        spot priced = {cost->travel + cost->cleanout + cost->delay, cost->spread};
        assert_true(SB_PUSH(all, priced));
        return;
    }
    for (size_t l = 0; l < season->setup.n_cleanouts; l++) {
        plan->routes[0].stops[t].cleanout = (int)l;
        try_levels(season, plan, t + 1, all);
    }
}

static bool has_ways(const sb_season *season, const sb_plan *plan)
{
    int from = season->joins[0].start + (int)season->n_fields;
    int yard = season->joins[0].yard + (int)season->n_fields;
    for (size_t t = 0; t <= season->n_fields; t++) {
        int to = t < season->n_fields ? plan->routes[0].stops[t].field : yard;
        if (isnan(season->km[(size_t)from * season->n_places + (size_t)to]))
            return false;
        from = to;
    }
    return true;
}

static void try_orders(const sb_season *season, sb_plan *plan, size_t t, unsigned cut, spots *all)
{
    if (t == season->n_fields && has_ways(season, plan))
        try_levels(season, plan, 0, all);
    for (size_t j = 0; j < season->n_fields && t < season->n_fields; j++)
        if (!(cut >> j & 1)) {
            plan->routes[0].stops[t].field = (int)j;
            try_orders(season, plan, t + 1, cut | 1u << j, all);
        }
}

static int by_money(const void *a, const void *b)
{
    const spot *one = a, *other = b;
    if (one->money != other->money)
        return one->money < other->money ? -1 : 1;
    return (one->spread > other->spread) - (one->spread < other->spread);
}

static spots all_plans(const sb_season *season)
{
    spots all = {0};
    sb_plan *plan = NULL;
    assert_int_equal(sb_plan_new_single(season, 0, season->n_fields, &plan), SB_OK);
    try_orders(season, plan, 0, 0, &all);
    sb_plan_free(plan);
    if (all.count > 0)
        qsort(all.items, all.count, sizeof *all.items, by_money);
    return all;
}

/** Those that are cheaper at a weight than all that take no more money. */
static spots records(const spots *all, double weight)
{
    spots found = {0};
    double least = INFINITY;
    for (size_t i = 0; i < all->count; i++) {
        double cost = all->items[i].money + weight * all->items[i].spread;
        if (!(cost < least * (1 - 1e-9)))
            continue;
        least = cost;
        if (found.count > 0 && same(found.items[found.count - 1].money, all->items[i].money))
            found.items[found.count - 1] = all->items[i];
        else
            assert_true(SB_PUSH(&found, all->items[i]));
    }
    return found;
}

static spot spot_of(const sb_curve *curve, size_t i)
{
    sb_trade trade = sb_curve_trade(curve, i);
    return (spot){trade.money, trade.spread};
}

/** @return how many plans lie between corners */
static size_t agrees(const sb_curve *curve, const spots *all)
{
    size_t between = 0, n = sb_curve_count(curve);
    spots best = records(all, curve->weight_high);
    spot first = spot_of(curve, 0), last = spot_of(curve, n - 1);
    assert_true(curve->open_pairs == 0);
    assert_false(sb_curve_trade(curve, 0).between || sb_curve_trade(curve, n - 1).between);
    size_t next = 0;
    for (size_t i = 0; i < best.count; i++) {
        const spot *record = &best.items[i];
        bool inside =
            record->money >= first.money * (1 - SAME) && record->money <= last.money * (1 + SAME);
        if (!inside)
            continue;
        assert_true(next < n);
        spot listed = spot_of(curve, next);
        assert_true(same_spot(record, &listed));
        sb_trade trade = sb_curve_trade(curve, next++);
        assert_true(trade.proven && trade.gap == 0);
        assert_true(trade.between == isnan(trade.weight_from));
        between += trade.between;
        for (size_t k = 0; k < all->count; k++)
            assert_false(all->items[k].money < listed.money * (1 - SAME) &&
                         all->items[k].spread <= listed.spread * (1 - SAME));
    }
    assert_true(next == n);
    sb_free(best.items);
    return between;
}

static void every_plan_that_a_limit_on_money_picks_is_listed(void **state)
{
    (void)state;
    size_t seasons = 0, plans = 0, between = 0, delayed = 0;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        support_options options = {.n_weeds = 3, .two_way_roads = true, .varied_machine = true};
        if (seed % 2)
            options = support_random_options(seed);
        options.n_levels = seed % 2 ? 3 : 4;
        sb_season *season = support_random_season(seed, FIELDS, &options);
        for (size_t l = 1; l < season->setup.n_cleanouts; l++)
            season->setup.cleanouts[l].minutes *= 0.1; /* cheap enough to be worth several */
        for (size_t j = 0; j < FIELDS && seed % 4 == 0; j++) {
            season->fields[j].best_before_day = season->setup.calendar.start_day;
            season->fields[j].delay_cost_per_day = 7 + 11 * (double)j;
        }
        sb_curve *curve = weigh(season, true);
        spots all = all_plans(season);
        assert_true((curve == NULL) == (all.count == 0));
        if (curve != NULL) {
            between += agrees(curve, &all);
            for (size_t i = 0; i < sb_curve_count(curve); i++)
                delayed += sb_plan_cost(sb_curve_plan(curve, i)).delay > 0;
            plans += sb_curve_count(curve);
            seasons++;
        }
        sb_free(all.items);
        sb_curve_free(curve);
        sb_season_free(season);
    }
    print_message("%zu seasons, %zu plans, %zu of them between corners, %zu with delay\n", seasons,
                  plans, between, delayed);
    assert_true(seasons > 8 && between > 12 && delayed > 3);
}

/** The corners, the best and the plans by full cleanouts are what they are without the option. */
static void corners_stay_what_they_are(void **state)
{
    (void)state;
    bench_options options = {.n_fields = 7, .seed = 3, .n_weeds = 2};
    sb_season *season = bench_season(&options);
    sb_curve *plain = weigh(season, false), *every = weigh(season, true);
    size_t at = 0;
    for (size_t i = 0; i < sb_curve_count(every); i++) {
        sb_trade trade = sb_curve_trade(every, i);
        if (i > 0) {
            sb_trade before = sb_curve_trade(every, i - 1);
            assert_true(before.money < trade.money && before.spread > trade.spread);
        }
        if (trade.between)
            continue;
        assert_true(at < sb_curve_count(plain));
        sb_trade corner = sb_curve_trade(plain, at);
        assert_true(same(corner.money, trade.money) && same(corner.spread, trade.spread));
        assert_true((at == sb_curve_best(plain)) == (i == sb_curve_best(every)));
        at++;
    }
    assert_true(at == sb_curve_count(plain) && sb_curve_count(every) > at);
    assert_true(sb_curve_full_count(plain) == sb_curve_full_count(every));
    sb_curve_free(plain);
    sb_curve_free(every);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_plan_that_a_limit_on_money_picks_is_listed),
        cmocka_unit_test(corners_stay_what_they_are),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
