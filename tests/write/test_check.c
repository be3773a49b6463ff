/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `check` as a table and as JSON, on a season joined from features made by code. */
#define _GNU_SOURCE
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <jansson.h>

#include "base/mem.h"
#include "base/report.h"
#include "made_features.h"
#include "season/season.h"
#include "write/columns.h"

typedef sb_status printer(const sb_season *season, const sb_report *report, FILE *stream);

static sb_draft draft;
static sb_report *report;
static sb_season *season;

static int begin(void **state)
{
    (void)state;
    report = sb_report_new();
    return sb_draft_init(&draft) == SB_OK && report != NULL ? 0 : -1;
}

static int end(void **state)
{
    (void)state;
    sb_season_free(season);
    season = NULL;
    sb_draft_release(&draft);
    sb_report_free(report);
    return sb_mem_live() == 0 ? 0 : -1;
}

/* Two fields, a yard, four scouting points, one of them in no field. */
static void make_season(void)
{
    sb_feature *feature = support_add_square(&draft, "Sørmarken", -98, 46, 0.01, 10);
    support_say(feature, "crop", "wheat");
    support_say(feature, "grower", "Åse Østergård");
    support_say(feature, "weed:waterhemp:plants_m2", "0.25");
    support_say(feature, "weed:wild_oat", "2");
    support_say(feature, "entry", "thorough");
    support_say(feature, "ready", "2026-08-02");
    support_say(feature, "limit:wild_oat", "500");
    feature = support_add_square(&draft, "Slough", -98.1, 46, 0.02, 20);
    support_say(feature, "crop", "oats");
    support_say(feature, "after", "Sørmarken");
    sb_part *part = &feature->parts.items[0];
    part->holes = sb_alloc(1, sizeof *part->holes);
    part->n_holes = part->hole_capacity = 1;
    static const sb_lonlat corners[] = {{-98.095, 46.005}, {-98.09, 46.005}, {-98.09, 46.01}};
    for (size_t i = 0; i < 3; i++)
        assert_true(SB_PUSH(&part->holes[0], corners[i]));
    support_say(support_add_waypoint(&draft, "Shop", -98.05, 46.05, 40), "role", "yard");
    for (size_t i = 0; i < 4; i++)
        support_say(support_add_waypoint(&draft, "P", -98.083 + (i == 3), 46.012, 50 + i),
                    "weed:kochia", i == 0 ? "4" : "2");
    assert_int_equal(sb_season_join(&draft, report, &season), SB_OK);
}

static char *printed(printer *print)
{
    char *bytes = NULL;
    size_t n = 0;
    FILE *stream = open_memstream(&bytes, &n);
    assert_non_null(stream);
    assert_int_equal(print(season, report, stream), SB_OK);
    fclose(stream);
    return bytes;
}

static json_t *printed_json(void)
{
    char *text = printed(sb_print_check_json);
    json_error_t error;
    json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, &error);
    if (root == NULL)
        fail_msg("line %d: %s", error.line, error.text);
    free(text);
    return root;
}

static double real_at(json_t *object, const char *key)
{
    json_t *value = json_object_get(object, key);
    if (!json_is_number(value))
        fail_msg("no number '%s'", key);
    return json_number_value(value);
}

static const char *text_at(json_t *object, const char *key)
{
    json_t *value = json_object_get(object, key);
    if (!json_is_string(value))
        fail_msg("no text '%s'", key);
    return json_string_value(value);
}

static void json_says_what_was_read(void **state)
{
    (void)state;
    make_season();
    json_t *root = printed_json(), *fields = json_object_get(root, "fields");
    assert_int_equal(json_array_size(fields), 2);
    json_t *first = json_array_get(fields, 0), *second = json_array_get(fields, 1);
    assert_string_equal(text_at(first, "name"), "Sørmarken");
    assert_string_equal(text_at(first, "crop"), "wheat");
    assert_float_equal(real_at(first, "area_ha"), season->fields[0].area_ha, 0);
    assert_float_equal(real_at(first, "vertices"), 4, 0);
    assert_float_equal(real_at(second, "parts"), 1, 0);
    assert_float_equal(real_at(second, "holes"), 1, 0);
    assert_float_equal(real_at(second, "vertices"), 7, 0);
    json_t *ratings = json_object_get(first, "ratings");
    assert_int_equal(json_object_size(ratings), 2);
    assert_float_equal(real_at(ratings, "waterhemp"), 3, 0);
    assert_true(json_is_integer(json_object_get(ratings, "wild_oat")));
    /* The mean of 3.16, 0.0316 and 0.0316 plants/m2 is 1.075: class 4. */
    assert_float_equal(real_at(json_object_get(second, "ratings"), "kochia"), 4, 0);
    json_t *yard = json_array_get(json_object_get(root, "yards"), 0);
    assert_string_equal(text_at(yard, "name"), "Shop");
    assert_float_equal(real_at(yard, "lon"), -98.05, 0);
    assert_float_equal(real_at(yard, "lat"), 46.05, 0);
    json_t *warnings = json_object_get(root, "warnings");
    assert_int_equal(json_array_size(warnings), 1);
    assert_string_equal(text_at(json_array_get(warnings, 0), "file"), "points.gpx");
    assert_float_equal(real_at(json_array_get(warnings, 0), "line"), 53, 0);
    assert_non_null(strstr(text_at(json_array_get(warnings, 0), "text"), "lies in no field"));
    json_decref(root);
}

/* The price of one move worked out from the JSON alone equals what the library uses. */
static void json_holds_every_number_to_work_out_a_plan_by_hand(void **state)
{
    (void)state;
    make_season();
    json_t *root = printed_json(), *numbers = json_object_get(root, "season");
    json_t *field = json_array_get(json_object_get(numbers, "fields"), 0);
    json_t *weed = json_object_get(json_object_get(numbers, "weeds"), "waterhemp");
    double density = real_at(json_object_get(field, "plants_m2"), "waterhemp");
    assert_float_equal(density, 0.25, 0);
    double per_kg = density * real_at(weed, "seeds_per_plant") * real_at(weed, "retained") *
                    (1 - real_at(weed, "header_loss")) * 1e4 / real_at(field, "material_kg_ha");
    assert_float_equal(real_at(json_object_get(field, "seeds_per_kg"), "waterhemp") / per_kg, 1,
                       1e-14);
    double loss =
        real_at(field, "worth") * (1 - real_at(json_object_get(field, "occupied"), "waterhemp")) *
        real_at(weed, "viability") * real_at(weed, "emergence") * real_at(weed, "survival") *
        (1 - real_at(weed, "control")) * real_at(weed, "cost_per_plant");
    assert_float_equal(real_at(json_object_get(field, "loss_per_seed"), "waterhemp") / loss, 1,
                       1e-14);
    assert_float_equal(real_at(field, "grain_t"), season->fields[0].grain_t, 0);
    assert_string_equal(text_at(field, "entry"), "thorough");
    assert_true(json_is_null(json_object_get(json_object_get(field, "limit_seeds_ha"), "kochia")));
    assert_float_equal(real_at(json_object_get(field, "limit_seeds_ha"), "wild_oat"), 500, 0);
    assert_string_equal(text_at(field, "ready"), "2026-08-02");
    assert_true(json_is_null(json_object_get(field, "latest_h")));

    json_t *machine = json_array_get(json_object_get(numbers, "machines"), 0);
    json_t *sections = json_object_get(machine, "sections");
    assert_int_equal(json_array_size(sections), 6);
    json_t *shoe = json_array_get(sections, 3);
    assert_string_equal(text_at(shoe, "id"), "shoe");
    assert_float_equal(real_at(shoe, "kg"), 7.28, 0);
    assert_float_equal(real_at(json_object_get(shoe, "ground_share"), "wild_oat"), 0.5, 0);
    assert_float_equal(real_at(machine, "ha_per_hour"), 3.2, 0);

    json_t *blowdown = json_array_get(json_object_get(numbers, "cleanouts"), 1);
    double per_hour = real_at(blowdown, "people") * real_at(numbers, "wage_per_hour") +
                      real_at(numbers, "lost_time_per_hour");
    assert_float_equal(
        real_at(blowdown, "cost"),
        real_at(blowdown, "supplies_cost") + real_at(blowdown, "minutes") / 60 * per_hour, 1e-12);
    json_t *keep = json_array_get(json_object_get(blowdown, "keep"), 1);
    assert_string_equal(text_at(keep, "section"), "rock_trap");
    assert_float_equal(real_at(keep, "lodged"), 0.5, 0);
    json_decref(root);
}

static void json_leaves_a_missing_way_null(void **state)
{
    (void)state;
    make_season();
    season->km[1 * season->n_places + 0] = NAN;
    json_t *root = printed_json(), *numbers = json_object_get(root, "season");
    json_t *places = json_object_get(numbers, "places"), *km = json_object_get(numbers, "km");
    assert_int_equal(json_array_size(places), 3);
    assert_string_equal(json_string_value(json_array_get(places, 2)), "Shop");
    assert_int_equal(json_array_size(km), 3);
    for (size_t from = 0; from < 3; from++) {
        json_t *row = json_array_get(km, from);
        assert_int_equal(json_array_size(row), 3);
        for (size_t to = 0; to < 3; to++)
            if (from == 1 && to == 0)
                assert_true(json_is_null(json_array_get(row, to)));
            else
                assert_float_equal(json_number_value(json_array_get(row, to)),
                                   sb_season_km(season, (int)from, (int)to), 0);
    }
    json_decref(root);
}

static void names_that_are_not_utf8_still_make_json(void **state)
{
    (void)state;
    support_add_square(&draft, "Caf\xe9 field", -98, 46, 0.01, 10);
    assert_int_equal(sb_season_join(&draft, report, &season), SB_OK);
    json_t *root = printed_json();
    json_t *field = json_array_get(json_object_get(root, "fields"), 0);
    assert_string_equal(text_at(field, "name"), "Caf? field");
    json_decref(root);
}

static void assert_fits_the_page(const char *text)
{
    while (*text != '\0') {
        size_t n = strcspn(text, "\n");
        char *line = strndup(text, n);
        if (sb_columns_width(line) > SB_PAGE_COLUMNS)
            fail_msg("%d columns: %s", sb_columns_width(line), line);
        free(line);
        text += n + (text[n] == '\n');
    }
}

static void the_table_names_ratings_and_where_they_came_from(void **state)
{
    (void)state;
    make_season();
    char *text = printed(sb_print_check);
    assert_fits_the_page(text);
    assert_non_null(strstr(text, "Field              Grower              ha Crop     Waterhemp    "
                                 "Kochia  Wild oat\n"
                                 "Sørmarken          Åse Østergård    86.09 Wheat          3 d     "
                                 "    -         2\n"));
    assert_non_null(strstr(text, " Oats             -      4 p3         -\n"));
    assert_non_null(strstr(text, "\n2 fields, 4"));
    assert_non_null(strstr(text, "yard: Shop\n"));
    assert_non_null(strstr(text, "\nDoubtful\n- points.gpx:53: scouting point 'P' at longitude"));
    assert_non_null(
        strstr(text, "\n- rated without a scouting point: Wild oat in 1 of 1 rated fields\n"));
    assert_non_null(strstr(text, "\nAssumed\n- taken as clean because unrated: Waterhemp in 1 of"));
    assert_non_null(strstr(text, "Burton et al. 2017"));
    assert_null(strstr(text, "Ryegrass:"));
    free(text);
}

static void many_weeds_get_a_table_of_their_own(void **state)
{
    (void)state;
    sb_feature *feature = support_add_square(
        &draft, "A name that is much too long for any column of a table on paper", -98, 46, 0.01,
        10);
    for (size_t w = 0; w < 5; w++) {
        sb_text key = {0};
        sb_text_addf(&key, "weed:%s", draft.setup.weeds[w].id);
        support_say(feature, key.bytes, "1");
        sb_text_release(&key);
    }
    assert_int_equal(sb_season_join(&draft, report, &season), SB_OK);
    char *text = printed(sb_print_check);
    assert_fits_the_page(text);
    assert_non_null(strstr(text, "\nRatings "));
    assert_non_null(strstr(text, "      1       1       1       1       1\n"));
    free(text);
}

static void a_quiet_season_says_that_nothing_is_doubtful(void **state)
{
    (void)state;
    support_say(support_add_square(&draft, "A", -98, 46, 0.01, 10), "weed:kochia:plants_m2", "0");
    support_say(support_add_waypoint(&draft, "Shop", -98, 46.05, 40), "role", "yard");
    assert_int_equal(sb_season_join(&draft, report, &season), SB_OK);
    char *text = printed(sb_print_check);
    assert_non_null(strstr(text, "\nNothing doubtful was found.\n"));
    assert_null(strstr(text, "\nNoted\n"));
    free(text);
}

static void a_full_disk_is_system_trouble(void **state)
{
    (void)state;
    make_season();
    FILE *full = fopen("/dev/full", "w");
    if (full == NULL)
        skip();
    assert_int_equal(sb_print_check(season, report, full), SB_ERR_SYSTEM);
    assert_int_equal(sb_print_check_json(season, report, full), SB_ERR_SYSTEM);
    fclose(full);
    assert_int_equal(sb_print_check(NULL, report, stdout), SB_ERR_ARG);
    assert_int_equal(sb_print_check_json(season, report, NULL), SB_ERR_ARG);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
        TEST(json_says_what_was_read),
        TEST(json_holds_every_number_to_work_out_a_plan_by_hand),
        TEST(json_leaves_a_missing_way_null),
        TEST(names_that_are_not_utf8_still_make_json),
        TEST(the_table_names_ratings_and_where_they_came_from),
        TEST(many_weeds_get_a_table_of_their_own),
        TEST(a_quiet_season_says_that_nothing_is_doubtful),
        TEST(a_full_disk_is_system_trouble),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
