/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What is counted on tarps, and next spring, changes the numbers of the season. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "base/report.h"
#include "doubt/spreads.h"
#include "drafts.h"
#include "log/resume.h"
#include "logs.h"
#include "seasons.h"

enum { WATERHEMP, KOCHIA };

/* Kochia in the first field, by its class; the others clean. */
static sb_season *weedy_season(void)
{
    sb_season *season = support_season_new(4, 2);
    support_set_density(season, 0, KOCHIA, 0.3);
    season->fields[0].ratings[KOCHIA].source = SB_RATING_CLASS;
    season->fields[0].ratings[KOCHIA].low = 0.1;
    season->fields[0].ratings[KOCHIA].high = 1;
    sb_season_derive(season);
    return season;
}

static sb_log *new_log(void)
{
    sb_log *log = NULL;
    assert_int_equal(sb_log_new("made.log", &log), SB_OK);
    return log;
}

static sb_season *learn(const sb_season *season, const sb_log *log, sb_report *report)
{
    sb_learn_options how;
    sb_learn_options_init(&how);
    how.samples = 2000;
    sb_season *learned = NULL;
    sb_status status = sb_learn(season, log, &how, report, &learned);
    if (status != SB_OK)
        fail_msg("cannot learn: %s", support_said(report));
    return learned;
}

static void cut(sb_log *log, const char *field, const char *to)
{
    support_log_say(log, "cut", "machine=combine", field, to, NULL);
}

/* What it expects of a tarp is what the replay of the log lays on it, a sample by its weight. */
static void expects_what_the_replay_lays_on_the_tarp(void **state)
{
    (void)state;
    sb_season *season = weedy_season();
    sb_report *report = sb_report_new();
    sb_log *log = new_log();
    cut(log, "field=Field 1", "to=2026-08-02T12:00");
    support_log_say(log, "cleanout", "machine=combine", "cleanout=blowdown", "to=2026-08-02T12:30",
                    "weed:kochia=900", "tarp_kg=25", "sample_kg=2.5", NULL);
    support_log_say(log, "cut", "machine=combine", "field=Field 2", "to=2026-08-03T12:00",
                    "part=true", "ha=5", NULL);
    support_log_say(log, "cleanout", "machine=combine", "cleanout=deep", "to=2026-08-04T12:30",
                    "weed:kochia=4000", NULL);
    sb_log_state replayed;
    assert_int_equal(sb_log_replay(season, log, report, &replayed), SB_OK);
    sb_season *learned = learn(season, log, report);
    const sb_lessons *lessons = &learned->lessons;
    assert_int_equal(lessons->found.count, 3);
    double first = replayed.tarps.items[0].seeds[KOCHIA] / 10;
    double second = replayed.tarps.items[1].seeds[KOCHIA];
    assert_true(fabs(lessons->found.items[0].expected_before / first - 1) < 1e-12);
    assert_true(lessons->found.items[1].expected_before == replayed.tarps.items[0].kg);
    assert_true(fabs(lessons->found.items[2].expected_before / second - 1) < 1e-12);
    assert_true(lessons->found.items[2].found == 4000);
    assert_true(lessons->samples == 2000 && lessons->effective > 100);
    sb_season_free(learned);
    sb_log_state_release(&replayed);
    sb_log_free(log);
    sb_report_free(report);
    sb_season_free(season);
}

/* A tarp counted days later teaches what it would have taught at once; of a recount only the last.
 */
static void a_tarp_counted_later_teaches_the_same(void **state)
{
    (void)state;
    sb_season *season = weedy_season(), *learned[3];
    sb_report *report = sb_report_new();
    for (size_t i = 0; i < 3; i++) {
        sb_log *log = new_log();
        cut(log, "field=Field 1", "to=2026-08-02T12:00");
        support_log_say(log, "cleanout", "machine=combine", "cleanout=deep", "to=2026-08-02T17:30",
                        "tarp_kg=50", i == 0 ? "weed:kochia=900" : NULL, "sample_kg=2", NULL);
        cut(log, "field=Field 2", "to=2026-08-04T12:00");
        if (i == 2)
            support_log_say(log, "counted", "entry=2", "at=2026-08-03T20:00", "weed:kochia=7",
                            "sample_kg=1", NULL);
        if (i > 0)
            support_log_say(log, "counted", "entry=2", "at=2026-08-06T20:00", "weed:kochia=900",
                            "sample_kg=2", i == 2 ? "recount=true" : NULL, NULL);
        learned[i] = learn(season, log, report);
        assert_int_equal(learned[i]->lessons.found.count, 2);
        assert_true(learned[i]->lessons.found.items[0].found == 900);
        assert_true(learned[i]->lessons.found.items[0].expected_now ==
                    learned[0]->lessons.found.items[0].expected_now);
        assert_true(learned[i]->setup.weeds[KOCHIA].seeds_per_plant ==
                    learned[0]->setup.weeds[KOCHIA].seeds_per_plant);
        sb_log_free(log);
    }
    assert_non_null(strstr(learned[1]->lessons.found.items[0].what, "entry 2, counted in 4"));
    for (size_t i = 0; i < 3; i++)
        sb_season_free(learned[i]);
    sb_report_free(report);
    sb_season_free(season);
}

/* Ten times the seeds that were expected: the machine holds more now, and what is left costs more.
 */
static void more_seeds_make_the_rest_dearer(void **state)
{
    (void)state;
    sb_season *season = weedy_season();
    sb_report *report = sb_report_new();
    sb_log *log = new_log();
    cut(log, "field=Field 1", "to=2026-08-02T12:00");
    sb_log_state replayed;
    support_log_say(log, "cleanout", "machine=combine", "cleanout=blowdown", "to=2026-08-02T12:30",
                    "weed:kochia=1000000", NULL);
    assert_int_equal(sb_log_replay(season, log, report, &replayed), SB_OK);
    double expected = replayed.tarps.items[0].seeds[KOCHIA];
    assert_true(expected > 50000 && expected < 150000);
    sb_season *learned = learn(season, log, report);
    assert_true(learned->lessons.found.items[0].expected_now > 2 * expected);
    assert_true(learned->fields[0].ratings[KOCHIA].density_plants_m2 > 0.35);
    assert_true(learned->setup.weeds[KOCHIA].seeds_per_plant > 20000);
    assert_true(learned->setup.weeds[WATERHEMP].seeds_per_plant ==
                season->setup.weeds[WATERHEMP].seeds_per_plant);
    sb_resumed *before = NULL, *now = NULL;
    assert_int_equal(sb_resume(season, log, NULL, report, &before), SB_OK);
    assert_int_equal(sb_resume(learned, log, NULL, report, &now), SB_OK);
    assert_true(sb_machine_state_seeds(&now->state, 0, KOCHIA) >
                1.5 * sb_machine_state_seeds(&before->state, 0, KOCHIA));
    assert_true(now->rest->lessons.samples == 2000); /* told with every plan for the rest */
    assert_int_equal(now->rest->lessons.numbers.count, learned->lessons.numbers.count);
    sb_resumed_free(before);
    sb_resumed_free(now);
    sb_season_free(learned);
    sb_log_state_release(&replayed);
    sb_log_free(log);
    sb_report_free(report);
    sb_season_free(season);
}

/* Seedlings from what a machine dropped on the first 100 m, on 5 m of its header's width, and
 * beside them those of the field's own plants: worked out by hand. */
static void seedlings_are_expected_as_by_hand(void **state)
{
    (void)state;
    for (int own = 0; own < 2; own++) {
        sb_season *season = weedy_season();
        if (own)
            support_set_density(season, 1, KOCHIA, 0.002);
        sb_season_derive(season);
        const sb_machine *machine = &season->setup.machines[0];
        const sb_weed *weed = &season->setup.weeds[KOCHIA];
        double grain_t = 100 * 3.4 * machine->header_m / 1e4, fallen = 0;
        for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++) {
            const sb_section *s = &machine->sections[pool / 2];
            double tau = pool % 2 ? s->tau_lodged_t : s->tau_loose_t;
            double share = pool % 2 ? s->lodged_share : 1 - s->lodged_share;
            double held = season->fields[0].seeds_per_kg[KOCHIA] * s->kg * share *
                          (1 - exp(-season->fields[0].grain_t / tau));
            fallen += held * (1 - exp(-grain_t / tau)) * (1 - s->tank_share_small);
        }
        double plants = fallen * 5 / machine->header_m;
        if (own)
            plants += 0.002 * weed->seeds_per_plant / (1 + 0.002 / weed->crowding_plants_m2) * 500;
        plants *= weed->viability * weed->emergence;
        sb_report *report = sb_report_new();
        sb_log *log = new_log();
        cut(log, "field=Field 1", "to=2026-08-02T12:00");
        cut(log, "field=Field 2", "to=2026-08-04T12:00");
        support_log_say(log, "seedlings", "field=Field 2", "at=2027-05-02T12:00", "strip_m=100",
                        "width_m=5", "weed:kochia=80", NULL);
        sb_season *learned = learn(season, log, report);
        assert_int_equal(learned->lessons.found.count, 1);
        if (fabs(learned->lessons.found.items[0].expected_before / plants - 1) > 1e-9)
            fail_msg("%g seedlings expected, by hand %g",
                     learned->lessons.found.items[0].expected_before, plants);
        sb_season_free(learned);
        sb_log_free(log);
        sb_report_free(report);
        sb_season_free(season);
    }
}

/* Nothing to learn from: no counts, and counts that were struck. */
/* The same number to the last bits, whichever way it was multiplied. */
static void assert_same(double one, double other)
{
    assert_true(fabs(one - other) <= 1e-12 * fabs(other));
}

static void assert_same_numbers(const sb_setup *one, const sb_setup *other)
{
    for (size_t w = 0; w < one->n_weeds; w++)
        for (int what = SB_DOUBT_SEEDS_PER_PLANT; what <= SB_DOUBT_CROWDING; what++)
            assert_same(*sb_weed_number(&one->weeds[w], (sb_doubtful)what),
                        *sb_weed_number(&other->weeds[w], (sb_doubtful)what));
    for (size_t s = 0; s < one->n_sections; s++) {
        for (int what = SB_DOUBT_HELD; what <= SB_DOUBT_TANK_LARGE; what++)
            assert_same(*sb_section_number(&one->machines[0].sections[s], (sb_doubtful)what),
                        *sb_section_number(&other->machines[0].sections[s], (sb_doubtful)what));
        for (size_t l = 0; l < one->n_cleanouts; l++) {
            assert_same(one->cleanouts[l].keep_loose[s], other->cleanouts[l].keep_loose[s]);
            assert_same(one->cleanouts[l].keep_lodged[s], other->cleanouts[l].keep_lodged[s]);
        }
    }
}

/* Last season's findings, read with next season's files: its numbers are what last season ended
 * with. Findings of next season move them on, and the file written then has both. */
static void what_was_learned_is_where_the_next_season_begins(void **state)
{
    (void)state;
    const char *paths[SUPPORT_N_DEMO_FILES + 1];
    char learned_path[SUPPORT_PATH_BYTES];
    snprintf(learned_path, sizeof learned_path, "%s/learned.xml", support_folder());
    for (size_t i = 0; i < SUPPORT_N_DEMO_FILES; i++)
        paths[i] = support_demo_files()[i];
    paths[SUPPORT_N_DEMO_FILES] = learned_path;
    size_t n_paths = SUPPORT_N_DEMO_FILES; /* the first year without what was learned */
    double seeds_per_plant = 0;
    for (int year = 0; year < 2; year++) {
        sb_report *report = sb_report_new();
        sb_log *log = new_log();
        sb_season *season = NULL, *next = NULL;
        assert_int_equal(sb_season_read(paths, n_paths, NULL, report, &season), SB_OK);
        assert_int_equal(sb_season_learned_count(season) > 0, year > 0);
        support_log_say(log, "cut", "machine=ring", "field=Salt Flat",
                        year == 0 ? "to=2026-08-02T12:00" : "to=2026-08-02T11:00", NULL);
        support_log_say(log, "cleanout", "machine=ring", "cleanout=deep", "to=2026-08-02T17:30",
                        "weed:kochia=3000000", "tarp_kg=70", NULL);
        sb_season *learned = learn(season, log, report);
        assert_int_equal(sb_write_learned(learned, log, support_folder(), report), SB_OK);
        n_paths = SUPPORT_N_DEMO_FILES + 1;
        if (sb_season_read(paths, n_paths, NULL, report, &next) != SB_OK)
            fail_msg("%s", support_said(report));
        assert_same_numbers(&next->setup, &learned->setup);
        assert_true(next->setup.weeds[KOCHIA].seeds_per_plant > seeds_per_plant);
        seeds_per_plant = next->setup.weeds[KOCHIA].seeds_per_plant;
        sb_season_free(next);
        sb_season_free(learned);
        sb_season_free(season);
        sb_log_free(log);
        sb_report_free(report);
    }
    support_folder_remove();
}

static void learns_nothing_from_nothing(void **state)
{
    (void)state;
    sb_season *season = weedy_season();
    sb_report *report = sb_report_new();
    sb_log *log = new_log();
    cut(log, "field=Field 1", "to=2026-08-02T12:00");
    support_log_say(log, "cleanout", "machine=combine", "cleanout=blowdown", "to=2026-08-02T12:30",
                    NULL);
    assert_null(learn(season, log, report));
    support_log_say(log, "cleanout", "machine=combine", "cleanout=deep", "to=2026-08-02T18:30",
                    "weed:kochia=900", NULL);
    support_log_say(log, "struck", "entry=3", NULL);
    assert_null(learn(season, log, report));
    assert_int_equal(sb_report_count(report), 0);
    sb_log_free(log);
    sb_report_free(report);
    sb_season_free(season);
}

/* Waterhemp on the tarp, and no field before is rated for it: no number can answer for that. */
static void says_what_no_rating_explains(void **state)
{
    (void)state;
    sb_season *season = weedy_season();
    sb_report *report = sb_report_new();
    sb_log *log = new_log();
    cut(log, "field=Field 1", "to=2026-08-02T12:00");
    support_log_say(log, "cleanout", "machine=combine", "cleanout=blowdown", "to=2026-08-02T12:30",
                    "weed:waterhemp=12", NULL);
    assert_null(learn(season, log, report));
    assert_non_null(strstr(support_said(report),
                           "Waterhemp seeds on the tarp, blowdown, entry 2: 12 "
                           "found, but nothing that was cut before is rated "
                           "for it; left out"));
    sb_log_free(log);
    sb_report_free(report);
    sb_season_free(season);
}

/* A thousand times what was expected is outside of every range: it is told. */
static void says_what_no_range_holds(void **state)
{
    (void)state;
    sb_season *season = weedy_season();
    sb_report *report = sb_report_new();
    sb_log *log = new_log();
    cut(log, "field=Field 1", "to=2026-08-02T12:00");
    support_log_say(log, "cleanout", "machine=combine", "cleanout=blowdown", "to=2026-08-02T12:30",
                    "weed:kochia=20000000", NULL);
    sb_season *learned = learn(season, log, report);
    assert_non_null(strstr(support_said(report), "outside the ranges"));
    double density = learned->fields[0].ratings[KOCHIA].density_plants_m2;
    assert_true(density > 0.5 && density <= 1.0000001);
    sb_season_free(learned);
    sb_log_free(log);
    sb_report_free(report);
    sb_season_free(season);
}

/* Every allocation refused once: nothing is learned, and nothing is left behind. */
static void without_memory_nothing_leaks(void **state)
{
    (void)state;
    sb_season *season = weedy_season();
    sb_log *log = new_log();
    cut(log, "field=Field 1", "to=2026-08-02T12:00");
    support_log_say(log, "cleanout", "machine=combine", "cleanout=blowdown", "to=2026-08-02T12:30",
                    "weed:kochia=900", "weed:waterhemp=3", "tarp_kg=20", NULL);
    sb_learn_options how;
    sb_learn_options_init(&how);
    how.samples = 10;
    how.threads = 1;
    long live = sb_mem_live(), k = 0;
    for (sb_status status = SB_ERR_NOMEM; status != SB_OK; k++) {
        sb_report *report = sb_report_new();
        sb_season *learned = NULL;
        sb_mem_set_budget(k);
        status = sb_learn(season, log, &how, report, &learned);
        sb_mem_set_budget(-1);
        assert_true(status == SB_OK || (status == SB_ERR_NOMEM && learned == NULL));
        sb_season_free(learned);
        sb_report_free(report);
        assert_int_equal(sb_mem_live(), live);
    }
    assert_true(k > 100);
    sb_log_free(log);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(expects_what_the_replay_lays_on_the_tarp),
        cmocka_unit_test(a_tarp_counted_later_teaches_the_same),
        cmocka_unit_test(more_seeds_make_the_rest_dearer),
        cmocka_unit_test(seedlings_are_expected_as_by_hand),
        cmocka_unit_test(what_was_learned_is_where_the_next_season_begins),
        cmocka_unit_test(learns_nothing_from_nothing),
        cmocka_unit_test(says_what_no_rating_explains),
        cmocka_unit_test(says_what_no_range_holds),
        cmocka_unit_test(without_memory_nothing_leaks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
