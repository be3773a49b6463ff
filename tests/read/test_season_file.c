/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "drafts.h"

#define SEASON(inside) "<season xmlns='urn:seedbreak:season:1'>\n" inside "</season>"

#define FIELD                                                                                    \
    "<kml><Placemark><name>North</name><ExtendedData><Data name='crop'><value>wheat</value>"     \
    "</Data></ExtendedData><Polygon><outerBoundaryIs><LinearRing><coordinates>-100,47 -99.99,47" \
    " -99.99,47.01 -100,47.01 -100,47</coordinates></LinearRing></outerBoundaryIs></Polygon>"    \
    "</Placemark></kml>"

static support_reading read_season(const char *text)
{
    return support_read_text("season.xml", text);
}

static void an_empty_season_changes_nothing(void **state)
{
    (void)state;
    support_reading reading = read_season(SEASON(""));
    assert_string_equal(reading.messages, "");
    sb_setup built_in;
    assert_int_equal(sb_setup_builtin(&built_in), SB_OK);
    const sb_setup *setup = &reading.draft.setup;
    assert_int_equal(setup->n_weeds, built_in.n_weeds);
    assert_int_equal(setup->n_machines, 1);
    assert_string_equal(setup->machines[0].id, built_in.machines[0].id);
    assert_true(setup->detour == built_in.detour);
    assert_string_equal(setup->weeds[0].source, built_in.weeds[0].source);
    assert_non_null(reading.draft.season_file);
    sb_setup_release(&built_in);
    support_reading_release(&reading);
}

static void a_known_id_changes_only_what_it_names(void **state)
{
    (void)state;
    support_reading reading =
        read_season(SEASON("<weed id='kochia' seeds_per_plant='12345' seed='large'/>\n"
                           "<crop id='wheat' yield_t_ha='4.5'/>"
                           "<cleanout id='deep' minutes='300' full='false'>"
                           "<keep section='tank' lodged='0.5'/></cleanout>"));
    assert_string_equal(reading.messages, "");
    sb_setup built_in;
    assert_int_equal(sb_setup_builtin(&built_in), SB_OK);
    const sb_setup *setup = &reading.draft.setup;
    assert_int_equal(setup->n_weeds, built_in.n_weeds);
    int k = sb_find_weed(setup, "kochia"), tank = sb_find_section(setup, "tank");
    assert_true(setup->weeds[k].seeds_per_plant == 12345);
    assert_true(setup->weeds[k].large_seed);
    assert_true(setup->weeds[k].retained == built_in.weeds[k].retained);
    assert_int_equal(setup->weeds[k].line, 2);
    assert_non_null(
        strstr(setup->weeds[k].source, "; changed by the season file: seeds_per_plant seed"));
    assert_true(setup->crops[sb_find_crop(setup, "wheat")].yield_t_ha == 4.5);
    int deep = sb_find_cleanout(setup, "deep");
    const sb_cleanout *cleanout = &setup->cleanouts[deep], *was = &built_in.cleanouts[deep];
    assert_true(cleanout->minutes == 300);
    assert_false(cleanout->full);
    assert_true(cleanout->keep_lodged[tank] == 0.5);
    assert_true(cleanout->keep_loose[tank] == was->keep_loose[tank]);
    assert_int_equal(cleanout->n_steps, was->n_steps);
    sb_setup_release(&built_in);
    support_reading_release(&reading);
}

static void a_new_id_adds_one(void **state)
{
    (void)state;
    support_reading reading = read_season(
        SEASON("<weed id='brome' seeds_per_plant='200' retained='0.75' header_loss='0.2' "
               "viability='0.9' emergence='0.6' cost_per_plant='0.3'/>"
               "<crop id='flax' name='Flax' yield_t_ha='1.5'/>"
               "<cleanout id='vacuum' minutes='40'><keep section='header' loose='0.1'/>"
               "<step section='header' minutes='30'> Vacuum &amp; look. </step>"
               "<step>Shake the tarp.</step></cleanout>"));
    assert_string_equal(reading.messages, "");
    const sb_setup *setup = &reading.draft.setup;
    const sb_weed *brome = &setup->weeds[sb_find_weed(setup, "brome")];
    assert_string_equal(brome->name, "brome");
    assert_true(brome->survival == 0.9 && brome->control == 0.95);
    assert_false(brome->large_seed);
    assert_int_equal(brome->basis, SB_GIVEN);
    assert_string_equal(setup->crops[sb_find_crop(setup, "flax")].name, "Flax");
    const sb_cleanout *vacuum = &setup->cleanouts[sb_find_cleanout(setup, "vacuum")];
    assert_true(vacuum->keep_loose[0] == 0.1 && vacuum->keep_lodged[0] == 1);
    assert_true(vacuum->keep_loose[1] == 1);
    assert_int_equal(vacuum->n_steps, 2);
    assert_string_equal(vacuum->steps[0].text, "Vacuum & look.");
    assert_string_equal(vacuum->steps[1].section, "");
    support_reading_release(&reading);
}

static void expect_supply(const sb_supply *supply, double amount, const char *unit,
                          const char *name)
{
    assert_true(supply->amount == amount);
    assert_string_equal(supply->unit, unit);
    assert_string_equal(supply->name, name);
}

static void supplies_replace_the_built_in_amounts_and_words_replace_both(void **state)
{
    (void)state;
    sb_setup built_in;
    assert_int_equal(sb_setup_builtin(&built_in), SB_OK);
    support_reading reading = read_season(SEASON(
        "<cleanout id='blowdown'><supply unit=' bales ' amount='0.5' name='straw &amp; hay'/>"
        "</cleanout>"
        "<cleanout id='thorough' supplies='own kit'/>"
        "<cleanout id='deep'><supply name='straw' amount='2' unit='bales'/>"
        "<supply name='straw' amount='30' unit='kg'/><supply name='masks' amount='4'/>"
        "</cleanout>"
        "<cleanout id='rinse' minutes='9' supplies='hose'><supply name='water' unit='l' "
        "amount='1e2'/></cleanout>"));
    assert_string_equal(reading.messages, "");
    const sb_setup *setup = &reading.draft.setup;
    const sb_cleanout *blowdown = &setup->cleanouts[1], *thorough = &setup->cleanouts[2],
                      *deep = &setup->cleanouts[3], *rinse = &setup->cleanouts[4];
    assert_int_equal(blowdown->n_counted, 1);
    expect_supply(&blowdown->counted[0], 0.5, "bales", "straw & hay");
    assert_string_equal(blowdown->supplies, built_in.cleanouts[1].supplies);
    assert_int_equal(thorough->n_counted, 0);
    assert_string_equal(thorough->supplies, "own kit");
    assert_int_equal(deep->n_counted, 3);
    expect_supply(&deep->counted[0], 2, "bales", "straw");
    expect_supply(&deep->counted[1], 30, "kg", "straw");
    expect_supply(&deep->counted[2], 4, "", "masks");
    assert_string_equal(deep->supplies, built_in.cleanouts[3].supplies);
    assert_int_equal(rinse->n_counted, 1);
    expect_supply(&rinse->counted[0], 100, "l", "water");
    assert_string_equal(rinse->supplies, "hose");
    support_reading_release(&reading);
    reading = read_season(SEASON("<cleanout id='deep' supplies='all in the shop'/>"));
    assert_int_equal(reading.draft.setup.cleanouts[3].n_counted, 0);
    assert_string_equal(reading.draft.setup.cleanouts[3].supplies, "all in the shop");
    support_reading_release(&reading);
    sb_setup_release(&built_in);
}

static void machines_take_what_they_leave_out_from_travel_and_the_built_in_one(void **state)
{
    (void)state;
    support_reading reading = read_season(
        SEASON("<machine id='a' yard=' Shop ' cost_per_km='3'><rate crop='late' ha_per_hour='2'/>"
               "<section id='header' kg='7'/><start field='Done' cleanout='deep'/></machine>\n"
               "<machine id='b' final_cleanout='deep'><start><load weed='kochia' section='shoe' "
               "lodged_seeds='70'/></start></machine>"
               "<travel road_km_h='31' cost_per_km='9' detour='1.5'/>"
               "<crop id='late' yield_t_ha='2'/>"));
    assert_string_equal(reading.messages, "");
    sb_setup built_in;
    assert_int_equal(sb_setup_builtin(&built_in), SB_OK);
    const sb_setup *setup = &reading.draft.setup;
    assert_int_equal(setup->n_machines, 2);
    assert_true(setup->detour == 1.5);
    const sb_machine *a = &setup->machines[0], *b = &setup->machines[1];
    assert_string_equal(a->yard, "Shop");
    assert_null(b->yard);
    assert_true(a->cost_per_km == 3 && b->cost_per_km == 9);
    assert_true(a->road_km_h == 31 && b->road_km_h == 31);
    assert_true(a->ha_per_hour == built_in.machines[0].ha_per_hour);
    assert_true(isinf(a->season_hours));
    assert_true(a->sections[0].kg == 7);
    assert_true(a->sections[0].tau_loose_t == built_in.machines[0].sections[0].tau_loose_t);
    assert_true(b->sections[0].kg == built_in.machines[0].sections[0].kg);
    assert_true(a->crop_ha_per_hour[sb_find_crop(setup, "late")] == 2);
    assert_true(isnan(a->crop_ha_per_hour[sb_find_crop(setup, "wheat")]));
    assert_null(b->crop_ha_per_hour);
    assert_int_equal(a->start, SB_START_FIELD);
    assert_string_equal(a->start_field, "Done");
    assert_int_equal(b->start, SB_START_LOAD);
    assert_true(b->start_loads[0].lodged_seeds == 70 && b->start_loads[0].loose_seeds == 0);
    assert_string_equal(b->final_cleanout, "deep");
    assert_int_equal(b->line, 3);
    sb_setup_release(&built_in);
    support_reading_release(&reading);
}

static void blocked_days_are_sorted_without_doubles(void **state)
{
    (void)state;
    support_reading reading = read_season(
        SEASON("<calendar start='2026-07-06' hours_per_day='8' day_starts='08:30'>"
               "<blocked from='2026-08-02' to='2026-08-04'/><blocked date='2026-07-12'/>"
               "<blocked date='2026-08-03'/></calendar>"));
    assert_string_equal(reading.messages, "");
    const sb_calendar *calendar = &reading.draft.setup.calendar;
    assert_true(reading.draft.setup.calendar_start_given);
    assert_true(calendar->day_starts_h == 8.5 && calendar->hours_per_day == 8);
    assert_int_equal(calendar->n_blocked, 4);
    int first = 0;
    assert_true(sb_date_parse("2026-07-12", &first));
    assert_int_equal(calendar->blocked[0], first);
    assert_int_equal(calendar->blocked[1], first + 21); /* 2 August */
    assert_int_equal(calendar->blocked[3], first + 23);
    support_reading_release(&reading);
}

static void scales_are_own_or_published(void **state)
{
    (void)state;
    support_reading own = read_season(
        SEASON("<scale name='Ours'><class label='low' plants_m2='0.1' low='0' high='1'/>"
               "<class label='high' plants_m2='5'/></scale>"));
    const sb_scale *scale = &own.draft.setup.scale;
    assert_int_equal(scale->n_classes, 2);
    assert_string_equal(scale->name, "Ours");
    assert_true(scale->high[0] == 1 && scale->low[1] == 5 && scale->high[1] == 5);
    support_reading_release(&own);
    support_reading published = read_season(SEASON("<scale name='braun_blanquet'/>"));
    assert_string_equal(published.messages, "");
    assert_string_equal(published.draft.setup.scale.id, "braun_blanquet");
    support_reading_release(&published);
}

static void fields_are_laid_over_whatever_the_order_of_the_files(void **state)
{
    (void)state;
    static const char season[] =
        SEASON("<field name='North' crop='oats' ready='2026-08-01'>"
               "<rating weed='kochia' rating='3'/>\n<rating weed='wild_oat' plants_m2='0.2'/>"
               "<limit weed='kochia' seeds_ha='500'/></field>");
    char season_path[SUPPORT_PATH_BYTES], field_path[SUPPORT_PATH_BYTES];
    support_file("season.xml", season, sizeof season - 1, season_path);
    support_file("field.kml", FIELD, sizeof FIELD - 1, field_path);
    for (int turn = 0; turn < 2; turn++) {
        const char *paths[] = {turn ? field_path : season_path, turn ? season_path : field_path};
        support_reading reading = support_read(paths, 2, NULL);
        assert_string_equal(reading.messages, "");
        assert_int_equal(reading.draft.features.count, 1);
        const sb_feature *field = &reading.draft.features.items[0];
        assert_string_equal(sb_feature_attribute(field, "crop"), "oats");
        assert_string_equal(sb_feature_attribute(field, "weed:kochia"), "3");
        assert_string_equal(sb_feature_attribute(field, "weed:wild_oat:plants_m2"), "0.2");
        assert_string_equal(sb_feature_attribute(field, "limit:kochia"), "500");
        const sb_attribute *last = &field->attributes.items[field->attributes.count - 1];
        assert_string_equal(last->file, season_path);
        assert_int_equal(last->line, 3);
        support_reading_release(&reading);
    }
}

static void a_season_file_far_too_large_is_refused(void **state)
{
    (void)state;
    size_t n = (size_t)17 << 20;
    char *text = malloc(n + 1);
    assert_non_null(text);
    memset(text, ' ', n);
    static const char head[] = "<season xmlns='urn:seedbreak:season:1'>", tail[] = "</season>";
    memcpy(text, head, strlen(head));
    strcpy(text + n - strlen(tail), tail);
    support_reading reading = read_season(text);
    assert_int_equal(reading.status, SB_ERR_INPUT);
    assert_string_equal(reading.messages, "0: file larger than 16 MB, expected at most that much");
    support_reading_release(&reading);
    free(text);
}

static void one_season_file_is_enough(void **state)
{
    (void)state;
    char a[SUPPORT_PATH_BYTES], b[SUPPORT_PATH_BYTES], expected[SUPPORT_PATH_BYTES * 2];
    support_file("a.xml", SEASON(""), strlen(SEASON("")), a);
    support_file("b.xml", SEASON(""), strlen(SEASON("")), b);
    const char *paths[] = {a, b};
    support_reading reading = support_read(paths, 2, NULL);
    assert_int_equal(reading.status, SB_ERR_INPUT);
    snprintf(expected, sizeof expected, "1: a second season file (the first: %s), expected one", a);
    assert_string_equal(reading.messages, expected);
    support_reading_release(&reading);
}

static void every_file_tells_its_own_fault(void **state)
{
    (void)state;
    char a[SUPPORT_PATH_BYTES], b[SUPPORT_PATH_BYTES];
    support_file("a.kml", "<html/>", 7, a);
    support_file("b.kml", "", 0, b);
    const char *paths[] = {a, b, "no/such/file.kml", support_folder()};
    support_reading reading = support_read(paths, 4, NULL);
    assert_int_equal(reading.status, SB_ERR_INPUT);
    assert_int_equal(sb_report_count(reading.report), 4);
    assert_string_equal(sb_report_get(reading.report, 0).file, a);
    assert_string_equal(sb_report_get(reading.report, 2).text,
                        "cannot read: No such file or directory");
    support_reading_release(&reading);
}

static void callers_mistakes_are_told_apart(void **state)
{
    (void)state;
    sb_draft draft;
    assert_int_equal(sb_draft_init(&draft), SB_OK);
    sb_report *report = sb_report_new();
    const char *paths[] = {"x"};
    assert_int_equal(sb_draft_read(&draft, paths, 0, NULL, report), SB_ERR_ARG);
    assert_int_equal(sb_draft_read(&draft, NULL, 1, NULL, report), SB_ERR_ARG);
    assert_int_equal(sb_draft_read(&draft, paths, 1, NULL, NULL), SB_ERR_ARG);
    assert_int_equal(sb_draft_read(&draft, paths, 1, NULL, report), SB_ERR_SYSTEM);
    sb_report_free(report);
    sb_draft_release(&draft);
}

static int tidy(void **state)
{
    (void)state;
    support_folder_remove();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_empty_season_changes_nothing),
        cmocka_unit_test(a_known_id_changes_only_what_it_names),
        cmocka_unit_test(a_new_id_adds_one),
        cmocka_unit_test(supplies_replace_the_built_in_amounts_and_words_replace_both),
        cmocka_unit_test(machines_take_what_they_leave_out_from_travel_and_the_built_in_one),
        cmocka_unit_test(blocked_days_are_sorted_without_doubles),
        cmocka_unit_test(scales_are_own_or_published),
        cmocka_unit_test(fields_are_laid_over_whatever_the_order_of_the_files),
        cmocka_unit_test(a_season_file_far_too_large_is_refused),
        cmocka_unit_test(one_season_file_is_enough),
        cmocka_unit_test(every_file_tells_its_own_fault),
        cmocka_unit_test(callers_mistakes_are_told_apart),
    };
    return cmocka_run_group_tests(tests, NULL, tidy);
}
