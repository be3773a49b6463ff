/* SPDX-License-Identifier: GPL-3.0-or-later */
/* plan.json against the plan it was made from, and read back; the ledger against its sums. */
#define _POSIX_C_SOURCE 200809L
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>
#include <unistd.h>

#include "base/mem.h"
#include "drafts.h"
#include "plans.h"
#include "seasons.h"
#include "write/write.h"

static json_t *parsed(const sb_season *season, const sb_plan *plan)
{
    sb_text text = {0};
    assert_int_equal(sb_render_plan_json(season, plan, &text), SB_OK);
    json_error_t error;
    json_t *root = json_loads(sb_text_get(&text), 0, &error);
    if (root == NULL)
        fail_msg("line %d: %s", error.line, error.text);
    sb_text_release(&text);
    return root;
}

static double real_at(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    assert_true(json_is_number(value));
    return json_number_value(value);
}

static const char *text_at(const json_t *object, const char *key)
{
    const char *value = json_string_value(json_object_get(object, key));
    assert_non_null(value);
    return value;
}

static sb_season *random_season(uint64_t seed)
{
    support_options options = support_every_rule();
    options.missing_ways = false;
    return support_random_season(seed, 7, &options);
}

static void expect_stop(const sb_season *season, const sb_stop *stop, const json_t *object)
{
    assert_string_equal(text_at(object, "field"), season->fields[stop->field].name);
    assert_string_equal(text_at(object, "cleanout"), season->setup.cleanouts[stop->cleanout].id);
    assert_true(real_at(object, "km") == stop->km);
    assert_true(real_at(object, "arrive_h") == stop->arrive_h);
    assert_true(real_at(object, "finish_h") == stop->finish_h);
    assert_true(real_at(object, "strip90_m") == stop->trace.strip90_m);
    char stamp[17];
    sb_calendar_stamp(&season->setup.calendar, stop->arrive_h, false, stamp);
    assert_string_equal(text_at(object, "arrive"), stamp);
    sb_calendar_stamp(&season->setup.calendar, stop->finish_h, true, stamp);
    assert_string_equal(text_at(object, "finish"), stamp);
    const json_t *brought = json_object_get(object, "brought");
    for (size_t k = 0; k < season->setup.n_weeds; k++)
        assert_true(real_at(brought, season->setup.weeds[k].id) == stop->trace.ground[k]);
    assert_int_equal(json_object_get(object, "reason") != NULL, stop->cleanout > 0);
}

static void every_number_is_the_plan_s(void **state)
{
    (void)state;
    sb_season *season = random_season(1);
    sb_plan *plan = support_plan(season);
    plan->proof = (sb_proof){.optimal = true, .bound = plan->cost.total, .seconds = 0.5};
    json_t *root = parsed(season, plan);
    assert_string_equal(text_at(root, "format"), "seedbreak-plan");
    assert_int_equal(json_integer_value(json_object_get(root, "version")), 1);
    assert_string_equal(text_at(root, "status"), "optimal");
    const json_t *cost = json_object_get(root, "cost");
    assert_true(real_at(cost, "total") == plan->cost.total);
    assert_true(real_at(cost, "travel") == plan->cost.travel);
    assert_true(real_at(cost, "cleanout") == plan->cost.cleanout);
    assert_true(real_at(cost, "spread") == plan->cost.spread);
    assert_true(real_at(cost, "delay") == plan->cost.delay);
    assert_true(real_at(root, "gap") == 0);
    const json_t *machine = json_array_get(json_object_get(root, "machines"), 0);
    assert_string_equal(text_at(machine, "id"), season->setup.machines[0].id);
    assert_true(real_at(machine, "km_total") == plan->routes[0].km_total);
    const json_t *stops = json_object_get(machine, "stops");
    assert_int_equal(json_array_size(stops), plan->routes[0].n_stops);
    for (size_t i = 0; i < plan->routes[0].n_stops; i++)
        expect_stop(season, &plan->routes[0].stops[i], json_array_get(stops, i));
    json_decref(root);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void gap_is_the_share_of_the_total_above_the_bound(void **state)
{
    (void)state;
    sb_season *season = random_season(2);
    sb_plan *plan = support_plan(season);
    plan->proof.bound = plan->cost.total * 0.75;
    json_t *root = parsed(season, plan);
    assert_string_equal(text_at(root, "status"), "feasible");
    assert_true(fabs(real_at(root, "gap") - 0.25) < 1e-12);
    json_decref(root);
    plan->proof.bound = -INFINITY;
    root = parsed(season, plan);
    assert_true(json_is_null(json_object_get(root, "bound")));
    assert_true(json_is_null(json_object_get(root, "gap")));
    json_decref(root);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void a_plan_read_back_costs_the_same(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 5; seed++) {
        sb_season *season = random_season(seed);
        support_name_field(season, 0, "<b>\"quoted\" \\ back & \t tab");
        sb_plan *plan = support_plan(season), *again;
        char path[] = "plan-XXXXXX";
        int handle = mkstemp(path);
        FILE *file = fdopen(handle, "w");
        assert_non_null(file);
        assert_int_equal(sb_print_plan_json(season, plan, file), SB_OK);
        fclose(file);
        sb_report *report = sb_report_new();
        assert_int_equal(sb_plan_read(season, path, report, &again), SB_OK);
        assert_true(sb_plan_cost(again).total == plan->cost.total);
        assert_int_equal(again->routes[0].final_cleanout, plan->routes[0].final_cleanout);
        unlink(path);
        sb_report_free(report);
        sb_plan_free(again);
        sb_plan_free(plan);
        sb_season_free(season);
    }
}

static void a_missing_way_is_null_not_infinity(void **state)
{
    (void)state;
    sb_season *season = support_season_new(3, 1);
    support_set_km(season, 0, 1, NAN);
    sb_plan *plan = support_plan(season);
    json_t *root = parsed(season, plan);
    const json_t *machine = json_array_get(json_object_get(root, "machines"), 0);
    const json_t *stop = json_array_get(json_object_get(machine, "stops"), 1);
    assert_true(json_is_null(json_object_get(stop, "km")));
    assert_true(json_is_null(json_object_get(json_object_get(root, "cost"), "total")));
    json_decref(root);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Reads the last three numbers of a ledger line and adds them up. */
static void add_line(const char *line, double sums[3])
{
    const char *end = strchr(line, '\r'), *at = end;
    for (int commas = 0; commas < 3; commas += *at == ',')
        at--;
    double ground, tank, loss;
    assert_int_equal(sscanf(at, ",%lf,%lf,%lf", &ground, &tank, &loss), 3);
    sums[0] += ground;
    sums[1] += tank;
    sums[2] += loss;
}

static void the_ledger_adds_up_to_the_plan(void **state)
{
    (void)state;
    sb_season *season = random_season(3);
    sb_plan *plan = support_plan(season);
    sb_text text = {0};
    assert_int_equal(sb_render_ledger_csv(season, plan, &text), SB_OK);
    static const char head[] = "from,to,weed,seeds_to_ground,seeds_to_tank,expected_loss\r\n";
    assert_memory_equal(text.bytes, head, strlen(head));
    double sums[3] = {0}, ground = 0, tank = 0;
    for (const char *line = text.bytes + strlen(head); *line != '\0'; line = strchr(line, '\n') + 1)
        add_line(line, sums);
    for (size_t i = 0; i < plan->routes[0].n_stops; i++)
        for (size_t k = 0; k < season->setup.n_weeds; k++) {
            ground += plan->routes[0].stops[i].trace.ground[k];
            tank += plan->routes[0].stops[i].trace.tank[k];
        }
    assert_true(ground > 0 && tank > 0);
    assert_true(fabs(sums[0] - ground) < 1e-9 * ground);
    assert_true(fabs(sums[1] - tank) < 1e-9 * tank);
    assert_true(fabs(sums[2] - plan->cost.spread) < 1e-9 * plan->cost.spread);
    sb_text_release(&text);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void ledger_names_are_quoted_as_rfc_4180_says(void **state)
{
    (void)state;
    sb_season *season = support_season_new(2, 1);
    support_set_density(season, 0, 0, 1);
    support_name_field(season, 0, "Hill, \"upper\"");
    sb_plan *plan = support_plan(season);
    sb_text text = {0};
    assert_int_equal(sb_render_ledger_csv(season, plan, &text), SB_OK);
    assert_non_null(strstr(text.bytes, "\r\n\"Hill, \"\"upper\"\"\",Field 2,waterhemp,"));
    sb_text_release(&text);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Every key of an example is a key of what we write, all the way down. */
static void expect_keys(const json_t *example, const json_t *ours, const char *where)
{
    if (json_is_array(example)) {
        assert_true(json_array_size(ours) > 0);
        expect_keys(json_array_get(example, 0), json_array_get(ours, 0), where);
        return;
    }
    const char *key;
    const json_t *value;
    json_object_foreach((json_t *)example, key, value)
    {
        const json_t *found = json_object_get(ours, key);
        if (found == NULL)
            fail_msg("docs/formats.md shows '%s' in %s, we do not write it", key, where);
        expect_keys(value, found, key);
    }
}

static void docs_show_no_key_that_is_not_written(void **state)
{
    (void)state;
    char path[SUPPORT_PATH_BYTES], line[1024];
    FILE *page = fopen(support_source("docs/formats.md", path), "r");
    assert_non_null(page);
    sb_text box = {0};
    bool inside = false;
    while (fgets(line, sizeof line, page) != NULL) {
        if (inside && strncmp(line, "```", 3) == 0)
            break;
        if (inside)
            sb_text_add(&box, line, strlen(line));
        inside |= strcmp(line, "```json\n") == 0;
    }
    fclose(page);
    json_t *example = json_loads(sb_text_get(&box), 0, NULL);
    assert_non_null(example);
    sb_text_release(&box);
    sb_season *season = random_season(1);
    sb_plan *plan = support_plan(season);
    /* The example's stop has a cleanout, its season an assumption and a final cleanout. */
    plan->routes[0].stops[0].cleanout = 1;
    plan->routes[0].final_cleanout = 1;
    sb_assumption assumption = {sb_strdup("corn"), sb_strdup("from memory")};
    assert_true(SB_PUSH(&season->assumptions, assumption));
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    json_t *ours = parsed(season, plan);
    expect_keys(example, ours, "plan.json");
    json_decref(example);
    json_decref(ours);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Whoever gets the plan alone reads in it what was said of the files, and what the plan breaks. */
static void warnings_and_broken_rules_are_in_it(void **state)
{
    (void)state;
    sb_season *season = support_season_new(2, 1), *copy;
    sb_plan *plan = NULL;
    assert_int_equal(sb_plan_new_single(season, 0, 2, &plan), SB_OK);
    plan->routes[0].stops[1].field = 1;
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    json_t *root = parsed(season, plan);
    assert_int_equal(json_array_size(json_object_get(root, "warnings")), 0);
    assert_int_equal(real_at(root, "rules_broken"), 0);
    json_decref(root);

    assert_true(sb_season_keep_warning(season, "fields.kml", 4, "no rating"));
    assert_true(sb_season_keep_warning(season, NULL, 0, "no yard"));
    support_add_after(season, 0, 1);
    assert_int_equal(sb_season_copy(season, NULL, NULL, &copy), SB_OK);
    root = parsed(copy, plan);
    const json_t *warnings = json_object_get(root, "warnings");
    assert_int_equal(json_array_size(warnings), 3);
    assert_string_equal(text_at(json_array_get(warnings, 0), "file"), "fields.kml");
    assert_int_equal(real_at(json_array_get(warnings, 0), "line"), 4);
    assert_string_equal(text_at(json_array_get(warnings, 0), "text"), "no rating");
    assert_true(json_is_null(json_object_get(json_array_get(warnings, 1), "file")));
    assert_non_null(strstr(text_at(json_array_get(warnings, 2), "text"), "'Field 1'"));
    assert_int_equal(real_at(root, "rules_broken"), 1);
    json_decref(root);
    sb_plan_free(plan);
    sb_season_free(copy);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_number_is_the_plan_s),
        cmocka_unit_test(gap_is_the_share_of_the_total_above_the_bound),
        cmocka_unit_test(a_plan_read_back_costs_the_same),
        cmocka_unit_test(a_missing_way_is_null_not_infinity),
        cmocka_unit_test(the_ledger_adds_up_to_the_plan),
        cmocka_unit_test(ledger_names_are_quoted_as_rfc_4180_says),
        cmocka_unit_test(docs_show_no_key_that_is_not_written),
        cmocka_unit_test(warnings_and_broken_rules_are_in_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
