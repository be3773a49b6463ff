/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bounds on the rest of a walk, and the walk read from them: never dearer than the cheapest
 * walk that pricing finds, by the coarse clock and by the fine one. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/mem.h"
#include "base/random.h"
#include "bench_season.h"
#include "machines.h"
#include "order/fleet.h"
#include "order/fleet_price.h"
#include "order/fleet_rest.h"
#include "order/fleet_search.h"
#include "order/vector.h"

#define SAME 1e-9
#define SEEDS 6

typedef struct walks {
    double coarse, fine, priced;
    double by_hour; /* fine, where hours cost money */
    double over_h;
    int coarse_visits, fine_visits;
} walks;

static int sum(const int *visits, int n)
{
    int all = 0;
    for (int j = 0; j < n; j++)
        all += visits[j];
    return all;
}

/* A season and its first machine's walks. */
typedef struct bench {
    sb_season *season;
    sb_crew *crew;
    sb_fleet fleet;
    sb_pricer pricer;
    sb_pass_run run;
    int *visits;
} bench;

static bench begin_at(const bench_options *options, double start_h)
{
    bench b = {.season = support_fleet_season(options, 2)};
    assert_non_null(b.season);
    sb_order_options how;
    sb_order_options_init(&how);
    assert_int_equal(sb_crew_new(&how, &b.crew), SB_OK);
    assert_int_equal(sb_fleet_init(&b.fleet, b.season), SB_OK);
    sb_problem *p = &b.fleet.problems[0];
    p->start_h += start_h;
    for (int j = 0; j < p->n; j++)
        p->move_h[sb_arc(p, p->n, j) + (size_t)p->n] += start_h;
    assert_int_equal(sb_pricer_init(&b.pricer, p, b.crew), SB_OK);
    b.run = (sb_pass_run){.p = &b.fleet.problems[0], .crew = b.crew};
    b.visits = sb_alloc((size_t)b.fleet.n, sizeof *b.visits);
    assert_non_null(b.visits);
    return b;
}

static bench begin(const bench_options *options)
{
    return begin_at(options, 0);
}

static void end(bench *b)
{
    sb_free(b->visits);
    sb_pricer_release(&b->pricer);
    sb_fleet_release(&b->fleet);
    sb_crew_free(b->crew);
    sb_season_free(b->season);
}

/* The cheapest walk with random rewards up to so many times what the cheapest way to each field
 * costs. */
static walks walk(const bench_options *options, double start_h, double reward)
{
    bench b = begin_at(options, start_h);
    const sb_problem *p = b.pricer.p;
    sb_random random = sb_random_init(options->seed, 1);
    for (int j = 0; j < p->n; j++) {
        double least = INFINITY;
        for (int i = 0; i <= p->n; i++)
            least = fmin(least, i == j ? INFINITY : sb_first_order_least(p, i, j));
        b.pricer.reward[j] = reward * least * sb_random_unit(&random);
    }
    walks w;
    w.coarse = sb_rest_walk(&b.pricer, 0, 0, &b.run, b.visits, &w.over_h);
    w.coarse_visits = sum(b.visits, p->n);
    w.fine = sb_rest_walk(&b.pricer, SB_REST_CLOCKS - 1, 0, &b.run, b.visits, &w.over_h);
    w.fine_visits = sum(b.visits, p->n);
    sb_pricing pricing = {.limit = INFINITY, .elementary = true, .most_labels = 1000000};
    assert_int_equal(sb_pricer_forward(&b.pricer, &pricing, &w.priced), SB_PASS_DONE);
    double over_h;
    w.by_hour =
        sb_rest_walk(&b.pricer, SB_REST_CLOCKS - 1, 0.1 * reward, &b.run, b.visits, &over_h);
    end(&b);
    return w;
}

static void check(int n_fields, bool dates, double start_h, double reward)
{
    int apart = 0, weak = 0, closer = 0;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        bench_options options = {.n_fields = n_fields, .seed = seed, .n_weeds = 3, .dates = dates};
        walks w = walk(&options, start_h, reward);
        double same = SAME * (fabs(w.priced) + 1);
        assert_true(isfinite(w.priced));
        assert_true(w.coarse <= w.priced + same && w.fine <= w.priced + same);
        assert_true(w.by_hour <= w.priced + same);
        assert_true(w.coarse_visits > 0 && w.fine_visits > 0);
        apart += w.coarse < w.fine - same;
        weak += w.fine < w.priced - same;
        closer += w.by_hour > w.fine + same;
    }
    print_message("%d fields: the fine clock helps in %d of %d, a price of hours in %d, labels in "
                  "%d\n",
                  n_fields, apart, SEEDS, closer, weak);
    assert_true(apart > 0);
}

static void no_route_of_a_small_season_is_cheaper(void **state)
{
    (void)state;
    check(9, false, 0, 8);
    check(9, false, 20, 8);
}

static void no_route_of_a_dated_season_is_cheaper(void **state)
{
    (void)state;
    check(9, true, 0, 8);
}

/* Against the routes of a good plan, each of whose fields is rewarded with its share of the cost.
 */
static void check_routes(int n_fields, uint64_t seeds)
{
    double closest = INFINITY;
    for (uint64_t seed = 1; seed <= seeds; seed++) {
        bench_options options = {.n_fields = n_fields, .seed = seed, .n_weeds = 3};
        bench b = begin(&options);
        sb_routes routes;
        assert_int_equal(sb_routes_init(&routes, &b.fleet), SB_OK);
        sb_fleet_search_options search = {.seed = 1, .starts = 1, .moves = 40000, .heat = 1};
        assert_int_equal(sb_fleet_search(&b.fleet, &search, b.crew, NULL, NULL, &routes), SB_OK);
        assert_true(routes.count[0] > 0);
        double cost = sb_fleet_route_cost(&b.fleet, 0, routes.field, routes.level, routes.count[0],
                                          NULL, NULL, NULL);
        for (int t = 0; t < routes.count[0]; t++)
            b.pricer.reward[routes.field[t]] = cost / routes.count[0];
        /* Again and again: it remembers the circles it went in. */
        for (int time = 0; time < 3; time++) {
            double over_h;
            double coarse = sb_rest_walk(&b.pricer, 0, 0, &b.run, b.visits, &over_h);
            double fine = sb_rest_walk(&b.pricer, 1, 0, &b.run, b.visits, &over_h);
            double finest = sb_rest_walk(&b.pricer, 2, 0, &b.run, b.visits, &over_h);
            assert_true(fmax(fmax(coarse, fine), finest) <= SAME * cost);
            closest = fmin(closest, -fine / cost);
        }
        sb_routes_release(&routes);
        end(&b);
    }
    print_message("%d fields: at best within %.2f of the route\n", n_fields, closest);
}

/* Of more fields than there are moves on told apart. */
static void no_route_of_a_large_season_is_cheaper(void **state)
{
    (void)state;
    check_routes(46, 3);
}

/* Of so many that moves are put into groups. */
static void no_route_of_a_season_in_groups_is_cheaper(void **state)
{
    (void)state;
    check_routes(130, 1);
}

/* ---- The table itself ---- */

/* What j -> k after m costs with the seeds of j and of i, from which j was entered after l. */
static double exact_cost(const sb_problem *p, int i, int l, int j, int k, int m)
{
    double money = sb_fixed(p, j, k, m);
    size_t dims = (size_t)p->dims;
    for (size_t d = 0; d < dims; d++) {
        double held = p->own[(size_t)i * dims + d] * p->keep[(size_t)l * dims + d];
        double load = held * p->left[(size_t)j * dims + d] + p->own[(size_t)j * dims + d];
        money += load * p->keep[(size_t)m * dims + d] * p->shed[(size_t)k * dims + d];
    }
    return money;
}

/* No row makes a move dearer than it is after any of the ways that it stands for; of every
 * so-manieth field. */
static void check_rows(const bench *b, int every, bool in_groups)
{
    const sb_problem *p = b->pricer.p;
    const sb_rest *rest = &b->pricer.rest;
    long exact = 0, less = 0;
    for (int j = 0; j < p->n; j += every)
        for (int t = 0; t < rest->onto; t++)
            for (int m = 0; m < p->levels; m++) {
                int k = rest->next[j * p->n + t];
                size_t move = (size_t)((j * rest->onto + t) * p->levels + m);
                const double *onward = rest->onward + move * (size_t)rest->rows;
                for (int i = 0; i < p->n; i++)
                    for (int l = 0; l < p->levels; l++) {
                        int row = sb_rest_row(&b->pricer, i, j, l);
                        if (i == j || i == k || isinf(onward[row]))
                            continue;
                        double cost = exact_cost(p, i, l, j, k, m);
                        assert_true(onward[row] <= cost + SAME * fabs(cost));
                        assert_true(onward[0] <= onward[row] + SAME * fabs(cost));
                        exact += onward[row] >= cost - SAME * fabs(cost);
                        less += onward[row] < cost - SAME * fabs(cost);
                    }
            }
    print_message("%d fields: %ld ways as they are, %ld for less\n", p->n, exact, less);
    assert_true(exact > 0 && (less > 0) == in_groups);
}

/* Moves of the cheapest walks get rows of their own, and others lose theirs. */
static void check_rows_while_they_change(int n_fields, int every, bool in_groups)
{
    bench_options options = {.n_fields = n_fields, .seed = 1, .n_weeds = 3};
    bench b = begin(&options);
    const sb_rest *rest = &b.pricer.rest;
    sb_random random = sb_random_init(1, 3);
    long apart = 0;
    check_rows(&b, every, in_groups);
    for (int time = 0; time < 8; time++) {
        double over_h;
        for (int j = 0; j < b.fleet.n; j++)
            b.pricer.reward[j] = 3000 * sb_random_unit(&random);
        sb_rest_walk(&b.pricer, 0, 0, &b.run, b.visits, &over_h);
    }
    for (int t = 0; t < rest->n_steps; t++) {
        sb_rest_step step = rest->steps[t];
        sb_rest_tell_apart(&b.pricer, &step);
        apart += sb_rest_row(&b.pricer, step.from, step.to, step.level) >= rest->own_from;
    }
    assert_int_equal(apart, rest->n_steps);
    assert_true((apart > 0) == in_groups);
    check_rows(&b, every, in_groups);
    end(&b);
}

static void rows_never_count_more_than_came_before(void **state)
{
    (void)state;
    check_rows_while_they_change(9, 1, false);
    check_rows_while_they_change(130, 9, true);
}

static bool is_member_of_set(const sb_rest *rest, int j, unsigned set, int k)
{
    for (int bit = 0; bit < rest->members[j]; bit++)
        if ((set >> bit & 1) && rest->member[j * rest->most_bits + bit] == k)
            return true;
    return false;
}

/* The best way on from a cell, over all moves there are. */
static double best_on(const sb_pricer *w, int left, int j, unsigned set, int row)
{
    const sb_problem *p = w->p;
    const sb_rest *rest = &w->rest;
    const sb_rest_clock *clock = sb_rest_clock_of(rest);
    double best =
        p->home_h[j] <= left * clock->tick_h + SB_SAME_TIME_H ? sb_pricer_home(w, j) : INFINITY;
    for (int t = 0; t < p->n; t++)
        for (int m = 0; m < p->levels; m++) {
            int k = rest->next[j * p->n + t];
            size_t arc = sb_arc(p, j, k), near = (size_t)((j * rest->onto + t) * p->levels + m);
            int after = left - clock->ticks[arc * (size_t)p->levels + (size_t)m];
            if (k == j || after < 0 || is_member_of_set(rest, j, set, k))
                continue;
            double cost = t < rest->onto ? rest->onward[near * (size_t)rest->rows + (size_t)row]
                                         : rest->plain[(j * p->n + t) * p->levels + m];
            unsigned seen = rest->carried[(arc << rest->most_bits) + set];
            best = fmin(
                best, cost + sb_pricer_surcharge(w, j, k, m) +
                          (double)sb_rest_at(rest, p->n, after, k, seen)[sb_rest_row(w, j, k, m)]);
        }
    return best;
}

/* Every cell holds the best way on, whatever it did not look at. */
static void every_cell_is_the_best_of_all_moves(void **state)
{
    (void)state;
    long cells = 0;
    for (uint64_t seed = 1; seed <= 2; seed++) {
        bench_options options = {.n_fields = 46, .seed = seed, .n_weeds = 3};
        bench b = begin(&options);
        sb_random random = sb_random_init(seed, 1);
        for (int j = 0; j < b.fleet.n; j++)
            b.pricer.reward[j] = 2000 * sb_random_unit(&random);
        double over_h;
        for (int time = 0; time < 3; time++)
            sb_rest_walk(&b.pricer, 1, 0, &b.run, b.visits, &over_h);
        sb_pricing pricing = {.limit = INFINITY, .most_labels = 1000000};
        b.pricer.last_labels = 1000000; /* many: with the sets of what was seen */
        sb_rest_fill(&b.pricer, &pricing, &b.run);
        const sb_rest *rest = &b.pricer.rest;
        int remembered = 0;
        for (int time = 0; time < 30000; time++) {
            int left = (int)(sb_random_unit(&random) * sb_rest_clock_of(rest)->most);
            int j = (int)(sb_random_unit(&random) * b.fleet.n);
            int i = (int)(sb_random_unit(&random) * b.fleet.n);
            int l = (int)(sb_random_unit(&random) * b.pricer.p->levels);
            int members = rest->members[j] < rest->bits ? rest->members[j] : rest->bits;
            unsigned set = (unsigned)(sb_random_unit(&random) * (1u << members));
            int row = i == j ? 0 : sb_rest_row(&b.pricer, i, j, l);
            double best = best_on(&b.pricer, left, j, set, row);
            double held = (double)sb_rest_at(rest, b.fleet.n, left, j, set)[row];
            if (isinf(best)) {
                assert_true(isinf(held));
                continue;
            }
            assert_float_equal(held, best, 1e-6 * (fabs(best) + 1));
            assert_true(held <= best);
            remembered += set != 0;
            cells++;
        }
        assert_true(remembered > 100);
        end(&b);
    }
    print_message("%ld cells\n", cells);
    assert_true(cells > 20000);
}

static void eight_sets_are_looked_at_as_one_by_one(void **state)
{
    (void)state;
    sb_random random = sb_random_init(1, 2);
    int fits = 0;
    for (int trial = 0; trial < 2000; trial++) {
        uint64_t sets[8], members = sb_random_bits(&random) & sb_random_bits(&random);
        double numbers[8], most = sb_random_unit(&random);
        bool any = false;
        for (int k = 0; k < 8; k++) {
            sets[k] = sb_random_bits(&random);
            for (int thin = 0; thin < 4; thin++)
                sets[k] &= sb_random_bits(&random);
            numbers[k] = sb_random_unit(&random);
            any |= (sets[k] & members) == 0 && numbers[k] <= most;
        }
        assert_int_equal(sb_vector_any_fits(sets, numbers, members, most), any);
        fits += any;
    }
    assert_in_range(fits, 200, 1800);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_route_of_a_small_season_is_cheaper),
        cmocka_unit_test(no_route_of_a_dated_season_is_cheaper),
        cmocka_unit_test(no_route_of_a_large_season_is_cheaper),
        cmocka_unit_test(no_route_of_a_season_in_groups_is_cheaper),
        cmocka_unit_test(rows_never_count_more_than_came_before),
        cmocka_unit_test(every_cell_is_the_best_of_all_moves),
        cmocka_unit_test(eight_sets_are_looked_at_as_one_by_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
