/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Real boundaries: 85 parcels of the Dutch crop parcel register of 2023 (RVO via PDOK, CC0 1.0),
 * looked for beside the repository. The ratings are invented; the register has none. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "drafts.h"
#include "plan/plan.h"

#define REGISTER "fields/nl_brp2023_fields.kml"
#define PARCELS 85

static const char ratings[] =
    "<season xmlns='urn:seedbreak:season:1'>"
    "<field name='NL 3'><rating weed='kochia' rating='3'/></field>"
    "<field name='NL 8'><rating weed='ryegrass' rating='4'/></field>"
    "<field name='NL 20'><rating weed='kochia' rating='2'/></field></season>";

static void skip_without_register(void)
{
    char path[SUPPORT_PATH_BYTES];
    if (!support_reference(REGISTER, path))
        skip();
}

static sb_season *read_register(bool rated, sb_report *report)
{
    char parcels[SUPPORT_PATH_BYTES], season_file[SUPPORT_PATH_BYTES];
    assert_true(support_reference(REGISTER, parcels));
    support_file("ratings.xml", ratings, strlen(ratings), season_file);
    const char *paths[2] = {parcels, season_file};
    sb_season *season = NULL;
    assert_int_equal(sb_season_read(paths, rated ? 2 : 1, NULL, report, &season), SB_OK);
    assert_int_equal(sb_season_field_count(season), PARCELS);
    return season;
}

static void every_parcel_is_cut_once(const sb_plan *plan)
{
    bool cut[PARCELS] = {false};
    assert_int_equal(plan->routes[0].n_stops, PARCELS);
    for (size_t t = 0; t < PARCELS; t++) {
        assert_false(cut[plan->routes[0].stops[t].field]);
        cut[plan->routes[0].stops[t].field] = true;
    }
}

static void parcels_without_weeds_are_a_proven_tour(void **state)
{
    (void)state;
    skip_without_register();
    sb_report *report = sb_report_new();
    sb_season *season = read_register(false, report);
    sb_order_options how;
    sb_order_options_init(&how);
    sb_plan *plan = NULL;
    assert_int_equal(sb_order(season, &how, report, &plan), SB_OK);
    every_parcel_is_cut_once(plan);
    assert_true(sb_plan_optimal(plan));
    assert_true(sb_plan_cost(plan).spread == 0 && sb_plan_cost(plan).cleanout == 0);
    sb_plan_free(plan);
    sb_season_free(season);
    sb_report_free(report);
}

static void note_progress(const sb_progress *now, void *context)
{
    (void)now;
    ++*(int *)context;
}

static bool enough(void *context)
{
    return *(int *)context > 0;
}

/* Stopped at the first news: the plan keeps the rules and claims no more than it knows. */
static void rated_parcels_are_ordered_when_cut_short(void **state)
{
    (void)state;
    skip_without_register();
    sb_report *report = sb_report_new();
    sb_season *season = read_register(true, report);
    int news = 0;
    sb_order_options how;
    sb_order_options_init(&how);
    how.progress = note_progress;
    how.stop = enough;
    how.context = &news;
    sb_plan *plan = NULL;
    assert_int_equal(sb_order(season, &how, report, &plan), SB_OK);
    every_parcel_is_cut_once(plan);
    assert_true(sb_plan_cost(plan).spread > 0);
    assert_true(sb_plan_bound(plan) <= sb_plan_cost(plan).total);
    assert_false(sb_plan_optimal(plan));
    size_t broken = 1;
    assert_int_equal(sb_plan_check(season, plan, SB_ERROR, report, &broken), SB_OK);
    assert_int_equal(broken, 0);
    sb_plan_free(plan);
    sb_season_free(season);
    sb_report_free(report);
}

static int clean_up(void **state)
{
    (void)state;
    support_folder_remove();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(parcels_without_weeds_are_a_proven_tour),
        cmocka_unit_test(rated_parcels_are_ordered_when_cut_short),
    };
    return cmocka_run_group_tests(tests, NULL, clean_up);
}
