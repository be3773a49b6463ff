/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drafts that make no season: each error with its file, line and text. And doubts, likewise. */
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
#include "base/text.h"
#include "made_features.h"
#include "season/season.h"

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

/* "FILE:LINE: TEXT" of each message of one severity, one a line. */
static void assert_messages(sb_severity severity, const char *expected)
{
    sb_text all = {0};
    for (size_t i = 0; i < sb_report_count(report); i++) {
        sb_message m = sb_report_get(report, i);
        if (m.severity == severity)
            sb_text_addf(&all, "%s:%zu: %s\n", m.file != NULL ? m.file : "-", m.line, m.text);
    }
    bool same = strcmp(sb_text_get(&all), expected) == 0;
    if (!same)
        print_message("found:\n%s", sb_text_get(&all));
    sb_text_release(&all);
    assert_true(same);
}

static void refused(const char *expected)
{
    assert_int_equal(sb_season_join(&draft, report, &season), SB_ERR_INPUT);
    assert_null(season);
    assert_messages(SB_ERROR, expected);
}

static void doubted(const char *expected)
{
    assert_int_equal(sb_season_join(&draft, report, &season), SB_OK);
    assert_messages(SB_WARNING, expected);
}

static sb_feature *square(const char *name, size_t line)
{
    return support_add_square(&draft, name, -98 + 0.002 * (double)line, 46, 0.01, line);
}

static void season_file(void)
{
    draft.season_file = sb_draft_file(&draft, "season.xml");
}

/* ---- Refused ---- */

static void unknown_ids_are_named_with_the_known_ones(void **state)
{
    (void)state;
    sb_feature *feature = square("A", 10);
    support_say(feature, "weed:dandelion", "3");
    support_say(feature, "crop", "rye");
    support_say(feature, "entry", "spotless");
    support_say(feature, "limit:thistle", "3");
    support_say(feature, "weed:kochia:per_acre", "3");
    support_say(square("B", 20), "role", "barn");
    refused(
        "fields.kml:21: unknown role 'barn', expected field, yard, cut, scout or patch: did you "
        "mean 'yard'\n"
        "fields.kml:11: unknown crop 'rye' of field 'A', expected one of soybean, corn, wheat, "
        "barley, oats, canola or one added in the season file\n"
        "fields.kml:11: unknown cleanout 'spotless', expected one of none, blowdown, thorough, "
        "deep or one added in the season file\n"
        "fields.kml:11: unknown weed 'thistle' of 'A', expected one of waterhemp, kochia, "
        "ryegrass, wild_oat, giant_ragweed or one added in the season file\n"
        "fields.kml:11: unknown weed 'dandelion' of 'A', expected one of waterhemp, kochia, "
        "ryegrass, wild_oat, giant_ragweed or one added in the season file\n"
        "fields.kml:11: unknown key 'weed:kochia:per_acre', expected weed:ID or "
        "weed:ID:plants_m2\n");
}

static void ratings_off_the_scale_are_refused(void **state)
{
    (void)state;
    sb_feature *feature = square("A", 10);
    support_say(feature, "weed:kochia", "6");
    support_say(feature, "weed:ryegrass", "2.5");
    support_say(feature, "weed:waterhemp:plants_m2", "-1");
    support_say(support_add_waypoint(&draft, "P", -97.975, 46.005, 30), "weed:kochia", "nan");
    refused("points.gpx:31: rating 'nan' of kochia is off the scale 'density', expected one of 0, "
            "1, 2, 3, 4, 5\n"
            "fields.kml:11: rating '6' of kochia is off the scale 'density', expected one of 0, 1, "
            "2, 3, 4, 5\n"
            "fields.kml:11: rating '2.5' of ryegrass is off the scale 'density', expected one of "
            "0, 1, 2, 3, 4, 5\n"
            "fields.kml:11: weed:waterhemp:plants_m2 is '-1', expected plants per m2, a number of "
            "at least 0\n");
}

static void a_rating_may_be_written_as_an_equal_number(void **state)
{
    (void)state;
    support_say(square("A", 10), "weed:kochia", "3.0");
    doubted("");
    assert_int_equal(season->fields[0].ratings[1].class_index, 3);
}

static void two_fields_of_one_name_are_refused(void **state)
{
    (void)state;
    square("Home", 10);
    square("Home", 20);
    support_say(square("Home", 30), "role", "cut");
    refused("fields.kml:20: two fields are named 'Home', the other at fields.kml:10; expected a "
            "name of its own for each\n"
            "fields.kml:30: two fields are named 'Home', the other at fields.kml:20; expected a "
            "name of its own for each\n");
}

static void a_field_needs_land(void **state)
{
    (void)state;
    support_say(support_add_waypoint(&draft, "Pin", -98, 46, 5), "role", "field");
    sb_feature *feature = support_add_waypoint(&draft, "Placemark", -98, 46.1, 8);
    feature->from_waypoint = false;
    support_say(feature, "crop", "wheat");
    feature = square("Empty", 20);
    sb_part_release(&feature->parts.items[0]);
    feature->parts.count = 0;
    refused("points.gpx:5: field 'Pin' has no polygon and no area, expected an outline or area_ha "
            "(a yard or a scouting point needs its role)\n"
            "points.gpx:8: field 'Placemark' has no polygon and no area, expected an outline or "
            "area_ha (a yard or a scouting point needs its role)\n"
            "fields.kml:20: field 'Empty' has no polygon and no area, expected an outline or "
            "area_ha (a yard or a scouting point needs its role)\n");
}

static void a_ring_that_crosses_itself_is_refused_with_the_place(void **state)
{
    (void)state;
    sb_ring *ring = &support_add_square(&draft, "Bow", -98, 46, 0.01, 10)->parts.items[0].outer;
    sb_lonlat corner = ring->items[1];
    ring->items[1] = ring->items[2];
    ring->items[2] = corner;
    assert_int_equal(sb_season_join(&draft, report, &season), SB_ERR_INPUT);
    sb_message first = sb_report_get(report, 0);
    assert_int_equal(first.line, 12);
    assert_non_null(strstr(first.text, "field 'Bow': "));
    assert_non_null(strstr(first.text, "at longitude -97.9950000, latitude 46.0050000; expected a "
                                       "simple outline"));
}

static void numbers_and_dates_of_fields_are_judged(void **state)
{
    (void)state;
    sb_feature *feature = square("A", 10);
    support_say(feature, "yield_t_ha", "0");
    support_say(feature, "worth", "nan");
    support_say(feature, "ready", "2026-02-30");
    support_say(feature, "area_ha", "ten");
    support_say(feature, "tank_limit_seeds_kg", "-2");
    support_say(feature, "limit:kochia", "few");
    feature = square("B", 20);
    support_say(feature, "ready", "2026-08-20");
    support_say(feature, "latest", "2026-08-10");
    refused("fields.kml:11: area_ha of field 'A' is 'ten', expected a number above 0\n"
            "fields.kml:11: yield_t_ha of field 'A' is '0', expected a number above 0\n"
            "fields.kml:11: ready of field 'A' is '2026-02-30', expected a date YYYY-MM-DD\n"
            "fields.kml:11: worth of field 'A' is 'nan', expected a number of at least 0\n"
            "fields.kml:11: tank_limit_seeds_kg of field 'A' is '-2', expected a number of at "
            "least 0\n"
            "fields.kml:21: field 'B' is ready on 2026-08-20, after its latest day 2026-08-10; "
            "expected ready first\n"
            "fields.kml:11: limit:kochia of field 'A' is 'few', expected seeds per ha, a number of "
            "at least 0\n");
}

static void precedence_in_a_circle_is_refused_by_name(void **state)
{
    (void)state;
    support_say(square("A", 10), "after", "B");
    support_say(square("B", 20), "after", "C");
    support_say(square("C", 30), "after", "A");
    support_say(square("D", 40), "after", "A; D");
    support_say(square("E", 50), "after", "D");
    refused("fields.kml:11: fields wait for each other in a circle: 'A' after 'B' after 'C' after "
            "'A'; expected an order that can be cut\n"
            "fields.kml:41: fields wait for each other in a circle: 'D' after 'D'; expected an "
            "order that can be cut\n");
}

static void unknown_names_in_after_lists_are_refused(void **state)
{
    (void)state;
    square("A", 10);
    support_say(square("B", 20), "after", "A; Nowhere; Neverland");
    support_say(square("C", 30), "after", "A, Nowhere");
    refused("fields.kml:21: field 'B' comes after 'Nowhere', but no field has that name; expected "
            "field names separated by ';'\n"
            "fields.kml:21: field 'B' comes after 'Neverland', but no field has that name; "
            "expected field names separated by ';'\n"
            "fields.kml:31: field 'C' comes after 'A, Nowhere', but no field has that name; "
            "expected field names separated by ';'\n");
}

static void a_laid_over_attribute_is_blamed_on_its_own_file(void **state)
{
    (void)state;
    season_file();
    sb_feature *feature = square("A", 10);
    support_say(feature, "crop", "wheat");
    assert_int_equal(sb_feature_add_attribute(feature, "crop", "teff", 77), SB_OK);
    feature->attributes.items[1].file = draft.season_file;
    refused("season.xml:77: unknown crop 'teff' of field 'A', expected one of soybean, corn, "
            "wheat, barley, oats, canola or one added in the season file\n");
}

static void the_season_must_end_after_it_starts(void **state)
{
    (void)state;
    season_file();
    square("A", 10);
    draft.setup.calendar_line = 3;
    draft.setup.calendar_start_given = true;
    sb_date_parse("2026-08-01", &draft.setup.calendar.start_day);
    sb_date_parse("2026-07-01", &draft.setup.calendar.end_day);
    draft.setup.calendar.hours_per_day = 25;
    refused("season.xml:3: hours_per_day is 25, expected more than 0 and at most 24\n"
            "season.xml:3: the season starts on 2026-08-01 and ends on 2026-07-01, expected the "
            "start first\n");
}

static void a_cleanout_cannot_keep_more_than_it_found(void **state)
{
    (void)state;
    season_file();
    square("A", 10);
    draft.setup.cleanouts[2].line = 9;
    draft.setup.cleanouts[2].keep_loose[1] = 1.5;
    draft.setup.cleanouts[2].keep_lodged[0] = NAN;
    draft.setup.cleanouts[0].line = 8;
    draft.setup.cleanouts[0].keep_lodged[0] = 0.5;
    refused("season.xml:8: cleanout 'none' does something, expected it to take no time and keep "
            "everything; give a level of your own another id\n"
            "season.xml:9: cleanout 'thorough' keeps nan of the lodged seed in section header, "
            "expected 0 to 1: no cleanout leaves more than it found\n"
            "season.xml:9: cleanout 'thorough' keeps 1.5 of the loose seed in section rock_trap, "
            "expected 0 to 1: no cleanout leaves more than it found\n");
}

static void numbers_of_the_setup_are_judged(void **state)
{
    (void)state;
    season_file();
    square("A", 10);
    draft.setup.weeds[1].line = 4;
    draft.setup.weeds[1].retained = 1.2;
    draft.setup.crops[0].line = 5;
    draft.setup.crops[0].yield_t_ha = 0;
    draft.setup.machines[0].file = draft.season_file;
    draft.setup.machines[0].line = 6;
    draft.setup.machines[0].road_km_h = -1;
    draft.setup.machines[0].sections[2].tau_loose_t = 0;
    draft.setup.detour = 0.5;
    draft.setup.scale.line = 7;
    draft.setup.scale.low[3] = 2;
    refused("season.xml:7: class '3' of scale 'density' means 0.316228 plants/m2 within 2 to 1, "
            "expected low <= plants_m2 <= high\n"
            "season.xml:4: weed 'kochia': retained is 1.2, expected 0 to 1\n"
            "season.xml:5: crop 'soybean': yield_t_ha is 0, expected a number above 0\n"
            "season.xml:6: machine 'combine': road_km_h is -1, expected a number above 0\n"
            "season.xml:6: section 'threshing': tau_loose_t is 0, expected a number above 0\n"
            "season.xml:0: travel: detour is 0.5, expected a number of at least 1: no road is "
            "shorter than the straight line\n");
}

static void machines_must_name_what_exists(void **state)
{
    (void)state;
    season_file();
    square("A", 10);
    support_say(support_add_waypoint(&draft, "Shop", -98, 46.1, 40), "role", "yard");
    sb_machine *machine = &draft.setup.machines[0];
    machine->file = draft.season_file;
    machine->line = 6;
    machine->yard = sb_strdup("Depot");
    machine->final_cleanout = sb_strdup("spotless");
    machine->start = SB_START_FIELD;
    machine->start_field = sb_strdup("A");
    refused("season.xml:6: machine 'combine' has the unknown yard 'Depot', expected one of "
            "'Shop'\n"
            "season.xml:6: unknown cleanout 'spotless', expected one of none, blowdown, thorough, "
            "deep or one added in the season file\n"
            "season.xml:6: machine 'combine' starts from field 'A', which is still to be cut; "
            "expected a field with role cut\n");
}

static void start_states_must_name_what_exists(void **state)
{
    (void)state;
    season_file();
    square("A", 10);
    sb_machine *machine = &draft.setup.machines[0];
    machine->file = draft.season_file;
    machine->line = 6;
    machine->yard = sb_strdup("Depot");
    machine->start = SB_START_LOAD;
    machine->start_loads = sb_alloc(2, sizeof *machine->start_loads);
    machine->n_start_loads = 2;
    machine->start_loads[0] = (sb_known_load){sb_strdup("boot"), sb_strdup("kochia"), 1, 2, 7};
    machine->start_loads[1] = (sb_known_load){sb_strdup("tank"), sb_strdup("kochia"), -1, 2, 8};
    refused("season.xml:6: machine 'combine' has the unknown yard 'Depot', expected a point with "
            "role yard and that name\n"
            "season.xml:7: start load of machine 'combine' names the unknown section 'boot', "
            "expected one of header, rock_trap, threshing, shoe, tank, chopper\n"
            "season.xml:8: start load of machine 'combine' is -1 loose and 2 lodged seeds, "
            "expected numbers of at least 0\n");
}

static void a_travel_table_must_name_every_place(void **state)
{
    (void)state;
    square("A", 10);
    square("B", 20);
    draft.travel.file = sb_draft_file(&draft, "roads.csv");
    draft.travel.n = 1;
    draft.travel.names = sb_alloc(1, sizeof(char *));
    draft.travel.names[0] = sb_strdup("A");
    draft.travel.km = sb_alloc(1, sizeof(double));
    refused("roads.csv:1: the travel table does not name the field 'B'\n"
            "roads.csv:1: the travel table does not name the yard 'Centre of the fields'\n");
}

static void a_season_needs_a_field(void **state)
{
    (void)state;
    support_say(support_add_waypoint(&draft, "P", -98, 46, 5), "weed:kochia", "2");
    refused("points.gpx:0: no field found, expected at least one outline\n");
}

/* ---- Doubted ---- */

static void points_in_no_field_are_doubted(void **state)
{
    (void)state;
    support_say(square("A", 10), "weed:kochia", "2");
    support_say(support_add_waypoint(&draft, "P", -99, 46.005, 30), "weed:kochia", "2");
    support_add_waypoint(&draft, "Gate", -99, 46.005, 40); /* rates nothing: nobody minds */
    doubted("points.gpx:30: scouting point 'P' at longitude -99.0000000, latitude 46.0050000 lies "
            "in no field: not used\n");
}

static void a_stated_area_far_from_the_measured_one_is_doubted(void **state)
{
    (void)state;
    sb_feature *feature = square("A", 10);
    support_say(feature, "area_ha", "70");
    support_say(feature, "weed:kochia", "0");
    feature = square("B", 20);
    support_say(feature, "area_ha", "85");
    support_say(feature, "weed:kochia", "0");
    doubted("fields.kml:10: field 'A' measures 86.09 ha, but 70.00 ha are stated: the measured "
            "area is used\n");
}

/* 60 bushels per acre and 3 tonnes in kg are the usual slips. */
static void numbers_in_another_unit_are_doubted(void **state)
{
    (void)state;
    sb_feature *feature = square("A", 10);
    support_say(feature, "yield_t_ha", "3000");
    support_say(feature, "weed:kochia:plants_m2", "20000");
    feature = square("B", 20);
    support_say(feature, "yield_t_ha", "38");
    support_say(feature, "weed:kochia:plants_m2", "4000");
    feature = square("C", 30);
    support_say(feature, "yield_t_ha", "0.01");
    support_say(feature, "weed:kochia", "0");
    doubted("fields.kml:11: field 'A' yields 3000 t/ha, expected 0.05 to 40 tonnes per hectare: "
            "another unit?\n"
            "fields.kml:31: field 'C' yields 0.01 t/ha, expected 0.05 to 40 tonnes per hectare: "
            "another unit?\n"
            "fields.kml:11: weed:kochia:plants_m2 is 20000, expected at most 5000 plants per m2: "
            "per another area?\n");
}

static void a_point_that_says_nothing_is_passed_by(void **state)
{
    (void)state;
    support_say(square("A", 10), "weed:kochia", "0");
    support_add_waypoint(&draft, "Tree", -99, 46, 30)->from_waypoint = false;
    doubted("points.gpx:30: point 'Tree' says nothing of itself and is passed by; a yard or a "
            "scouting point needs its role, a field an outline or area_ha\n");
}

static void unrated_seasons_are_doubted_once(void **state)
{
    (void)state;
    square("A", 10);
    square("B", 20);
    doubted("fields.kml:0: no field has a rating for any weed: all are taken as clean\n");
}

static void crops_ripe_before_the_season_are_told_in_one_line(void **state)
{
    (void)state;
    sb_feature *feature = square("A", 10);
    support_say(feature, "weed:kochia", "0");
    support_say(feature, "ready", "2026-07-20");
    support_say(feature, "best_before", "2026-07-10");
    feature = square("B", 20);
    support_say(feature, "weed:kochia", "0");
    support_say(feature, "ready", "2026-07-10");
    draft.setup.calendar_start_given = true;
    sb_date_parse("2026-08-01", &draft.setup.calendar.start_day);
    doubted("fields.kml:11: field 'A' is best before 2026-07-10 but ready only on 2026-07-20: "
            "every day costs\n");
    assert_messages(SB_NOTE, "fields.kml:20: 2 fields are ready before the season starts on "
                             "2026-08-01, 'B' first, on 2026-07-10\n"
                             "-:0: no yard is given: the machine starts from and returns to the "
                             "centre of the fields\n");
}

static void a_field_ripe_in_another_year_is_doubted(void **state)
{
    (void)state;
    sb_feature *feature = square("A", 10);
    support_say(feature, "weed:kochia", "0");
    support_say(feature, "ready", "2025-08-06");
    draft.setup.calendar_start_given = true;
    sb_date_parse("2026-08-01", &draft.setup.calendar.start_day);
    doubted("fields.kml:10: 1 field is ready before the season starts on 2026-08-01, 'A' first, on "
            "2025-08-06: is the year right?\n");
}

static void an_island_far_away_is_doubted(void **state)
{
    (void)state;
    for (size_t i = 0; i < 4; i++) {
        char name[2] = {(char)('A' + i), '\0'};
        support_say(square(name, 10 + 10 * i), "weed:kochia", "0");
    }
    support_say(support_add_square(&draft, "Lost", -98, 47, 0.01, 60), "weed:kochia", "0");
    assert_int_equal(sb_season_join(&draft, report, &season), SB_OK);
    bool found = false;
    for (size_t i = 0; i < sb_report_count(report); i++) {
        sb_message m = sb_report_get(report, i);
        if (m.severity != SB_WARNING)
            continue;
        assert_int_equal(m.line, 60);
        assert_non_null(strstr(m.text, "field 'Lost' lies 111 km from the middle of the fields, "
                                       "more than 10 times the usual "));
        found = true;
    }
    assert_true(found);
}

static void swapped_yards_and_fields_are_doubted(void **state)
{
    (void)state;
    for (size_t i = 0; i < 3; i++) {
        char name[2] = {(char)('A' + i), '\0'};
        sb_feature *feature = support_add_square(&draft, name, 5 + 0.02 * (double)i, 52, 0.01, i);
        support_say(feature, "weed:kochia", "0");
    }
    support_say(support_add_waypoint(&draft, "Near", 6, 52, 40), "role", "yard");
    support_say(support_add_waypoint(&draft, "Turned", 52, 5, 50), "role", "yard");
    support_say(support_add_waypoint(&draft, "Abroad", 15, 52, 60), "role", "yard");
    support_say(support_add_square(&draft, "Lost", 52.1, 5.1, 0.01, 70), "weed:kochia", "0");
    assert_int_equal(sb_season_join(&draft, report, &season), SB_OK);
    const char *expected[] = {"field 'Lost' lies ", "yard 'Turned' lies ", "yard 'Abroad' lies "};
    size_t found = 0;
    for (size_t i = 0; i < sb_report_count(report); i++) {
        sb_message m = sb_report_get(report, i);
        assert_int_equal(m.severity, SB_WARNING);
        assert_true(found < 3);
        assert_int_equal(strncmp(m.text, expected[found], strlen(expected[found])), 0);
        assert_non_null(strstr(m.text, found == 2 ? " km from the fields: are its coordinates right"
                                                  : ": longitude and latitude look swapped"));
        found++;
    }
    assert_int_equal(found, 3);
}

static void a_key_that_nearly_says_something_is_told_once(void **state)
{
    (void)state;
    for (size_t i = 0; i < 2; i++) {
        sb_feature *feature = square(i == 0 ? "A" : "B", 10 + 10 * i);
        support_say(feature, "weed:kochia", "0");
        support_say(feature, "redy", "2026-07-20");
        support_say(feature, "colour", "green");
        support_say(feature, "OBJECTID", "7");
    }
    sb_feature *feature = square("C", 30);
    support_say(feature, "Crop", "wheat");
    support_say(feature, "weed:kochia", "0");
    support_say(feature, "Ryegrass", "3");
    support_say(feature, "weed.wild oat", "3");
    doubted("fields.kml:11: unknown key 'redy', passed by in 2 features: did you mean 'ready'\n"
            "fields.kml:31: unknown key 'Crop', passed by in 1 feature: did you mean 'crop'\n"
            "fields.kml:31: unknown key 'Ryegrass', passed by in 1 feature: did you mean "
            "'weed:ryegrass'\n"
            "fields.kml:31: unknown key 'weed.wild oat', passed by in 1 feature: did you mean "
            "'weed:wild_oat'\n");
}

static void a_note_that_names_a_weed_without_rating_it_is_doubted(void **state)
{
    (void)state;
    static const char *const notes[] = {"Point\nryegrass 3\n", "a few Wild oat, 2", "a gate",
                                        "oats"};
    support_say(square("A", 10), "weed:kochia", "0");
    for (size_t i = 0; i < 4; i++) {
        sb_feature *feature = support_add_waypoint(&draft, "P", -97.97, 46.005, 20 + i);
        feature->note = sb_strdup(notes[i]);
    }
    doubted("points.gpx:20: waypoint 'P' names Ryegrass in its note but rates nothing, expected "
            "weed:ryegrass=RATING\n"
            "points.gpx:21: waypoint 'P' names Wild oat in its note but rates nothing, expected "
            "weed:wild_oat=RATING\n");
}

static void a_near_name_is_offered(void **state)
{
    (void)state;
    sb_feature *feature = square("North Quarter", 10);
    support_say(feature, "weed:Ryegrass", "3");
    support_say(feature, "after", "Soth Quarter");
    square("South Quarter", 20);
    refused("fields.kml:11: unknown weed 'Ryegrass' of 'North Quarter', expected one of waterhemp, "
            "kochia, ryegrass, wild_oat, giant_ragweed or one added in the season file: did you "
            "mean 'ryegrass'\n"
            "fields.kml:11: field 'North Quarter' comes after 'Soth Quarter', but no field has "
            "that name; expected field names separated by ';': did you mean 'South Quarter' or "
            "'North Quarter'\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
        TEST(unknown_ids_are_named_with_the_known_ones),
        TEST(ratings_off_the_scale_are_refused),
        TEST(a_rating_may_be_written_as_an_equal_number),
        TEST(two_fields_of_one_name_are_refused),
        TEST(a_field_needs_land),
        TEST(a_ring_that_crosses_itself_is_refused_with_the_place),
        TEST(numbers_and_dates_of_fields_are_judged),
        TEST(precedence_in_a_circle_is_refused_by_name),
        TEST(unknown_names_in_after_lists_are_refused),
        TEST(a_laid_over_attribute_is_blamed_on_its_own_file),
        TEST(the_season_must_end_after_it_starts),
        TEST(a_cleanout_cannot_keep_more_than_it_found),
        TEST(numbers_of_the_setup_are_judged),
        TEST(machines_must_name_what_exists),
        TEST(start_states_must_name_what_exists),
        TEST(a_travel_table_must_name_every_place),
        TEST(a_season_needs_a_field),
        TEST(points_in_no_field_are_doubted),
        TEST(a_stated_area_far_from_the_measured_one_is_doubted),
        TEST(numbers_in_another_unit_are_doubted),
        TEST(a_point_that_says_nothing_is_passed_by),
        TEST(unrated_seasons_are_doubted_once),
        TEST(crops_ripe_before_the_season_are_told_in_one_line),
        TEST(a_field_ripe_in_another_year_is_doubted),
        TEST(an_island_far_away_is_doubted),
        TEST(swapped_yards_and_fields_are_doubted),
        TEST(a_key_that_nearly_says_something_is_told_once),
        TEST(a_note_that_names_a_weed_without_rating_it_is_doubted),
        TEST(a_near_name_is_offered),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
