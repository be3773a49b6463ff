/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The moves of the fleet's local search on random routes of random seasons, rules broken or kept:
 * what a move comes to at least, what it comes to, whether that is above a limit, and what the
 * routes come to when it was made. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/mem.h"
#include "bench_season.h"
#include "machines.h"
#include "order/fleet_moves.h"

#define SAME 1e-7 /* of what all routes come to */
#define RULE_PRICE 300.0
#define MOVES 4000
#define SEEDS 6

typedef struct table {
    sb_fleet fleet;
    sb_ways *ways;
    sb_near near;
    sb_routes_state state;
    sb_fleet_move move;
} table;

static void must(sb_status status)
{
    assert_int_equal(status, SB_OK);
}

static int *ints(int count)
{
    int *numbers = sb_alloc((size_t)count, sizeof *numbers);
    assert_non_null(numbers);
    return numbers;
}

static void note_places(table *t, int machine)
{
    const sb_route_state *r = &t->state.routes[machine];
    for (int at = 0; at < r->count; at++) {
        t->state.machine_of[r->field[at]] = machine;
        t->state.place_of[r->field[at]] = at;
    }
}

/* Fields in the order of their numbers, each behind those of a random machine that may cut it. */
static void deal_out(table *t)
{
    for (int j = 0; j < t->fleet.n; j++) {
        int m = sb_random_below(&t->state.random, t->fleet.machines);
        if (!t->fleet.may_cut[m * t->fleet.n + j])
            m = t->fleet.machines - 1 - m;
        sb_route_state *r = &t->state.routes[m];
        r->field[r->count] = j;
        r->level[r->count++] = sb_random_below(&t->state.random, r->p->levels);
    }
    for (int m = 0; m < t->fleet.machines; m++) {
        sb_route_refresh(&t->state.routes[m]);
        note_places(t, m);
    }
}

static void begin(table *t, const sb_season *season, uint64_t seed)
{
    *t = (table){0};
    must(sb_fleet_init(&t->fleet, season));
    int n = t->fleet.n, machines = t->fleet.machines;
    t->ways = sb_alloc((size_t)machines, sizeof *t->ways);
    t->state.routes = sb_alloc((size_t)machines, sizeof *t->state.routes);
    assert_true(t->ways != NULL && t->state.routes != NULL);
    for (int m = 0; m < machines; m++) {
        must(sb_ways_init(&t->ways[m], &t->fleet.problems[m]));
        must(sb_route_state_init(&t->state.routes[m], &t->fleet.problems[m], &t->ways[m],
                                 RULE_PRICE));
    }
    must(sb_near_init(&t->near, &t->fleet, t->ways));
    t->state.fleet = &t->fleet;
    t->state.near = &t->near;
    t->state.random = sb_random_init(seed, 7);
    t->state.machine_of = ints(n);
    t->state.place_of = ints(n);
    for (int c = 0; c < 2; c++) {
        t->move.change[c].field = ints(n);
        t->move.change[c].level = ints(n);
        t->move.change[c].stop_least = sb_alloc((size_t)n, sizeof(double));
        assert_non_null(t->move.change[c].stop_least);
    }
    deal_out(t);
}

static void end(table *t)
{
    for (int m = 0; m < t->fleet.machines; m++) {
        sb_route_state_release(&t->state.routes[m]);
        sb_ways_release(&t->ways[m]);
    }
    for (int c = 0; c < 2; c++) {
        sb_free(t->move.change[c].field);
        sb_free(t->move.change[c].level);
        sb_free(t->move.change[c].stop_least);
    }
    sb_free(t->state.machine_of);
    sb_free(t->state.place_of);
    sb_free(t->state.routes);
    sb_free(t->ways);
    sb_near_release(&t->near);
    sb_fleet_release(&t->fleet);
}

static double comes_to(const table *t, int machine)
{
    return t->state.routes[machine].total + t->state.routes[machine].total_broken;
}

/* How tight the screen is, and how many limits were exceeded. */
typedef struct tallies {
    int changes, tight, above;
} tallies;

/* One change of the move that was drawn, priced in full and then up to a limit around that. */
static double check_change(table *t, int c, tallies *tally)
{
    sb_change *change = &t->move.change[c];
    const sb_route_state *r = &t->state.routes[t->move.machine[c]];
    double scale = SAME * (1 + comes_to(t, t->move.machine[c]));
    sb_route_screen(r, change);
    assert_true(sb_route_price(r, change, INFINITY));
    double more = change->cost + change->broken;
    scale += SAME * fabs(more);
    assert_true(change->least <= more + scale);
    double most = more + (sb_random_unit(&t->state.random) - 0.5) * (fabs(more) + 1);
    bool below = sb_route_price(r, change, most);
    if (more < most - scale)
        assert_true(below && fabs(change->cost + change->broken - more) <= scale);
    if (below)
        assert_true(fabs(change->cost + change->broken - more) <= scale);
    assert_true(sb_route_price(r, change, INFINITY)); /* levels may have been left half chosen */
    tally->changes++;
    tally->tight += more - change->least < 0.1 * fabs(more);
    tally->above += !below;
    return more;
}

/* The routes after the move, taken for what applying left and worked out anew. */
static void check_applied(table *t, const double *expected)
{
    for (int c = 0; c < t->move.n_changes; c++) {
        int m = t->move.machine[c];
        sb_route_state *r = &t->state.routes[m];
        sb_route_apply(r, &t->move.change[c]);
        note_places(t, m);
        double scale = SAME * (1 + fabs(expected[c]) + comes_to(t, m));
        assert_true(fabs(comes_to(t, m) - expected[c]) <= scale);
        double slack_h = r->count > 0 ? r->stop[r->field[0]].slack_h : 0;
        double at_stake = r->before[r->count].at_stake;
        sb_route_refresh(r);
        assert_true(fabs(comes_to(t, m) - expected[c]) <= scale);
        assert_true(fabs(r->before[r->count].at_stake - at_stake) <= scale);
        if (r->count > 0 && isfinite(slack_h))
            assert_true(fabs(r->stop[r->field[0]].slack_h - slack_h) <= SAME);
    }
}

/* Moves are made or not by the toss of a coin that favours cheap ones. */
static void check_season(sb_season *season, uint64_t seed, tallies *tally)
{
    table t;
    begin(&t, season, seed);
    for (int k = 0; k < MOVES; k++) {
        if (!sb_fleet_move_propose(&t.state, &t.move))
            continue;
        double expected[2] = {0}, more = 0;
        for (int c = 0; c < t.move.n_changes; c++) {
            double change = check_change(&t, c, tally);
            expected[c] = comes_to(&t, t.move.machine[c]) + change;
            more += change;
        }
        if (sb_random_unit(&t.state.random) < (more < 0 ? 0.9 : 0.1))
            check_applied(&t, expected);
    }
    end(&t);
    sb_season_free(season);
}

static void check_tally(const char *what, const tallies *tally)
{
    print_message("%s: %d changes, %.0f %% screened to a tenth, %.0f %% above the limit\n", what,
                  tally->changes, 100.0 * tally->tight / tally->changes,
                  100.0 * tally->above / tally->changes);
    assert_true(tally->changes > MOVES * SEEDS / 4);
    assert_true(tally->tight > 0 && tally->above > tally->changes / 10);
}

static void moves_come_to_what_was_said_with_every_rule(void **state)
{
    (void)state;
    tallies tally = {0};
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        support_options rules = support_random_options(seed);
        check_season(support_random_fleet(seed, 14, &rules), seed, &tally);
    }
    check_tally("every rule", &tally);
}

static void moves_come_to_what_was_said_on_long_routes(void **state)
{
    (void)state;
    tallies tally = {0};
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        bench_options options = {
            .n_fields = 60, .seed = seed, .n_weeds = seed % 3 ? 3 : 0, .dates = seed % 2 == 0};
        check_season(support_fleet_season(&options, 3), seed, &tally);
    }
    check_tally("long routes", &tally);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(moves_come_to_what_was_said_with_every_rule),
        cmocka_unit_test(moves_come_to_what_was_said_on_long_routes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
