/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Open field boundaries of public registers, ring by ring: expected_rings.tsv holds vertices as
 * GDAL 3.6.2 parsed them, area and perimeter by GeographicLib 2.1.2 Planimeter. */
#define _POSIX_C_SOURCE 200809L
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

/* The table gives 0.0001 m2; degrees in the file itself stand for more than that. */
#define SAME_AREA_M2 0.001
#define SAME_AREA_SHARE 1e-9
#define SAME_LENGTH_M 0.0001

typedef struct row {
    char file[64], layer[64], name[64], ring[16];
    int fid, poly, closed;
    size_t vertices;
    double perimeter_m, signed_area_m2;
} row;

static bool next_row(FILE *table, const char *file, row *r)
{
    char *line = NULL;
    size_t size = 0;
    bool found = false;
    while (!found && getline(&line, &size, table) > 0)
        found = sscanf(line, "%63[^\t]\t%63[^\t]\t%d\t%63[^\t]\t%d\t%15[^\t]\t%zu\t%d\t%lf\t%lf",
                       r->file, r->layer, &r->fid, r->name, &r->poly, r->ring, &r->vertices,
                       &r->closed, &r->perimeter_m, &r->signed_area_m2) == 10 &&
                strcmp(r->file, file) == 0;
    free(line);
    return found;
}

static const sb_ring *ring_of(const sb_draft *draft, const row *r)
{
    const sb_feature *feature = support_feature(draft, r->name);
    assert_non_null(feature);
    assert_in_range(r->poly, 0, feature->parts.count - 1);
    const sb_part *part = &feature->parts.items[r->poly];
    if (strcmp(r->ring, "outer") == 0)
        return &part->outer;
    long hole = strtol(r->ring + strlen("inner"), NULL, 10) - 1;
    assert_in_range(hole, 0, part->n_holes - 1);
    return &part->holes[hole];
}

/* @return rings compared; pictures laid over the ground are in the table but are no fields */
static size_t compare_rings(const char *file)
{
    char path[SUPPORT_PATH_BYTES], table_path[SUPPORT_PATH_BYTES], relative[128];
    snprintf(relative, sizeof relative, "fields/%s", file);
    if (!support_reference(relative, path) ||
        !support_reference("fields/expected_rings.tsv", table_path))
        skip();
    const char *paths[] = {path};
    support_reading reading = support_read(paths, 1, NULL);
    assert_int_equal(reading.status, SB_OK);
    FILE *table = fopen(table_path, "r");
    assert_non_null(table);
    size_t compared = 0;
    for (row r; next_row(table, file, &r);) {
        if (strcmp(r.layer, "Ground Overlays") == 0)
            continue;
        const sb_ring *ring = ring_of(&reading.draft, &r);
        assert_int_equal(ring->count, r.vertices - (r.closed ? 1 : 0));
        double area_m2 = fabs(r.signed_area_m2);
        assert_true(fabs(sb_ring_area_m2(ring) - area_m2) <=
                    fmax(SAME_AREA_M2, SAME_AREA_SHARE * area_m2));
        assert_int_equal(sb_ring_winding(ring), r.signed_area_m2 > 0 ? 1 : -1);
        assert_true(fabs(sb_ring_perimeter_m(ring) - r.perimeter_m) <= SAME_LENGTH_M);
        compared++;
    }
    fclose(table);
    support_reading_release(&reading);
    return compared;
}

static void dutch_parcels_measure_as_expected(void **state)
{
    (void)state;
    assert_int_equal(compare_rings("nl_brp2023_fields.kml"), 85 + 5);
}

static void handmade_samples_measure_as_expected(void **state)
{
    (void)state;
    assert_int_equal(compare_rings("kmlsamples.kml"), 10);
}

static void typed_attributes_are_read(void **state)
{
    (void)state;
    char path[SUPPORT_PATH_BYTES];
    if (!support_reference("fields/nl_brp2023_fields.kml", path))
        skip();
    const char *paths[] = {path};
    support_reading reading = support_read(paths, 1, NULL);
    assert_int_equal(reading.draft.features.count, 85);
    const sb_feature *first = support_feature(&reading.draft, "NL 1");
    assert_string_equal(sb_feature_attribute(first, "gewas"), "Sloot");
    assert_string_equal(sb_feature_attribute(first, "gewascode"), "343");
    support_reading_release(&reading);
}

static void tracks_that_nearly_meet_are_closed_and_others_are_not(void **state)
{
    (void)state;
    char path[SUPPORT_PATH_BYTES];
    if (!support_reference("fields/dk_fieldwalk.gpx", path))
        skip();
    const char *paths[] = {path};
    support_reading reading = support_read(paths, 1, NULL);
    assert_int_equal(reading.status, SB_ERR_INPUT);
    /* Gaps measured with GeographicLib 2.1.2: 36.034 m, 91.316 m (5.2 %). */
    assert_string_equal(reading.messages,
                        "7: track 'Mark 15-0 #61' closed over a gap of 36.0 m (2.4 % of the way "
                        "round) | 45: unclosed track 'Mark 10-0 #55': its ends lie 91.3 m apart "
                        "(5.2 % of the way round), expected at most 25 m or 5 %");
    support_reading_release(&reading);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(dutch_parcels_measure_as_expected),
        cmocka_unit_test(handmade_samples_measure_as_expected),
        cmocka_unit_test(typed_attributes_are_read),
        cmocka_unit_test(tracks_that_nearly_meet_are_closed_and_others_are_not),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
