/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What is said of a season without a plan, when the questions behind it are cut short and when
 * several machines share too few hours. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "plan/plan.h"
#include "seasons.h"

#define IN_CONFLICT "in conflict: "
#define NOT_ASKED "whether all of these have a part in it was not asked to the end"

typedef struct patience {
    long left; /* polls until it is over; below 0: never */
} patience;

static bool out_of_patience(void *context)
{
    patience *p = context;
    if (p->left < 0)
        return false;
    return p->left == 0 || --p->left == 0;
}

/* Orders with one thread, so that the polls come in one order. */
static sb_report *order(const sb_season *season, long polls)
{
    patience p = {polls};
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    options.stop = out_of_patience;
    options.context = &p;
    sb_report *report = sb_report_new();
    sb_plan *plan = NULL;
    assert_int_equal(sb_order(season, &options, report, &plan), SB_ERR_INFEASIBLE);
    return report;
}

static size_t said(const sb_report *report, const char *beginning)
{
    size_t count = 0;
    for (size_t i = 0; i < sb_report_count(report); i++)
        count += strncmp(sb_report_get(report, i).text, beginning, strlen(beginning)) == 0;
    return count;
}

/* Four fields of five hours and a quarter of road each are to be finished in twenty hours: any
 * three of them can be, which only a search sees. Seven other rules are none of the reason. */
static sb_season *contradiction(void)
{
    sb_season *season = support_season_new(6, 1);
    int first = season->setup.calendar.start_day;
    for (int j = 0; j < 4; j++)
        season->fields[j].latest_day = first + 1;
    support_add_after(season, 5, 4);
    season->fields[4].ready_day = first + 3;
    season->fields[5].ready_day = first + 1;
    season->fields[4].latest_day = season->fields[5].latest_day = first + 60;
    season->fields[5].entry = 1;
    season->setup.limits.full_cleanouts = 3;
    return season;
}

static void a_list_cut_short_says_so(void **state)
{
    (void)state;
    sb_season *season = contradiction();
    sb_report *whole = order(season, -1);
    size_t rules = said(whole, IN_CONFLICT), cut_short = 0;
    assert_int_equal(said(whole, NOT_ASKED), 0);
    assert_int_equal(rules, 4);
    sb_report_free(whole);
    for (long polls = 1; polls < 20000; polls += 1 + polls) {
        sb_report *report = order(season, polls);
        size_t listed = said(report, IN_CONFLICT);
        if (listed > rules) {
            assert_int_equal(said(report, NOT_ASKED), 1);
            cut_short++;
        }
        sb_report_free(report);
    }
    assert_true(cut_short > 0);
    sb_season_free(season);
}

/* Fields of 20 ha take 5 hours, roads of 5 km a quarter: three fields are 5.25 + 5.25 hours and
 * the quarter home for the machine that cuts two. */
static void hours_missing_to_two_machines_are_counted(void **state)
{
    (void)state;
    sb_season *season = support_season_new(3, 1);
    support_add_yard_mate(season, "other");
    for (size_t m = 0; m < 2; m++)
        season->setup.machines[m].season_hours = 8;
    sb_report *report = order(season, -1);
    assert_int_equal(said(report, IN_CONFLICT), 2);
    assert_int_equal(said(report, "2.8 hours are missing"), 1);
    sb_report_free(report);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_list_cut_short_says_so),
        cmocka_unit_test(hours_missing_to_two_machines_are_counted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
