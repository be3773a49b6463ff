/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several machines: which may serve which field, when, and what no order can mend. */
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
#include "drafts.h"
#include "season/service.h"

/* Squares of 0.01 degrees, 84.54 ha at 47 north; line 2 and on, one a line. */
#define SQUARE(name, west, east, data)                                                       \
    "<Placemark><name>" name "</name><ExtendedData>" data "</ExtendedData><Polygon>"         \
    "<outerBoundaryIs><LinearRing><coordinates>" west ",47 " east ",47 " east ",47.01 " west \
    ",47.01 " west ",47</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>\n"
#define DATA(name, value) "<Data name='" name "'><value>" value "</value></Data>"
#define KML(inside) "<kml><Document>\n" inside "</Document></kml>"
#define SEASON(inside)                                                  \
    "<season xmlns='urn:seedbreak:season:1'>\n"                         \
    "<calendar start='2026-08-01' end='2026-08-31' hours_per_day='10'>" \
    "<blocked date='2026-08-03'/></calendar>\n" inside "</season>"

static sb_report *report;
static sb_season *season;

static int begin(void **state)
{
    (void)state;
    report = sb_report_new();
    return report != NULL ? 0 : -1;
}

static int end(void **state)
{
    (void)state;
    sb_season_free(season);
    season = NULL;
    sb_report_free(report);
    return sb_mem_live() == 0 ? 0 : -1;
}

static sb_status read_both(const char *kml, const char *setup)
{
    char fields[SUPPORT_PATH_BYTES], xml[SUPPORT_PATH_BYTES];
    const char *paths[] = {support_file("fields.kml", kml, strlen(kml), fields),
                           support_file("season.xml", setup, strlen(setup), xml)};
    return sb_season_read(paths, 2, NULL, report, &season);
}

/* Every message of one severity, "FILE:LINE: TEXT" by the file's bare name, one a line. */
static void assert_said(sb_severity severity, const char *expected)
{
    sb_text all = {0};
    for (size_t i = 0; i < sb_report_count(report); i++) {
        sb_message m = sb_report_get(report, i);
        if (m.severity != severity)
            continue;
        const char *slash = m.file != NULL ? strrchr(m.file, '/') : NULL;
        if (m.file != NULL)
            sb_text_addf(&all, "%s:%zu: ", slash + 1, m.line);
        sb_text_addf(&all, "%s\n", m.text);
    }
    bool same = strcmp(sb_text_get(&all), expected) == 0;
    if (!same)
        print_message("found:\n%s", sb_text_get(&all));
    sb_text_release(&all);
    assert_true(same);
}

static void read_well(const char *kml, const char *setup)
{
    sb_status status = read_both(kml, setup);
    if (status != SB_OK)
        assert_said(SB_ERROR, "");
    assert_int_equal(status, SB_OK);
}

static const char THREE[] =
    KML(SQUARE("A", "-100", "-99.99", DATA("grower", "Ash") DATA("crop", "wheat"))
            SQUARE("B", "-99.98", "-99.97", DATA("grower", "Birch") DATA("crop", "corn"))
                SQUARE("C", "-99.96", "-99.95", DATA("grower", "Cedar") DATA("crop", "barley")));

static void machines_and_fields_say_who_may_cut_what(void **state)
{
    (void)state;
    read_well(THREE, SEASON("<machine id='small' header_m='6' crops='wheat; barley'/>"
                            "<machine id='big' header_m='12' most_slope_percent='8'/>"
                            "<field name='A' gate_m='9' slope_percent='8'/>"
                            "<field name='B' slope_percent='8.5'/>"
                            "<field name='C' only='big, small'/>"));
    static const sb_hindrance expected[3][2] = {
        {SB_UNHINDERED, SB_HINDERED_BY_GATE},        /* as steep as allowed is not too steep */
        {SB_HINDERED_BY_CROP, SB_HINDERED_BY_SLOPE}, /* corn */
        {SB_UNHINDERED, SB_UNHINDERED},
    };
    for (int j = 0; j < 3; j++)
        for (int m = 0; m < 2; m++) {
            assert_int_equal(sb_season_hindrance(season, m, j), expected[j][m]);
            assert_int_equal(sb_season_may_cut(season, m, j), expected[j][m] == SB_UNHINDERED);
        }
    assert_int_equal(season->fields[2].n_only, 2);
    sb_text why = {0};
    sb_season_add_hindrance(season, 1, 0, &why);
    assert_string_equal(sb_text_get(&why), "its header is 12 m wide, the gate 9 m");
    sb_text_release(&why);
}

static void a_header_as_wide_as_the_gate_passes(void **state)
{
    (void)state;
    read_well(THREE, SEASON("<machine id='m' header_m='9'/><field name='A' gate_m='9'/>"
                            "<field name='B' gate_m='8.99'/>"));
    assert_int_equal(sb_season_hindrance(season, 0, 0), SB_UNHINDERED);
    assert_int_equal(sb_season_hindrance(season, 0, 1), SB_HINDERED_BY_GATE);
}

static void a_window_is_counted_in_working_hours(void **state)
{
    (void)state;
    read_well(THREE, SEASON("<machine id='a' from='2026-08-05' to='2026-08-06'/>"
                            "<machine id='b' to='2026-09-30' season_hours='55'/>"
                            "<machine id='c' from='2026-07-01'/>"));
    /* August 3 is blocked: the morning of the 5th comes after 3 days of 10 hours. */
    sb_window a = sb_season_window(season, 0), b = sb_season_window(season, 1);
    sb_window c = sb_season_window(season, 2);
    assert_float_equal(a.from_h, 30, 1e-9);
    assert_float_equal(a.to_h, 50, 1e-9);
    assert_float_equal(b.from_h, 0, 0);
    assert_float_equal(b.to_h, 55, 1e-9);
    assert_float_equal(c.from_h, 0, 0);
    assert_float_equal(c.to_h, 300, 1e-9); /* 30 working days */
}

static void apart_counts_from_the_start_state_too(void **state)
{
    (void)state;
    read_well(
        KML(SQUARE("A", "-100", "-99.99", DATA("grower", "Ash") DATA("apart:Birch", "thorough"))
                SQUARE("B", "-99.98", "-99.97", DATA("grower", "Birch"))
                    SQUARE("Old", "-99.94", "-99.93", DATA("role", "cut") DATA("grower", "Birch"))),
        SEASON("<machine id='dirty'><start field='Old' cleanout='blowdown'/></machine>"
               "<machine id='clean'><start field='Old' cleanout='thorough'/></machine>"
               "<machine id='new'/>"
               "<field name='B'><apart grower='Ash'/></field>"));
    const sb_apart *to_birch = &season->fields[0].apart[0], *to_ash = &season->fields[1].apart[0];
    assert_int_equal(season->fields[0].n_apart, 1);
    assert_string_equal(season->growers[to_birch->grower], "Birch");
    assert_int_equal(to_birch->cleanout, sb_find_cleanout(&season->setup, "thorough"));
    assert_int_equal(to_ash->cleanout, -1);
    assert_true(sb_season_starts_after(season, 0, to_birch));
    assert_false(sb_season_starts_after(season, 1, to_birch));
    assert_false(sb_season_starts_after(season, 2, to_birch));
    assert_false(sb_season_starts_after(season, 0, to_ash));
    /* Thorough and deep clear the first rule; only what counts as full clears the second. */
    for (int level = -1; level < (int)season->setup.n_cleanouts; level++) {
        const char *id = level < 0 ? "none" : season->setup.cleanouts[level].id;
        bool hard = strcmp(id, "thorough") == 0 || strcmp(id, "deep") == 0;
        assert_int_equal(sb_season_clears(season, level, to_birch), hard);
        assert_int_equal(sb_season_clears(season, level, to_ash),
                         level >= 0 && season->setup.cleanouts[level].full);
    }
}

static void the_last_word_on_a_grower_counts(void **state)
{
    (void)state;
    read_well(KML(SQUARE("A", "-100", "-99.99", DATA("grower", "Ash")) SQUARE(
                  "B", "-99.98", "-99.97", DATA("grower", "Birch") DATA("apart:Ash", "any full"))),
              SEASON("<field name='B'><apart grower='Ash' cleanout='deep'/></field>"));
    assert_int_equal(season->fields[1].n_apart, 1);
    assert_int_equal(season->fields[1].apart[0].cleanout, sb_find_cleanout(&season->setup, "deep"));
}

static void a_split_field_becomes_parts_that_share_its_rules(void **state)
{
    (void)state;
    read_well(
        KML(SQUARE("A", "-100", "-99.99",
                   DATA("grower", "Ash") DATA("crop", "wheat") DATA("weed:kochia", "3"))
                SQUARE("B", "-99.98", "-99.97",
                       DATA("grower", "Birch") DATA("split", "3") DATA("after", "A")
                           DATA("weed:kochia", "2") DATA("limit:kochia", "9"))
                    SQUARE("C", "-99.96", "-99.95",
                           DATA("after",
                                "B; A")) "<Placemark><name>p</name><ExtendedData>" DATA("role",
                                                                                        "scout")
                        DATA("weed:kochia", "4") "</ExtendedData><Point><coordinates>"
                                                 "-99.975,47.005</coordinates></Point>"
                                                 "</Placemark>\n"),
        SEASON("<machine id='m'/><machine id='k'/><field name='A' split='2' only='k'>"
               "<apart grower='Birch'/></field>"));
    static const char *const names[] = {"A 1", "A 2", "B 1", "B 2", "B 3", "C"};
    assert_int_equal(season->n_fields, 6);
    for (size_t i = 0; i < 6; i++)
        assert_string_equal(season->fields[i].name, names[i]);
    double whole_ha = season->fields[5].area_ha; /* all squares are the same */
    const sb_field *a = &season->fields[1], *b = &season->fields[3], *c = &season->fields[5];
    assert_float_equal(a->area_ha, whole_ha / 2, 1e-9);
    assert_float_equal(b->area_ha, whole_ha / 3, 1e-9);
    assert_float_equal(a->grain_t, a->area_ha * a->yield_t_ha, 1e-9);
    assert_true(a->part == 2 && a->n_split == 2 && c->part == 0 && c->n_split == 0);
    assert_string_equal(b->whole, "B");
    assert_null(c->whole);
    assert_int_equal(a->n_only, 1);
    assert_int_equal(a->n_apart, 1);
    assert_float_equal(b->limit_seeds_ha[sb_find_weed(&season->setup, "kochia")], 9, 0);
    /* Every part was scouted, every part comes after every part of A, C after all five. */
    int kochia = sb_find_weed(&season->setup, "kochia");
    for (int i = 2; i < 5; i++) {
        assert_int_equal(season->fields[i].n_points, 1);
        assert_int_equal(season->fields[i].ratings[kochia].source, SB_RATING_SCOUTED);
        assert_float_equal(season->fields[i].seeds_per_kg[kochia],
                           season->fields[2].seeds_per_kg[kochia], 0);
        assert_int_equal(season->fields[i].n_after, 2);
        assert_int_equal(season->fields[i].after[0] + season->fields[i].after[1], 1);
    }
    assert_int_equal(c->n_after, 5);
    assert_float_equal(sb_season_km(season, 0, 1), 0, 0);
    assert_int_equal(season->fields[4].n_parts, 1);
    assert_ptr_not_equal(season->fields[4].parts, season->fields[3].parts);
}

static void a_travel_table_names_a_split_field_once(void **state)
{
    (void)state;
    static const char table[] = "km,A,B,C,Centre of the fields\nA,0,2,3,4\nB,5,0,6,7\n"
                                "C,8,9,0,10\nCentre of the fields,11,12,13,0\n";
    char fields[SUPPORT_PATH_BYTES], xml[SUPPORT_PATH_BYTES], csv[SUPPORT_PATH_BYTES];
    static const char setup[] = SEASON("<field name='B' split='2'/>");
    const char *paths[] = {support_file("fields.kml", THREE, strlen(THREE), fields),
                           support_file("season.xml", setup, strlen(setup), xml)};
    sb_read_options options = {support_file("km.csv", table, strlen(table), csv)};
    assert_int_equal(sb_season_read(paths, 2, &options, report, &season), SB_OK);
    assert_float_equal(sb_season_km(season, 0, 1), 2, 0);
    assert_float_equal(sb_season_km(season, 0, 2), 2, 0);
    assert_float_equal(sb_season_km(season, 2, 3), 6, 0);
    assert_float_equal(sb_season_km(season, 1, 2), 0, 0);
}

static void bad_rules_are_refused_by_file_and_line(void **state)
{
    (void)state;
    assert_int_equal(
        read_both(THREE, SEASON("<machine id='m' from='2026-08-20' to='2026-08-10'/>\n"
                                "<field name='A' only='m; n' gate_m='0' slope_percent='steep'/>\n"
                                "<field name='B' split='1'><apart grower='Brich'/>\n"
                                "<apart grower='Ash' cleanout='polish'/></field>\n")),
        SB_ERR_INPUT);
    assert_said(SB_ERROR,
                "season.xml:3: machine 'm' is at work from 2026-08-20 to 2026-08-10, expected the "
                "first day first\n"
                "season.xml:4: gate_m of field 'A' is '0', expected a number above 0\n"
                "season.xml:4: slope_percent of field 'A' is 'steep', expected a number of at "
                "least 0\n"
                "season.xml:4: only 'n' may cut field 'A', but no machine has that id; expected "
                "one or more of m, separated by ';'\n"
                "season.xml:5: field 'B' is kept apart from grower 'Brich', but no field has that "
                "grower; expected the name of one: did you mean 'Birch'\n"
                "season.xml:5: split of field 'B' is '1', expected a whole number of parts from 2 "
                "to 4\n"
                "season.xml:6: unknown cleanout 'polish', expected one of none, blowdown, "
                "thorough, deep or one added in the season file\n");
}

static void a_cap_that_names_a_grower_holds_beside_the_one_for_all(void **state)
{
    (void)state;
    read_well(THREE, SEASON("<limits loss_per_grower='800'><grower name='Birch' loss='500'/>"
                            "</limits><field name='A' grower='Ash'/>"
                            "<field name='B' grower='Birch'/>"));
    int ash = season->fields[0].grower, birch = season->fields[1].grower;
    assert_true(sb_season_grower_most(season, ash) == 800);
    assert_true(sb_season_grower_most(season, birch) == 500);
    assert_true(sb_season_grower_most(season, -1) == 800);
    season->setup.limits.loss_per_grower = 300; /* the tighter one counts */
    assert_true(sb_season_grower_most(season, birch) == 300);
    season->setup.limits.loss_per_grower = INFINITY;
    assert_true(isinf(sb_season_grower_most(season, ash)));
}

static void a_cap_for_nobody_is_refused(void **state)
{
    (void)state;
    assert_int_equal(read_both(THREE, SEASON("<field name='A' grower='Birch'/>\n"
                                             "<limits><grower name='Brich' loss='500'/></limits>")),
                     SB_ERR_INPUT);
    assert_said(SB_ERROR, "season.xml:4: grower 'Brich' may lose at most 500 USD, but no field has "
                          "that grower; expected the name of one: did you mean 'Birch'\n");
}

static void a_part_takes_no_name_that_is_taken(void **state)
{
    (void)state;
    assert_int_equal(
        read_both(KML(SQUARE("A", "-100", "-99.99", "") SQUARE("A 2", "-99.98", "-99.97", "")),
                  SEASON("<field name='A' split='2'/>")),
        SB_ERR_INPUT);
    assert_said(SB_ERROR, "season.xml:3: a part of field 'A' would be named 'A 2', which another "
                          "field is; expected that name to be free\n");
}

static void a_machine_without_a_working_hour_is_doubted(void **state)
{
    (void)state;
    read_well(THREE, SEASON("<machine id='a'/><machine id='b' from='2026-08-03' to='2026-08-03'/>\n"
                            "<machine id='c' from='2026-09-05'/>"));
    assert_int_equal(sb_season_unservable(season, -1, report), SB_OK);
    sb_window b = sb_season_window(season, 1);
    assert_float_equal(b.to_h - b.from_h, 0, 1e-9);
    bool told[2] = {false, false};
    for (size_t i = 0; i < sb_report_count(report); i++) {
        const char *text = sb_report_get(report, i).text;
        told[0] |= strcmp(text, "machine 'b' has no working hour of the season between its dates "
                                "from 2026-08-03 to 2026-08-03: it can cut nothing") == 0;
        told[1] |= strcmp(text, "machine 'c' has no working hour of the season between its dates "
                                "from 2026-09-05: it can cut nothing") == 0;
    }
    assert_true(told[0] && told[1]);
}

static void a_field_that_no_machine_may_cut_is_named_with_the_reasons(void **state)
{
    (void)state;
    read_well(THREE, SEASON("<machine id='low' crops='barley' ha_per_hour='1'/>"
                            "<machine id='late' from='2026-08-31' crops='corn barley' "
                            "ha_per_hour='2'/><machine id='wide' header_m='15'/>"
                            "<field name='A' gate_m='12'/><field name='B' only='late'/>"));
    assert_int_equal(sb_season_unservable(season, -1, report), SB_ERR_INFEASIBLE);
    /* 84.5 ha at 2 ha/h are 42 hours, on the last day 10 are left. */
    assert_said(SB_ERROR,
                "fields.kml:2: no machine can cut field 'A': machine 'low': it does not cut "
                "wheat; machine 'late': it does not cut wheat; machine 'wide': its header is 15 m "
                "wide, the gate 12 m\n"
                "fields.kml:3: no machine can cut field 'B': machine 'low': the field is for "
                "'late' only; machine 'late': it needs 42.3 hours to cut it and has 10.0 from its "
                "`from` to the calendar's `end`; machine 'wide': the field is for 'late' only\n"
                "season.xml:3: machine 'late' does not set out before 2026-08-31 (from)\n"
                "season.xml:2: the season ends on 2026-08-31 (calendar end), a day has 10 hours "
                "(hours_per_day)\n"
                "season.xml:2: 1 day until 2026-08-31 is blocked (blocked)\n");
}

static void a_season_that_is_too_short_says_by_how_much(void **state)
{
    (void)state;
    read_well(THREE, SEASON("<machine id='a' ha_per_hour='2' season_hours='45'/>"
                            "<machine id='b' ha_per_hour='2' from='2026-08-02' to='2026-08-07'/>"));
    /* 3 fields of 84.54 ha take 126.8 h; 45 h and 50 h are at hand. */
    double needed_h = 3 * season->fields[0].area_ha / 2;
    assert_float_equal(needed_h, 126.8, 0.05);
    assert_int_equal(sb_season_unservable(season, -1, report), SB_ERR_INFEASIBLE);
    assert_said(SB_ERROR, "the season is too short by 31.8 hours: cutting all fields takes 126.8 "
                          "hours, the machines have together 95.0 hours at work\n"
                          "season.xml:3: machine 'a' has 45 hours from the start of the season "
                          "(season_hours)\n"
                          "season.xml:3: machine 'b' has to be back and clean by 2026-08-07 (to)\n"
                          "season.xml:3: machine 'b' does not set out before 2026-08-02 (from)\n"
                          "season.xml:2: 1 day until 2026-08-07 is blocked (blocked)\n");
}

/* The `blocked` that takes the most days is pointed at, wherever it stands. */
static void a_season_short_of_days_says_where_they_are_set(void **state)
{
    (void)state;
    read_well(THREE,
              "<season xmlns='urn:seedbreak:season:1'><machine id='a' ha_per_hour='2'/>\n"
              "<calendar start='2026-08-01' hours_per_day='10'><blocked date='2026-08-02'/>\n"
              "<blocked from='2026-08-05' to='2026-08-12'/>\n"
              "<blocked date='2026-08-14'/></calendar>\n"
              "<calendar end='2026-08-20'/></season>");
    /* 20 days less 10 are 100 hours; 126.8 are needed. */
    assert_int_equal(sb_season_unservable(season, -1, report), SB_ERR_INFEASIBLE);
    assert_said(SB_ERROR,
                "the season is too short by 26.8 hours: cutting all fields takes 126.8 "
                "hours, the machine has 100.0 hours at work\n"
                "season.xml:5: the season ends on 2026-08-20 (calendar end), a day has 10 "
                "hours (hours_per_day)\n"
                "season.xml:3: 10 days until 2026-08-20 are blocked (blocked)\n");
}

/* A field's own last day is its own affair: nothing is said of the season. */
static void a_field_that_ends_too_soon_does_not_blame_the_season(void **state)
{
    (void)state;
    read_well(THREE, SEASON("<machine id='a' ha_per_hour='2'/><machine id='b' ha_per_hour='2'/>"
                            "<field name='B' ready='2026-08-06' latest='2026-08-07'/>"));
    assert_int_equal(sb_season_unservable(season, -1, report), SB_ERR_INFEASIBLE);
    assert_said(
        SB_ERROR,
        "fields.kml:3: no machine can cut field 'B': machine 'a': it needs 42.3 hours to "
        "cut it and has 20.0 from the field's `ready` to the field's `latest`; machine 'b': it "
        "needs 42.3 hours to cut it and has 20.0 from the field's `ready` to the field's "
        "`latest`\n");
}

static void hours_before_the_first_field_is_ready_are_no_help(void **state)
{
    (void)state;
    read_well(THREE, SEASON("<machine id='a' ha_per_hour='3' to='2026-08-10'/>"
                            "<field name='A' ready='2026-08-04'/>"
                            "<field name='B' ready='2026-08-05'/>"
                            "<field name='C' ready='2026-08-04'/>"));
    /* 84.5 h of cutting; until the evening of the 10th 90 h pass, but 20 before the first. */
    assert_int_equal(sb_season_unservable(season, 0, report), SB_ERR_INFEASIBLE);
    assert_said(SB_ERROR, "the season is too short by 14.5 hours: cutting all fields takes 84.5 "
                          "hours, the machine has 70.0 hours at work\n"
                          "season.xml:3: machine 'a' has to be back and clean by 2026-08-10 (to)\n"
                          "season.xml:2: 1 day until 2026-08-10 is blocked (blocked)\n");
}

static void copies_keep_the_rules(void **state)
{
    (void)state;
    read_well(THREE, SEASON("<resource id='pad' count='2'/><cleanout id='deep' needs='pad'/>"
                            "<machine id='a' crops='wheat'/><machine id='b'/><machine id='c'/>"
                            "<field name='A' only='c;b' split='2'/><field name='B' only='a'>"
                            "<apart grower='Ash'/></field>"));
    sb_season *copy;
    const bool machines[] = {false, true, true};
    assert_int_equal(sb_season_copy(season, NULL, machines, &copy), SB_OK);
    sb_season_free(season);
    season = copy;
    assert_int_equal(copy->fields[0].n_only, 2);
    assert_int_equal(copy->fields[0].only[0], 1); /* c, which was the third */
    assert_string_equal(copy->fields[1].whole, "A");
    assert_int_equal(copy->setup.resources[0].count, 2);
    assert_int_equal(copy->setup.cleanouts[sb_find_cleanout(&copy->setup, "deep")].needs, 1);
    assert_int_equal(copy->fields[2].n_apart, 1);
    /* B was for a alone, who is left out: nobody may cut it. */
    assert_int_equal(sb_season_hindrance(copy, 0, 2), SB_HINDERED_BY_WISH);
    assert_int_equal(sb_season_hindrance(copy, 1, 2), SB_HINDERED_BY_WISH);
    sb_text why = {0};
    sb_season_add_hindrance(copy, 0, 2, &why);
    assert_string_equal(sb_text_get(&why), "the field is for 'another machine' only");
    sb_text_release(&why);
}

static void no_memory_at_any_allocation_leaks_nothing(void **state)
{
    (void)state;
    static const char setup[] =
        SEASON("<resource id='pad'/><cleanout id='deep' needs='pad'/>"
               "<machine id='a' crops='wheat'/><machine id='b'/><field name='A' only='b' "
               "split='4' after='B'/><field name='B' split='2'><apart grower='Ash'/></field>");
    long live = sb_mem_live();
    sb_status status = SB_ERR_NOMEM;
    for (long budget = 0; status == SB_ERR_NOMEM; budget += 7) {
        sb_mem_set_budget(budget);
        status = read_both(THREE, setup);
        sb_mem_set_budget(-1);
        sb_report_free(report);
        report = NULL;
        if (status == SB_ERR_NOMEM)
            assert_int_equal(sb_mem_live(), live - 1);
        report = sb_report_new();
    }
    assert_int_equal(status, SB_OK);
    assert_int_equal(season->n_fields, 7);
}

static int remove_files(void **state)
{
    (void)state;
    support_folder_remove();
    return 0;
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(machines_and_fields_say_who_may_cut_what),
        TEST(a_header_as_wide_as_the_gate_passes),
        TEST(a_window_is_counted_in_working_hours),
        TEST(apart_counts_from_the_start_state_too),
        TEST(the_last_word_on_a_grower_counts),
        TEST(a_split_field_becomes_parts_that_share_its_rules),
        TEST(a_travel_table_names_a_split_field_once),
        TEST(bad_rules_are_refused_by_file_and_line),
        TEST(a_cap_that_names_a_grower_holds_beside_the_one_for_all),
        TEST(a_cap_for_nobody_is_refused),
        TEST(a_part_takes_no_name_that_is_taken),
        TEST(a_machine_without_a_working_hour_is_doubted),
        TEST(a_field_that_no_machine_may_cut_is_named_with_the_reasons),
        TEST(a_season_that_is_too_short_says_by_how_much),
        TEST(a_season_short_of_days_says_where_they_are_set),
        TEST(a_field_that_ends_too_soon_does_not_blame_the_season),
        TEST(hours_before_the_first_field_is_ready_are_no_help),
        TEST(copies_keep_the_rules),
        TEST(no_memory_at_any_allocation_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, remove_files);
}
