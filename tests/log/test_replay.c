/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <math.h>

#include <cmocka.h>

#include "base/mem.h"
#include "base/report.h"
#include "logs.h"
#include "seasons.h"

/* A log in memory, put together entry by entry. */
typedef struct made {
    sb_season *season;
    sb_log *log;
    sb_report *report;
} made;

#define add(m, ...) support_log_say((m)->log, __VA_ARGS__)

static made begin(void)
{
    made m = {support_season_new(4, 2), NULL, sb_report_new()};
    assert_non_null(m.report);
    assert_int_equal(sb_log_new("made.log", &m.log), SB_OK);
    support_set_density(m.season, 0, 0, 2);
    support_set_density(m.season, 1, 1, 0.1);
    return m;
}

static void end(made *m)
{
    sb_log_free(m->log);
    sb_season_free(m->season);
    sb_report_free(m->report);
}

/* The same walk by the log and by the model. */
static void a_replayed_season_carries_what_the_model_carries(void **state)
{
    (void)state;
    made m = begin();
    char machine[64];
    snprintf(machine, sizeof machine, "machine=%s", m.season->setup.machines[0].id);
    add(&m, "cut", machine, "field=Field 1", "to=2026-08-01T14:00", NULL);
    add(&m, "cleanout", machine, "cleanout=blowdown", "to=2026-08-01T15:00", NULL);
    add(&m, "cut", machine, "field=Field 2", "to=2026-08-02T14:00", NULL);
    add(&m, "cut", machine, "field=Field 4", "to=2026-08-03T14:00", NULL);
    sb_log_state log_state;
    assert_int_equal(sb_log_replay(m.season, m.log, m.report, &log_state), SB_OK);

    const sb_visit visits[] = {{0, 0}, {1, 1}, {3, 0}};
    sb_ledger ledger;
    sb_stop_trace traces[4];
    assert_int_equal(sb_ledger_init(&ledger, m.season), SB_OK);
    assert_int_equal(sb_carry_follow(m.season, 0, visits, 3, -1, &ledger, traces), SB_OK);
    size_t n = m.season->n_fields, weeds = m.season->setup.n_weeds;
    for (size_t i = 0; i < (n + 1) * n * weeds; i++) {
        assert_true(fabs(ledger.ground[i] - log_state.ledger.ground[i]) <=
                    1e-12 * ledger.ground[i]);
        assert_true(fabs(ledger.tank[i] - log_state.ledger.tank[i]) <= 1e-12 * ledger.tank[i]);
    }
    for (size_t i = 0; i < (n + 1) * weeds; i++)
        assert_true(fabs(ledger.site[i] - log_state.ledger.site[i]) <= 1e-12 * ledger.site[i]);
    for (size_t w = 0; w < weeds; w++) {
        double left = 0;
        for (size_t o = 0; o <= n; o++)
            left += ledger.left[o * weeds + w];
        assert_true(left > 0);
        assert_true(fabs(sb_machine_state_seeds(&log_state, 0, (int)w) - left) <= 1e-12 * left);
    }
    assert_int_equal(log_state.tarps.count, 1);
    assert_true(fabs(log_state.tarps.items[0].seeds[0] - traces[1].on_tarp[0]) <=
                1e-12 * traces[1].on_tarp[0]);
    assert_int_equal(log_state.machines[0].place, 3);
    assert_int_equal(log_state.machines[0].cleanout, -1);
    assert_true(log_state.fields[0].finished && !log_state.fields[2].finished);
    sb_ledger_release(&ledger);
    sb_log_state_release(&log_state);
    end(&m);
}

/* A field cut in three pieces is the field, and gives itself nothing. */
static void pieces_of_a_field_add_up_to_it(void **state)
{
    (void)state;
    made whole = begin(), pieces = begin();
    char machine[64];
    snprintf(machine, sizeof machine, "machine=%s", whole.season->setup.machines[0].id);
    add(&whole, "cut", machine, "field=Field 1", "to=2026-08-01T14:00", NULL);
    add(&pieces, "cut", machine, "field=Field 1", "to=2026-08-01T11:00", "part=true", "ha=5", NULL);
    add(&pieces, "cut", machine, "field=Field 1", "to=2026-08-01T12:00", "part=true", "ha=9.5",
        NULL);
    sb_log_state one, two;
    assert_int_equal(sb_log_replay(pieces.season, pieces.log, pieces.report, &two), SB_OK);
    assert_true(fabs(two.fields[0].cut_share - 14.5 / 20) < 1e-12);
    assert_true(two.machines[0].half_way && !two.fields[0].finished);
    sb_log_state_release(&two);
    add(&pieces, "cut", machine, "field=Field 1", "to=2026-08-01T14:00", NULL);
    assert_int_equal(sb_log_replay(whole.season, whole.log, whole.report, &one), SB_OK);
    assert_int_equal(sb_log_replay(pieces.season, pieces.log, pieces.report, &two), SB_OK);
    double seeds = sb_machine_state_seeds(&one, 0, 0);
    assert_true(seeds > 0);
    assert_true(fabs(sb_machine_state_seeds(&two, 0, 0) - seeds) < 1e-9 * seeds);
    assert_true(sb_ledger_brought(&two.ledger, 0, 0) == 0);
    assert_true(two.fields[0].finished && !two.machines[0].half_way);
    sb_log_state_release(&one);
    sb_log_state_release(&two);
    end(&whole);
    end(&pieces);
}

static void assert_same_loads(const sb_log_state *one, const sb_log_state *other)
{
    for (size_t w = 0; w < one->season->setup.n_weeds; w++)
        assert_true(sb_machine_state_seeds(one, 0, (int)w) ==
                    sb_machine_state_seeds(other, 0, (int)w));
    assert_true(one->cost.total == other->cost.total);
    assert_int_equal(one->machines[0].last, other->machines[0].last);
    assert_int_equal(one->machines[0].place, other->machines[0].place);
}

/* Written at the end, in either order, it is the season that was written in time. */
static void what_was_forgotten_is_replayed_in_its_place(void **state)
{
    (void)state;
    made in_time = begin(), late = begin();
    char machine[64];
    snprintf(machine, sizeof machine, "machine=%s", in_time.season->setup.machines[0].id);
    add(&in_time, "cut", machine, "field=Field 1", "to=2026-08-01T14:00", NULL);
    add(&in_time, "cleanout", machine, "cleanout=deep", "to=2026-08-01T16:00", NULL);
    add(&in_time, "cut", machine, "field=Field 3", "to=2026-08-01T18:00", NULL);
    add(&in_time, "cut", machine, "field=Field 2", "to=2026-08-02T14:00", NULL);
    add(&late, "cut", machine, "field=Field 1", "to=2026-08-01T14:00", NULL);
    add(&late, "cut", machine, "field=Field 2", "to=2026-08-02T14:00", NULL);
    add(&late, "cut", machine, "field=Field 3", "to=2026-08-01T18:00", "before=2", NULL);
    add(&late, "cleanout", machine, "cleanout=deep", "to=2026-08-01T16:00", "before=3", NULL);
    const size_t order[] = {0, 3, 2, 1};
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(late.log->order.items[i], order[i]);
        assert_int_equal(late.log->entries.items[order[i]].happened, i);
    }
    sb_log_state one, two;
    assert_int_equal(sb_log_replay(in_time.season, in_time.log, in_time.report, &one), SB_OK);
    assert_int_equal(sb_log_replay(late.season, late.log, late.report, &two), SB_OK);
    assert_same_loads(&one, &two);
    assert_int_equal(two.machines[0].entry, 1);
    assert_true(two.steps.items[2].on_record > 0);
    assert_int_equal(two.steps.items[3].on_record, -1);
    for (size_t i = 0; i < one.steps.count; i++)
        assert_int_equal(one.steps.items[i].field, two.steps.items[i].field);
    sb_log_state_release(&one);
    sb_log_state_release(&two);
    end(&in_time);
    end(&late);
}

/* Its place says nothing against its time. */
static void what_was_forgotten_keeps_to_its_time(void **state)
{
    (void)state;
    made m = begin();
    char machine[64];
    snprintf(machine, sizeof machine, "machine=%s", m.season->setup.machines[0].id);
    add(&m, "cut", machine, "field=Field 1", "to=2026-08-01T14:00", NULL);
    add(&m, "cut", machine, "field=Field 2", "to=2026-08-02T14:00", NULL);
    add(&m, "cleanout", machine, "cleanout=deep", "to=2026-08-03T16:00", "before=2", NULL);
    sb_log_state log_state;
    assert_int_equal(sb_log_replay(m.season, m.log, m.report, &log_state), SB_ERR_INPUT);
    assert_non_null(strstr(support_said(m.report), "the end of its entry 3"));
    sb_log_state_release(&log_state);
    end(&m);
}

static void a_struck_entry_does_not_count(void **state)
{
    (void)state;
    made m = begin();
    char machine[64];
    snprintf(machine, sizeof machine, "machine=%s", m.season->setup.machines[0].id);
    add(&m, "cut", machine, "field=Field 1", "to=2026-08-01T14:00", NULL);
    add(&m, "struck", "entry=1", NULL);
    add(&m, "cut", machine, "field=Field 1", "to=2026-08-01T13:00", NULL);
    sb_log_state log_state;
    assert_int_equal(sb_log_replay(m.season, m.log, m.report, &log_state), SB_OK);
    assert_int_equal(log_state.fields[0].entry, 2);
    sb_log_state_release(&log_state);
    end(&m);
}

static void nonsense_is_refused(void **state)
{
    (void)state;
    made m = begin();
    char machine[64];
    snprintf(machine, sizeof machine, "machine=%s", m.season->setup.machines[0].id);
    add(&m, "cut", machine, "field=Field 1", "from=2026-08-01T09:00", "to=2026-08-01T14:00", NULL);
    add(&m, "cut", machine, "field=Field 1", "to=2026-08-02T14:00", NULL);
    add(&m, "cut", machine, "field=Field 2", "from=2026-08-01T13:59", "to=2026-08-02T15:00", NULL);
    add(&m, "cut", "machine=tractor", "field=Field 2", "to=2026-08-02T15:00", NULL);
    add(&m, "cleanout", machine, "cleanout=sweep", "to=2026-08-02T15:00", NULL);
    add(&m, "cleanout", machine, "cleanout=deep", "to=2026-08-02T15:00", "weed:rose=3", NULL);
    add(&m, "cut", machine, "field=Field 3", "to=2026-08-02T15:00", "part=true", "ha=30", NULL);
    add(&m, "dropped", "field=Field 1", "at=2026-08-02T15:00", NULL);
    add(&m, "away", machine, "from=2026-08-02T15:00", "to=2026-08-02T18:00", "place=Mars", NULL);
    static const char *const expected[] = {"entry 1 says that it was cut",
                                           "expected no earlier than 2026-08-01T14:00",
                                           "no machine 'tractor'",
                                           "no cleanout 'sweep'",
                                           "no weed 'rose'",
                                           "30 ha of field 'Field 3' cut",
                                           "'Field 1' dropped, but",
                                           "no field or yard 'Mars'"};
    sb_log_state log_state;
    assert_int_equal(sb_log_replay(m.season, m.log, m.report, &log_state), SB_ERR_INPUT);
    assert_int_equal(sb_report_count(m.report), sizeof expected / sizeof *expected);
    for (size_t i = 0; i < sizeof expected / sizeof *expected; i++)
        if (strstr(sb_report_get(m.report, i).text, expected[i]) == NULL)
            fail_msg("'%s' was said, '%s' expected", sb_report_get(m.report, i).text, expected[i]);
    sb_log_state_release(&log_state);
    end(&m);
}

static void a_rating_in_the_log_holds_against_the_points(void **state)
{
    (void)state;
    const char *const *files = support_demo_files();
    sb_report *report = sb_report_new();
    sb_log *log = NULL;
    sb_season *before = NULL, *after = NULL;
    assert_int_equal(sb_log_new("made.log", &log), SB_OK);
    assert_int_equal(sb_season_read_log(log, files, SUPPORT_N_DEMO_FILES, NULL, report, &before),
                     SB_OK);
    made m = {before, log, report};
    size_t scouted = 0;
    while (scouted < before->n_fields && before->fields[scouted].n_points == 0)
        scouted++;
    assert_true(scouted < before->n_fields);
    char field[128];
    snprintf(field, sizeof field, "field=%s", before->fields[scouted].name);
    add(&m, "rating", field, "at=2026-08-10T08:00", "weed:waterhemp=1", "weed:wild_oat=2", NULL);
    add(&m, "rating", field, "at=2026-08-11T08:00", "weed:wild_oat:plants_m2=0.125", NULL);
    add(&m, "lost", "from=2026-08-10", "to=2026-08-11", NULL);
    assert_int_equal(sb_season_read_log(log, files, SUPPORT_N_DEMO_FILES, NULL, report, &after),
                     SB_OK);
    int hemp = sb_find_weed(&after->setup, "waterhemp");
    int oat = sb_find_weed(&after->setup, "wild_oat");
    assert_int_equal(after->fields[scouted].ratings[hemp].source, SB_RATING_CLASS);
    assert_int_equal(after->fields[scouted].ratings[hemp].class_index, 1);
    assert_true(after->fields[scouted].ratings[oat].density_plants_m2 == 0.125);
    assert_int_equal(after->setup.calendar.n_blocked, before->setup.calendar.n_blocked + 2);
    sb_season_free(after);
    end(&m);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_replayed_season_carries_what_the_model_carries),
        cmocka_unit_test(pieces_of_a_field_add_up_to_it),
        cmocka_unit_test(what_was_forgotten_is_replayed_in_its_place),
        cmocka_unit_test(what_was_forgotten_keeps_to_its_time),
        cmocka_unit_test(a_struck_entry_does_not_count),
        cmocka_unit_test(nonsense_is_refused),
        cmocka_unit_test(a_rating_in_the_log_holds_against_the_points),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
