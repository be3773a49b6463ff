/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Settlements: nothing is lost between ledger and growers, shares are those of costs found by
 * trying everything, and cleanouts are charged by their rules. */
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
#include "seasons.h"
#include "settle/settle.h"
#include "settle/shapley.h"

/* Names "Grower 1"... and gives the fields to them in turn; every `unnamed`-th field to nobody. */
static void give_growers(sb_season *season, size_t n, size_t unnamed)
{
    season->growers = sb_alloc(n, sizeof *season->growers);
    season->n_growers = n;
    for (size_t g = 0; g < n; g++) {
        char name[32];
        snprintf(name, sizeof name, "Grower %zu", g + 1);
        assert_true(sb_copy_text(&season->growers[g], name));
    }
    for (size_t i = 0; i < season->n_fields; i++)
        season->fields[i].grower = unnamed > 0 && i % unnamed == unnamed - 1 ? -1 : (int)(i % n);
}

/* A second machine like the first, `dearer` times as dear on the road. */
static void add_machine(sb_season *season, double dearer)
{
    sb_setup extra;
    size_t n = season->setup.n_machines;
    assert_int_equal(sb_setup_copy(&season->setup, &extra), SB_OK);
    season->setup.machines = sb_resize(season->setup.machines, n + 1, sizeof(sb_machine));
    season->joins = sb_resize(season->joins, n + 1, sizeof *season->joins);
    sb_machine *machine = &season->setup.machines[n];
    *machine = extra.machines[0];
    extra.machines[0] = (sb_machine){0};
    sb_setup_release(&extra);
    sb_free(machine->id);
    assert_true(sb_copy_text(&machine->id, "second"));
    machine->cost_per_km *= dearer;
    machine->cost_per_hour *= dearer;
    season->joins[n] = season->joins[0];
    season->setup.n_machines = n + 1;
}

static sb_order_options one_thread(void)
{
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    return options;
}

static sb_plan *order(const sb_season *season)
{
    sb_order_options options = one_thread();
    sb_plan *plan = NULL;
    options.machine = season->setup.machines[0].id;
    assert_int_equal(sb_order(season, &options, NULL, &plan), SB_OK);
    return plan;
}

static sb_settlement *settle(const sb_season *season, const sb_plan *plan)
{
    sb_order_options options = one_thread();
    sb_settlement *settlement = NULL;
    assert_int_equal(sb_settle(season, plan, &options, NULL, &settlement), SB_OK);
    return settlement;
}

/* The order and levels given, one machine. */
static sb_plan *plan_of(const sb_season *season, const int *field, const int *level)
{
    sb_plan *plan = NULL;
    assert_int_equal(sb_plan_new_single(season, 0, season->n_fields, &plan), SB_OK);
    for (size_t i = 0; i < season->n_fields; i++) {
        plan->routes[0].stops[i].field = field[i];
        plan->routes[0].stops[i].cleanout = level[i];
    }
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    return plan;
}

static double sum(const double *values, size_t n)
{
    double all = 0;
    for (size_t i = 0; i < n; i++)
        all += values[i];
    return all;
}

/* ---- Nothing is lost ---- */

static void check_sums(const sb_season *season, const sb_plan *plan, const sb_settlement *s)
{
    size_t pairs = (s->n_parties + 1) * s->n_parties * s->n_weeds;
    for (int scheme = 0; scheme < SB_N_SCHEMES; scheme++) {
        const sb_exchange *exchange = &s->schemes[scheme];
        if (!exchange->known)
            continue;
        double scale = 1e-9 * (1 + exchange->cost.total);
        assert_float_equal(sum(exchange->loss, pairs), exchange->cost.spread, scale);
        assert_float_equal(sum(exchange->bears, s->n_parties), exchange->cost.total, scale);
        if (plan->proof.optimal)
            assert_true(exchange->cost.total >= plan->cost.total - scale);
    }
    const double *ground = plan->ledger.ground;
    size_t cells = (season->n_fields + 1) * season->n_fields * s->n_weeds;
    double seeds = sum(ground, cells);
    assert_float_equal(sum(s->schemes[SB_SCHEME_PLAN].seeds, pairs), seeds, 1e-9 * (1 + seeds));
    double billed = 0;
    for (size_t b = 0; b < s->n_bills; b++) {
        const sb_bill *bill = &s->bills[b];
        assert_float_equal(sum(bill->pays, s->n_parties), bill->cost, 1e-9 * (1 + bill->cost));
        for (size_t p = 0; p < s->n_parties; p++)
            assert_true(bill->pays[p] >= 0);
        billed += bill->cost;
    }
    assert_float_equal(billed, plan->cost.cleanout, 1e-9 * (1 + billed));
    assert_float_equal(sum(s->cleaning, s->n_parties), billed, 1e-9 * (1 + billed));
    if (s->fair.known)
        assert_float_equal(sum(s->fair.share, s->n_parties), plan->cost.total,
                           1e-9 * (1 + plan->cost.total));
}

static void all_that_is_given_is_received_and_all_that_it_costs_is_borne(void **state)
{
    (void)state;
    int with_rivals = 0, with_shares = 0, without = 0;
    for (uint64_t seed = 1; seed <= 6; seed++) {
        support_options options = support_random_options(seed);
        sb_season *season = support_random_season(seed, 6, &options);
        give_growers(season, 3, seed % 3 == 0 ? 4 : 0);
        sb_plan *plan = order(season);
        sb_settlement *settlement = settle(season, plan);
        check_sums(season, plan, settlement);
        with_rivals += settlement->schemes[SB_SCHEME_CLEANEST_FIRST].known;
        with_shares += settlement->fair.known;
        without += !settlement->fair.known;
        sb_settlement_free(settlement);
        sb_plan_free(plan);
        sb_season_free(season);
    }
    assert_true(with_rivals > 1 && with_shares > 2);
    print_message("%d shared, %d not\n", with_shares, without);
}

static void fields_of_nobody_are_one_growers(void **state)
{
    (void)state;
    sb_season *season = support_season_new(5, 1);
    give_growers(season, 2, 2); /* 1, -, 1, -, 1: nothing is left for the second */
    sb_plan *plan = order(season);
    sb_settlement *s = settle(season, plan);
    assert_int_equal(s->n_parties, 2);
    assert_string_equal(s->parties[0].name, "Grower 1");
    assert_string_equal(s->parties[1].name, "no grower named");
    assert_int_equal(s->parties[0].n_fields, 3);
    assert_float_equal(s->parties[1].area_ha, 40, 1e-9);
    sb_settlement_free(s);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* ---- Fair shares ---- */

/* The cheapest season of some growers' fields from `first` to before `end` on some machine, by
 * trying everything. */
static double brute_part(const sb_season *season, int machine, unsigned members, size_t first,
                         size_t end)
{
    bool fields[8] = {false}, machines[2] = {false};
    sb_season *part;
    brute_counts counts = {0};
    for (size_t i = 0; i < season->n_fields; i++)
        fields[i] = i >= first && i < end && members >> season->fields[i].grower & 1;
    machines[machine] = true;
    assert_int_equal(sb_season_copy(season, fields, machines, &part), SB_OK);
    double cost = brute_best(part, &counts);
    sb_season_free(part);
    return cost;
}

static double brute_cost(const sb_season *season, int machine, unsigned members)
{
    return brute_part(season, machine, members, 0, season->n_fields);
}

static void shares_follow_from_costs_found_by_trying_everything(void **state)
{
    (void)state;
    for (uint64_t seed = 21; seed <= 24; seed++) {
        support_options options = {.n_weeds = 2,
                                   .n_levels = 3,
                                   .dates = seed % 2 == 0,
                                   .delay = seed % 3 == 0,
                                   .start_load = true,
                                   .final_cleanout = true,
                                   .two_way_roads = true,
                                   .feasible = true};
        sb_season *season = support_random_season(seed, 6, &options);
        give_growers(season, 3, 0);
        double cost[8] = {0}, share[3];
        for (unsigned members = 1; members < 8; members++)
            cost[members] = brute_cost(season, 0, members);
        sb_shapley(3, cost, share);
        sb_plan *plan = order(season);
        sb_settlement *s = settle(season, plan);
        assert_true(s->fair.known && s->fair.exact);
        assert_int_equal(s->fair.coalitions, 6);
        assert_int_equal(s->fair.proven, 6);
        for (int p = 0; p < 3; p++) {
            assert_float_equal(s->fair.share[p], share[p], 1e-6 * (1 + cost[7]));
            assert_float_equal(s->alone[p].cost, cost[1 << p], 1e-6 * (1 + cost[7]));
            assert_int_equal(s->alone[p].machine, 0);
            double together = s->schemes[SB_SCHEME_CLEANEST_FIRST].bears[p];
            assert_float_equal(sb_settlement_alternative(s, (size_t)p),
                               fmin(s->alone[p].cost, together), 0);
        }
        sb_settlement_free(s);
        sb_plan_free(plan);
        sb_season_free(season);
    }
}

/* Two machines, each with one field of everybody in the plan. Counts how often the split of the
 * plan is cheaper than any one machine. */
static int count_split(uint64_t seed, double dearer)
{
    support_options options = {.n_weeds = 2, .n_levels = 3, .feasible = true};
    sb_season *season = support_random_season(seed, 6, &options);
    give_growers(season, 3, 0);
    add_machine(season, dearer);
    sb_plan *plan = NULL;
    assert_int_equal(sb_plan_new(season, 2, &plan), SB_OK);
    for (int m = 0; m < 2; m++) {
        sb_route *route = &plan->routes[m];
        assert_int_equal(sb_route_init(season, m, 3, route), SB_OK);
        for (int i = 0; i < 3; i++)
            route->stops[i] = (sb_stop){.field = 3 * m + i, .cleanout = 1};
    }
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    sb_settlement *s = settle(season, plan);
    check_sums(season, plan, s);
    assert_true(s->fair.known && s->fair.exact);
    int split = 0;
    for (int p = 0; p < 3; p++) {
        double first = brute_cost(season, 0, 1u << p), second = brute_cost(season, 1, 1u << p);
        double both = brute_part(season, 0, 1u << p, 0, 3) + brute_part(season, 1, 1u << p, 3, 6);
        assert_float_equal(s->alone[p].cost, fmin(both, fmin(first, second)), 1e-6);
        assert_int_equal(s->alone[p].machine, both < fmin(first, second) ? -1 : first > second);
        split += s->alone[p].machine < 0;
    }
    sb_settlement_free(s);
    sb_plan_free(plan);
    sb_season_free(season);
    return split;
}

static void alone_the_machines_cheapest_for_them_are_taken(void **state)
{
    (void)state;
    int split = 0;
    for (uint64_t seed = 5; seed < 8; seed++)
        split += count_split(seed, seed % 2 == 0 ? 0.1 : 0.8);
    assert_in_range(split, 1, 8); /* of 9: both kinds were seen */
}

static void who_could_leave_is_told(void **state)
{
    (void)state;
    support_options options = {.n_weeds = 1, .n_levels = 2, .feasible = true};
    sb_season *season = support_random_season(8, 6, &options);
    give_growers(season, 2, 0);
    sb_plan *best = order(season);
    sb_settlement *content = settle(season, best);
    /* The worst order there is: by falling distance, a deep clean before each. */
    int field[] = {0, 5, 1, 4, 2, 3}, level[] = {1, 1, 1, 1, 1, 1};
    sb_plan *bad = plan_of(season, field, level);
    sb_settlement *s = settle(season, bad);
    double most = 0;
    for (int p = 0; p < 2; p++)
        most = fmax(most, s->fair.share[p] - s->alone[p].cost);
    assert_true(most > 0);
    assert_float_equal(s->fair.leaving_saves, most, 1e-9 * most);
    for (int p = 0; p < 2; p++)
        if (content->fair.leaving == 0)
            assert_true(content->fair.share[p] <= content->alone[p].cost + 1e-6);
    sb_settlement_free(s);
    sb_settlement_free(content);
    sb_plan_free(bad);
    sb_plan_free(best);
    sb_season_free(season);
}

static bool at_once(void *context)
{
    (void)context;
    return true;
}

static void sampled_shares_do_not_depend_on_threads(void **state)
{
    (void)state;
    support_options options = {.n_weeds = 1, .n_levels = 2, .feasible = true};
    sb_season *season = support_random_season(3, 11, &options);
    give_growers(season, 11, 0);
    sb_plan *plan = order(season);
    sb_settlement *s[2];
    for (int i = 0; i < 2; i++) {
        sb_order_options how = one_thread();
        how.threads = i == 0 ? 1 : 3;
        assert_int_equal(sb_settle(season, plan, &how, NULL, &s[i]), SB_OK);
        assert_true(s[i]->fair.known && !s[i]->fair.exact && !s[i]->fair.stopped);
        assert_true(s[i]->fair.orders >= 20 && s[i]->fair.orders % 2 == 0);
    }
    assert_memory_equal(s[0]->fair.share, s[1]->fair.share, 11 * sizeof *s[0]->fair.share);
    assert_memory_equal(s[0]->fair.deviation, s[1]->fair.deviation, 11 * sizeof *s[0]->fair.share);
    for (int p = 0; p < 11; p++) {
        assert_true(s[0]->fair.deviation[p] > 0);
        /* Each is a coalition too, so nobody's alone is a guess. */
        assert_true(isfinite(s[0]->alone[p].cost) && s[0]->alone[p].proven);
    }
    check_sums(season, plan, s[0]);
    sb_settlement_free(s[0]);
    sb_settlement_free(s[1]);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Cut short, every coalition keeps the plan's order: two samples of one game. */
static void samples_of_two_seeds_agree_within_their_errors(void **state)
{
    (void)state;
    support_options options = {.n_weeds = 1, .n_levels = 2, .feasible = true};
    sb_season *season = support_random_season(3, 11, &options);
    give_growers(season, 11, 0);
    sb_plan *plan = order(season);
    sb_settlement *s[2];
    for (uint64_t i = 0; i < 2; i++) {
        sb_order_options how = one_thread();
        how.stop = at_once;
        how.seed = 1 + i;
        assert_int_equal(sb_settle(season, plan, &how, NULL, &s[i]), SB_OK);
        assert_true(s[i]->fair.known && s[i]->fair.stopped);
    }
    assert_memory_not_equal(s[0]->fair.share, s[1]->fair.share, 11 * sizeof *s[0]->fair.share);
    for (int p = 0; p < 11; p++) {
        double apart = s[0]->fair.share[p] - s[1]->fair.share[p];
        double error = hypot(s[0]->fair.deviation[p], s[1]->fair.deviation[p]);
        assert_true(error > 0 && fabs(apart) < 5 * error);
    }
    sb_settlement_free(s[0]);
    sb_settlement_free(s[1]);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void growers_who_cannot_drive_alone_are_named(void **state)
{
    (void)state;
    sb_season *season = support_season_new(3, 1);
    give_growers(season, 3, 0);
    for (int from = 1; from < 4; from++) /* the first field is reached through the third only */
        if (from != 2)
            support_set_km(season, from, 0, NAN);
    sb_plan *plan = order(season);
    sb_report *report = sb_report_new();
    sb_order_options options = one_thread();
    sb_settlement *s = NULL;
    assert_int_equal(sb_settle(season, plan, &options, report, &s), SB_OK);
    assert_false(s->fair.known);
    assert_true(sb_report_count(report) > 0);
    sb_message last = sb_report_get(report, sb_report_count(report) - 1);
    assert_int_equal(last.severity, SB_WARNING);
    assert_string_equal(last.text,
                        "no plan was found for the fields of 'Grower 1' alone: the cost cannot "
                        "be split fairly");
    assert_true(isinf(s->alone[0].cost));
    assert_true(isfinite(s->alone[1].cost));
    check_sums(season, plan, s);
    sb_settlement_free(s);
    sb_report_free(report);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void a_settlement_cut_short_says_so_and_still_adds_up(void **state)
{
    (void)state;
    support_options options = {.n_weeds = 1, .n_levels = 2, .feasible = true};
    sb_season *season = support_random_season(4, 6, &options);
    give_growers(season, 3, 0);
    sb_plan *plan = order(season);
    sb_order_options how = one_thread();
    sb_settlement *s = NULL;
    how.stop = at_once;
    assert_int_equal(sb_settle(season, plan, &how, NULL, &s), SB_OK);
    assert_true(s->fair.stopped && s->fair.known);
    assert_int_equal(s->fair.proven, 0);
    check_sums(season, plan, s);
    sb_settlement_free(s);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* ---- Cleanouts ---- */

/* Three fields of three growers: the first foul, the others clean; a deep clean before the second.
 */
static sb_season *foul_and_clean(void)
{
    sb_season *season = support_season_new(3, 1);
    give_growers(season, 3, 0);
    support_set_density(season, 0, 0, 2);
    return season;
}

static const int IN_ORDER[] = {0, 1, 2};

static void whose_seeds_it_stops_pays_for_the_cleanout(void **state)
{
    (void)state;
    sb_season *season = foul_and_clean();
    const int level[] = {0, 3, 0};
    sb_plan *plan = plan_of(season, IN_ORDER, level), *bare;
    bare = plan_of(season, IN_ORDER, (const int[]){0, 0, 0});
    sb_settlement *s = settle(season, plan);
    assert_int_equal(s->n_bills, 1);
    assert_int_equal(s->bills[0].charge, SB_CHARGE_STOPPED);
    assert_int_equal(s->bills[0].field, 1);
    assert_float_equal(s->bills[0].pays[0], s->bills[0].cost, 1e-9);
    assert_float_equal(s->bills[0].prevents, bare->cost.spread - plan->cost.spread, 1e-6);
    sb_settlement_free(s);
    sb_plan_free(bare);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Twice the seeds, twice the money: two foul fields before the cleanout, one with twice the
 * density, cut so that the machine holds what both gave. */
static void two_foul_fields_share_by_what_is_stopped_of_each(void **state)
{
    (void)state;
    sb_season *season = foul_and_clean();
    support_set_density(season, 1, 0, 1);
    const int level[] = {0, 0, 3};
    sb_plan *plan = plan_of(season, IN_ORDER, level);
    sb_plan *bare = plan_of(season, IN_ORDER, (const int[]){0, 0, 0});
    sb_settlement *s = settle(season, plan);
    double stopped[2], loss_per_seed = season->fields[2].loss_per_seed[0];
    for (size_t from = 0; from < 2; from++)
        stopped[from] =
            (bare->ledger.ground[from * 3 + 2] - plan->ledger.ground[from * 3 + 2]) * loss_per_seed;
    assert_true(stopped[0] > 0 && stopped[1] > 0);
    const sb_bill *bill = &s->bills[0];
    assert_float_equal(bill->pays[0], bill->cost * stopped[0] / (stopped[0] + stopped[1]), 1e-9);
    assert_float_equal(bill->pays[2], 0, 0);
    sb_settlement_free(s);
    sb_plan_free(bare);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void what_a_demanded_cleanout_costs_beyond_its_use_is_paid_by_who_demands(void **state)
{
    (void)state;
    sb_season *season = foul_and_clean();
    const int level[] = {0, 3, 0};
    season->fields[1].entry = 3;
    for (int i = 1; i < 3; i++)
        season->fields[i].loss_per_seed[0] = 1e-5; /* hardly any loss to prevent */
    sb_plan *plan = plan_of(season, IN_ORDER, level);
    sb_settlement *s = settle(season, plan);
    const sb_bill *bill = &s->bills[0];
    assert_int_equal(bill->charge, SB_CHARGE_DEMANDED);
    assert_true(bill->prevents > 0 && bill->prevents < bill->cost);
    assert_float_equal(bill->pays[0], bill->prevents, 1e-9);
    assert_float_equal(bill->pays[1], bill->cost - bill->prevents, 1e-9);
    sb_settlement_free(s);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void a_cleanout_that_stops_nothing_is_paid_by_whose_field_it_is_for(void **state)
{
    (void)state;
    sb_season *season = foul_and_clean();
    sb_plan *plan = plan_of(season, (const int[]){1, 2, 0}, (const int[]){0, 1, 0});
    sb_settlement *s = settle(season, plan);
    assert_int_equal(s->bills[0].charge, SB_CHARGE_FIELD);
    assert_float_equal(s->bills[0].pays[2], s->bills[0].cost, 1e-9);
    sb_settlement_free(s);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void seeds_from_before_the_season_and_the_final_cleanout_go_by_hectares(void **state)
{
    (void)state;
    sb_season *season = support_season_new(3, 1);
    give_growers(season, 3, 0);
    support_set_area(season, 2, 60);
    season->joins[0].start_seeds[sb_pool(1, true) * SB_MAX_WEEDS] = 1e6;
    season->joins[0].final_cleanout = 3;
    sb_plan *plan = plan_of(season, IN_ORDER, (const int[]){3, 0, 0});
    sb_settlement *s = settle(season, plan);
    assert_int_equal(s->n_bills, 2);
    assert_int_equal(s->bills[0].charge, SB_CHARGE_STOPPED);
    assert_int_equal(s->bills[1].charge, SB_CHARGE_FINAL);
    assert_int_equal(s->bills[1].field, -1);
    for (int b = 0; b < 2; b++)
        for (int p = 0; p < 3; p++)
            assert_float_equal(s->bills[b].pays[p], s->bills[b].cost * (p == 2 ? 0.6 : 0.2), 1e-9);
    sb_settlement_free(s);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* ---- The door ---- */

static void a_plan_that_is_no_plan_is_the_callers_mistake(void **state)
{
    (void)state;
    sb_season *season = support_season_new(2, 1);
    sb_plan *plan = plan_of(season, IN_ORDER, IN_ORDER), *short_plan = NULL;
    sb_settlement *s = (sb_settlement *)(void *)plan;
    sb_order_options options = one_thread();
    assert_int_equal(sb_settle(season, NULL, &options, NULL, &s), SB_ERR_ARG);
    assert_null(s);
    assert_int_equal(sb_settle(NULL, plan, &options, NULL, &s), SB_ERR_ARG);
    assert_int_equal(sb_settle(season, plan, NULL, NULL, &s), SB_ERR_ARG);
    assert_int_equal(sb_settle(season, plan, &options, NULL, NULL), SB_ERR_ARG);
    assert_int_equal(sb_plan_new_single(season, 0, 1, &short_plan), SB_OK);
    assert_int_equal(sb_plan_price(season, short_plan), SB_OK);
    assert_int_equal(sb_settle(season, short_plan, &options, NULL, &s), SB_ERR_ARG);
    sb_settlement_free(NULL);
    sb_plan_free(short_plan);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void no_memory_at_any_allocation_leaks_nothing(void **state)
{
    (void)state;
    sb_season *season = foul_and_clean();
    season->fields[2].grower = 0;
    sb_plan *plan = order(season);
    sb_order_options options = one_thread();
    long live = sb_mem_live(), failed = 0;
    sb_status status = SB_ERR_NOMEM;
    for (long budget = 0; status == SB_ERR_NOMEM; budget += 1 + budget / 12) {
        sb_settlement *s = NULL;
        sb_report *report = sb_report_new();
        sb_mem_set_budget(budget);
        status = sb_settle(season, plan, &options, report, &s);
        sb_mem_set_budget(-1);
        failed += status == SB_ERR_NOMEM;
        if (status != SB_OK)
            assert_null(s);
        sb_settlement_free(s);
        sb_report_free(report);
        assert_int_equal(sb_mem_live(), live);
    }
    assert_int_equal(status, SB_OK);
    assert_true(failed > 40);
    sb_plan_free(plan);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_that_is_given_is_received_and_all_that_it_costs_is_borne),
        cmocka_unit_test(fields_of_nobody_are_one_growers),
        cmocka_unit_test(shares_follow_from_costs_found_by_trying_everything),
        cmocka_unit_test(alone_the_machines_cheapest_for_them_are_taken),
        cmocka_unit_test(who_could_leave_is_told),
        cmocka_unit_test(sampled_shares_do_not_depend_on_threads),
        cmocka_unit_test(samples_of_two_seeds_agree_within_their_errors),
        cmocka_unit_test(growers_who_cannot_drive_alone_are_named),
        cmocka_unit_test(a_settlement_cut_short_says_so_and_still_adds_up),
        cmocka_unit_test(whose_seeds_it_stops_pays_for_the_cleanout),
        cmocka_unit_test(two_foul_fields_share_by_what_is_stopped_of_each),
        cmocka_unit_test(what_a_demanded_cleanout_costs_beyond_its_use_is_paid_by_who_demands),
        cmocka_unit_test(a_cleanout_that_stops_nothing_is_paid_by_whose_field_it_is_for),
        cmocka_unit_test(seeds_from_before_the_season_and_the_final_cleanout_go_by_hectares),
        cmocka_unit_test(a_plan_that_is_no_plan_is_the_callers_mistake),
        cmocka_unit_test(no_memory_at_any_allocation_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
