/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Why moves are as they are: every number against plans priced from nothing. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "bench_season.h"
#include "machines.h"
#include "plan/plan.h"
#include "plan/whatif.h"
#include "plans.h"
#include "seasons.h"

enum { N = 7 };

static sb_plan *price(const sb_season *season, const sb_plan *like)
{
    sb_plan *plan;
    assert_int_equal(sb_plan_copy(season, like, &plan), SB_OK);
    plan->proof.bound = -INFINITY;
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    return plan;
}

/** A plan over all machines of the season: fields dealt out in a random order, levels at random. */
static sb_plan *random_plan(const sb_season *season, uint64_t seed)
{
    support_random random = {seed};
    int order[32];
    size_t n = season->n_fields, machines = season->setup.n_machines, taken = 0;
    support_random_order(&random, order, n);
    sb_plan *plan;
    assert_int_equal(sb_plan_new(season, machines, &plan), SB_OK);
    for (size_t r = 0; r < machines; r++) {
        size_t stops = r + 1 < machines ? n / machines : n - taken;
        assert_int_equal(sb_route_init(season, (int)r, stops, &plan->routes[r]), SB_OK);
        for (size_t i = 0; i < stops; i++, taken++) {
            plan->routes[r].stops[i].field = order[taken];
            plan->routes[r].stops[i].cleanout =
                (int)support_random_below(&random, season->setup.n_cleanouts);
        }
    }
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    return plan;
}

static void same(double more, double after, double before)
{
    double scale = 1 + fabs(before) + fabs(after);
    assert_true(fabs(more - (after - before)) < 1e-11 * scale);
}

static void agree(const sb_season *season, const sb_plan *plan, const sb_plan *other,
                  const sb_otherwise *said)
{
    same(said->more.travel, other->cost.travel, plan->cost.travel);
    same(said->more.cleanout, other->cost.cleanout, plan->cost.cleanout);
    same(said->more.spread, other->cost.spread, plan->cost.spread);
    same(said->more.delay, other->cost.delay, plan->cost.delay);
    same(said->more.total, other->cost.total, plan->cost.total);
    assert_true(said->breaks == support_breaks_another(season, plan, other));
}

static void move_stop(sb_route *route, size_t from, size_t to)
{
    sb_stop moved = route->stops[from];
    for (size_t i = from; i < to; i++)
        route->stops[i] = route->stops[i + 1];
    for (size_t i = from; i > to; i--)
        route->stops[i] = route->stops[i - 1];
    route->stops[to] = moved;
}

static sb_plan *with_move(const sb_season *season, const sb_plan *plan, size_t r, size_t from,
                          size_t to)
{
    sb_plan *other = price(season, plan);
    move_stop(&other->routes[r], from, to);
    assert_int_equal(sb_plan_price(season, other), SB_OK);
    return other;
}

static void levels_agree(const sb_season *season, const sb_plan *plan, size_t r, size_t i)
{
    const sb_move *move = &plan->routes[r].moves[i];
    for (int level = 0; level < (int)season->setup.n_cleanouts; level++) {
        sb_plan *other = price(season, plan);
        other->routes[r].stops[i].cleanout = level;
        assert_int_equal(sb_plan_price(season, other), SB_OK);
        for (size_t k = 0; k < season->setup.n_weeds; k++) {
            double seeds = other->routes[r].stops[i].trace.ground[k];
            assert_true(fabs(move->brought[level][k] - seeds) <= 1e-11 * seeds);
        }
        if (level != plan->routes[r].stops[i].cleanout)
            agree(season, plan, other, &move->level[level]);
        sb_plan_free(other);
    }
}

/** The place named is as cheap as it is said to be, and no cheaper one keeps the rules. Only the
 * cheapest few are asked about rules, so one may be overlooked, but never a cheaper one. */
static bool place_agrees(const sb_season *season, const sb_plan *plan, size_t r, size_t i)
{
    const sb_route *route = &plan->routes[r];
    const sb_move *move = &route->moves[i];
    if (move->place >= 0) {
        sb_plan *other = with_move(season, plan, r, i, (size_t)move->place);
        agree(season, plan, other, &move->elsewhere);
        assert_false(move->elsewhere.breaks);
        sb_plan_free(other);
    }
    for (size_t to = 0; to < route->n_stops && move->place >= 0; to++) {
        sb_plan *other = with_move(season, plan, r, i, to);
        if (to != i && !support_breaks_another(season, plan, other))
            assert_true(other->cost.total - plan->cost.total >=
                        move->elsewhere.more.total - 1e-9 * plan->cost.total);
        sb_plan_free(other);
    }
    return move->place >= 0;
}

static void neighbours_agree(const sb_season *season, const sb_plan *plan, size_t r, size_t i)
{
    const sb_route *route = &plan->routes[r];
    const sb_move *move = &route->moves[i];
    assert_true(move->last == (i + 1 == route->n_stops));
    if (!move->last) {
        sb_plan *other = with_move(season, plan, r, i, i + 1);
        agree(season, plan, other, &move->swap);
        sb_plan_free(other);
    }
    int from = i > 0 ? route->stops[i - 1].field : sb_season_start_place(season, route->machine);
    for (size_t later = i + 1; later < route->n_stops; later++) {
        double km = sb_season_km(season, from, route->stops[later].field);
        assert_true(km >= (move->nearer >= 0 ? move->nearer_km : route->stops[i].km));
    }
    if (move->nearer >= 0) {
        assert_true(move->nearer_km < route->stops[i].km);
        sb_plan *other = with_move(season, plan, r, (size_t)move->nearer, i);
        agree(season, plan, other, &move->first);
        sb_plan_free(other);
    }
}

static int more_lost(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x < y) - (x > y);
}

/** The three gifts are the three largest losses of the ledger. */
static void gifts_agree(const sb_season *season, const sb_plan *plan, size_t r, size_t i)
{
    const sb_move *move = &plan->routes[r].moves[i];
    int to = plan->routes[r].stops[i].field;
    double losses[64 * SB_MAX_WEEDS];
    size_t n = 0;
    for (size_t from = 0; from <= season->n_fields; from++)
        for (size_t k = 0; k < season->setup.n_weeds; k++) {
            double seeds =
                plan->ledger
                    .ground[(from * season->n_fields + (size_t)to) * season->setup.n_weeds + k];
            if (seeds > 0)
                losses[n++] = seeds * season->fields[to].loss_per_seed[k];
        }
    qsort(losses, n, sizeof *losses, more_lost);
    assert_int_equal(move->n_gifts, n < SB_GIFTS ? n : SB_GIFTS);
    for (size_t g = 0; g < move->n_gifts; g++) {
        const sb_gift *gift = &move->gifts[g];
        assert_true(gift->loss == losses[g] && gift->seeds > 0);
        assert_true(gift->loss == gift->seeds * season->fields[to].loss_per_seed[gift->weed]);
    }
}

static size_t placed;

static void every_move_agrees(const sb_season *season, uint64_t seed)
{
    sb_plan *plan = random_plan(season, seed);
    assert_int_equal(sb_plan_explain_moves(season, plan), SB_OK);
    for (size_t r = 0; r < plan->n_routes; r++)
        for (size_t i = 0; i < plan->routes[r].n_stops; i++) {
            levels_agree(season, plan, r, i);
            placed += place_agrees(season, plan, r, i);
            neighbours_agree(season, plan, r, i);
            gifts_agree(season, plan, r, i);
        }
    sb_plan_free(plan);
}

static void moves_agree_with_pricing_again(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 40; seed++) {
        support_options options = support_random_options(seed);
        options.missing_ways = false; /* every plan has a price */
        sb_season *season = support_random_season(seed, N, &options);
        every_move_agrees(season, seed);
        sb_season_free(season);
    }
    assert_true(placed > 100);
}

/** The dates of machines that share cleaning sites or wait for each other hang together. */
static void moves_of_several_machines_agree_with_pricing_again(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        support_options options = support_random_options(seed);
        options.missing_ways = false;
        sb_season *season = support_random_fleet(seed, N, &options);
        assert_true(season->setup.n_machines > 1);
        every_move_agrees(season, seed);
        sb_season_free(season);
    }
}

/** In a plan that is proven cheapest nothing is cheaper that keeps the rules. */
static void nothing_is_better_in_a_cheapest_plan(void **state)
{
    (void)state;
    size_t nearer = 0;
    for (uint64_t seed = 1; seed <= 3; seed++) {
        bench_options options = {.n_fields = 9, .seed = seed, .n_weeds = 3};
        sb_season *season = bench_season(&options);
        sb_order_options how;
        sb_order_options_init(&how);
        how.threads = 1;
        sb_plan *plan;
        assert_int_equal(sb_order(season, &how, NULL, &plan), SB_OK);
        assert_true(sb_plan_optimal(plan));
        assert_int_equal(sb_plan_explain_moves(season, plan), SB_OK);
        double least = -2e-7 * plan->cost.total;
        for (size_t i = 0; i < plan->routes[0].n_stops; i++) {
            const sb_move *move = &plan->routes[0].moves[i];
            for (size_t l = 0; l < season->setup.n_cleanouts; l++)
                assert_true(move->level[l].breaks || move->level[l].more.total >= least);
            assert_true(move->place < 0 || move->elsewhere.more.total >= least);
            assert_true(move->swap.breaks || move->swap.more.total >= least);
            assert_true(move->first.breaks || move->first.more.total >= least);
            nearer += move->nearer >= 0;
        }
        sb_plan_free(plan);
        sb_season_free(season);
    }
    assert_true(nearer > 0);
}

static void a_missing_way_elsewhere_does_not_hide_the_price_here(void **state)
{
    (void)state;
    sb_season *season = support_season_new(5, 2);
    support_set_density(season, 0, 1, 0.05);
    sb_plan *plan;
    assert_int_equal(sb_plan_new_single(season, 0, 5, &plan), SB_OK);
    for (int i = 0; i < 5; i++)
        plan->routes[0].stops[i].field = i;
    support_set_km(season, 3, 4, NAN);
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    assert_true(isinf(plan->cost.total));
    assert_int_equal(sb_plan_explain_moves(season, plan), SB_OK);
    const sb_move *second = &plan->routes[0].moves[1], *last = &plan->routes[0].moves[4];
    double cost = sb_season_cleanout_cost(season, 3);
    assert_true(fabs(second->level[3].more.cleanout - cost) < 1e-9 * cost);
    assert_true(second->level[3].more.travel == 0 && second->level[3].more.spread < 0);
    /* Out of order the last field is reached: the plan gets a price where it had none. */
    assert_false(last->elsewhere.more.total > 0);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void a_change_leaves_the_next_one_as_it_would_be(void **state)
{
    (void)state;
    support_options options = support_every_rule();
    options.missing_ways = false;
    sb_season *season = support_random_season(3, N, &options);
    sb_plan *plan = random_plan(season, 3);
    sb_whatif *used, *fresh;
    sb_cost a, b;
    assert_int_equal(sb_whatif_new(season, plan, &used), SB_OK);
    for (size_t from = 0; from < N; from++)
        for (size_t to = 0; to < N; to++) {
            assert_int_equal(sb_whatif_new(season, plan, &fresh), SB_OK);
            assert_int_equal(sb_whatif_move(used, 0, from, to, &a), SB_OK);
            assert_int_equal(sb_whatif_move(fresh, 0, from, to, &b), SB_OK);
            assert_true(a.total == b.total && a.spread == b.spread && a.delay == b.delay);
            sb_whatif_free(fresh);
        }
    sb_whatif_free(used);
    sb_plan_free(plan);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(moves_agree_with_pricing_again),
        cmocka_unit_test(moves_of_several_machines_agree_with_pricing_again),
        cmocka_unit_test(nothing_is_better_in_a_cheapest_plan),
        cmocka_unit_test(a_missing_way_elsewhere_does_not_hide_the_price_here),
        cmocka_unit_test(a_change_leaves_the_next_one_as_it_would_be),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
