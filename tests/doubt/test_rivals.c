/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Rivals of a plan for several machines, against every plan there is in every drawn season. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "brute.h"
#include "doubt/scenarios.h"
#include "machines.h"
#include "plan/plan.h"
#include "plans.h"

enum { FIELDS = 4, MOST = 64 };

/* Two machines, ratings anywhere from a tenth to ten times. */
static sb_season *small_fleet(uint64_t seed)
{
    support_options options = {.n_weeds = 1, .n_levels = 3, .delay = true, .feasible = true};
    sb_season *season = support_random_fleet(seed, FIELDS, &options);
    for (size_t i = 0; i < FIELDS; i++)
        support_rate(season, i, 0, 0.02 * pow(5, (double)((i + seed) % 3)), 10);
    sb_season_derive(season);
    return season;
}

typedef struct found {
    sb_plan *plans[MOST];
    size_t best_in[MOST + 1], n;
} found;

static found find(const sb_season *season, const sb_plan *plan, size_t most, int threads)
{
    found f;
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = threads;
    assert_int_equal(sb_find_rivals(season, plan, &options, most, f.plans, f.best_in, &f.n), SB_OK);
    return f;
}

static void release(found *f)
{
    for (size_t p = 0; p < f->n; p++)
        sb_plan_free(f->plans[p]);
}

static bool same(double a, double b)
{
    return fabs(a - b) <= 1e-9 * fmin(fabs(a), fabs(b));
}

/* The cost of a plan in a drawn season. */
static double cost_in(const sb_season *drawn, sb_plan *plan)
{
    assert_int_equal(sb_plan_price_only(drawn, plan), SB_OK);
    return plan->cost.total;
}

/* Every plan that is best in a drawn season is among the rivals, or is the plan; and each is said
 * to be the best in as many as it is. @return rivals */
static size_t compare(const sb_season *season, sb_plan *plan)
{
    found f = find(season, plan, MOST, 0);
    sb_spreads spreads;
    sb_season *drawn;
    size_t best_in[MOST + 1] = {0}, n = f.n;
    assert_true(n < MOST);
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    assert_int_equal(sb_season_copy(season, NULL, NULL, &drawn), SB_OK);
    double *multiplier = sb_alloc(spreads.count, sizeof *multiplier);
    for (uint64_t s = 1; s <= SB_RIVAL_SEASONS; s++) {
        sb_spreads_draw(&spreads, 1, SB_SCENARIO_STREAM, s, multiplier);
        sb_spreads_apply(&spreads, multiplier, season, drawn);
        brute_counts counts = {0};
        double least = brute_best(drawn, &counts), best = INFINITY;
        size_t first = 0;
        for (size_t p = 0; p <= n; p++) {
            double cost = cost_in(drawn, p == 0 ? plan : f.plans[p - 1]);
            if (cost < best && !same(cost, best)) {
                best = cost;
                first = p;
            }
        }
        if (!(fabs(best - least) <= 1e-6 * least))
            fail_msg("season %d: %.9g, brute force %.9g", (int)s, best, least);
        best_in[first]++;
    }
    for (size_t p = 0; p <= n; p++)
        assert_int_equal(f.best_in[p], best_in[p]);
    sb_free(multiplier);
    sb_free(spreads.items);
    sb_season_free(drawn);
    release(&f);
    return n;
}

static void rivals_are_what_is_best_in_other_seasons(void **state)
{
    (void)state;
    size_t rivals = 0;
    for (uint64_t seed = 1; seed <= 3; seed++) {
        sb_season *season = small_fleet(seed);
        sb_plan *plan = support_order(season);
        rivals += compare(season, plan);
        sb_plan_free(plan);
        sb_season_free(season);
    }
    assert_true(rivals >= 3); /* else these seasons would test nothing */
}

static void same_plan(const sb_plan *a, const sb_plan *b)
{
    for (size_t r = 0; r < a->n_routes; r++) {
        assert_int_equal(a->routes[r].n_stops, b->routes[r].n_stops);
        for (size_t t = 0; t < a->routes[r].n_stops; t++) {
            assert_int_equal(a->routes[r].stops[t].field, b->routes[r].stops[t].field);
            assert_int_equal(a->routes[r].stops[t].cleanout, b->routes[r].stops[t].cleanout);
        }
    }
}

/* A study that is made in parts meets the same rivals on every machine. */
static void rivals_depend_on_the_seed_alone(void **state)
{
    (void)state;
    sb_season *season = small_fleet(2);
    sb_plan *plan = support_order(season);
    found all = find(season, plan, MOST, 1), few = find(season, plan, 2, 2);
    assert_true(all.n > 2);
    assert_int_equal(few.n, 2);
    assert_int_equal(few.best_in[0] + few.best_in[1] + few.best_in[2], SB_RIVAL_SEASONS);
    for (size_t p = 0; p < 2; p++) {
        assert_true(few.best_in[p + 1] >= all.best_in[p + 1]);
        same_plan(few.plans[p], all.plans[p]);
    }
    release(&all);
    release(&few);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* A field turns out to be for the other machine only: rivals are looked for all the same. */
static void a_plan_that_breaks_a_rule_is_the_best_nowhere(void **state)
{
    (void)state;
    sb_season *season = small_fleet(2);
    sb_plan *plan = support_order(season);
    size_t r = plan->routes[0].n_stops > 0 ? 0 : 1;
    sb_field *field = &season->fields[plan->routes[r].stops[0].field];
    sb_free(field->only);
    field->only = sb_alloc(1, sizeof *field->only);
    field->only[0] = 1 - plan->routes[r].machine;
    field->n_only = 1;
    found f = find(season, plan, 1, 0);
    assert_int_equal(f.n, 1);
    assert_int_equal(f.best_in[0], 0);
    release(&f);
    sb_plan_free(plan);
    sb_season_free(season);
}

static bool at_once(void *context)
{
    (void)context;
    return true;
}

static void without_a_search_there_is_no_rival(void **state)
{
    (void)state;
    sb_season *season = small_fleet(2);
    sb_plan *plan = support_order(season), *plans[1];
    size_t best_in[2], n = 1;
    sb_order_options options;
    sb_order_options_init(&options);
    options.stop = at_once;
    assert_int_equal(sb_find_rivals(season, plan, &options, 1, plans, best_in, &n), SB_OK);
    assert_int_equal(n, 0);
    assert_int_equal(best_in[0], SB_RIVAL_SEASONS);
    assert_int_equal(sb_find_rivals(season, NULL, &options, 1, plans, best_in, &n), SB_ERR_ARG);
    sb_plan_free(plan);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rivals_are_what_is_best_in_other_seasons),
        cmocka_unit_test(rivals_depend_on_the_seed_alone),
        cmocka_unit_test(a_plan_that_breaks_a_rule_is_the_best_nowhere),
        cmocka_unit_test(without_a_search_there_is_no_rival),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
