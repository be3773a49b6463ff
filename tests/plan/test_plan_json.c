/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Reading plan.json: what we wrote comes back, what was written by hand is priced, and whatever is
 * wrong is named. */
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
#include "plan/plan.h"
#include "seasons.h"

static const char path[] = "test_plan_json.tmp.json";

/** Three fields, the first weedy. */
static sb_season *three_fields(void)
{
    sb_season *season = support_season_new(3, 1);
    support_set_density(season, 0, 0, 0.1);
    sb_free(season->setup.machines[0].id);
    season->setup.machines[0].id = sb_strdup("red");
    return season;
}

static void write_text(const char *text)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, strlen(text), file), strlen(text));
    assert_int_equal(fclose(file), 0);
}

/** Reads a text as plan.json and expects success without a message. */
static sb_plan *read_text(const sb_season *season, const char *text)
{
    sb_report *report = sb_report_new();
    sb_plan *plan;
    write_text(text);
    assert_int_equal(sb_plan_read(season, path, report, &plan), SB_OK);
    assert_int_equal(sb_report_count(report), 0);
    sb_report_free(report);
    remove(path);
    return plan;
}

/** Reads a text as plan.json and expects one error with this text, and nothing leaked. */
static void expect_error(const char *text, size_t line, const char *message)
{
    sb_season *season = three_fields();
    long live = sb_mem_live();
    sb_report *report = sb_report_new();
    sb_plan *plan;
    write_text(text);
    assert_int_equal(sb_plan_read(season, path, report, &plan), SB_ERR_INPUT);
    assert_null(plan);
    assert_int_equal(sb_report_count(report), 1);
    assert_string_equal(sb_report_get(report, 0).text, message);
    assert_string_equal(sb_report_get(report, 0).file, path);
    assert_int_equal(sb_report_get(report, 0).line, line);
    sb_report_free(report);
    assert_int_equal(sb_mem_live(), live);
    sb_season_free(season);
    remove(path);
}

static void a_plan_by_hand_needs_only_stops(void **state)
{
    (void)state;
    sb_season *season = three_fields();
    sb_plan *plan = read_text(season, "{\"stops\": [{\"field\": \"Field 3\"},"
                                      "{\"field\": \"Field 1\", \"cleanout\": \"none\"},"
                                      "{\"field\": \"Field 2\", \"cleanout\": \"deep\"}]}");
    assert_int_equal(plan->n_routes, 1);
    const sb_stop *stops = plan->routes[0].stops;
    assert_int_equal(stops[0].field, 2);
    assert_int_equal(stops[0].cleanout, 0);
    assert_int_equal(stops[1].field, 0);
    assert_int_equal(stops[2].field, 1);
    assert_int_equal(stops[2].cleanout, 3);
    assert_true(stops[2].trace.ground[0] > 0 && plan->cost.total > 0);
    assert_true(sb_plan_bound(plan) == -INFINITY);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void several_machines_are_told_apart_by_id_or_by_place(void **state)
{
    (void)state;
    sb_season *season = three_fields();
    support_add_yard_mate(season, "blue");
    static const char *const texts[] = {
        "{\"machines\": [{\"id\": \"blue\", \"stops\": [{\"field\": \"Field 3\"}]}, {\"id\": "
        "\"red\", \"stops\": [{\"field\": \"Field 2\"}, {\"field\": \"Field 1\"}]}]}",
        "{\"machines\": [{\"stops\": [{\"field\": \"Field 2\"}, {\"field\": \"Field 1\"}]}, "
        "{\"stops\": [{\"field\": \"Field 3\"}]}]}",
    };
    double cost[2];
    for (int i = 0; i < 2; i++) {
        sb_plan *plan = read_text(season, texts[i]);
        assert_int_equal(plan->n_routes, 2);
        const sb_route *blue = &plan->routes[i], *red = &plan->routes[!i];
        assert_int_equal(blue->machine, 1);
        assert_int_equal(red->machine, 0);
        assert_int_equal(blue->n_stops, 1);
        assert_int_equal(red->stops[0].field, 1);
        cost[i] = plan->cost.total;
        sb_plan_free(plan);
    }
    assert_true(cost[0] == cost[1] && cost[0] > 0);
    /* A machine that is not named stays in its yard. */
    sb_plan *plan = read_text(season, "{\"machines\": [{\"id\": \"blue\", \"stops\": [{\"field\": "
                                      "\"Field 3\"}, {\"field\": \"Field 2\"}, {\"field\": "
                                      "\"Field 1\"}]}]}");
    assert_int_equal(plan->n_routes, 1);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void the_final_cleanout_may_be_said_or_left_to_the_season(void **state)
{
    (void)state;
    sb_season *season = three_fields();
    season->joins[0].final_cleanout = 1;
    static const struct {
        const char *key;
        int level;
    } cases[] = {{"", 1}, {"\"final_cleanout\": \"deep\",", 3}};
    for (size_t i = 0; i < 2; i++) {
        char text[512];
        snprintf(text, sizeof text,
                 "{\"machines\": [{\"id\": \"red\", %s \"stops\": [{\"field\": \"Field 1\"},"
                 "{\"field\": \"Field 2\"}, {\"field\": \"Field 3\"}]}]}",
                 cases[i].key);
        sb_plan *plan = read_text(season, text);
        assert_int_equal(plan->routes[0].final_cleanout, cases[i].level);
        sb_plan_free(plan);
    }
    season->joins[0].final_cleanout = -1;
    sb_plan *plan = read_text(season, "{\"final_cleanout\": null, \"machine\": \"red\", \"stops\":"
                                      "[{\"field\": \"Field 1\"}, {\"field\": \"Field 2\"},"
                                      "{\"field\": \"Field 3\"}]}");
    assert_int_equal(plan->routes[0].final_cleanout, -1);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void broken_rules_are_warnings(void **state)
{
    (void)state;
    sb_season *season = three_fields();
    season->fields[1].entry = 2;
    sb_report *report = sb_report_new();
    sb_plan *plan;
    write_text("{\"stops\": [{\"field\": \"Field 1\"}, {\"field\": \"Field 2\"},"
               "{\"field\": \"Field 3\"}]}");
    assert_int_equal(sb_plan_read(season, path, report, &plan), SB_OK);
    assert_int_equal(sb_report_count(report), 1);
    assert_int_equal(sb_report_get(report, 0).severity, SB_WARNING);
    sb_plan_free(plan);
    sb_report_free(report);
    sb_season_free(season);
    remove(path);
}

static void what_we_write_comes_back(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        support_options options = support_random_options(seed);
        options.missing_ways = false; /* every plan has a price */
        enum { N = 7 };
        int order[N];
        support_random random = {seed};
        sb_season *season = support_random_season(seed, N, &options);
        sb_plan *plan, *back;
        assert_int_equal(sb_plan_new_single(season, 0, N, &plan), SB_OK);
        support_random_order(&random, order, N);
        for (int i = 0; i < N; i++) {
            plan->routes[0].stops[i].field = order[i];
            plan->routes[0].stops[i].cleanout =
                (int)support_random_below(&random, season->setup.n_cleanouts);
        }
        assert_int_equal(sb_plan_price(season, plan), SB_OK);
        FILE *file = fopen(path, "wb");
        assert_non_null(file);
        assert_int_equal(sb_print_plan_json(season, plan, file), SB_OK);
        fclose(file);
        sb_report *report = sb_report_new();
        assert_int_equal(sb_plan_read(season, path, report, &back), SB_OK);
        assert_int_equal(back->routes[0].n_stops, N);
        for (int i = 0; i < N; i++) {
            assert_int_equal(back->routes[0].stops[i].field, plan->routes[0].stops[i].field);
            assert_int_equal(back->routes[0].stops[i].cleanout, plan->routes[0].stops[i].cleanout);
        }
        assert_int_equal(back->routes[0].final_cleanout, plan->routes[0].final_cleanout);
        assert_true(back->cost.total == plan->cost.total);
        sb_report_free(report);
        sb_plan_free(plan);
        sb_plan_free(back);
        sb_season_free(season);
    }
    remove(path);
}

static void wrong_json_has_its_line(void **state)
{
    (void)state;
    expect_error("{\"stops\": [\n{\"field\": \"Field 1\"},\n]}", 3,
                 "unexpected token near ']', expected JSON");
    expect_error("", 1, "'[' or '{' expected near end of file, expected JSON");
    expect_error("{\"stops\": [], \"stops\": []}", 1,
                 "duplicate object key near '\"stops\"', expected JSON");
}

static void names_that_nobody_has_are_met_with_near_ones(void **state)
{
    (void)state;
    expect_error("{\"stops\": [{\"field\": \"Feild 2\"}]}", 0,
                 "machine 'red', stop 1: unknown field 'Feild 2': did you mean 'Field 2'");
    expect_error("{\"stops\": [{\"field\": \"Field 1\", \"cleanout\": \"thorow\"}]}", 0,
                 "machine 'red', stop 1: unknown cleanout 'thorow', expected one of "
                 "'none', 'blowdown', 'thorough', 'deep'");
    expect_error(
        "{\"machine\": \"blue\", \"stops\": []}", 0,
        "plan: unknown machine 'blue', expected 'red', the built-in one: is the season file "
        "missing that the plan was made with");
}

static void fields_twice_or_left_out_are_named(void **state)
{
    (void)state;
    expect_error("{\"stops\": [{\"field\": \"Field 1\"}, {\"field\": \"Field 1\"}]}", 0,
                 "machine 'red', stop 2: 'Field 1' is cut already, expected every field once");
    expect_error("{\"stops\": [{\"field\": \"Field 2\"}]}", 0,
                 "the plan leaves out 'Field 1', 'Field 3', expected every field once");
}

static void a_misspelt_cleanout_is_not_passed_by(void **state)
{
    (void)state;
    expect_error("{\"stops\": [{\"field\": \"Field 1\", \"cleanuot\": \"deep\"}]}", 0,
                 "machine 'red', stop 1: unknown key 'cleanuot': did you mean 'cleanout'");
}

static void other_shapes_are_refused(void **state)
{
    (void)state;
    expect_error("[]", 0, "not an object, expected a plan");
    expect_error("{\"format\": \"other\"}", 0, "'format' is not 'seedbreak-plan': this is no plan");
    expect_error("{\"version\": 2, \"stops\": []}", 0, "unknown 'version' of the plan, expected 1");
    expect_error("{\"machines\": {}}", 0, "'machines' is no array, expected one");
    expect_error("{\"machines\": [7]}", 0, "machine 'red' has no 'stops', expected an array");
    expect_error("{}", 0, "machine 'red' has no 'stops', expected an array");
    expect_error("{\"stops\": [3]}", 0,
                 "machine 'red', stop 1: not an object, expected {\"field\": ..., "
                 "\"cleanout\": ...}");
    expect_error("{\"stops\": [{\"field\": 3}]}", 0,
                 "machine 'red', stop 1: no name, expected that of a field");
    expect_error("{\"machines\": [{\"id\": \"red\", \"stops\": []}, {\"id\": \"red\", "
                 "\"stops\": []}]}",
                 0, "machine 'red' has two lists of stops, expected one");
    expect_error("{\"machines\": [{\"stops\": []}, {\"stops\": []}]}", 0,
                 "plan for 2 machines, the season has 1");
}

static void a_missing_file_is_system_trouble(void **state)
{
    (void)state;
    sb_season *season = three_fields();
    sb_report *report = sb_report_new();
    sb_plan *plan;
    assert_int_equal(sb_plan_read(season, "no such plan.json", report, &plan), SB_ERR_SYSTEM);
    assert_null(plan);
    assert_int_equal(sb_report_errors(report), 1);
    assert_int_equal(sb_plan_read(season, ".", report, &plan), SB_ERR_SYSTEM);
    assert_int_equal(sb_plan_read(season, NULL, report, &plan), SB_ERR_ARG);
    sb_report_free(report);
    sb_season_free(season);
}

/* JSON is held in memory as a tree: what is no plan is refused before. */
static void a_file_far_too_large_is_refused_unread(void **state)
{
    (void)state;
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fseek(file, 17L << 20, SEEK_SET), 0);
    assert_int_equal(fputc('\n', file), '\n');
    assert_int_equal(fclose(file), 0);
    sb_season *season = three_fields();
    sb_report *report = sb_report_new();
    sb_plan *plan;
    assert_int_equal(sb_plan_read(season, path, report, &plan), SB_ERR_INPUT);
    assert_null(plan);
    assert_string_equal(sb_report_get(report, 0).text,
                        "plan larger than 16 MB, expected at most that much");
    sb_report_free(report);
    sb_season_free(season);
    remove(path);
}

static void a_shut_door_leaks_nothing(void **state)
{
    (void)state;
    sb_season *season = three_fields();
    long live = sb_mem_live(), budget = 0;
    sb_status status;
    write_text("{\"stops\": [{\"field\": \"Field 1\"}, {\"field\": \"Field 2\"},"
               "{\"field\": \"Field 3\"}]}");
    do {
        sb_plan *plan;
        sb_mem_set_budget(budget++);
        status = sb_plan_read(season, path, NULL, &plan);
        sb_mem_set_budget(-1);
        sb_plan_free(plan);
        assert_true(status == SB_OK || status == SB_ERR_NOMEM);
        assert_int_equal(sb_mem_live(), live);
    } while (status != SB_OK);
    assert_true(budget > 15);
    sb_season_free(season);
    remove(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_plan_by_hand_needs_only_stops),
        cmocka_unit_test(several_machines_are_told_apart_by_id_or_by_place),
        cmocka_unit_test(the_final_cleanout_may_be_said_or_left_to_the_season),
        cmocka_unit_test(broken_rules_are_warnings),
        cmocka_unit_test(what_we_write_comes_back),
        cmocka_unit_test(wrong_json_has_its_line),
        cmocka_unit_test(names_that_nobody_has_are_met_with_near_ones),
        cmocka_unit_test(fields_twice_or_left_out_are_named),
        cmocka_unit_test(a_misspelt_cleanout_is_not_passed_by),
        cmocka_unit_test(other_shapes_are_refused),
        cmocka_unit_test(a_missing_file_is_system_trouble),
        cmocka_unit_test(a_file_far_too_large_is_refused_unread),
        cmocka_unit_test(a_shut_door_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
