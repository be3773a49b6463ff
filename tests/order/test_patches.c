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

#include "base/report.h"
#include "base/text.h"
#include "drafts.h"
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
        cmocka_unit_test(a_season_without_patches_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, remove_folder);
}
