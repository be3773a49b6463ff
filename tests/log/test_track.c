/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tracks matched to fields, worked by hand: on the equator 0.001 degree of latitude is 110.574 m
 * (WGS84, a(1-e2) per radian), of longitude 111.320 m (a per radian). */
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
#include "log/track.h"
#include "logs.h"
#include "track_fields.h"

#define SWATH_M 10.0
#define NORTH_M 110.574 /* 0.001 degree */
#define LEG_DEG 0.0005  /* 55.287 m */
#define LEG_S 30        /* 6.6 km/h */

static sb_season *season;

static int read_fields(void **state)
{
    (void)state;
    char path[SUPPORT_PATH_BYTES];
    const char *files[] = {
        support_file("fields.kml", SUPPORT_TRACK_FIELDS, sizeof SUPPORT_TRACK_FIELDS - 1, path)};
    sb_report *report = sb_report_new();
    sb_status status = sb_season_read(files, 1, NULL, report, &season);
    sb_report_free(report);
    return status;
}

static int release_fields(void **state)
{
    (void)state;
    sb_season_free(season);
    support_folder_remove();
    return 0;
}

/* A track that grows fix by fix. */
typedef struct walker {
    sb_track track;
    sb_lonlat at;
    long long now_s;
    bool begins;
} walker;

static void fix(walker *w)
{
    sb_fix made = {
        .place = w->at, .seconds = w->now_s, .number = w->track.fixes.count, .begins = w->begins};
    assert_true(SB_PUSH(&w->track.fixes, made));
    w->begins = false;
}

static walker begin_at(double lon_deg, double lat_deg)
{
    walker w = {.at = {lon_deg, lat_deg}, .begins = true};
    fix(&w);
    return w;
}

/* So many legs of LEG_DEG northwards, southwards when negative. */
static void walk(walker *w, int legs)
{
    for (int i = 0; i < abs(legs); i++) {
        w->at.lat_deg += legs > 0 ? LEG_DEG : -LEG_DEG;
        w->now_s += LEG_S;
        fix(w);
    }
}

/* To a place at once, which takes so long. */
static void move(walker *w, double lon_deg, double lat_deg, int seconds)
{
    w->at = (sb_lonlat){lon_deg, lat_deg};
    w->now_s += seconds;
    fix(w);
}

/* Up and down in one field: so many pairs of six legs, 3.3 swaths apart each way. */
static void cut(walker *w, int pairs)
{
    for (int i = 0; i < pairs; i++) {
        walk(w, 6);
        walk(w, -6);
    }
}

static sb_stays stays_of(const walker *w, const double *before)
{
    static const double nothing[3];
    sb_stays stays;
    assert_int_equal(
        sb_track_stays(season, &w->track, SWATH_M, before != NULL ? before : nothing, &stays),
        SB_OK);
    return stays;
}

static void end(walker *w, sb_stays *stays)
{
    sb_free(stays->items);
    sb_track_release(&w->track);
}

static void metres_inside_times_the_swath_are_the_hectares(void **state)
{
    (void)state;
    walker w = begin_at(0.001, 0.0005);
    cut(&w, 2);
    sb_stays stays = stays_of(&w, NULL);
    assert_int_equal(stays.count, 1);
    const sb_stay *stay = &stays.items[0];
    /* 24 legs of 55.287 m, in 12 minutes; the field is 445.28 m by 442.30 m. */
    assert_int_equal(stay->field, WEST);
    assert_int_equal(stay->to_s - stay->from_s, 24 * LEG_S);
    assert_true(fabs(stay->cut_m - 24 * NORTH_M / 2) < 0.5);
    double share = 24 * NORTH_M / 2 * SWATH_M / (445.28 * 442.30);
    assert_true(stay->counts && !stay->finishes);
    assert_true(fabs(stay->share - share) < 0.001);
    end(&w, &stays);
}

static void a_field_is_finished_at_nine_tenths_and_no_more_than_cut(void **state)
{
    (void)state;
    const double most[3] = {0.85, 0, 0};
    walker w = begin_at(0.001, 0.0005);
    cut(&w, 4);
    sb_stays stays = stays_of(&w, most);
    assert_true(stays.items[0].finishes);
    assert_true(fabs(stays.items[0].share - 0.134) < 0.002); /* 48 legs */
    sb_free(stays.items);
    cut(&w, 40);
    stays = stays_of(&w, NULL);
    assert_int_equal(stays.count, 1);
    assert_true(stays.items[0].finishes && stays.items[0].share == 1);
    end(&w, &stays);
}

static void a_pass_does_not_count(void **state)
{
    (void)state;
    walker w = begin_at(0.001, 0.0005);
    walk(&w, 6); /* three minutes */
    sb_stays stays = stays_of(&w, NULL);
    assert_int_equal(stays.count, 1);
    assert_false(stays.items[0].counts);
    sb_free(stays.items);
    for (int i = 0; i < 60; i++) /* parked for half an hour: the receiver wanders by 2 m */
        move(&w, 0.001 + (i % 2) * 0.00002, w.at.lat_deg, LEG_S);
    stays = stays_of(&w, NULL);
    assert_true(stays.items[0].to_s - stays.items[0].from_s >= 1800);
    assert_false(stays.items[0].counts);
    end(&w, &stays);
}

static void driving_is_not_cutting(void **state)
{
    (void)state;
    walker w = begin_at(0.001, 0.0005);
    for (int i = 0; i < 100; i++) /* 55 m in 8 s: 25 km/h */
        move(&w, 0.001, i % 2 ? 0.0005 : 0.001, 8);
    sb_stays stays = stays_of(&w, NULL);
    assert_true(stays.items[0].cut_m == 0 && !stays.items[0].counts);
    end(&w, &stays);
}

/* Every row ends in a turn on the neighbour's land, of half a minute. */
static void a_turn_in_the_next_field_is_no_stay_there(void **state)
{
    (void)state;
    walker w = begin_at(0.0035, 0.0005);
    for (int i = 0; i < 8; i++) {
        cut(&w, 1);
        move(&w, 0.0045, w.at.lat_deg, 45);
        move(&w, 0.0045, w.at.lat_deg + 0.0001, 30);
        move(&w, 0.0035, 0.0005, 45);
    }
    cut(&w, 1);
    sb_stays stays = stays_of(&w, NULL);
    assert_int_equal(stays.count, 1);
    assert_int_equal(stays.items[0].field, WEST);
    assert_true(stays.items[0].counts);
    end(&w, &stays);
}

static void half_an_hour_outside_is_unloading_and_longer_a_new_stay(void **state)
{
    (void)state;
    for (int minutes = 20; minutes <= 40; minutes += 20) {
        walker w = begin_at(0.001, 0.0005);
        cut(&w, 3);
        move(&w, 0.001, -0.001, 60);
        move(&w, 0.001, -0.001, minutes * 60 / 2 - 60);
        move(&w, 0.001, -0.001, minutes * 60 / 2 - 60);
        move(&w, 0.001, 0.0005, 60);
        cut(&w, 3);
        sb_stays stays = stays_of(&w, NULL);
        assert_int_equal(stays.count, minutes <= 30 ? 1 : 2);
        for (size_t i = 0; i < stays.count; i++)
            assert_true(stays.items[i].counts);
        end(&w, &stays);
    }
}

static void a_night_in_the_field_belongs_to_the_stay_and_adds_nothing(void **state)
{
    (void)state;
    walker w = begin_at(0.001, 0.0005);
    cut(&w, 2);
    w.begins = true;
    move(&w, 0.001, 0.0035, 12 * 3600);
    walk(&w, -6);
    sb_stays stays = stays_of(&w, NULL);
    assert_int_equal(stays.count, 1);
    assert_true(fabs(stays.items[0].cut_m - 30 * NORTH_M / 2) < 0.5);
    assert_true(stays.items[0].to_s > 12 * 3600);
    end(&w, &stays);
}

static void several_fields_and_one_entered_twice(void **state)
{
    (void)state;
    walker w = begin_at(0.001, 0.0005);
    cut(&w, 2);
    w.begins = true;
    move(&w, 0.006, 0.0005, 300);
    cut(&w, 2);
    w.begins = true;
    move(&w, 0.002, 0.0005, 300);
    cut(&w, 2);
    sb_stays stays = stays_of(&w, NULL);
    assert_int_equal(stays.count, 3);
    assert_int_equal(stays.items[0].field, WEST);
    assert_int_equal(stays.items[1].field, EAST);
    assert_int_equal(stays.items[2].field, WEST);
    for (size_t i = 0; i < 3; i++) {
        assert_true(stays.items[i].counts && !stays.items[i].finishes);
        assert_true(fabs(stays.items[i].cut_m - 24 * NORTH_M / 2) < 0.5);
    }
    end(&w, &stays);
}

/* 250 m or ten minutes without a fix: nobody knows what was cut meanwhile. */
static void a_gap_is_not_cut(void **state)
{
    (void)state;
    walker w = begin_at(0.001, 0.0005);
    cut(&w, 2);
    move(&w, 0.001, 0.003, 150); /* 276 m, at 6.6 km/h */
    move(&w, 0.001, 0.0035, 601);
    sb_stays stays = stays_of(&w, NULL);
    assert_int_equal(stays.count, 1);
    assert_true(fabs(stays.items[0].cut_m - 24 * NORTH_M / 2) < 0.5);
    assert_int_equal(stays.items[0].to_s, 24 * LEG_S + 751);
    end(&w, &stays);
}

static void a_field_on_the_antimeridian_is_found(void **state)
{
    (void)state;
    walker w = begin_at(-179.999, 0.0005);
    cut(&w, 1);
    move(&w, 179.999, 0.0005, 150);
    cut(&w, 2);
    sb_stays stays = stays_of(&w, NULL);
    assert_int_equal(stays.count, 1);
    assert_int_equal(stays.items[0].field, DATE_LINE);
    assert_true(fabs(stays.items[0].cut_m - (36 * NORTH_M / 2 + 222.64)) < 0.5);
    end(&w, &stays);
}

/* ---- Files ------------------------------------------------------------------------------------
 */

static sb_status read_text(const char *text, sb_track *track, sb_report *report)
{
    char path[SUPPORT_PATH_BYTES];
    support_file("run.gpx", text, strlen(text), path);
    return sb_track_read(path, report, track);
}

#define POINT(time) "<trkpt lat='1' lon='2'><ele>3</ele><time>" time "</time></trkpt>"

static void times_are_read_in_every_zone(void **state)
{
    (void)state;
    sb_report *report = sb_report_new();
    sb_track track;
    assert_int_equal(read_text("<gpx><trk><trkseg>" POINT("2026-08-06T12:00:00Z") POINT(
                                   " 2026-08-06T14:00:01+02:00 ") POINT("2026-08-06T12:00:02.75Z")
                                   POINT("2026-08-06T12:00:03")
                                       POINT("2026-08-06T02:30:04-09:30") "</trkseg></trk></gpx>",
                               &track, report),
                     SB_OK);
    assert_int_equal(track.fixes.count, 5);
    for (size_t i = 0; i < 5; i++)
        assert_int_equal(track.fixes.items[i].seconds, 1786017600 + (long long)i);
    assert_true(track.fixes.items[0].begins && !track.fixes.items[1].begins);
    sb_track_release(&track);
    sb_report_free(report);
}

static void segments_are_put_in_order(void **state)
{
    (void)state;
    sb_report *report = sb_report_new();
    sb_track track;
    assert_int_equal(
        read_text("<gpx><trk><trkseg>" POINT("2026-08-06T13:00:00Z")
                      POINT("2026-08-06T13:00:05Z") "</trkseg></trk><trk><trkseg>" POINT(
                          "2026-08-06T12:00:00Z")
                          POINT("2026-08-06T12:00:05Z") "</trkseg></trk></gpx>",
                  &track, report),
        SB_OK);
    assert_int_equal(track.fixes.count, 4);
    for (size_t i = 1; i < 4; i++)
        assert_true(track.fixes.items[i].seconds > track.fixes.items[i - 1].seconds);
    assert_true(track.fixes.items[2].begins);
    sb_track_release(&track);
    sb_report_free(report);
}

static void a_track_that_says_no_time_is_refused_with_its_line(void **state)
{
    (void)state;
    static const char *const times[] = {
        "",
        "12:00",
        "2026-08-06",
        "2026-02-30T12:00:00Z",
        "2026-08-06T24:00:00Z",
        "2026-08-06T12:61:00Z",
        "2026-08-06T12:00:00X",
        "2026-08-06T12:00:00.Z",
        "2026-08-06T12:00:00+2:00",
        "2026-08-06T12:00:00+02:00x",
        "2026-08-06 12:00:00Z",
    };
    for (size_t i = 0; i < sizeof times / sizeof *times; i++) {
        sb_report *report = sb_report_new();
        sb_track track;
        char text[256];
        snprintf(text, sizeof text,
                 "<gpx><trk><trkseg>\n<trkpt lat='1' lon='2'>\n<time>%s</time></trkpt></trkseg>"
                 "</trk></gpx>",
                 times[i]);
        assert_int_equal(read_text(text, &track, report), SB_ERR_INPUT);
        assert_int_equal(sb_report_get(report, 0).line, 3);
        assert_non_null(strstr(support_said(report), "expected one as 2026-08-06T15:04:05Z"));
        sb_track_release(&track);
        sb_report_free(report);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(metres_inside_times_the_swath_are_the_hectares),
        cmocka_unit_test(a_field_is_finished_at_nine_tenths_and_no_more_than_cut),
        cmocka_unit_test(a_pass_does_not_count),
        cmocka_unit_test(driving_is_not_cutting),
        cmocka_unit_test(a_turn_in_the_next_field_is_no_stay_there),
        cmocka_unit_test(half_an_hour_outside_is_unloading_and_longer_a_new_stay),
        cmocka_unit_test(a_night_in_the_field_belongs_to_the_stay_and_adds_nothing),
        cmocka_unit_test(several_fields_and_one_entered_twice),
        cmocka_unit_test(a_gap_is_not_cut),
        cmocka_unit_test(a_field_on_the_antimeridian_is_found),
        cmocka_unit_test(times_are_read_in_every_zone),
        cmocka_unit_test(segments_are_put_in_order),
        cmocka_unit_test(a_track_that_says_no_time_is_refused_with_its_line),
    };
    return cmocka_run_group_tests(tests, read_fields, release_fields);
}
