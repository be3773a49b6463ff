/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What entries since an earlier plan cost. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "base/report.h"
#include "drafts.h"
#include "log/resume.h"
#include "logs.h"
#include "plan/plan.h"
#include "plans.h"

static char fields[SUPPORT_PATH_BYTES], plan_file[SUPPORT_PATH_BYTES];
static const char *files[1];
static const sb_resumed_files whence = {files, 1, NULL, NULL};

/* Three fields of 76 ha, the middle one weedy. */
static int make_season(void **state)
{
    (void)state;
    sb_text kml = {0};
    sb_text_addf(&kml, "<kml>");
    for (int i = 0; i < 3; i++)
        sb_text_addf(&kml,
                     "<Placemark><name>Field %d</name><ExtendedData><Data name=\"weed:kochia\">"
                     "<value>%d</value></Data></ExtendedData><Polygon><outerBoundaryIs><LinearRing>"
                     "<coordinates>5.%02d,52 5.%02d,52 5.%02d,52.01 5.%02d,52.01 5.%02d,52"
                     "</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>",
                     i, i == 1 ? 3 : 0, 2 * i, 2 * i + 1, 2 * i + 1, 2 * i, 2 * i);
    sb_text_addf(&kml, "</kml>");
    files[0] = support_file("fields.kml", kml.bytes, kml.count, fields);
    sb_text_release(&kml);
    return 0;
}

static int remove_season(void **state)
{
    (void)state;
    support_folder_remove();
    return 0;
}

/* A season where a log has brought it. */
typedef struct standing {
    sb_season *season;
    sb_resumed *resumed;
    sb_plan *plan; /* for the rest */
} standing;

static standing stand(const sb_log *log)
{
    standing s = {0};
    sb_report *report = sb_report_new();
    if (sb_season_read_log(log, files, 1, NULL, report, &s.season) != SB_OK ||
        sb_resume(s.season, log, NULL, report, &s.resumed) != SB_OK)
        fail_msg("cannot resume: %s", support_said(report));
    if (sb_resumed_season(s.resumed) != NULL)
        s.plan = support_order(s.resumed->rest);
    sb_report_free(report);
    return s;
}

static void leave(standing *s)
{
    sb_plan_free(s->plan);
    sb_resumed_free(s->resumed);
    sb_season_free(s->season);
}

static void write_plan(const sb_season *season, const sb_plan *plan)
{
    FILE *file = fopen(plan_file, "w");
    assert_non_null(file);
    assert_int_equal(sb_print_plan_json(season, plan, file), SB_OK);
    assert_int_equal(fclose(file), 0);
}

static void account(const standing *s)
{
    sb_report *report = sb_report_new();
    assert_int_equal(sb_resumed_compare(s->resumed, plan_file, s->plan, report), SB_OK);
    assert_int_equal(sb_resumed_account(s->resumed, plan_file, &whence, report), SB_OK);
    assert_int_equal(sb_report_count(report), 0);
    sb_report_free(report);
}

static const sb_change *change_of(const standing *s, sb_change_kind kind, size_t entry)
{
    for (size_t i = 0; i < s->resumed->changes.count; i++) {
        const sb_change *change = &s->resumed->changes.items[i];
        if (change->kind == kind && change->entry == entry)
            return change;
    }
    return NULL;
}

/* To a thousandth: assert_float_equal would round what it is given. */
static void same_money(double one, double other)
{
    if (!(fabs(one - other) < 1e-3))
        fail_msg("%.9g, expected %.9g", one, other);
}

static sb_log *begun(void)
{
    sb_log *log = NULL;
    assert_int_equal(sb_log_new("made.log", &log), SB_OK);
    support_log_say(log, "cut", "machine=combine", "field=Field 1", "to=2026-08-02T12:00", NULL);
    return log;
}

/* A plan for the rest, and then a field less: the grain that stands there less the loss and the
 * ways that fall away. A rating after it is priced with the field gone. */
static void each_entry_costs_what_it_changes(void **state)
{
    (void)state;
    support_file("plan.json", "", 0, plan_file);
    sb_log *log = begun();
    standing s = stand(log);
    double before = sb_resumed_in_all(s.resumed, s.plan->cost.total);
    write_plan(s.resumed->rest, s.plan);
    leave(&s);

    support_log_say(log, "dropped", "field=Field 2", "at=2026-08-02T13:00", NULL);
    s = stand(log);
    double dropped = sb_resumed_in_all(s.resumed, s.plan->cost.total);
    const sb_field *field = &s.season->fields[2];
    double grain = field->grain_t * s.season->setup.crops[field->crop].price_per_t;
    same_money(sb_state_standing(&s.resumed->state), grain);
    account(&s);
    /* One field is left: there is no other order, so the entry costs the whole difference. */
    same_money(change_of(&s, SB_CHANGE_HAPPENED, 1)->money, dropped - before);
    assert_int_equal(s.resumed->since, 1);
    same_money(s.resumed->planned, before);
    leave(&s);

    support_log_say(log, "rating", "field=Field 1", "at=2026-08-02T14:00", "weed:kochia=5", NULL);
    s = stand(log);
    double rated = sb_resumed_in_all(s.resumed, s.plan->cost.total), sum = 0;
    account(&s);
    same_money(change_of(&s, SB_CHANGE_HAPPENED, 1)->money, dropped - before);
    same_money(change_of(&s, SB_CHANGE_FOUND, 2)->money, rated - dropped);
    for (size_t i = 0; i < s.resumed->changes.count; i++)
        sum += s.resumed->changes.items[i].money;
    same_money(sum, rated - before);
    assert_true(rated > dropped + 1); /* seeds that are in the machine already */
    leave(&s);
    sb_log_free(log);
}

/* The log as it was is the log read then: struck entries hold until they are struck. */
static void a_log_cut_short_is_as_it_was(void **state)
{
    (void)state;
    sb_log *log = begun(), *first = NULL;
    sb_report *report = sb_report_new();
    support_log_say(log, "cleanout", "machine=combine", "cleanout=deep", "to=2026-08-02T18:00",
                    "weed:kochia=30", "tarp_kg=50", "sample_kg=0.5", NULL);
    support_log_say(log, "struck", "entry=2", NULL);
    assert_true(log->entries.items[1].is_struck);
    assert_int_equal(sb_log_first(log, 2, false, report, &first), SB_OK);
    assert_int_equal(first->entries.count, 2);
    assert_false(first->entries.items[1].is_struck);
    assert_float_equal(sb_log_entry_count(&first->entries.items[1], "kochia"), 30, 0);
    sb_log_free(first);
    assert_int_equal(sb_log_first(log, 2, true, report, &first), SB_OK);
    assert_true(isnan(sb_log_entry_count(&first->entries.items[1], "kochia")));
    assert_true(isnan(first->entries.items[1].tarp_kg));
    sb_log_free(first);
    assert_int_equal(sb_log_first(log, 3, false, report, &first), SB_OK);
    assert_true(first->entries.items[1].is_struck);
    sb_log_free(first);
    sb_report_free(report);
    sb_log_free(log);
}

/* Home and cleaned: nothing is to come; before that, the way and the clean are. */
static void the_way_home_is_a_plan(void **state)
{
    (void)state;
    sb_log *log = begun();
    support_log_say(log, "dropped", "field=Field 0", "at=2026-08-02T13:00", NULL);
    support_log_say(log, "dropped", "field=Field 2", "at=2026-08-02T13:00", NULL);
    standing s = stand(log);
    const sb_season *rest = NULL;
    const sb_plan *home = sb_resumed_way_home(s.resumed, &rest);
    assert_null(sb_resumed_season(s.resumed));
    assert_non_null(home);
    assert_int_equal(rest->n_fields, 0);
    const sb_machine *machine = &rest->setup.machines[0];
    double km = sb_season_km(s.season, 1, sb_season_yard_place(s.season, 0));
    assert_float_equal(home->cost.travel,
                       km * machine->cost_per_km + km / machine->road_km_h * machine->cost_per_hour,
                       1e-9);
    assert_float_equal(home->routes[0].km_home, km, 1e-9);
    leave(&s);
    sb_log_free(log);
}

/* Every allocation refused once. */
static void without_memory_nothing_leaks(void **state)
{
    (void)state;
    sb_log *log = begun();
    standing s = stand(log);
    write_plan(s.resumed->rest, s.plan);
    leave(&s);
    support_log_say(log, "rating", "field=Field 2", "at=2026-08-02T14:00", "weed:kochia=2", NULL);
    s = stand(log);
    sb_report *report = sb_report_new();
    assert_int_equal(sb_resumed_compare(s.resumed, plan_file, s.plan, report), SB_OK);
    sb_report_free(report);
    long live = sb_mem_live(), k = 0, step = 1;
    for (sb_status status = SB_ERR_NOMEM; status != SB_OK; k += step, step += k / 200) {
        report = sb_report_new();
        sb_mem_set_budget(k);
        status = sb_resumed_account(s.resumed, plan_file, &whence, report);
        sb_mem_set_budget(-1);
        assert_true(status == SB_OK || status == SB_ERR_NOMEM);
        sb_report_free(report);
        sb_free(s.resumed->changes.items);
        memset(&s.resumed->changes, 0, sizeof s.resumed->changes);
        assert_int_equal(sb_mem_live(), live);
    }
    assert_true(k > 100);
    leave(&s);
    sb_log_free(log);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_entry_costs_what_it_changes),
        cmocka_unit_test(a_log_cut_short_is_as_it_was),
        cmocka_unit_test(the_way_home_is_a_plan),
        cmocka_unit_test(without_memory_nothing_leaks),
    };
    return cmocka_run_group_tests(tests, make_season, remove_season);
}
