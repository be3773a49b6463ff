/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "drafts.h"
#include "season/season.h"

#define FIELD(name, coordinates)                                                      \
    "<Placemark><name>" name "</name><ExtendedData><Data name='weed:kochia'><value>0" \
    "</value></Data></"                                                               \
    "ExtendedData><Polygon><outerBoundaryIs><LinearRing><coordinates>" coordinates    \
    "</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>\n"
#define BOX(west, east) west ",52 " east ",52 " east ",52.01 " west ",52.01 " west ",52"

/* Warnings that speak of an overlap, a boundary, a sliver or a stray point, one a line. */
static void doubts(const char *fields, char *out, size_t size)
{
    char path[SUPPORT_PATH_BYTES], text[8192];
    snprintf(text, sizeof text, "<kml><Document>\n%s</Document></kml>", fields);
    const char *paths[] = {support_file("fields.kml", text, strlen(text), path)};
    sb_report *report = sb_report_new();
    sb_season *season = NULL;
    assert_int_equal(sb_season_read(paths, 1, NULL, report, &season), SB_OK);
    out[0] = '\0';
    for (size_t i = 0; i < sb_report_count(report); i++) {
        sb_message message = sb_report_get(report, i);
        if (message.severity == SB_WARNING &&
            (strstr(message.text, "overlap") || strstr(message.text, "boundary") ||
             strstr(message.text, "sliver") || strstr(message.text, "no field")))
            snprintf(out + strlen(out), size - strlen(out), "%zu: %s\n", message.line,
                     message.text);
    }
    sb_season_free(season);
    sb_report_free(report);
}

static void fields_that_overlap_are_told_with_hectares(void **state)
{
    (void)state;
    char out[1024];
    /* A square of 0.01 degrees at 52 N 5 E has 76.4078 ha (GeographicLib 2.1.2 Planimeter); a
     * quarter of it is common. */
    doubts(FIELD("West", BOX("5", "5.01")) FIELD("East", BOX("5.0075", "5.0175")), out, sizeof out);
    assert_string_equal(
        out, "3: field 'East' overlaps field 'West' by 19.10 ha (25.0 % of the smaller)\n");
}

static void a_field_drawn_twice_is_told(void **state)
{
    (void)state;
    char out[1024];
    doubts(FIELD("One", BOX("5", "5.01")) FIELD("Two", "5.01,52.01 5,52.01 5,52 5.01,52"), out,
           sizeof out);
    assert_string_equal(out, "3: field 'Two' has the boundary of field 'One' (76.41 ha in "
                             "common): one field drawn twice?\n");
}

static void neighbours_that_share_a_fence_are_not_doubtful(void **state)
{
    (void)state;
    char out[1024];
    doubts(FIELD("West", BOX("5", "5.01")) FIELD("East", BOX("5.01", "5.02"))
               FIELD("Strip", BOX("5.0199999", "5.03")),
           out, sizeof out);
    assert_string_equal(out, "");
}

static void fields_across_the_180th_meridian_are_compared(void **state)
{
    (void)state;
    char out[1024];
    doubts(FIELD("Far", BOX("5", "5.01")) FIELD("West", BOX("179.995", "-179.995"))
               FIELD("East", BOX("-180", "-179.99")),
           out, sizeof out);
    assert_string_equal(
        out, "4: field 'East' overlaps field 'West' by 38.20 ha (50.0 % of the smaller)\n");
}

static void a_sliver_is_told(void **state)
{
    (void)state;
    char out[1024];
    /* GeographicLib 2.1.2 Planimeter: 0.0038 m2. */
    doubts(FIELD("Thin", "5,52 5.01,52 5.01,52.0000000001 5,52"), out, sizeof out);
    assert_string_equal(out, "2: field 'Thin' is a sliver of 0.00382 m2\n");
}

static void a_scouting_point_with_swapped_numbers_is_told(void **state)
{
    (void)state;
    char out[1024];
#define POINT(name, place)                                                              \
    "<Placemark><name>" name "</name><ExtendedData><Data name='weed:kochia'><value>1"   \
    "</value></Data></ExtendedData><Point><coordinates>" place "</coordinates></Point>" \
    "</Placemark>\n"
    doubts(FIELD("One", BOX("5", "5.01")) POINT("turned", "52.005,5.005")
               POINT("stray", "6,52.005"),
           out, sizeof out);
    assert_string_equal(out, "3: scouting point 'turned' at longitude 52.0050000, latitude "
                             "5.0050000 lies in no field: not used (longitude and latitude look "
                             "swapped)\n"
                             "4: scouting point 'stray' at longitude 6.0000000, latitude "
                             "52.0050000 lies in no field: not used\n");
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
        cmocka_unit_test(fields_that_overlap_are_told_with_hectares),
        cmocka_unit_test(a_field_drawn_twice_is_told),
        cmocka_unit_test(neighbours_that_share_a_fence_are_not_doubtful),
        cmocka_unit_test(fields_across_the_180th_meridian_are_compared),
        cmocka_unit_test(a_sliver_is_told),
        cmocka_unit_test(a_scouting_point_with_swapped_numbers_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, tidy);
}
