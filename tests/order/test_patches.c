/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What becomes of patches: every combination of few, one after the other of many. */
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
#include "drafts.h"
#include "made_features.h"
#include "order/patches.h"

#define MOST 4

static void add_square(sb_text *kml, const char *name, double west, double south, double side,
                       const char *data)
{
    sb_text_addf(kml,
                 "<Placemark><name>%s</name><ExtendedData>%s</ExtendedData><Polygon>"
                 "<outerBoundaryIs><LinearRing><coordinates>%.5f,%.5f %.5f,%.5f %.5f,%.5f "
                 "%.5f,%.5f %.5f,%.5f</coordinates></LinearRing></outerBoundaryIs></Polygon>"
                 "</Placemark>\n",
                 name, data, west, south, west + side, south, west + side, south + side, west,
                 south + side, west, south);
}

/* Three fields of wheat, the first to be cut before the others. The first two have patches: small
 * ones full of kochia and larger light ones. */
static const char *write_fields(size_t n_patches, const sb_patch_fate *fates)
{
    static char path[SUPPORT_PATH_BYTES];
    static const double west[MOST] = {-98, -97.996, -97.9, -97.896};
    static const double side[MOST] = {0.0012, 0.003, 0.001, 0.002};
    static const char *density[MOST] = {"4", "0.0001", "3", "0.01"};
    sb_text kml = {0};
    sb_text_addf(&kml, "<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document>\n");
    for (int f = 0; f < 3; f++) {
        char name[16];
        snprintf(name, sizeof name, "Field %d", f + 1);
        add_square(&kml, name, -98 + 0.1 * f, 46, 0.01,
                   f == 0 ? "<Data name=\"crop\"><value>wheat</value></Data>"
                          : "<Data name=\"crop\"><value>wheat</value></Data>"
                            "<Data name=\"after\"><value>Field 1</value></Data>");
    }
    for (size_t p = 0; p < n_patches; p++) {
        char name[16], data[512];
        snprintf(name, sizeof name, "Patch %zu", p + 1);
        snprintf(data, sizeof data,
                 "<Data name=\"role\"><value>patch</value></Data><Data name=\"field\"><value>Field "
                 "%d</value></Data><Data name=\"weed:kochia:plants_m2\"><value>%s</value></Data>"
                 "<Data name=\"patch\"><value>%s</value></Data>",
                 west[p] < -97.95 ? 1 : 2, density[p],
                 sb_patch_fate_word(fates != NULL ? fates[p] : SB_PATCH_CUT));
        add_square(&kml, name, west[p], 46, side[p], data);
    }
    sb_text_addf(&kml, "</Document></kml>\n");
    support_file("patches.kml", sb_text_get(&kml), kml.count, path);
    sb_text_release(&kml);
    return path;
}

static sb_patches *try_patches(size_t n)
{
    const char *path = write_fields(n, NULL);
    sb_report *report = sb_report_new();
    sb_order_options how;
    sb_order_options_init(&how);
    how.threads = 1;
    sb_patches *patches = NULL;
    if (sb_order_patches(&path, 1, NULL, &how, report, &patches) != SB_OK)
        fail_msg("%s", sb_report_get(report, 0).text);
    sb_report_free(report);
    return patches;
}

/* Cost of the season as the file says it, with the grain left standing. */
static double cost_as_said(size_t n, const sb_patch_fate *fates)
{
    const char *path = write_fields(n, fates);
    sb_report *report = sb_report_new();
    sb_order_options how;
    sb_order_options_init(&how);
    how.threads = 1;
    sb_season *season = NULL;
    sb_plan *plan = NULL;
    assert_int_equal(sb_season_read(&path, 1, NULL, report, &season), SB_OK);
    assert_int_equal(sb_order(season, &how, report, &plan), SB_OK);
    double cost = sb_plan_cost(plan).total;
    for (size_t p = 0; p < n; p++)
        if (fates[p] == SB_PATCH_LEAVE)
            cost += season->patches.items[p].worth;
    sb_plan_free(plan);
    sb_season_free(season);
    sb_report_free(report);
    return cost;
}

static double found(const sb_patches *patches)
{
    const sb_patches_tried *best = &patches->tried.items[patches->best];
    return best->cost.total + best->given_up;
}

/* The best of all combinations is found, and each costs what the season so said in the file costs.
 */
static void two_patches_are_tried_in_every_combination(void **state)
{
    (void)state;
    sb_patches *patches = try_patches(2);
    assert_true(patches->all);
    assert_int_equal(patches->tried.count, 9);
    double least = INFINITY;
    for (size_t c = 0; c < 9; c++) {
        const sb_patch_fate fates[2] = {(sb_patch_fate)(c % 3), (sb_patch_fate)(c / 3)};
        double cost = cost_as_said(2, fates);
        least = fmin(least, cost);
        size_t same = 0;
        for (size_t t = 0; t < 9; t++) {
            const sb_patches_tried *tried = &patches->tried.items[t];
            if (tried->fates[0] == (char)fates[0] && tried->fates[1] == (char)fates[1])
                same += fabs(tried->cost.total + tried->given_up - cost) <= 1e-9 * cost;
        }
        assert_int_equal(same, 1);
    }
    assert_true(found(patches) == least);
    /* The small one full of kochia is worth a stop of its own. */
    assert_int_equal(patches->season->patches.items[0].fate, SB_PATCH_LAST);
    const sb_patches_tried *cut = sb_patches_otherwise(patches, 0, SB_PATCH_CUT);
    assert_true(cut->cost.spread > 2 * sb_plan_cost(patches->plan).spread);
    sb_patches_free(patches);
}

/* Of four patches one at a time is changed: no single change is better than what is found, and
 * here none of the 81 combinations is. */
static void four_patches_are_tried_one_after_the_other(void **state)
{
    (void)state;
    sb_patches *patches = try_patches(4);
    assert_false(patches->all);
    assert_true(patches->tried.count < 40);
    for (size_t p = 0; p < 4; p++)
        for (int fate = 0; fate < SB_PATCH_FATES; fate++) {
            const sb_patches_tried *tried = sb_patches_otherwise(patches, p, (sb_patch_fate)fate);
            assert_non_null(tried);
            assert_true(tried->cost.total + tried->given_up >= found(patches));
        }
    double least = INFINITY;
    for (size_t c = 0; c < 81; c++) {
        sb_patch_fate fates[4];
        for (size_t p = 0, rest = c; p < 4; p++, rest /= 3)
            fates[p] = (sb_patch_fate)(rest % 3);
        least = fmin(least, cost_as_said(4, fates));
    }
    assert_true(fabs(found(patches) - least) <= 1e-9 * least);
    sb_patches_free(patches);
}

/* ---- From scouting points ---------------------------------------------------------------------
 */

/* A field of a hundredth of a degree, 774 m wide and 1112 m high at 46 degrees north, with points
 * of kochia in it: x and y in thousandths of a degree from its corner. */
typedef struct walked {
    double x, y, plants_m2;
} walked;

static sb_season *walked_season(const walked *points, size_t n, bool split)
{
    sb_draft draft;
    sb_season *season = NULL;
    sb_report *report = sb_report_new();
    assert_int_equal(sb_draft_init(&draft), SB_OK);
    sb_feature *field = support_add_square(&draft, "Field", -98, 46, 0.01, 10);
    support_say(field, "crop", "wheat");
    if (split)
        support_say(field, "split", "2");
    for (size_t i = 0; i < n; i++) {
        char density[32];
        snprintf(density, sizeof density, "%g", points[i].plants_m2);
        sb_feature *point = support_add_waypoint(&draft, "Point", -98 + points[i].x * 1e-3,
                                                 46 + points[i].y * 1e-3, 20 + i);
        support_say(point, "role", "scout");
        support_say(point, "weed:kochia:plants_m2", density);
    }
    if (sb_season_join(&draft, report, &season) != SB_OK)
        fail_msg("%s", sb_report_get(report, 0).text);
    sb_draft_release(&draft);
    sb_report_free(report);
    return season;
}

static sb_scouted_patches outlined(const walked *points, size_t n)
{
    sb_season *season = walked_season(points, n, false);
    sb_scouted_patches found;
    assert_int_equal(sb_scouted_patches_find(season, &found), SB_OK);
    sb_season_free(season);
    return found;
}

static double area_m2(const sb_scouted_patch *patch)
{
    double area = 0;
    for (size_t i = 0; i < patch->n_parts; i++)
        area += sb_part_area_m2(&patch->parts[i]);
    return area;
}

/* One of ten points, in the middle of the field, is dense. The patch is a tenth of the land: a
 * circle of radius sqrt(A / (10 pi)), drawn with 32 sides, which hold sin(2 pi / 32) / (2 pi / 32)
 * of it, so that the radius is longer by the root of that. Its density is the point's, 2 plants/m2;
 * the field's mean is (2 + 9 x 0.01) / 10 = 0.209, and without the patch it is 0.01: that of the
 * nine others. */
static void a_dense_point_of_ten_outlines_a_tenth_of_the_field(void **state)
{
    (void)state;
    walked points[10] = {{5, 5, 2}};
    for (int i = 1; i < 10; i++)
        points[i] = (walked){i, 1, 0.01};
    sb_scouted_patches found = outlined(points, 10);
    assert_int_equal(found.count, 1);
    const sb_scouted_patch *patch = &found.items[0];
    sb_season *season = walked_season(points, 10, false);
    double field_m2 = season->fields[0].area_ha * 1e4, pi = acos(-1), side = 2 * pi / 32;
    assert_true(fabs(area_m2(patch) / field_m2 - 0.1) < 1e-5);
    double radius_m = sqrt(field_m2 / (10 * pi) / (sin(side) / side));
    assert_true(fabs(patch->radius_m / radius_m - 1) < 1e-3);
    assert_string_equal(patch->name, "Field patch");
    assert_int_equal(patch->n_points, 1);
    assert_true(patch->plants_m2[1] == 2);
    assert_true(fabs(patch->rest_plants_m2[1] - 0.01) < 1e-15);
    double mean = season->fields[0].ratings[1].density_plants_m2;
    assert_true(fabs(mean - 0.209) < 1e-12);
    double rest = (mean * field_m2 - 2 * area_m2(patch)) / (field_m2 - area_m2(patch));
    assert_true(fabs(rest / 0.01 - 1) < 2e-3);
    sb_season_free(season);
    sb_scouted_patches_release(&found);
}

/* In a corner a quarter of the circle would lie in the field: the radius doubles. */
static void at_the_edge_the_radius_grows_until_the_share_is_kept(void **state)
{
    (void)state;
    walked middle[10] = {{5, 5, 2}}, corner[10] = {{0.001, 0.001, 2}};
    for (int i = 1; i < 10; i++)
        middle[i] = corner[i] = (walked){i, 9, 0.01};
    sb_scouted_patches in_middle = outlined(middle, 10), in_corner = outlined(corner, 10);
    assert_true(fabs(area_m2(&in_corner.items[0]) / area_m2(&in_middle.items[0]) - 1) < 1e-4);
    assert_true(fabs(in_corner.items[0].radius_m / in_middle.items[0].radius_m - 2) < 0.01);
    sb_scouted_patches_release(&in_middle);
    sb_scouted_patches_release(&in_corner);
}

/* Circles that meet make one patch, and those that do not one each, with names of their own. */
static void dense_points_lie_in_one_patch_where_their_circles_meet(void **state)
{
    (void)state;
    walked points[12] = {{1, 1, 2}, {8, 8, 4}, {2, 1, 1}};
    for (int i = 3; i < 12; i++)
        points[i] = (walked){i - 2, 5, 0.005};
    sb_scouted_patches found = outlined(points, 12);
    assert_int_equal(found.count, 2);
    assert_string_equal(found.items[0].name, "Field patch 1");
    assert_string_equal(found.items[1].name, "Field patch 2");
    assert_int_equal(found.items[0].n_points, 2);
    assert_int_equal(found.items[1].n_points, 1);
    assert_true(found.items[0].plants_m2[1] == 1.5 && found.items[1].plants_m2[1] == 4);
    sb_season *season = walked_season(points, 12, false);
    double share =
        (area_m2(&found.items[0]) + area_m2(&found.items[1])) / (season->fields[0].area_ha * 1e4);
    assert_true(fabs(share - 0.25) < 1e-5);
    sb_season_free(season);
    sb_scouted_patches_release(&found);
}

/* Classes 0-5 begin at 0.001, 0.01, 0.1, 1 and 10 plants/m2. */
static void a_point_is_dense_from_two_classes_above_the_middle_one(void **state)
{
    (void)state;
    walked one_above[3] = {{2, 2, 0.9}, {5, 5, 0.09}, {8, 8, 0.09}};
    walked two_above[3] = {{2, 2, 1.1}, {5, 5, 0.09}, {8, 8, 0.09}};
    walked half[4] = {{2, 2, 2}, {5, 5, 2}, {8, 8, 0.01}, {8, 2, 0.01}};
    walked most[5] = {{2, 2, 2}, {5, 5, 2}, {8, 8, 2}, {8, 2, 0.01}, {2, 8, 0.01}};
    const struct {
        const walked *points;
        size_t n, dense;
    } cases[] = {
        {one_above, 3, 0}, {two_above, 3, 1}, {two_above, 2, 0}, {half, 4, 2}, {most, 5, 0}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        sb_scouted_patches found = outlined(cases[i].points, cases[i].n);
        assert_int_equal(found.count > 0 ? found.items[0].n_dense : 0, cases[i].dense);
        sb_scouted_patches_release(&found);
    }
    sb_season *split = walked_season(two_above, 3, true);
    sb_scouted_patches found;
    assert_int_equal(sb_scouted_patches_find(split, &found), SB_OK);
    assert_int_equal(found.count, 0);
    sb_scouted_patches_release(&found);
    sb_season_free(split);
}

static void no_memory_for_an_outline_is_reported_and_nothing_is_leaked(void **state)
{
    (void)state;
    walked points[5] = {{2, 2, 2}, {5, 5, 0.01}, {8, 8, 0.01}, {8, 2, 0.01}, {2, 8, 0.01}};
    sb_season *season = walked_season(points, 5, false);
    long live = sb_mem_live();
    for (long budget = 0;; budget += 7) {
        sb_scouted_patches found;
        sb_mem_set_budget(budget);
        sb_status status = sb_scouted_patches_find(season, &found);
        sb_mem_set_budget(-1);
        sb_scouted_patches_release(&found);
        assert_int_equal(sb_mem_live(), live);
        if (status == SB_OK)
            break;
        assert_int_equal(status, SB_ERR_NOMEM);
    }
    sb_season_free(season);
}

static void a_season_without_patches_is_refused(void **state)
{
    (void)state;
    const char *path = write_fields(0, NULL);
    sb_report *report = sb_report_new();
    sb_order_options how;
    sb_order_options_init(&how);
    sb_patches *patches = NULL;
    assert_int_equal(sb_order_patches(&path, 1, NULL, &how, report, &patches), SB_ERR_INPUT);
    assert_null(patches);
    assert_int_equal(sb_order_patches(NULL, 0, NULL, &how, report, &patches), SB_ERR_ARG);
    sb_report_free(report);
}

static int remove_folder(void **state)
{
    (void)state;
    support_folder_remove();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_patches_are_tried_in_every_combination),
        cmocka_unit_test(four_patches_are_tried_one_after_the_other),
        cmocka_unit_test(a_dense_point_of_ten_outlines_a_tenth_of_the_field),
        cmocka_unit_test(at_the_edge_the_radius_grows_until_the_share_is_kept),
        cmocka_unit_test(dense_points_lie_in_one_patch_where_their_circles_meet),
        cmocka_unit_test(a_point_is_dense_from_two_classes_above_the_middle_one),
        cmocka_unit_test(no_memory_for_an_outline_is_reported_and_nothing_is_leaked),
        cmocka_unit_test(a_season_without_patches_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, remove_folder);
}
