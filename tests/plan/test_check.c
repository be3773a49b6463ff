/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The checker finds each broken rule and each falsified claim, and nothing else. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/mem.h"
#include "base/report.h"
#include "plan/plan.h"
#include "seasons.h"

/** Three fields cut in order; the first is weedy, the second entered after a blow-down. */
typedef struct trial {
    sb_season *season;
    sb_plan *plan;
    sb_report *report;
    size_t broken;
    sb_status status;
} trial;

static int set_up(void **state)
{
    trial *t = sb_alloc(1, sizeof *t);
    t->season = support_season_new(3, 2);
    t->report = sb_report_new();
    sb_free(t->season->setup.machines[0].id);
    t->season->setup.machines[0].id = sb_strdup("red");
    support_set_density(t->season, 0, 0, 0.1);
    assert_int_equal(sb_plan_new_single(t->season, 0, 3, &t->plan), SB_OK);
    for (int i = 0; i < 3; i++)
        t->plan->routes[0].stops[i].field = i;
    t->plan->routes[0].stops[1].cleanout = 1;
    *state = t;
    return 0;
}

static int tear_down(void **state)
{
    trial *t = *state;
    sb_plan_free(t->plan);
    sb_season_free(t->season);
    sb_report_free(t->report);
    sb_free(t);
    return 0;
}

static void price(trial *t)
{
    assert_int_equal(sb_plan_price(t->season, t->plan), SB_OK);
}

static void check(trial *t)
{
    t->status = sb_plan_check(t->season, t->plan, SB_WARNING, t->report, &t->broken);
}

/** Prices and checks, and expects one broken rule with this message and no false claim. */
static void expect_broken(trial *t, const char *text)
{
    price(t);
    check(t);
    assert_int_equal(t->status, SB_OK);
    assert_int_equal(t->broken, 1);
    assert_int_equal(sb_report_count(t->report), 1);
    assert_int_equal(sb_report_get(t->report, 0).severity, SB_WARNING);
    assert_string_equal(sb_report_get(t->report, 0).text, text);
}

/** Prices and checks, and expects no complaint. */
static void expect_fine(trial *t)
{
    price(t);
    check(t);
    assert_int_equal(t->status, SB_OK);
    assert_int_equal(t->broken, 0);
    assert_int_equal(sb_report_count(t->report), 0);
}

static void an_honest_plan_passes(void **state)
{
    expect_fine(*state);
}

static void a_field_left_out_is_named(void **state)
{
    trial *t = *state;
    t->plan->routes[0].n_stops = 2;
    expect_broken(t, "'Field 3' is left out of the plan");
}

static void a_field_cut_twice_is_named(void **state)
{
    trial *t = *state;
    support_set_density(t->season, 0, 0, 0);
    sb_plan_free(t->plan);
    assert_int_equal(sb_plan_new_single(t->season, 0, 4, &t->plan), SB_OK);
    for (int i = 0; i < 4; i++)
        t->plan->routes[0].stops[i].field = i % 3;
    expect_broken(t, "'Field 1' is cut 2 times");
}

static void a_missing_way_is_named(void **state)
{
    trial *t = *state;
    support_set_km(t->season, 1, 2, NAN);
    expect_broken(t, "there is no way from 'Field 2' to 'Field 3'");
}

static void a_missing_way_home_is_named(void **state)
{
    trial *t = *state;
    support_set_km(t->season, 2, 3, NAN);
    expect_broken(t, "there is no way from 'Field 3' to 'Shop'");
}

static void entry_demands_the_cleanout_before_the_move(void **state)
{
    trial *t = *state;
    t->season->fields[1].entry = 1;
    expect_fine(t);
    t->season->fields[1].entry = 2;
    expect_broken(t, "'Field 2' demands cleanout 'thorough' before entry, the plan does "
                     "'blowdown'");
}

static void the_first_move_may_use_the_cleanout_on_record(void **state)
{
    trial *t = *state;
    t->season->fields[0].entry = 2;
    t->season->joins[0].start_cleanout = 3;
    expect_fine(t);
    t->season->joins[0].start_cleanout = 1;
    expect_broken(t, "'Field 1' demands cleanout 'thorough' before entry, the plan does 'none'");
}

static void the_record_is_worth_nothing_after_the_first_field(void **state)
{
    trial *t = *state;
    t->season->joins[0].start_cleanout = 3;
    t->season->fields[2].entry = 1;
    expect_broken(t, "'Field 3' demands cleanout 'blowdown' before entry, the plan does 'none'");
}

static void latest_is_the_evening_of_that_day(void **state)
{
    trial *t = *state;
    /* Cutting takes 5 h a field, a way a quarter: the third is finished on the second day. */
    t->season->fields[2].latest_day = t->season->setup.calendar.start_day + 1;
    expect_fine(t);
    t->season->fields[2].latest_day = t->season->setup.calendar.start_day;
    t->season->setup.cleanouts[1].minutes = 15;
    expect_broken(t, "'Field 3' must be cut by 2026-08-01, the plan finishes it at "
                     "2026-08-02T15:00");
}

static void cutting_before_ready_is_found(void **state)
{
    trial *t = *state;
    t->season->fields[0].ready_day = t->season->setup.calendar.start_day + 1;
    expect_fine(t); /* the machine waits */
    t->plan->routes[0].stops[0].arrive_h = 3;
    check(t);
    assert_int_equal(t->status, SB_ERR_INTERNAL);
    assert_int_equal(t->broken, 1);
    assert_string_equal(sb_report_get(t->report, 1).text,
                        "'Field 1' is ready on 2026-08-02, the plan begins to cut it at "
                        "2026-08-01T12:00");
}

static void after_is_kept(void **state)
{
    trial *t = *state;
    support_add_after(t->season, 2, 0);
    expect_fine(t);
    support_add_after(t->season, 0, 1);
    expect_broken(t, "'Field 1' must be cut after 'Field 2', the plan cuts it before");
}

static void seeds_per_ha_are_limited(void **state)
{
    trial *t = *state;
    price(t);
    double per_ha = t->plan->routes[0].stops[1].trace.ground[0] / 20;
    assert_true(per_ha > 50);
    t->season->fields[1].limit_seeds_ha[0] = per_ha;
    t->season->fields[1].limit_seeds_ha[1] = 0;
    expect_fine(t);
    t->season->fields[1].limit_seeds_ha[0] = 50;
    price(t);
    check(t);
    assert_int_equal(t->broken, 1);
    assert_non_null(sb_report_get(t->report, 0).text);
}

static void tank_seeds_per_kg_are_limited(void **state)
{
    trial *t = *state;
    price(t);
    double per_kg = t->plan->routes[0].stops[1].trace.tank[0] / 68000;
    t->season->fields[1].tank_limit_seeds_kg = per_kg;
    expect_fine(t);
    t->season->fields[1].tank_limit_seeds_kg = per_kg * (1 - 1e-6);
    check(t);
    assert_int_equal(t->status, SB_OK);
    assert_int_equal(t->broken, 1);
}

static void full_cleanouts_are_limited_but_for_the_final_one(void **state)
{
    trial *t = *state;
    t->season->joins[0].final_cleanout = t->plan->routes[0].final_cleanout = 3;
    t->season->setup.limits.full_cleanouts = 1;
    t->plan->routes[0].stops[1].cleanout = 3;
    expect_fine(t);
    t->plan->routes[0].stops[2].cleanout = 3;
    expect_broken(t, "at most 1 full cleanouts are allowed, the plan does 2");
}

static void losses_of_a_grower_are_limited_together(void **state)
{
    trial *t = *state;
    int ash = support_add_grower(t->season, "Ash");
    t->season->fields[1].grower = t->season->fields[2].grower = ash;
    double loss = 0;
    expect_fine(t);
    for (size_t i = 0; i < t->plan->routes[0].n_stops; i++)
        if (t->season->fields[t->plan->routes[0].stops[i].field].grower == ash)
            loss += t->plan->routes[0].stops[i].loss;
    assert_true(loss > 0);
    t->season->setup.limits.loss_per_grower = loss;
    expect_fine(t);
    char words[160];
    t->season->setup.limits.loss_per_grower = loss / 2;
    snprintf(words, sizeof words,
             "the fields of grower 'Ash' may receive seeds worth %g USD of expected loss, the plan "
             "brings %g",
             loss / 2, loss);
    expect_broken(t, words);
}

/* A cap that names somebody else is not broken by Ash. */
static void losses_of_a_grower_who_is_named_are_limited(void **state)
{
    trial *t = *state;
    int ash = support_add_grower(t->season, "Ash");
    double loss = 0;
    char words[160];
    t->season->fields[1].grower = t->season->fields[2].grower = ash;
    expect_fine(t);
    for (size_t i = 0; i < t->plan->routes[0].n_stops; i++)
        if (t->season->fields[t->plan->routes[0].stops[i].field].grower == ash)
            loss += t->plan->routes[0].stops[i].loss;
    snprintf(words, sizeof words,
             "the fields of grower 'Ash' may receive seeds worth %g USD of expected loss, the plan "
             "brings %g",
             loss / 2, loss);
    int birch = support_add_grower(t->season, "Birch");
    t->season->grower_most = sb_alloc(t->season->n_growers, sizeof *t->season->grower_most);
    assert_non_null(t->season->grower_most);
    for (size_t g = 0; g < t->season->n_growers; g++)
        t->season->grower_most[g] = INFINITY;
    t->season->grower_most[birch] = loss / 2;
    expect_fine(t);
    t->season->grower_most[ash] = loss / 2;
    expect_broken(t, words);
}

static void cleaning_money_is_limited_but_for_the_final_cleanout(void **state)
{
    trial *t = *state;
    t->plan->routes[0].final_cleanout = 3;
    double once = sb_season_cleanout_cost(t->season, 1);
    t->season->setup.limits.cleaning_cost = once;
    expect_fine(t);
    t->season->setup.limits.cleaning_cost = 1;
    t->season->setup.cleanouts[1].people = 2;
    t->season->setup.cleanouts[1].minutes = 24;
    t->season->setup.cleanouts[1].supplies_cost = 0;
    expect_broken(t, "at most 1 USD may be spent on cleanouts, the plan spends 60");
}

static void the_final_cleanout_is_demanded(void **state)
{
    trial *t = *state;
    t->season->joins[0].final_cleanout = 2;
    t->plan->routes[0].final_cleanout = 3;
    expect_fine(t);
    t->plan->routes[0].final_cleanout = -1;
    expect_broken(t, "machine 'red' must end the season with cleanout 'thorough', the plan does "
                     "'none'");
}

static void season_hours_run_from_the_start_of_the_calendar(void **state)
{
    trial *t = *state;
    sb_machine *machine = &t->season->setup.machines[0];
    t->season->setup.cleanouts[1].minutes = 15;
    t->season->fields[0].ready_day = t->season->setup.calendar.start_day + 1;
    /* A day of 10 h of waiting, 3 fields of 5 h, 3 more ways of 0.25 h, a cleanout of 0.25 h. */
    machine->season_hours = 26;
    expect_fine(t);
    machine->season_hours = 25.5;
    expect_broken(t, "machine 'red' has 25.5 hours this season, the plan takes 26");
}

static void the_calendar_ends(void **state)
{
    trial *t = *state;
    t->season->setup.cleanouts[1].minutes = 15;
    t->season->setup.calendar.end_day = t->season->setup.calendar.start_day + 1;
    expect_fine(t);
    t->season->setup.calendar.end_day--;
    expect_broken(t, "the season ends on 2026-08-01, machine 'red' is back and clean at "
                     "2026-08-02T15:15");
}

/** Adds a little to a number that the plan claims, and expects the lie to be found. */
static void expect_lie_found(trial *t, double *claimed)
{
    double honest = *claimed;
    size_t said = sb_report_count(t->report);
    check(t);
    assert_int_equal(t->status, SB_OK);
    *claimed = honest * (1 + 1e-8) + 1e-8;
    check(t);
    assert_int_equal(t->status, SB_ERR_INTERNAL);
    assert_int_equal(t->broken, 0);
    assert_int_equal(sb_report_count(t->report), said + 1);
    assert_int_equal(sb_report_get(t->report, said).severity, SB_ERROR);
    *claimed = NAN;
    check(t);
    assert_int_equal(t->status, SB_ERR_INTERNAL);
    *claimed = honest;
}

static void every_false_claim_is_found(void **state)
{
    trial *t = *state;
    t->season->fields[2].best_before_day = t->season->setup.calendar.start_day;
    t->season->fields[2].delay_cost_per_day = 7;
    price(t);
    sb_route *route = &t->plan->routes[0];
    for (int i = 0; i < 3; i++) {
        sb_stop *stop = &route->stops[i];
        expect_lie_found(t, &stop->km);
        expect_lie_found(t, &stop->leave_h);
        expect_lie_found(t, &stop->arrive_h);
        expect_lie_found(t, &stop->finish_h);
        expect_lie_found(t, &stop->loss);
        expect_lie_found(t, &stop->delay_cost);
        for (int w = 0; w < 2; w++) {
            expect_lie_found(t, &stop->trace.ground[w]);
            expect_lie_found(t, &stop->trace.tank[w]);
        }
    }
    expect_lie_found(t, &route->km_home);
    expect_lie_found(t, &route->km_total);
    expect_lie_found(t, &route->home_h);
    expect_lie_found(t, &route->end_h);
    expect_lie_found(t, &t->plan->cost.travel);
    expect_lie_found(t, &t->plan->cost.cleanout);
    expect_lie_found(t, &t->plan->cost.spread);
    expect_lie_found(t, &t->plan->cost.delay);
    expect_lie_found(t, &t->plan->cost.total);
    expect_lie_found(t, &t->plan->ledger.ground[(0 * 3 + 1) * 2]);
}

static void a_bound_above_the_cost_is_a_lie(void **state)
{
    trial *t = *state;
    price(t);
    t->plan->proof.bound = t->plan->cost.total;
    check(t);
    assert_int_equal(t->status, SB_OK);
    t->plan->proof.bound = t->plan->cost.total * (1 + 1e-6);
    check(t);
    assert_int_equal(t->status, SB_ERR_INTERNAL);
}

static void priced_plans_never_lie(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 300; seed++) {
        support_options options = support_random_options(seed);
        support_random random = {seed};
        enum { N = 9 };
        int order[N];
        size_t broken;
        sb_season *season = support_random_season(seed, N, &options);
        sb_plan *plan;
        assert_int_equal(sb_plan_new_single(season, 0, N, &plan), SB_OK);
        support_random_order(&random, order, N);
        for (int i = 0; i < N; i++) {
            plan->routes[0].stops[i].field = order[i];
            plan->routes[0].stops[i].cleanout =
                (int)support_random_below(&random, season->setup.n_cleanouts);
        }
        assert_int_equal(sb_plan_price(season, plan), SB_OK);
        assert_int_equal(sb_plan_check(season, plan, SB_NOTE, NULL, &broken), SB_OK);
        sb_plan_free(plan);
        sb_season_free(season);
    }
}

/** Next permutation in dictionary order; false after the last. */
static bool next_order(int *order, int n)
{
    int i = n - 2;
    while (i >= 0 && order[i] > order[i + 1])
        i--;
    if (i < 0)
        return false;
    int j = n - 1;
    while (order[j] < order[i])
        j--;
    int swap = order[i];
    order[i] = order[j];
    order[j] = swap;
    for (int a = i + 1, b = n - 1; a < b; a++, b--) {
        swap = order[a];
        order[a] = order[b];
        order[b] = swap;
    }
    return true;
}

/** How many of all orders and levels keep every rule. */
static size_t plans_that_keep_the_rules(const sb_season *season, size_t *tried)
{
    enum { N = 4 };
    sb_plan *plan;
    int order[N] = {0, 1, 2, 3};
    size_t n_levels = season->setup.n_cleanouts, n_choices = 1, good = 0;
    assert_int_equal(sb_plan_new_single(season, 0, N, &plan), SB_OK);
    for (int i = 0; i < N; i++)
        n_choices *= n_levels;
    *tried = 0;
    do
        for (size_t choice = 0; choice < n_choices; choice++, ++*tried) {
            size_t broken, rest = choice;
            for (int i = 0; i < N; i++, rest /= n_levels) {
                plan->routes[0].stops[i].field = order[i];
                plan->routes[0].stops[i].cleanout = (int)(rest % n_levels);
            }
            assert_int_equal(sb_plan_price_only(season, plan), SB_OK);
            assert_int_equal(sb_plan_check(season, plan, SB_NOTE, NULL, &broken), SB_OK);
            good += broken == 0;
        }
    while (next_order(order, N));
    sb_plan_free(plan);
    return good;
}

static void a_feasible_random_season_has_a_plan_and_rules_that_bind(void **state)
{
    (void)state;
    size_t bound_by_rules = 0, impossible = 0;
    for (uint64_t seed = 1; seed <= 12; seed++) {
        support_options options = support_every_rule();
        size_t tried;
        options.n_levels = 3;
        sb_season *season = support_random_season(seed, 4, &options);
        size_t good = plans_that_keep_the_rules(season, &tried);
        assert_true(good > 0);
        bound_by_rules += good < tried / 2;
        sb_season_free(season);

        options.feasible = false;
        season = support_random_season(seed, 4, &options);
        impossible += plans_that_keep_the_rules(season, &tried) == 0;
        sb_season_free(season);
    }
    assert_true(bound_by_rules > 6);
    assert_true(impossible > 0);
}

#define WITH_TRIAL(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_TRIAL(an_honest_plan_passes),
        WITH_TRIAL(a_field_left_out_is_named),
        WITH_TRIAL(a_field_cut_twice_is_named),
        WITH_TRIAL(a_missing_way_is_named),
        WITH_TRIAL(a_missing_way_home_is_named),
        WITH_TRIAL(entry_demands_the_cleanout_before_the_move),
        WITH_TRIAL(the_first_move_may_use_the_cleanout_on_record),
        WITH_TRIAL(the_record_is_worth_nothing_after_the_first_field),
        WITH_TRIAL(latest_is_the_evening_of_that_day),
        WITH_TRIAL(cutting_before_ready_is_found),
        WITH_TRIAL(after_is_kept),
        WITH_TRIAL(seeds_per_ha_are_limited),
        WITH_TRIAL(tank_seeds_per_kg_are_limited),
        WITH_TRIAL(full_cleanouts_are_limited_but_for_the_final_one),
        WITH_TRIAL(losses_of_a_grower_are_limited_together),
        WITH_TRIAL(losses_of_a_grower_who_is_named_are_limited),
        WITH_TRIAL(cleaning_money_is_limited_but_for_the_final_cleanout),
        WITH_TRIAL(the_final_cleanout_is_demanded),
        WITH_TRIAL(season_hours_run_from_the_start_of_the_calendar),
        WITH_TRIAL(the_calendar_ends),
        WITH_TRIAL(every_false_claim_is_found),
        WITH_TRIAL(a_bound_above_the_cost_is_a_lie),
        cmocka_unit_test(priced_plans_never_lie),
        cmocka_unit_test(a_feasible_random_season_has_a_plan_and_rules_that_bind),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
