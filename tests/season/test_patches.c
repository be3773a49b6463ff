/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Weedy patches: land and plants are neither lost nor made, whatever becomes of them. */
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
#include "carry/carry.h"
#include "made_features.h"
#include "season/season.h"

enum { WATERHEMP, KOCHIA };

/* A field of a hundredth of a degree, 0.3 plants/m2 of waterhemp and 0.05 of kochia; in its corner
 * a patch of a hundredth of that with 2 kochia plants/m2; a clean field beside it. */
static void draft_with(const char *fate, sb_draft *draft)
{
    assert_int_equal(sb_draft_init(draft), SB_OK);
    sb_feature *field = support_add_square(draft, "Whole", -98, 46, 0.01, 10);
    support_say(field, "crop", "wheat");
    support_say(field, "weed:waterhemp:plants_m2", "0.3");
    support_say(field, "weed:kochia:plants_m2", "0.05");
    sb_feature *patch = support_add_square(draft, "Patch", -98, 46, 0.001, 20);
    support_say(patch, "role", "patch");
    support_say(patch, "field", "Whole");
    support_say(patch, "weed:kochia:plants_m2", "2");
    if (fate != NULL)
        support_say(patch, "patch", fate);
    support_say(support_add_square(draft, "Clean", -97.9, 46, 0.01, 30), "crop", "wheat");
}

static sb_season *season_with(const char *fate, sb_report *report)
{
    sb_draft draft;
    sb_season *season = NULL;
    draft_with(fate, &draft);
    sb_status status = sb_season_join(&draft, report, &season);
    if (status != SB_OK)
        fail_msg("%s", sb_report_get(report, 0).text);
    sb_draft_release(&draft);
    return season;
}

static double plants(const sb_field *field, int weed)
{
    return field->ratings[weed].density_plants_m2 * field->area_ha * 1e4;
}

/* The patch holds 2 of the 5 parts of kochia: 0.01 x 2 of 0.05. The rest has (0.05 - 0.02) / 0.99.
 */
static void the_rest_has_the_plants_that_the_patch_has_not(void **state)
{
    (void)state;
    sb_report *report = sb_report_new();
    sb_season *cut = season_with(NULL, report), *last = season_with("last", report);
    sb_season *leave = season_with("leave", report);
    assert_int_equal(cut->n_fields, 2);
    assert_int_equal(last->n_fields, 3);
    assert_int_equal(leave->n_fields, 2);
    double share = cut->patches.items[0].area_ha / cut->fields[0].area_ha;
    assert_true(fabs(share - 0.01) < 1e-5);
    double rest = (0.05 - share * 2) / (1 - share);
    assert_true(fabs(leave->fields[0].ratings[KOCHIA].density_plants_m2 / rest - 1) < 1e-12);
    assert_true(fabs(rest - 0.03 / 0.99) < 3e-5);
    assert_true(last->fields[0].ratings[KOCHIA].density_plants_m2 ==
                leave->fields[0].ratings[KOCHIA].density_plants_m2);
    assert_true(last->fields[2].ratings[KOCHIA].density_plants_m2 == 2);
    /* Nobody rated the patch for waterhemp: it is as weedy as the field. */
    assert_true(fabs(last->fields[2].ratings[WATERHEMP].density_plants_m2 / 0.3 - 1) < 1e-12);
    for (int w = 0; w < 2; w++) {
        double whole = plants(&cut->fields[0], w);
        assert_true(fabs((plants(&last->fields[0], w) + plants(&last->fields[2], w)) / whole - 1) <
                    1e-12);
    }
    assert_true(fabs(last->fields[0].area_ha + last->fields[2].area_ha - cut->fields[0].area_ha) <
                1e-12 * cut->fields[0].area_ha);
    assert_true(fabs(last->fields[0].grain_t + last->fields[2].grain_t - cut->fields[0].grain_t) <
                1e-12 * cut->fields[0].grain_t);
    /* What stays standing is priced: wheat, 3 t/ha, 220 a tonne. */
    const sb_patch *standing = &leave->patches.items[0];
    assert_true(fabs(standing->worth / (standing->area_ha * 3 * 220) - 1) < 1e-12);
    assert_true(fabs(leave->fields[0].grain_t + standing->grain_t - cut->fields[0].grain_t) < 1e-9);
    sb_season_free(cut);
    sb_season_free(last);
    sb_season_free(leave);
    sb_report_free(report);
}

static double m2(const sb_field *field)
{
    double sum = 0;
    for (size_t i = 0; i < field->n_parts; i++)
        sum += sb_part_area_m2(&field->parts[i]);
    return sum;
}

/* The outlines drawn are those of the land: together the field's, and both where the patch is. */
static void land_is_cut_out_of_the_field(void **state)
{
    (void)state;
    sb_report *report = sb_report_new();
    sb_season *cut = season_with("cut", report), *last = season_with("last", report);
    /* The corners of the patch on the field's edges stray from the geodesics between the field's
     * own corners: 2 cm over a kilometre here. */
    assert_true(fabs((m2(&last->fields[0]) + m2(&last->fields[2])) / m2(&cut->fields[0]) - 1) <
                3e-5);
    sb_lonlat corner = {-97.9995, 46.0005};
    assert_true(sb_part_contains(&cut->fields[0].parts[0], corner));
    assert_false(sb_part_contains(&last->fields[0].parts[0], corner));
    assert_true(sb_part_contains(&last->fields[2].parts[0], corner));
    assert_true(sb_part_contains(&last->fields[2].parts[0], last->fields[2].place));
    sb_season_free(cut);
    sb_season_free(last);
    sb_report_free(report);
}

static void a_patch_cut_last_waits_for_all_fields(void **state)
{
    (void)state;
    sb_report *report = sb_report_new();
    sb_season *last = season_with("last", report);
    const sb_field *patch = &last->fields[2];
    assert_string_equal(patch->name, "Patch");
    assert_string_equal(patch->whole, "Whole");
    assert_int_equal(patch->n_after, 2);
    assert_int_equal(patch->after[0], 0);
    assert_int_equal(patch->after[1], 1);
    sb_season_free(last);
    sb_report_free(report);
}

/* No seed is lost or made on the way through rest, clean field and patch; and the clean field is
 * given less than when the patch was cut with its field. */
static void seeds_are_conserved_and_fewer_are_carried(void **state)
{
    (void)state;
    sb_report *report = sb_report_new();
    sb_season *cut = season_with("cut", report), *last = season_with("last", report);
    sb_visit visits[] = {{0, 0}, {1, 1}, {2, 0}};
    sb_ledger with, apart;
    assert_int_equal(sb_ledger_init(&with, cut), SB_OK);
    assert_int_equal(sb_ledger_init(&apart, last), SB_OK);
    assert_int_equal(sb_carry_follow(cut, 0, visits, 2, -1, &with, NULL), SB_OK);
    assert_int_equal(sb_carry_follow(last, 0, visits, 3, -1, &apart, NULL), SB_OK);
    for (size_t w = 0; w < 2; w++) {
        double in = 0, out = 0;
        for (size_t o = 0; o <= apart.n_fields; o++) {
            size_t cell = o * apart.n_weeds + w;
            in += apart.taken[cell];
            out += apart.site[cell] + apart.left[cell];
            for (size_t j = 0; j < apart.n_fields; j++) {
                size_t pair = (o * apart.n_fields + j) * apart.n_weeds + w;
                out += apart.ground[pair] + apart.tank[pair];
            }
        }
        assert_true(in > 0 && fabs(out / in - 1) < 1e-12);
    }
    double times = sb_ledger_brought(&apart, 1, KOCHIA) / sb_ledger_brought(&with, 1, KOCHIA);
    /* By the density of what is cut before; the size of the field hardly counts. */
    assert_true(fabs(times - 0.03 / 0.99 / 0.05) < 0.02);
    sb_ledger_release(&with);
    sb_ledger_release(&apart);
    sb_season_free(cut);
    sb_season_free(last);
    sb_report_free(report);
}

/* A strip along a side: its width times the side's length. */
static void a_strip_lies_along_its_side(void **state)
{
    (void)state;
    sb_draft draft;
    sb_season *season = NULL;
    sb_report *report = sb_report_new();
    assert_int_equal(sb_draft_init(&draft), SB_OK);
    support_add_square(&draft, "Whole", -98, 46, 0.01, 10);
    sb_feature strip = {.kind = SB_FEATURE_POINT, .place = {-98, 46}, .file = "a.kml", .line = 20};
    strip.name = sb_strdup("Strip");
    assert_int_equal(sb_draft_add_feature(&draft, &strip), SB_OK);
    sb_feature *patch = &draft.features.items[draft.features.count - 1];
    support_say(patch, "role", "patch");
    support_say(patch, "field", "Whole");
    support_say(patch, "side", "north");
    support_say(patch, "width_m", "25");
    support_say(patch, "patch", "last");
    assert_int_equal(sb_season_join(&draft, report, &season), SB_OK);
    const sb_field *along = &season->fields[1];
    double side_m = sb_distance_m((sb_lonlat){-98, 46.01}, (sb_lonlat){-97.99, 46.01});
    assert_true(fabs(along->area_ha * 1e4 / (side_m * 25) - 1) < 2e-3);
    assert_true(along->place.lat_deg > 46.0097);
    sb_draft_release(&draft);
    sb_season_free(season);
    sb_report_free(report);
}

/* More plants in the patch than the rating gives the field: the field has those, and it is said. */
static void a_patch_may_hold_more_than_the_field_was_rated_for(void **state)
{
    (void)state;
    sb_draft draft;
    sb_season *season = NULL;
    sb_report *report = sb_report_new();
    assert_int_equal(sb_draft_init(&draft), SB_OK);
    support_say(support_add_square(&draft, "Whole", -98, 46, 0.01, 10), "weed:kochia:plants_m2",
                "0.001");
    sb_feature *patch = support_add_square(&draft, "Patch", -98, 46, 0.001, 20);
    support_say(patch, "role", "patch");
    support_say(patch, "field", "Whole");
    support_say(patch, "weed:kochia:plants_m2", "2");
    assert_int_equal(sb_season_join(&draft, report, &season), SB_OK);
    double share = season->patches.items[0].area_ha / season->fields[0].area_ha;
    assert_true(fabs(season->fields[0].ratings[KOCHIA].density_plants_m2 / (2 * share) - 1) <
                1e-12);
    size_t warned = 0;
    for (size_t i = 0; i < sb_report_count(report); i++)
        warned += strstr(sb_report_get(report, i).text, "hold more kochia") != NULL;
    assert_int_equal(warned, 1);
    sb_draft_release(&draft);
    sb_season_free(season);
    sb_report_free(report);
}

/* Every allocation refused once: no season, and nothing is left behind. */
static void without_memory_nothing_leaks(void **state)
{
    (void)state;
    sb_status status = SB_ERR_NOMEM;
    long k = 0;
    for (; status != SB_OK; k++) {
        sb_draft draft;
        sb_season *season = NULL;
        sb_report *report = sb_report_new();
        draft_with("last", &draft);
        sb_mem_set_budget(k);
        status = sb_season_join(&draft, report, &season);
        sb_mem_set_budget(-1);
        assert_true(status == SB_OK || (status == SB_ERR_NOMEM && season == NULL));
        sb_season_free(season);
        sb_draft_release(&draft);
        sb_report_free(report);
        assert_int_equal(sb_mem_live(), 0);
    }
    assert_true(k > 30);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_rest_has_the_plants_that_the_patch_has_not),
        cmocka_unit_test(land_is_cut_out_of_the_field),
        cmocka_unit_test(a_patch_cut_last_waits_for_all_fields),
        cmocka_unit_test(seeds_are_conserved_and_fewer_are_carried),
        cmocka_unit_test(a_strip_lies_along_its_side),
        cmocka_unit_test(a_patch_may_hold_more_than_the_field_was_rated_for),
        cmocka_unit_test(without_memory_nothing_leaks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
