/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What walks are worth, against every plan there is, priced by the model itself. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/mem.h"
#include "doubt/scouting.h"
#include "plan/plan.h"
#include "seasons.h"

enum { FIELDS = 3, LEVELS = 2, PLANS = 6 * 8, OUTCOMES = 6, SEASONS = 50 };

/** Three fields without rules, their ratings of one weed anywhere within two orders of magnitude.
 */
static sb_season *small_season(uint64_t seed)
{
    support_options options = {.n_weeds = 1, .n_levels = LEVELS, .feasible = true};
    sb_season *season = support_random_season(seed, FIELDS, &options);
    for (size_t i = 0; i < FIELDS; i++)
        support_rate(season, i, 0, 0.003 * pow(4, (double)i), 10);
    sb_season_derive(season);
    return season;
}

static sb_plan *single_plan(const sb_season *season, int number)
{
    static const int orders[6][3] = {{0, 1, 2}, {0, 2, 1}, {1, 0, 2},
                                     {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};
    sb_plan *plan;
    assert_int_equal(sb_plan_new_single(season, 0, FIELDS, &plan), SB_OK);
    for (int t = 0; t < FIELDS; t++) {
        plan->routes[0].stops[t].field = orders[number / 8][t];
        plan->routes[0].stops[t].cleanout = number >> t & 1;
    }
    return plan;
}

/* Plan number p of two machines: an order, how many of its fields the first machine cuts, levels.
 */
static sb_plan *shared_plan(const sb_season *season, int number)
{
    sb_plan *plan, *alone = single_plan(season, number % PLANS);
    int split = number / PLANS;
    assert_int_equal(sb_plan_new(season, 2, &plan), SB_OK);
    assert_int_equal(sb_route_init(season, 0, (size_t)split, &plan->routes[0]), SB_OK);
    assert_int_equal(sb_route_init(season, 1, (size_t)(FIELDS - split), &plan->routes[1]), SB_OK);
    for (int t = 0; t < FIELDS; t++) {
        sb_stop *stop = t < split ? &plan->routes[0].stops[t] : &plan->routes[1].stops[t - split];
        stop->field = alone->routes[0].stops[t].field;
        stop->cleanout = alone->routes[0].stops[t].cleanout;
    }
    sb_plan_free(alone);
    return plan;
}

/* The worth of knowing one rating, over all plans of one machine or two: of two, so many of an
 * order's fields are cut by the first one. */
static double by_brute_force(const sb_season *season, const sb_spreads *spreads, size_t rating)
{
    enum { ALL = PLANS * (FIELDS + 1) };
    static double cost[OUTCOMES][ALL];
    static sb_plan *plans[ALL];
    int count = season->setup.n_machines > 1 ? ALL : PLANS;
    sb_season *sampled;
    assert_int_equal(sb_season_copy(season, NULL, NULL, &sampled), SB_OK);
    double *multiplier = sb_alloc(spreads->count, sizeof *multiplier);
    for (int p = 0; p < count; p++)
        plans[p] = count > PLANS ? shared_plan(season, p) : single_plan(season, p);
    double uninformed = INFINITY, informed = 0;
    for (int o = 0; o < OUTCOMES; o++) {
        double best = INFINITY;
        for (int p = 0; p < count; p++)
            cost[o][p] = 0;
        for (uint64_t k = 1; k <= SEASONS; k++) {
            sb_spreads_draw(spreads, 1, 2, k, multiplier);
            multiplier[rating] =
                sb_spread_multiplier(&spreads->items[rating], (o + 0.5) / OUTCOMES);
            sb_spreads_apply(spreads, multiplier, season, sampled);
            for (int p = 0; p < count; p++) {
                assert_int_equal(sb_plan_price_only(sampled, plans[p]), SB_OK);
                cost[o][p] += plans[p]->cost.total / SEASONS;
            }
        }
        for (int p = 0; p < count; p++)
            best = fmin(best, cost[o][p]);
        informed += best / OUTCOMES;
    }
    for (int p = 0; p < count; p++) {
        double mean = 0;
        for (int o = 0; o < OUTCOMES; o++)
            mean += cost[o][p] / OUTCOMES;
        uninformed = fmin(uninformed, mean);
        sb_plan_free(plans[p]);
    }
    sb_free(multiplier);
    sb_season_free(sampled);
    return uninformed - informed;
}

static sb_scouting *scout(const sb_season *season, int threads)
{
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = threads;
    sb_report *report = sb_report_new();
    sb_scouting *scouting;
    assert_int_equal(sb_scout(season, &options, report, &scouting), SB_OK);
    sb_report_free(report);
    return scouting;
}

static void a_rating_is_worth_what_all_plans_say(void **state)
{
    (void)state;
    int worth_something = 0;
    for (uint64_t seed = 1; seed <= 3; seed += 2) {
        sb_season *season = small_season(seed);
        sb_spreads spreads;
        assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
        sb_scouting *scouting = scout(season, 2);
        assert_int_equal(scouting->n_ratings, FIELDS);
        assert_int_equal(scouting->n_fields, FIELDS);
        for (size_t i = 0; i < FIELDS; i++) {
            const sb_walk_worth *walk = &scouting->ratings[i];
            size_t rating = 0;
            while (spreads.items[rating].field != walk->field)
                rating++;
            double worth = by_brute_force(season, &spreads, rating);
            assert_true(fabs(walk->worth - worth) <= 1e-6 * scouting->mean_cost);
            assert_true(i == 0 || walk->worth <= scouting->ratings[i - 1].worth);
            assert_true(walk->worth >= 0);
            assert_true((walk->orders > 1) || walk->worth == 0);
            worth_something += worth > 0.001 * scouting->mean_cost;
        }
        sb_scouting_free(scouting);
        sb_free(spreads.items);
        sb_season_free(season);
    }
    assert_true(worth_something >= 1);
}

static void a_rating_is_worth_as_much_to_two_machines(void **state)
{
    (void)state;
    sb_season *season = small_season(1);
    support_add_yard_mate(season, "other");
    sb_spreads spreads;
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    sb_scouting *scouting = scout(season, 2);
    assert_int_equal(scouting->machines, 2);
    assert_int_equal(scouting->n_ratings, FIELDS);
    const sb_walk_worth *walk = &scouting->ratings[0]; /* the one worth most */
    size_t rating = 0;
    while (spreads.items[rating].field != walk->field)
        rating++;
    double worth = by_brute_force(season, &spreads, rating);
    assert_true(worth > 1e-4 * scouting->mean_cost);
    assert_true(fabs(walk->worth - worth) <= 1e-6 * scouting->mean_cost);
    sb_scouting_free(scouting);
    sb_free(spreads.items);
    sb_season_free(season);
}

static void threads_change_nothing(void **state)
{
    (void)state;
    sb_season *season = small_season(2);
    sb_scouting *one = scout(season, 1), *three = scout(season, 3);
    assert_memory_equal(one->ratings, three->ratings, FIELDS * sizeof *one->ratings);
    assert_true(one->first_worth == three->first_worth);
    sb_scouting_free(one);
    sb_scouting_free(three);
    sb_season_free(season);
}

static void what_is_certain_is_not_walked(void **state)
{
    (void)state;
    sb_season *season = support_season_new(3, 1);
    support_set_density(season, 1, 0, 0.1);
    sb_season_derive(season);
    sb_scouting *scouting = scout(season, 1);
    assert_int_equal(scouting->n_ratings, 0);
    assert_int_equal(scouting->n_first, 0);
    assert_true(scouting->first_worth == 0);
    sb_scouting_free(scouting);
    sb_season_free(season);
}

typedef struct heard {
    double done, elapsed_s;
    int steps;
} heard;

static void hear(const sb_progress *now, void *context)
{
    heard *h = context;
    assert_true(now->elapsed_s >= h->elapsed_s);
    h->elapsed_s = now->elapsed_s;
    if (now->done == 0) /* the season is being ordered */
        return;
    assert_true(now->done > h->done && now->done <= 1);
    h->done = now->done;
    h->steps++;
}

static void progress_counts_the_walks(void **state)
{
    (void)state;
    sb_season *season = small_season(1);
    sb_order_options options;
    heard h = {0};
    sb_order_options_init(&options);
    options.progress = hear;
    options.context = &h;
    sb_scouting *scouting;
    assert_int_equal(sb_scout(season, &options, NULL, &scouting), SB_OK);
    /* Each rating and each field, first what may be found and then what it is worth. */
    assert_int_equal(h.steps, 2 * (FIELDS + FIELDS));
    assert_true(h.done == 1);
    sb_scouting_free(scouting);
    sb_season_free(season);
}

static void comes_back_from_a_lack_of_memory(void **state)
{
    (void)state;
    sb_season *season = small_season(1);
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    sb_report *report = sb_report_new();
    sb_scouting *scouting;
    sb_mem_set_budget(10000000);
    assert_int_equal(sb_scout(season, &options, report, &scouting), SB_OK);
    long needed = 10000000 - sb_mem_set_budget(-1);
    sb_scouting_free(scouting);
    sb_report_free(report);
    long live = sb_mem_live();
    for (int i = 0; i < 4; i++) {
        report = sb_report_new();
        sb_mem_set_budget(needed * i / 4);
        sb_status status = sb_scout(season, &options, report, &scouting);
        sb_mem_set_budget(-1);
        assert_int_equal(status, SB_ERR_NOMEM);
        assert_null(scouting);
        sb_report_free(report);
        assert_int_equal(sb_mem_live(), live);
    }
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_rating_is_worth_what_all_plans_say),
        cmocka_unit_test(a_rating_is_worth_as_much_to_two_machines),
        cmocka_unit_test(threads_change_nothing),
        cmocka_unit_test(what_is_certain_is_not_walked),
        cmocka_unit_test(progress_counts_the_walks),
        cmocka_unit_test(comes_back_from_a_lack_of_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
