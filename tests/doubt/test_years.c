/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Years ahead: the published chain, matrix powers, and the first years by hand. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/mem.h"
#include "doubt/years.h"
#include "plan/plan.h"
#include "plans.h"
#include "seasons.h"

static void assert_near(double value, double expected)
{
    assert_true(fabs(value - expected) <= 1e-11 * fmax(1e-30, fabs(expected)));
}

/* Loux, Ohio State University ANR-76: 1,000,000 seeds x 0.20 viable x 0.25 germinate x 0.01 escape
 * 99 % control = 500 plants, half of them female = 250; x 1,000,000 seeds x 0.20 x 0.25 =
 * 12,500,000 plants; x 0.01 = 125,000. */
static void the_published_chain_comes_out(void **state)
{
    (void)state;
    const sb_weed weed = {
        .seeds_per_plant = 0.5 * 1e6, /* of the mean plant: half are female */
        .viability = 0.20,
        .emergence = 0.25,
        .survival = 1,
        .control = 0.99,
        .crowding_plants_m2 = INFINITY,
    };
    const sb_bank_rates no_later = {0};
    sb_bank bank = {0};
    sb_bank_harvest(&bank, &weed, 0, 1e6);
    assert_near(bank.fresh * weed.emergence, 50000);
    double plants = sb_bank_year(&bank, &weed, &no_later);
    assert_near(plants, 500);
    sb_bank_harvest(&bank, &weed, plants, 0);
    assert_near(bank.fresh * weed.emergence, 12500000);
    assert_near(sb_bank_year(&bank, &weed, &no_later), 125000);
}

/* Seeds lost as published: a fifth left after 12 months, 5 % after 36. */
static void the_bank_empties_as_published(void **state)
{
    (void)state;
    const sb_weed weed = {.viability = 1, .crowding_plants_m2 = 1};
    sb_bank bank = {.fresh = 1};
    sb_bank_year(&bank, &weed, &sb_bank_published);
    assert_near(bank.old, 0.20);
    sb_bank_year(&bank, &weed, &sb_bank_published);
    sb_bank_year(&bank, &weed, &sb_bank_published);
    assert_near(bank.old, 0.05);
}

/* Without crowding a year is linear in fresh and old seeds:
 *     fresh' = v s q (e fresh + e2 old) + v b,  old' = k1 fresh + k2 old,  q = survival (1 -
 * control) and n years are the n-th power of the matrix, taken by squaring. */
static void many_years_are_a_power_of_the_matrix(void **state)
{
    (void)state;
    const sb_weed weed = {
        .seeds_per_plant = 3000,
        .viability = 0.9,
        .emergence = 0.14,
        .survival = 0.8,
        .control = 0.99,
        .crowding_plants_m2 = INFINITY,
    };
    const sb_bank_rates *rates = &sb_bank_published;
    const double brought_m2 = 0.7, start_m2 = 0.02;
    double q = weed.survival * (1 - weed.control), vs = weed.viability * weed.seeds_per_plant;
    /* State: fresh, old, 1. */
    double base[3][3] = {
        {vs * q * weed.emergence, vs * q * rates->emergence_later, weed.viability * brought_m2},
        {rates->kept_first, rates->kept_later, 0},
        {0, 0, 1}};
    double power[3][3] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
    for (int n = 13; n > 0; n /= 2) {
        double product[3][3];
        for (int square = 0; square <= 1; square++) {
            if (!square && n % 2 == 0)
                continue;
            double(*left)[3] = square ? base : power;
            for (int i = 0; i < 3; i++)
                for (int j = 0; j < 3; j++) {
                    product[i][j] = 0;
                    for (int k = 0; k < 3; k++)
                        product[i][j] += left[i][k] * base[k][j];
                }
            for (int i = 0; i < 3; i++)
                for (int j = 0; j < 3; j++)
                    left[i][j] = product[i][j];
        }
    }
    double first = vs * start_m2 + weed.viability * brought_m2;
    double fresh = power[0][0] * first + power[0][2], old = power[1][0] * first + power[1][2];
    sb_bank bank = {0};
    double plants = start_m2;
    sb_bank_harvest(&bank, &weed, plants, brought_m2);
    for (int year = 0; year < 13; year++) {
        plants = sb_bank_year(&bank, &weed, rates);
        sb_bank_harvest(&bank, &weed, plants, brought_m2);
    }
    assert_near(bank.fresh, fresh);
    assert_near(bank.old, old);
}

/* Beside `crowding` others a plant bears half of what it bears alone. */
static void crowded_plants_bear_fewer_seeds(void **state)
{
    (void)state;
    const sb_weed weed = {.seeds_per_plant = 100, .viability = 1, .crowding_plants_m2 = 2};
    sb_bank bank = {0};
    sb_bank_harvest(&bank, &weed, 2, 0);
    assert_near(bank.fresh, 100);
    bank.fresh = 0;
    sb_bank_harvest(&bank, &weed, 1e9, 0);
    assert_true(bank.fresh < 200 && bank.fresh > 199.9);
}

static sb_years *look(const sb_season *season, const sb_plan *plan, size_t n)
{
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    sb_years *years;
    assert_int_equal(sb_years_ahead(season, plan, n, &options, &years), SB_OK);
    return years;
}

/** Three fields of 20 ha: the first full of kochia, the second with a trace, the third clean. */
static sb_season *three_fields(void)
{
    sb_season *season = support_season_new(3, 2);
    support_set_density(season, 0, 1, 2);
    support_set_density(season, 1, 1, 0.001);
    sb_season_derive(season);
    return season;
}

static void the_first_year_is_as_by_hand(void **state)
{
    (void)state;
    sb_season *season = three_fields();
    sb_plan *plan = support_plan(season); /* in order; none, blowdown, thorough */
    sb_years *years = look(season, plan, 2);
    const sb_weed *kochia = &season->setup.weeds[1];
    for (size_t i = 0; i < 3; i++) {
        double density = season->fields[i].ratings[1].density_plants_m2;
        double brought_m2 = sb_ledger_brought(&plan->ledger, (int)i, 1) / 200000;
        double own_m2 = density * kochia->seeds_per_plant / (1 + density / 1.0);
        double next = 0.9 * (own_m2 + brought_m2) * 0.14 * 0.9 * 0.05;
        assert_near(sb_years_density(years, SB_ROUTINE_SAME_PLAN, 0, i, 1), density);
        assert_near(sb_years_density(years, SB_ROUTINE_SAME_PLAN, 1, i, 1), next);
        assert_near(sb_years_density(years, SB_ROUTINE_REORDERED, 1, i, 1), next);
        assert_near(sb_years_density(years, SB_ROUTINE_SAME_PLAN, 2, i, 0), 0);
    }
    assert_near(years->spent[SB_ROUTINE_SAME_PLAN * 2 + 1],
                plan->cost.travel + plan->cost.cleanout);
    assert_near(years->spent[SB_ROUTINE_NO_CLEANING * 2], plan->cost.travel);
    assert_near(years->spread[SB_ROUTINE_SAME_PLAN * 2], plan->cost.spread);
    assert_near(years->spread[SB_ROUTINE_REORDERED * 2], plan->cost.spread);
    assert_true(years->spread[SB_ROUTINE_NO_CLEANING * 2] > plan->cost.spread);
    sb_years_free(years);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void cleaning_keeps_fields_clean_for_longer(void **state)
{
    (void)state;
    sb_season *season = three_fields();
    sb_plan *plan = support_plan(season);
    for (int t = 1; t < 3; t++)
        plan->routes[0].stops[t].cleanout = 3;
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    sb_years *years = look(season, plan, 4);
    for (size_t year = 1; year <= 4; year++)
        for (size_t i = 1; i < 3; i++)
            assert_true(sb_years_density(years, SB_ROUTINE_SAME_PLAN, year, i, 1) <
                        sb_years_density(years, SB_ROUTINE_NO_CLEANING, year, i, 1));
    assert_int_equal(sb_years_weedy(years, SB_ROUTINE_SAME_PLAN, 0, 1), 0);
    assert_true(sb_years_weedy(years, SB_ROUTINE_NO_CLEANING, 2, 1) <=
                sb_years_weedy(years, SB_ROUTINE_SAME_PLAN, 2, 1));
    assert_int_equal(sb_years_weedy(years, SB_ROUTINE_SAME_PLAN, 2, 0),
                     5); /* never: no such weed */
    sb_years_free(years);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void a_year_without_a_plan_keeps_the_old_one(void **state)
{
    (void)state;
    sb_season *season = three_fields();
    sb_plan *plan = support_plan(season);
    /* Fine while the trace is a trace; then no order and no cleanout keeps it. */
    season->fields[2].limit_seeds_ha[1] = 1e-3;
    season->fields[0].limit_seeds_ha[1] = 1e-3;
    sb_years *years = look(season, plan, 2);
    assert_false(years->kept_old[SB_ROUTINE_REORDERED * 2]);
    assert_true(years->kept_old[SB_ROUTINE_REORDERED * 2 + 1]);
    for (size_t i = 0; i < 3; i++)
        assert_near(sb_years_density(years, SB_ROUTINE_REORDERED, 2, i, 1),
                    sb_years_density(years, SB_ROUTINE_SAME_PLAN, 2, i, 1));
    sb_years_free(years);
    sb_plan_free(plan);
    sb_season_free(season);
}

typedef struct told {
    size_t calls, whole, asked;
    double last_s, last_done;
} told;

static void listen(const sb_progress *now, void *context)
{
    told *t = context;
    assert_true(now->elapsed_s >= t->last_s && now->done >= t->last_done && now->done <= 1);
    t->last_s = now->elapsed_s;
    t->last_done = now->done;
    t->calls++;
    t->whole += isinf(now->cost); /* between two years no plan is at work */
}

static bool never(void *context)
{
    ((told *)context)->asked++;
    return false;
}

static void it_tells_how_many_years_are_done(void **state)
{
    (void)state;
    sb_season *season = three_fields();
    sb_plan *plan = support_plan(season);
    sb_order_options options;
    sb_order_options_init(&options);
    told t = {0};
    options.progress = listen;
    options.stop = never;
    options.context = &t;
    sb_years *years;
    assert_int_equal(sb_years_ahead(season, plan, 4, &options, &years), SB_OK);
    assert_true(t.last_done == 1 && t.whole >= 3 && t.calls > t.whole);
    assert_true(t.asked > 0);
    sb_years_free(years);
    t = (told){0};
    assert_int_equal(sb_years_ahead(season, plan, 1, &options, &years), SB_OK);
    assert_int_equal(t.calls, 0); /* this year's plan is given */
    sb_years_free(years);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void comes_back_from_every_lack_of_memory(void **state)
{
    (void)state;
    sb_season *season = three_fields();
    sb_plan *plan = support_plan(season);
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    long live = sb_mem_live();
    for (long budget = 0;; budget += 7) {
        sb_years *years;
        sb_mem_set_budget(budget);
        sb_status status = sb_years_ahead(season, plan, 1, &options, &years);
        sb_mem_set_budget(-1);
        sb_years_free(years);
        assert_int_equal(sb_mem_live(), live);
        if (status == SB_OK)
            break;
        assert_int_equal(status, SB_ERR_NOMEM);
    }
    sb_years *none;
    assert_int_equal(sb_years_ahead(season, plan, 0, &options, &none), SB_ERR_ARG);
    assert_int_equal(sb_years_ahead(season, plan, 51, &options, &none), SB_ERR_ARG);
    sb_plan_free(plan);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_published_chain_comes_out),
        cmocka_unit_test(the_bank_empties_as_published),
        cmocka_unit_test(many_years_are_a_power_of_the_matrix),
        cmocka_unit_test(crowded_plants_bear_fewer_seeds),
        cmocka_unit_test(the_first_year_is_as_by_hand),
        cmocka_unit_test(cleaning_keeps_fields_clean_for_longer),
        cmocka_unit_test(a_year_without_a_plan_keeps_the_old_one),
        cmocka_unit_test(it_tells_how_many_years_are_done),
        cmocka_unit_test(comes_back_from_every_lack_of_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
