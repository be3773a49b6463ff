/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Plans priced over sampled seasons: against the independent checker, against superposition, and
 * the same however the work is shared out. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "doubt/bands.h"
#include "drafts.h"
#include "plans.h"
#include "seasons.h"

/** Six fields and every rule; each third field has its ratings by class. */
static sb_season *random_season(uint64_t seed)
{
    support_options options = support_every_rule();
    options.missing_ways = false; /* a plan without a way somewhere has no price */
    sb_season *season = support_random_season(seed, 6, &options);
    for (size_t i = 0; i < season->n_fields; i += 3)
        for (size_t w = 0; w < season->setup.n_weeds; w++) {
            sb_rating *rating = &season->fields[i].ratings[w];
            rating->source = SB_RATING_CLASS;
            rating->low = rating->density_plants_m2 / 3;
            rating->high = rating->density_plants_m2 * 2;
        }
    sb_season_derive(season);
    return season;
}

static sb_doubt *study(const sb_season *season, const sb_plan *plan, const sb_plan *rival,
                       uint64_t first, uint64_t last, int threads)
{
    sb_doubt_options options;
    sb_doubt_options_init(&options);
    options.first = first;
    options.last = last;
    options.threads = threads;
    sb_rival rivals[] = {{"rival", rival}};
    sb_doubt *doubt;
    assert_int_equal(sb_doubt_run(season, plan, rivals, rival != NULL, &options, &doubt), SB_OK);
    return doubt;
}

/** support_plan with every cleanout left out. */
static sb_plan *lazy_plan(const sb_season *season)
{
    sb_plan *plan = support_plan(season);
    for (size_t i = 0; i < plan->routes[0].n_stops; i++)
        plan->routes[0].stops[i].cleanout = 0;
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    return plan;
}

/* The checker walks the plan with arithmetic of its own and names every number that is off. */
static void samples_agree_with_the_independent_checker(void **state)
{
    (void)state;
    sb_season *season = random_season(1), *sampled;
    sb_plan *plan = support_plan(season), *rival = lazy_plan(season);
    sb_doubt *doubt = study(season, plan, rival, 1, 40, 2);
    double *multiplier = sb_alloc(doubt->spreads.count, sizeof *multiplier);
    assert_int_equal(sb_season_copy(season, NULL, NULL, &sampled), SB_OK);
    for (uint64_t k = 1; k <= 40; k++) {
        const double *row = doubt->table + (k - 1) * doubt->width;
        sb_spreads_draw(&doubt->spreads, 1, 0, k, multiplier);
        sb_spreads_apply(&doubt->spreads, multiplier, season, sampled);
        size_t broken;
        assert_int_equal(sb_plan_price(sampled, plan), SB_OK);
        assert_int_equal(sb_plan_check(sampled, plan, SB_NOTE, NULL, &broken), SB_OK);
        assert_true(fabs(sb_outcome_cost(doubt, row) - plan->cost.total) < 1e-9 * plan->cost.total);
        double seeds = 0;
        for (int i = 0; i < 6; i++)
            for (int w = 0; w < 3; w++)
                seeds += sb_ledger_brought(&plan->ledger, i, w);
        assert_true(fabs(sb_outcome_total(doubt, row, SB_SAMPLED_SEEDS) - seeds) < 1e-9 * seeds);
        assert_int_equal(sb_plan_price(sampled, rival), SB_OK);
        assert_true(fabs(sb_outcome_rival_cost(doubt, row, 0) - rival->cost.total) <
                    1e-9 * rival->cost.total);
    }
    sb_free(multiplier);
    sb_doubt_free(doubt);
    sb_plan_free(plan);
    sb_plan_free(rival);
    sb_season_free(sampled);
    sb_season_free(season);
}

/* Everything is linear in the load: with densities alone uncertain, what a field gets is the sum
 * over origins of the central case's ledger, each times its own multiplier. */
static void densities_alone_scale_the_ledger_pair_by_pair(void **state)
{
    (void)state;
    sb_season *season = random_season(2), *sampled;
    sb_plan *plan = support_plan(season);
    sb_spreads spreads;
    assert_int_equal(sb_spreads_of(season, &spreads), SB_OK);
    assert_int_equal(sb_season_copy(season, NULL, NULL, &sampled), SB_OK);
    double *multiplier = sb_alloc(spreads.count, sizeof *multiplier);
    double by_origin[7][3];
    for (int origin = 0; origin <= 6; origin++)
        for (int w = 0; w < 3; w++)
            by_origin[origin][w] = 1;
    sb_spreads_draw(&spreads, 9, 0, 4, multiplier);
    size_t n_ratings = 0;
    for (size_t s = 0; s < spreads.count; s++) {
        const sb_spread *spread = &spreads.items[s];
        if (spread->what == SB_DOUBT_RATING) {
            by_origin[spread->field][spread->weed] = multiplier[s];
            n_ratings++;
        } else {
            multiplier[s] = 1;
        }
    }
    assert_true(n_ratings >= 3);
    double expected[6][3] = {{0}};
    for (size_t origin = 0; origin <= 6; origin++)
        for (size_t to = 0; to < 6; to++)
            for (size_t w = 0; w < 3; w++)
                expected[to][w] +=
                    plan->ledger.ground[(origin * 6 + to) * 3 + w] * by_origin[origin][w];
    sb_spreads_apply(&spreads, multiplier, season, sampled);
    assert_int_equal(sb_plan_price(sampled, plan), SB_OK);
    for (int to = 0; to < 6; to++)
        for (int w = 0; w < 3; w++)
            assert_true(fabs(sb_ledger_brought(&plan->ledger, to, w) - expected[to][w]) <=
                        1e-11 * expected[to][w]);
    sb_free(multiplier);
    sb_free(spreads.items);
    sb_plan_free(plan);
    sb_season_free(sampled);
    sb_season_free(season);
}

static void a_sample_is_the_same_in_any_range_and_on_any_thread(void **state)
{
    (void)state;
    sb_season *season = random_season(3);
    sb_plan *plan = support_plan(season), *rival = lazy_plan(season);
    sb_doubt *one = study(season, plan, rival, 1, 300, 1);
    sb_doubt *four = study(season, plan, rival, 1, 300, 4);
    sb_doubt *part = study(season, plan, rival, 171, 230, 2);
    assert_memory_equal(one->table, four->table, 300 * one->width * sizeof(double));
    assert_memory_equal(one->table + 170 * one->width, part->table,
                        60 * one->width * sizeof(double));
    assert_true(one->id == part->id);
    sb_doubt_free(one);
    sb_doubt_free(four);
    sb_doubt_free(part);
    sb_plan_free(plan);
    sb_plan_free(rival);
    sb_season_free(season);
}

static void bands_hold_the_central_case_and_the_chance_counts_wins(void **state)
{
    (void)state;
    sb_season *season = random_season(4);
    sb_plan *plan = support_plan(season), *rival = lazy_plan(season);
    sb_doubt *doubt = study(season, plan, rival, 1, 200, 2);
    sb_findings findings;
    assert_int_equal(sb_findings_of(doubt, &findings), SB_OK);
    assert_true(fabs(findings.cost.central - plan->cost.total) < 1e-9 * plan->cost.total);
    assert_true(fabs(findings.total[SB_SAMPLED_LOSS].central - plan->cost.spread) <
                1e-9 * plan->cost.spread);
    size_t wins = 0, below = 0;
    for (size_t k = 0; k < 200; k++) {
        const double *row = doubt->table + k * doubt->width;
        wins += sb_outcome_cost(doubt, row) < sb_outcome_rival_cost(doubt, row, 0);
        below += sb_outcome_cost(doubt, row) < findings.cost.p5;
    }
    assert_true(findings.chance[0].beats == (double)wins / 200);
    assert_int_equal(below, 10);
    /* Every weed's loss together is every field's together. */
    double by_weed = 0, by_field = 0;
    for (size_t w = 0; w < findings.n_weeds; w++)
        by_weed += findings.weed[w * SB_SAMPLED_KINDS + SB_SAMPLED_LOSS].mean;
    for (size_t i = 0; i < findings.n_fields; i++)
        by_field += findings.field[i * SB_SAMPLED_KINDS + SB_SAMPLED_LOSS].mean;
    assert_true(fabs(by_weed - by_field) < 1e-9 * by_field);
    assert_true(fabs(by_field - findings.total[SB_SAMPLED_LOSS].mean) < 1e-9 * by_field);
    sb_findings_release(&findings);
    sb_doubt_free(doubt);
    sb_plan_free(plan);
    sb_plan_free(rival);
    sb_season_free(season);
}

static char *in_folder(const char *name, char path[SUPPORT_PATH_BYTES])
{
    snprintf(path, SUPPORT_PATH_BYTES, "%s/%s", support_folder(), name);
    return path;
}

static void parts_merge_to_the_whole_to_the_last_bit(void **state)
{
    (void)state;
    static const uint64_t ranges[][2] = {{61, 100}, {1, 1}, {2, 60}};
    sb_season *season = random_season(5);
    sb_plan *plan = support_plan(season), *rival = lazy_plan(season);
    sb_rival rivals[] = {{"rival", rival}};
    sb_report *report = sb_report_new();
    char paths[3][SUPPORT_PATH_BYTES], name[64];
    const char *files[3];
    for (size_t r = 0; r < 3; r++) {
        sb_doubt *part = study(season, plan, rival, ranges[r][0], ranges[r][1], 1);
        assert_int_equal(sb_doubt_write_samples(season, part, support_folder(), report), SB_OK);
        sb_doubt_free(part);
        snprintf(name, sizeof name, "samples-%d-%d.csv", (int)ranges[r][0], (int)ranges[r][1]);
        files[r] = in_folder(name, paths[r]);
    }
    sb_doubt *whole = study(season, plan, rival, 1, 100, 2), *merged;
    sb_doubt_options options;
    sb_doubt_options_init(&options);
    assert_int_equal(sb_doubt_merge(season, plan, rivals, 1, &options, files, 3, report, &merged),
                     SB_OK);
    assert_int_equal(merged->last, 100);
    assert_memory_equal(merged->table, whole->table, 100 * whole->width * sizeof(double));

    /* A part missing, a part twice, another seed: refused, with the reason. */
    static const char *const reasons[] = {"some are missing", "is there already", "another study"};
    const char *twice[] = {files[1], files[1], files[2]};
    sb_doubt *none;
    for (int fault = 0; fault < 3; fault++) {
        options.seed = fault == 2 ? 2 : 1;
        assert_int_equal(sb_doubt_merge(season, plan, rivals, 1, &options,
                                        fault == 1 ? twice : files, fault == 0 ? 2 : 3, report,
                                        &none),
                         SB_ERR_INPUT);
        assert_null(none);
        sb_message last = sb_report_get(report, sb_report_count(report) - 1);
        assert_non_null(strstr(last.text, reasons[fault]));
        assert_true(last.line > 1);
    }
    sb_report_free(report);
    sb_doubt_free(whole);
    sb_doubt_free(merged);
    sb_plan_free(plan);
    sb_plan_free(rival);
    sb_season_free(season);
    support_folder_remove();
}

static void bad_tables_are_refused_with_their_line(void **state)
{
    (void)state;
    sb_season *season = random_season(6);
    sb_plan *plan = support_plan(season);
    sb_doubt *doubt = study(season, plan, NULL, 1, 1, 1);
    static const char *const bad[] = {"",
                                      "hello\n",
                                      "study,sample,x\n%s,0,1\n",
                                      "study,sample,x\n%s,1,1e9x\n",
                                      "study,sample,x\n%s,1,7\n",
                                      "study,sample,x\n%s\n"};
    sb_doubt_options options;
    sb_doubt_options_init(&options);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        sb_report *report = sb_report_new();
        char id[20], bytes[200], path[SUPPORT_PATH_BYTES];
        snprintf(id, sizeof id, "%016llx", (unsigned long long)doubt->id);
        const char *mark = strstr(bad[i], "%s");
        int before = mark != NULL ? (int)(mark - bad[i]) : (int)strlen(bad[i]);
        snprintf(bytes, sizeof bytes, "%.*s%s%s", before, bad[i], mark != NULL ? id : "",
                 mark != NULL ? mark + 2 : "");
        const char *files[] = {support_file("bad.csv", bytes, strlen(bytes), path)};
        sb_doubt *none;
        assert_int_equal(sb_doubt_merge(season, plan, NULL, 0, &options, files, 1, report, &none),
                         SB_ERR_INPUT);
        assert_null(none);
        assert_int_equal(sb_report_count(report), 1);
        sb_report_free(report);
    }
    sb_doubt_free(doubt);
    sb_plan_free(plan);
    sb_season_free(season);
    support_folder_remove();
}

static void refuses_what_makes_no_study(void **state)
{
    (void)state;
    sb_season *season = random_season(7);
    sb_plan *plan = support_plan(season);
    sb_doubt *doubt;
    sb_doubt_options options;
    sb_doubt_options_init(&options);
    assert_int_equal(sb_doubt_run(NULL, plan, NULL, 0, &options, &doubt), SB_ERR_ARG);
    assert_int_equal(sb_doubt_run(season, NULL, NULL, 0, &options, &doubt), SB_ERR_ARG);
    options.first = 0;
    assert_int_equal(sb_doubt_run(season, plan, NULL, 0, &options, &doubt), SB_ERR_ARG);
    options.first = 3;
    options.last = 2;
    assert_int_equal(sb_doubt_run(season, plan, NULL, 0, &options, &doubt), SB_ERR_ARG);
    assert_null(doubt);
    options.first = 1;
    plan->cost.total = INFINITY; /* there was no way */
    assert_int_equal(sb_doubt_run(season, plan, NULL, 0, &options, &doubt), SB_ERR_ARG);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void comes_back_from_every_lack_of_memory(void **state)
{
    (void)state;
    sb_season *season = random_season(8);
    sb_plan *plan = support_plan(season);
    sb_doubt_options options;
    sb_doubt_options_init(&options);
    options.last = 2;
    options.threads = 1;
    long live = sb_mem_live();
    for (long budget = 0;; budget++) {
        sb_doubt *doubt;
        sb_mem_set_budget(budget);
        sb_status status = sb_doubt_run(season, plan, NULL, 0, &options, &doubt);
        sb_findings findings = {0};
        if (status == SB_OK)
            status = sb_findings_of(doubt, &findings);
        sb_mem_set_budget(-1);
        sb_findings_release(&findings);
        sb_doubt_free(doubt);
        assert_int_equal(sb_mem_live(), live);
        if (status == SB_OK)
            break;
        assert_int_equal(status, SB_ERR_NOMEM);
    }
    sb_plan_free(plan);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(samples_agree_with_the_independent_checker),
        cmocka_unit_test(densities_alone_scale_the_ledger_pair_by_pair),
        cmocka_unit_test(a_sample_is_the_same_in_any_range_and_on_any_thread),
        cmocka_unit_test(bands_hold_the_central_case_and_the_chance_counts_wins),
        cmocka_unit_test(parts_merge_to_the_whole_to_the_last_bit),
        cmocka_unit_test(bad_tables_are_refused_with_their_line),
        cmocka_unit_test(refuses_what_makes_no_study),
        cmocka_unit_test(comes_back_from_every_lack_of_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
