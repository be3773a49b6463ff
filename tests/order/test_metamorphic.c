/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Seasons too large for brute force: what must not change the least cost does not change it, and
 * what can only raise it does not lower it. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "bench_season.h"
#include "plan/plan.h"
#include "random.h"
#include "seasons.h"

#define SAME_COST 1e-6 /* relative: an order of magnitude above the proof's own tolerance */

/* Fields of a season: fewer where rules make the proof long. Sanitizers slow it down some ten
 * times. */
#ifdef __SANITIZE_ADDRESS__
#define SEEDS 1
#define LARGE 12
#define DATED 10
#define LIMITED 10
#else
#define SEEDS 2
#define LARGE 20
#define DATED 12
#define LIMITED 14
#endif

/* A larger season that is proven within a few seconds, for the checks that need one run only. */
#define LARGEST 30
#define LARGEST_SEED 2

static void *must(void *p)
{
    if (p == NULL)
        abort();
    return p;
}

static sb_season *made(int n_fields, uint64_t seed, int n_weeds, bool dates)
{
    bench_options options = {n_fields, seed, n_weeds, dates};
    return must(bench_season(&options));
}

/* The plan, proven; NULL when the season has none. The caller frees it. */
static sb_plan *order_with(const sb_season *season, int threads)
{
    sb_order_options how;
    sb_order_options_init(&how);
    how.threads = threads;
    sb_report *report = sb_report_new();
    sb_plan *plan = NULL;
    sb_status status = sb_order(season, &how, report, &plan);
    for (size_t i = 0; status != SB_OK && i < sb_report_count(report); i++)
        print_message("  %s\n", sb_report_get(report, i).text);
    sb_report_free(report);
    assert_true(status == SB_OK || status == SB_ERR_INFEASIBLE);
    assert_true(status == SB_ERR_INFEASIBLE || sb_plan_optimal(plan));
    return plan;
}

static sb_plan *order(const sb_season *season)
{
    return order_with(season, 0);
}

/* The least cost; INFINITY when no plan keeps the rules. */
static double least_cost(const sb_season *season)
{
    sb_plan *plan = order(season);
    double cost = plan == NULL ? INFINITY : sb_plan_cost(plan).total;
    sb_plan_free(plan);
    return cost;
}

static void assert_same_cost(double found, double expected)
{
    if (!(fabs(found - expected) <= SAME_COST * expected))
        print_message("cost %.9g, expected %.9g\n", found, expected);
    assert_true(fabs(found - expected) <= SAME_COST * expected);
}

/* ---- What must not change the least cost --------------------------------------------------- */

/* Field i becomes field label[i]. */
static void relabel_fields(sb_season *season)
{
    size_t n = season->n_fields, places = season->n_places;
    support_random random = {n};
    int *label = must(sb_alloc(places, sizeof *label));
    sb_field *fields = must(sb_alloc(n, sizeof *fields));
    double *km = must(sb_alloc(places * places, sizeof *km));
    support_random_order(&random, label, n);
    for (size_t yard = n; yard < places; yard++)
        label[yard] = (int)yard;
    for (size_t i = 0; i < n; i++) {
        fields[label[i]] = season->fields[i];
        for (size_t a = 0; a < fields[label[i]].n_after; a++)
            fields[label[i]].after[a] = label[fields[label[i]].after[a]];
    }
    for (size_t i = 0; i < places; i++)
        for (size_t j = 0; j < places; j++)
            km[(size_t)label[i] * places + (size_t)label[j]] = season->km[i * places + j];
    sb_free(season->fields);
    sb_free(season->km);
    sb_free(label);
    season->fields = fields;
    season->km = km;
}

static void scale_money(sb_season *season, double factor)
{
    sb_machine *machine = &season->setup.machines[0];
    machine->cost_per_km *= factor;
    machine->cost_per_hour *= factor;
    season->setup.wage_per_hour *= factor;
    season->setup.lost_time_per_hour *= factor;
    season->setup.limits.cleaning_cost *= factor;
    for (size_t l = 0; l < season->setup.n_cleanouts; l++)
        season->setup.cleanouts[l].supplies_cost *= factor;
    for (size_t j = 0; j < season->n_fields; j++) {
        season->fields[j].delay_cost_per_day *= factor;
        for (size_t k = 0; k < season->setup.n_weeds; k++)
            season->fields[j].loss_per_seed[k] *= factor;
    }
}

/* The threshing section becomes two of half its mass; everything else of them is the same. */
static void split_section(sb_season *season)
{
    sb_setup *setup = &season->setup;
    sb_machine *machine = &setup->machines[0];
    size_t whole = (size_t)sb_find_section(setup, "threshing"), half = setup->n_sections;
    machine->sections = must(sb_resize(machine->sections, half + 1, sizeof *machine->sections));
    machine->sections[whole].kg /= 2;
    machine->sections[half] = machine->sections[whole];
    machine->sections[half].id = must(sb_strdup("other_half"));
    machine->sections[half].name = must(sb_strdup("Other half"));
    machine->sections[half].source = NULL;
    for (size_t l = 0; l < setup->n_cleanouts; l++) {
        setup->cleanouts[l].keep_loose[half] = setup->cleanouts[l].keep_loose[whole];
        setup->cleanouts[l].keep_lodged[half] = setup->cleanouts[l].keep_lodged[whole];
    }
    for (size_t pool = 0; pool < 2; pool++)
        for (size_t k = 0; k < setup->n_weeds; k++) {
            double *seeds = season->joins[0].start_seeds;
            seeds[(2 * whole + pool) * SB_MAX_WEEDS + k] /= 2;
            seeds[(2 * half + pool) * SB_MAX_WEEDS + k] =
                seeds[(2 * whole + pool) * SB_MAX_WEEDS + k];
        }
    setup->n_sections++;
}

/* One more level that is dearer than the second one and keeps more. */
static void add_useless_level(sb_season *season)
{
    sb_setup *setup = &season->setup;
    size_t last = setup->n_cleanouts;
    setup->cleanouts = must(sb_resize(setup->cleanouts, last + 1, sizeof *setup->cleanouts));
    const sb_cleanout *better = &setup->cleanouts[2];
    sb_cleanout *worse = &setup->cleanouts[last];
    *worse = (sb_cleanout){.id = must(sb_strdup("useless")),
                           .name = must(sb_strdup("Useless")),
                           .minutes = better->minutes + 1,
                           .people = better->people,
                           .supplies_cost = better->supplies_cost};
    for (size_t s = 0; s < setup->n_sections; s++) {
        worse->keep_loose[s] = fmin(1, 1.1 * better->keep_loose[s] + .01);
        worse->keep_lodged[s] = fmin(1, 1.1 * better->keep_lodged[s] + .01);
    }
    setup->n_cleanouts++;
}

static void same_cost_however_told(int n_fields, uint64_t seed)
{
    sb_season *plain = made(n_fields, seed, 3, false);
    sb_plan *plan = order(plain);
    double cost = sb_plan_cost(plan).total;
    assert_true(sb_plan_cost(plan).spread > 0 && sb_plan_cost(plan).cleanout > 0);
    sb_plan_free(plan);
    sb_season_free(plain);
    void (*const changes[])(sb_season *) = {relabel_fields, split_section, add_useless_level};
    for (size_t c = 0; c < sizeof changes / sizeof *changes; c++) {
        sb_season *season = made(n_fields, seed, 3, false);
        changes[c](season);
        assert_same_cost(least_cost(season), cost);
        sb_season_free(season);
    }
    sb_season *season = made(n_fields, seed, 3, false);
    scale_money(season, 7);
    assert_same_cost(least_cost(season), 7 * cost);
    sb_season_free(season);
}

static void relabelling_scaling_splitting_and_a_useless_level_change_nothing(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= SEEDS; seed++)
        same_cost_however_told(LARGE, seed);
#ifndef __SANITIZE_ADDRESS__
    same_cost_however_told(LARGEST, LARGEST_SEED);
#endif
}

/* Every field of a random order but one in three must be cut after one before it. */
static void add_precedence(sb_season *season, uint64_t seed, bool reversed)
{
    support_random random = {seed};
    int *order = must(sb_alloc(season->n_fields, sizeof *order));
    support_random_order(&random, order, season->n_fields);
    for (size_t i = 1; i < season->n_fields; i++) {
        int earlier = order[support_random_below(&random, i)];
        if (support_random_chance(&random, 1. / 3))
            continue;
        if (reversed)
            support_add_after(season, earlier, order[i]);
        else
            support_add_after(season, order[i], earlier);
    }
    sb_free(order);
}

/* Ways there are up to a third longer than ways back. */
static void bend_roads(sb_season *season, uint64_t seed, bool reversed)
{
    support_random random = {seed};
    size_t n = season->n_places;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < i; j++) {
            size_t bent = reversed ? i * n + j : j * n + i;
            season->km[bent] *= support_random_between(&random, 1, 4. / 3);
        }
}

static double cost_without_weeds(uint64_t seed, bool bent, bool ordered, bool reversed)
{
    sb_season *season = made(LARGE, seed, 0, false);
    if (bent)
        bend_roads(season, seed, reversed);
    if (ordered)
        add_precedence(season, seed, reversed);
    double cost = least_cost(season);
    sb_season_free(season);
    return cost;
}

static void a_season_without_weeds_costs_the_same_backwards(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= SEEDS; seed++)
        for (int which = 1; which < 4; which++) {
            bool bent = which & 1, ordered = which & 2;
            assert_same_cost(cost_without_weeds(seed, bent, ordered, true),
                             cost_without_weeds(seed, bent, ordered, false));
        }
}

/* The same order driven the other way round, on roads as long there as back and without weeds. */
static void a_plan_without_weeds_costs_the_same_backwards(void **state)
{
    (void)state;
    sb_season *season = made(LARGE, 1, 0, false);
    sb_plan *plan = order(season), *back = NULL;
    size_t n = season->n_fields;
    assert_int_equal(sb_plan_new_single(season, 0, n, &back), SB_OK);
    for (size_t t = 0; t < n; t++)
        back->routes[0].stops[t].field = plan->routes[0].stops[n - 1 - t].field;
    assert_int_equal(sb_plan_price_only(season, back), SB_OK);
    assert_same_cost(sb_plan_cost(back).total, sb_plan_cost(plan).total);
    sb_plan_free(back);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Dates that the cheapest plan keeps with room to spare move up to what it needs. */
static void tightening_slack_windows_changes_nothing(void **state)
{
    (void)state;
    int tightened = 0;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        sb_season *season = made(DATED, seed, 3, true);
        const sb_calendar *calendar = &season->setup.calendar;
        sb_plan *plan = order(season);
        for (size_t t = 0; t < season->n_fields; t++) {
            const sb_stop *stop = &plan->routes[0].stops[t];
            sb_field *field = &season->fields[stop->field];
            int arrival = sb_calendar_day(calendar, stop->arrive_h, false);
            int finish = sb_calendar_day(calendar, stop->finish_h, true);
            tightened += field->ready_day < arrival || field->latest_day != finish;
            field->ready_day = arrival;
            field->latest_day = finish;
        }
        assert_same_cost(least_cost(season), sb_plan_cost(plan).total);
        sb_plan_free(plan);
        sb_season_free(season);
    }
    assert_true(tightened >= SEEDS * DATED / 2);
}

/* ---- What can only raise it ---------------------------------------------------------------- */

/* Each adds a rule that the plan given, the cheapest without it, breaks. */

static void demand_an_earlier_finish(sb_season *season, const sb_plan *plan)
{
    const sb_stop *stop = &plan->routes[0].stops[season->n_fields / 2];
    int finish = sb_calendar_day(&season->setup.calendar, stop->finish_h, true);
    season->fields[stop->field].latest_day = finish - 1;
}

static void demand_a_cleanout(sb_season *season, const sb_plan *plan)
{
    size_t t = 1;
    while (plan->routes[0].stops[t].cleanout > 0)
        t++;
    season->fields[plan->routes[0].stops[t].field].entry = 1;
}

static void limit_the_spending(sb_season *season, const sb_plan *plan)
{
    season->setup.limits.cleaning_cost = .7 * sb_plan_cost(plan).cleanout;
}

static void limit_the_full_cleanouts(sb_season *season, const sb_plan *plan)
{
    int most = 0, count = 0;
    for (size_t t = 0; t < season->n_fields; t++)
        if (plan->routes[0].stops[t].cleanout > most)
            most = plan->routes[0].stops[t].cleanout;
    for (size_t t = 0; t < season->n_fields; t++)
        count += plan->routes[0].stops[t].cleanout >= most;
    for (size_t l = 0; l < season->setup.n_cleanouts; l++)
        season->setup.cleanouts[l].full = (int)l >= most;
    season->setup.limits.full_cleanouts = count - 1;
}

static void limit_the_seeds(sb_season *season, const sb_plan *plan)
{
    int worst = 0, weed = 0;
    double most = 0;
    for (int j = 0; j < (int)season->n_fields; j++)
        for (int k = 0; k < (int)season->setup.n_weeds; k++) {
            double per_ha = sb_ledger_brought(&plan->ledger, j, k) / season->fields[j].area_ha;
            if (per_ha > most) {
                most = per_ha;
                worst = j;
                weed = k;
            }
        }
    season->fields[worst].limit_seeds_ha[weed] = most / 2;
}

static void demand_the_other_order(sb_season *season, const sb_plan *plan)
{
    const sb_stop *stops = plan->routes[0].stops;
    support_add_after(season, stops[3].field, stops[season->n_fields - 3].field);
}

static void never_lowers(void (*rule)(sb_season *, const sb_plan *), int n_fields)
{
    int raised = 0;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        sb_season *season = made(n_fields, seed, 3, false);
        sb_plan *plan = order(season);
        rule(season, plan);
        size_t broken = 0;
        assert_int_equal(sb_plan_check(season, plan, SB_NOTE, NULL, &broken), SB_OK);
        assert_true(broken > 0);
        double cost_before = sb_plan_cost(plan).total, cost_after = least_cost(season);
        assert_true(cost_after >= cost_before * (1 - SAME_COST));
        raised += cost_after > cost_before * (1 + SAME_COST);
        sb_plan_free(plan);
        sb_season_free(season);
    }
    assert_true(raised > 0);
}

static void a_rule_more_never_lowers_the_cost(void **state)
{
    (void)state;
    never_lowers(demand_an_earlier_finish, LARGE);
    never_lowers(demand_a_cleanout, LARGE);
    never_lowers(demand_the_other_order, LARGE);
    never_lowers(limit_the_spending, LIMITED);
    never_lowers(limit_the_full_cleanouts, LIMITED);
    never_lowers(limit_the_seeds, LIMITED);
}

/* ---- One plan ------------------------------------------------------------------------------ */

static void assert_same_plan(const sb_plan *a, const sb_plan *b)
{
    assert_int_equal(a->routes[0].n_stops, b->routes[0].n_stops);
    for (size_t t = 0; t < a->routes[0].n_stops; t++) {
        assert_int_equal(a->routes[0].stops[t].field, b->routes[0].stops[t].field);
        assert_int_equal(a->routes[0].stops[t].cleanout, b->routes[0].stops[t].cleanout);
    }
    assert_true(sb_plan_cost(a).total == sb_plan_cost(b).total);
    assert_true(sb_plan_bound(a) == sb_plan_bound(b));
    assert_true(a->proof.labels == b->proof.labels);
}

static void one_plan_whatever_the_number_of_threads(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        bool dates = seed % 2 == 0;
        sb_season *season = made(dates ? DATED : LARGE, seed, 3, dates);
        sb_plan *alone = order_with(season, 1);
        for (int threads = 2; threads <= 3; threads++) {
            sb_plan *plan = order_with(season, threads);
            assert_same_plan(plan, alone);
            sb_plan_free(plan);
        }
        sb_plan_free(alone);
        sb_season_free(season);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(relabelling_scaling_splitting_and_a_useless_level_change_nothing),
        cmocka_unit_test(a_season_without_weeds_costs_the_same_backwards),
        cmocka_unit_test(a_plan_without_weeds_costs_the_same_backwards),
        cmocka_unit_test(tightening_slack_windows_changes_nothing),
        cmocka_unit_test(a_rule_more_never_lowers_the_cost),
        cmocka_unit_test(one_plan_whatever_the_number_of_threads),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
