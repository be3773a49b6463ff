/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Branching alone, with no list of routes: it proves what brute force finds, and its bound is never
 * above that, wherever the tree is stopped. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "brute.h"
#include "machines.h"
#include "order/fleet_branch.h"

#define SAME_COST 1e-6 /* relative */

#ifdef __SANITIZE_ADDRESS__
#define SEEDS 6
#else
#define SEEDS 30
#endif

/* Walks know neither waits nor seed limits: where these press, branching alone ends only when
 * hardly a plan is left. Such seasons are given up after so many branches. */
#define MOST_BRANCHES 40

static int proven; /* at a cost */

typedef struct run {
    sb_crew *crew;
    sb_fleet fleet;
    sb_fleet_outcome outcome;
} run;

static void run_begin(run *r, const sb_season *season, int threads)
{
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = threads;
    assert_int_equal(sb_crew_new(&options, &r->crew), SB_OK);
    assert_int_equal(sb_fleet_init(&r->fleet, season), SB_OK);
    assert_int_equal(sb_fleet_outcome_init(&r->outcome, &r->fleet), SB_OK);
}

static void run_end(run *r)
{
    sb_fleet_outcome_release(&r->outcome);
    sb_fleet_release(&r->fleet);
    sb_crew_free(r->crew);
}

static void branch(run *r, const sb_season *season, int threads, int most_branches)
{
    sb_fleet_options options = {.seed = 1, .branch_only = true, .most_branches = most_branches};
    run_begin(r, season, threads);
    assert_int_equal(sb_fleet_solve(&r->fleet, r->crew, &options, &r->outcome), SB_OK);
}

/* Do walks know every rule of the season? */
static bool plain(const sb_fleet *fleet)
{
    for (int m = 0; m < fleet->machines; m++)
        if (fleet->problems[m].n_limits > 0)
            return false;
    return !fleet->coupled;
}

/* @return branches that it took */
static int proves_the_optimum(const sb_season *season, double best)
{
    run r;
    branch(&r, season, 1, MOST_BRANCHES);
    double home = r.fleet.home_in_any_case, cost = r.outcome.routes.cost + home;
    assert_true(r.outcome.closed || !plain(&r.fleet));
    if (isinf(best) || (isinf(cost) && !r.outcome.closed)) {
        assert_true(isinf(cost));
    } else {
        if (r.outcome.closed && fabs(cost - best) > SAME_COST * best)
            print_message("brute force %.9g, branching %.9g\n", best, cost);
        assert_true(cost >= best * (1 - SAME_COST));
        assert_true(!r.outcome.closed || cost <= best * (1 + SAME_COST));
        assert_true(r.outcome.bound + home <= best * (1 + SAME_COST));
        proven += r.outcome.closed;
    }
    int branches = r.outcome.branches;
    run_end(&r);
    return branches;
}

/* @return was it stopped before its end? */
static bool bound_holds(const sb_season *season, double best, int most_branches)
{
    run r;
    branch(&r, season, 1, most_branches);
    double home = r.fleet.home_in_any_case;
    bool open = !r.outcome.closed;
    if (isfinite(best)) {
        if (r.outcome.bound + home > best * (1 + SAME_COST))
            print_message("after %d branches: bound %.9g, brute force %.9g\n", most_branches,
                          r.outcome.bound + home, best);
        assert_true(r.outcome.bound + home <= best * (1 + SAME_COST));
        assert_true(r.outcome.routes.cost + home >= best * (1 - SAME_COST));
        /* One branch at its end is not all of them. */
        assert_true(!open || r.outcome.bound < r.outcome.routes.cost);
    } else {
        assert_true(isinf(r.outcome.routes.cost));
    }
    run_end(&r);
    return open;
}

static void branching_alone_proves_what_brute_force_finds(void **state)
{
    (void)state;
    int branched = 0, stopped = 0;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        support_options options = support_random_options(seed);
        options.precedence &= seed % 4 == 0;
        options.seed_limits &= seed % 4 == 1;
        options.tank_limits &= seed % 4 == 1;
        sb_season *season = support_random_fleet(seed, 3 + seed % 3, &options);
        brute_counts counts = {0};
        double best = brute_best(season, &counts);
        int branches = proves_the_optimum(season, best);
        branched += branches > 1;
        for (int most = 1; most < branches && most <= 16; most *= 2)
            stopped += bound_holds(season, best, most);
        sb_season_free(season);
    }
    print_message("%d of %d seasons branched, %d proven, %d stopped on the way\n", branched, SEEDS,
                  proven, stopped);
    assert_true(branched >= SEEDS / 4 && stopped >= branched && proven >= SEEDS / 2);
}

static void branching_proves_seasons_with_every_rule(void **state)
{
    (void)state;
    support_options options = support_every_rule();
    proven = 0;
    for (uint64_t seed = 1; seed <= SEEDS / 2; seed++) {
        sb_season *season = support_random_fleet(seed, 3 + seed % 3, &options);
        brute_counts counts = {0};
        proves_the_optimum(season, brute_best(season, &counts));
        sb_season_free(season);
    }
    print_message("%d of %d seasons with every rule proven\n", proven, SEEDS / 2);
    assert_true(proven >= 1);
}

/* ---- Larger seasons ------------------------------------------------------------------------ */

/* Machines that differ, or are the same and have little time to spare. */
static sb_season *fleet_season(int n_fields, uint64_t seed, int n_weeds, bool alike)
{
    bench_options options = {n_fields, seed, n_weeds, false};
    if (!alike)
        return support_fleet_season(&options, 2);
    sb_season *season = bench_season(&options);
    assert_non_null(season);
    support_add_yard_mate(season, "m2");
    support_add_yard_mate(season, "m3");
    double hours = 0;
    for (int j = 0; j < n_fields; j++)
        hours += sb_season_cutting_hours(season, 0, j);
    for (int m = 0; m < 3; m++)
        season->setup.machines[m].season_hours = 1.1 * hours / 3;
    return season;
}

static bool same_routes(const sb_fleet *f, const sb_routes *a, const sb_routes *b)
{
    for (int m = 0; m < f->machines; m++) {
        size_t bytes = (size_t)a->count[m] * sizeof(int), at = (size_t)m * (size_t)f->n;
        if (a->count[m] != b->count[m] || memcmp(a->field + at, b->field + at, bytes) != 0 ||
            memcmp(a->level + at, b->level + at, bytes) != 0)
            return false;
    }
    return true;
}

/* @return branches that branching alone took */
static int proves_what_the_list_proves(const sb_season *season)
{
    run listed, alone, again;
    sb_fleet_options options = {.seed = 1};
    run_begin(&listed, season, 1);
    assert_int_equal(sb_fleet_solve(&listed.fleet, listed.crew, &options, &listed.outcome), SB_OK);
    branch(&alone, season, 1, 0);
    branch(&again, season, 2, 0);
    double cost = listed.outcome.routes.cost;
    assert_true(listed.outcome.closed && alone.outcome.closed && again.outcome.closed);
    assert_true(fabs(alone.outcome.routes.cost - cost) <= SAME_COST * cost);
    assert_int_equal(alone.outcome.branches, again.outcome.branches);
    assert_true(same_routes(&alone.fleet, &alone.outcome.routes, &again.outcome.routes));
    double home = alone.fleet.home_in_any_case;
    int branches = alone.outcome.branches;
    run_end(&listed);
    run_end(&alone);
    run_end(&again);
    for (int most = 1; most < branches; most += 2)
        bound_holds(season, cost + home, most);
    return branches;
}

static void branching_proves_larger_seasons_with_any_number_of_threads(void **state)
{
    (void)state;
    int branches = 0;
    for (int alike = 0; alike <= 1; alike++) {
        sb_season *season = fleet_season(alike ? 12 : 10, alike ? 6 : 1, alike ? 0 : 3, alike);
        branches += proves_what_the_list_proves(season);
        sb_season_free(season);
    }
    print_message("%d branches\n", branches);
    assert_true(branches >= 6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(branching_alone_proves_what_brute_force_finds),
        cmocka_unit_test(branching_proves_seasons_with_every_rule),
        cmocka_unit_test(branching_proves_larger_seasons_with_any_number_of_threads),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
