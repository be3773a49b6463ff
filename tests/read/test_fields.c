/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fields, yards and scouting points as KML and GPX give them. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "drafts.h"
#include "read/xml.h"

#define SQUARE "-100.0,47.0 -99.99,47.0 -99.99,47.01 -100.0,47.01 -100.0,47.0"
#define POLYGON(coordinates)                                          \
    "<Polygon><outerBoundaryIs><LinearRing><coordinates>" coordinates \
    "</coordinates></LinearRing></outerBoundaryIs></Polygon>"
#define KML(inside) "<kml xmlns=\"http://www.opengis.net/kml/2.2\">\n" inside "</kml>"
#define GPX(inside)                                                                      \
    "<gpx xmlns=\"http://www.topografix.com/GPX/1/1\" xmlns:f=\"urn:seedbreak:field:1\"" \
    " version=\"1.1\" creator=\"t\">\n" inside "</gpx>"

static void kml_attributes_are_read_both_ways(void **state)
{
    (void)state;
    support_reading reading = support_read_text(
        "a.kml", KML("<Placemark>\n<name> North <!-- x --><![CDATA[& South]]> </name>\n"
                     "<ExtendedData><Data name='crop'><displayName>Crop</displayName>\n"
                     "<value> wheat </value></Data>\n<Data name='empty'><value/></Data>"
                     "<SchemaData><SimpleData name='weed:kochia'>3</SimpleData></SchemaData>"
                     "<other xmlns='urn:other'><Data name='no'><value>1</value></Data></other>"
                     "</ExtendedData>" POLYGON(SQUARE) "</Placemark>"));
    assert_string_equal(reading.messages, "");
    assert_int_equal(reading.draft.features.count, 1);
    const sb_feature *field = &reading.draft.features.items[0];
    assert_string_equal(field->name, "North & South");
    assert_int_equal(field->kind, SB_FEATURE_AREA);
    assert_int_equal(field->line, 2);
    assert_int_equal(field->attributes.count, 2);
    assert_string_equal(sb_feature_attribute(field, "crop"), "wheat");
    assert_int_equal(field->attributes.items[0].line, 5);
    assert_string_equal(sb_feature_attribute(field, "weed:kochia"), "3");
    support_reading_release(&reading);
}

/* Found by fuzzing: libxml2 hands an ampersand in an attribute over as "&#38;". */
static void ampersands_in_attributes_are_decoded_once(void **state)
{
    (void)state;
    support_reading reading = support_read_text(
        "ampersand.kml", KML("<Placemark><name>f</name><ExtendedData>"
                             "<Data name='a&amp;b&#38;&lt;c'><value>1</value></Data>"
                             "<Data name='d&amp;#38;'><value>2</value></Data>"
                             "</ExtendedData>" POLYGON(SQUARE) "</Placemark>"));
    const sb_feature *field = support_feature(&reading.draft, "f");
    assert_string_equal(sb_feature_attribute(field, "a&b&<c"), "1");
    assert_string_equal(sb_feature_attribute(field, "d&#38;"), "2");
    support_reading_release(&reading);
}

static void kml_folders_become_a_path(void **state)
{
    (void)state;
    support_reading reading = support_read_text(
        "folders.kml", KML("<Document><name>not a farm</name><Folder><name>North</name>"
                           "<Folder><name>Home</name><Placemark><name>a</name>" POLYGON(
                               SQUARE) "</Placemark>"
                                       "</Folder><Placemark><name>b</name>" POLYGON(
                                           SQUARE) "</Placemark></Folder>"
                                                   "<Placemark><name>c</name>" POLYGON(
                                                       SQUARE) "</Placemark></Document>"));
    assert_string_equal(reading.messages, "");
    assert_string_equal(support_feature(&reading.draft, "a")->folder, "North/Home");
    assert_string_equal(support_feature(&reading.draft, "b")->folder, "North");
    assert_null(support_feature(&reading.draft, "c")->folder);
    support_reading_release(&reading);
}

static void kml_points_and_labels_are_told_apart(void **state)
{
    (void)state;
    support_reading reading = support_read_text(
        "points.kml",
        KML("<Document><Placemark><name>yard</name><Point><coordinates>-100.2,47.3,500"
            "</coordinates></Point></Placemark>\n"
            "<Placemark><name>labelled</name><MultiGeometry><Point><coordinates>0,0</coordinates>"
            "</Point>" POLYGON(SQUARE) "</MultiGeometry></Placemark>\n"
                                       "<Placemark><name>just words</name></Placemark>\n"
                                       "<Placemark><name>no outline</name><ExtendedData><Data "
                                       "name='crop'><value>wheat"
                                       "</value></Data></ExtendedData></Placemark></Document>"));
    assert_string_equal(reading.messages, "4: placemark 'just words' has no geometry: passed by");
    assert_int_equal(reading.draft.features.count, 3);
    const sb_feature *yard = support_feature(&reading.draft, "yard");
    assert_int_equal(yard->kind, SB_FEATURE_POINT);
    assert_true(yard->place.lon_deg == -100.2 && yard->place.lat_deg == 47.3);
    assert_false(yard->from_waypoint);
    assert_int_equal(support_feature(&reading.draft, "labelled")->kind, SB_FEATURE_AREA);
    assert_int_equal(support_feature(&reading.draft, "no outline")->parts.count, 0);
    support_reading_release(&reading);
}

static void a_root_namespace_of_its_own_is_taken_with_a_warning(void **state)
{
    (void)state;
    support_reading reading =
        support_read_text("own.kml", "<k:kml xmlns:k='urn:odd'><k:Placemark><k:Point>"
                                     "<k:coordinates>5,52</k:coordinates></k:Point>"
                                     "</k:Placemark></k:kml>");
    assert_string_equal(reading.messages, "1: root element 'kml' in namespace 'urn:odd', expected "
                                          "'http://www.opengis.net/kml/2.2': read all the same");
    assert_int_equal(reading.draft.features.count, 1);
    support_reading_release(&reading);
}

static void gpx_attributes_are_read_in_every_spelling(void **state)
{
    (void)state;
    support_reading reading = support_read_text(
        "a.gpx", GPX("<wpt lat='47.005' lon='-99.995'><name>SP1</name><extensions>"
                     "<f:weed id='kochia' rating='3'/><f:weed id='wild_oat' plants_m2='0.2'/>"
                     "<f:data name='weed:ryegrass'>1</f:data><f:weed id='own'>4</f:weed>"
                     "<f:weed.giant_ragweed>2</f:weed.giant_ragweed><f:crop> wheat </f:crop>"
                     "<other xmlns='urn:other'><f:crop>no</f:crop></other></extensions></wpt>\n"
                     "<wpt lat='47' lon='-100'><name>SP2</name><extensions><f:field>"
                     "<f:role>yard</f:role></f:field></extensions></wpt>"));
    assert_string_equal(reading.messages, "");
    const sb_feature *point = support_feature(&reading.draft, "SP1");
    assert_true(point->from_waypoint);
    assert_int_equal(point->attributes.count, 6);
    assert_string_equal(sb_feature_attribute(point, "weed:kochia"), "3");
    assert_string_equal(sb_feature_attribute(point, "weed:wild_oat:plants_m2"), "0.2");
    assert_string_equal(sb_feature_attribute(point, "weed:ryegrass"), "1");
    assert_string_equal(sb_feature_attribute(point, "weed:own"), "4");
    assert_string_equal(sb_feature_attribute(point, "weed:giant_ragweed"), "2");
    assert_string_equal(sb_feature_attribute(point, "crop"), "wheat");
    assert_string_equal(sb_feature_attribute(support_feature(&reading.draft, "SP2"), "role"),
                        "yard");
    support_reading_release(&reading);
}

static void notes_give_ratings_only_by_an_explicit_key(void **state)
{
    (void)state;
    support_reading reading = support_read_text(
        "notes.gpx",
        GPX("<wpt lat='47' lon='-100'><name>SP03</name><cmt>rating 3</cmt>"
            "<desc>patch, weed:kochia=4; weed:wild_oat:plants_m2=0.5</desc>"
            "<type>5</type></wpt>"
            "<wpt lat='47' lon='-100'><name>both</name><desc>weed:kochia=4</desc><extensions>"
            "<f:weed id='kochia' rating='1'/></extensions></wpt>"
            "<wpt lat='47' lon='-100'><name>shop</name><type>role=yard</type></wpt>"));
    const sb_feature *point = support_feature(&reading.draft, "SP03");
    assert_int_equal(point->attributes.count, 2);
    assert_string_equal(sb_feature_attribute(point, "weed:kochia"), "4");
    assert_string_equal(sb_feature_attribute(point, "weed:wild_oat:plants_m2"), "0.5");
    point = support_feature(&reading.draft, "both");
    assert_int_equal(point->attributes.count, 1);
    assert_string_equal(sb_feature_attribute(point, "weed:kochia"), "1");
    point = support_feature(&reading.draft, "shop");
    assert_string_equal(sb_feature_attribute(point, "role"), "yard");
    support_reading_release(&reading);
}

#define PT(lat, lon) "<trkpt lat='" lat "' lon='" lon "'><ele>500</ele></trkpt>"
#define RP(lat, lon) "<rtept lat='" lat "' lon='" lon "'><name>x</name></rtept>"

static void tracks_and_routes_are_boundaries(void **state)
{
    (void)state;
    support_reading reading = support_read_text(
        "lines.gpx",
        GPX("<rte><name>route</name>" RP("47", "-100") RP("47", "-99.99") RP("47.01", "-99.99")
                RP("47", "-100") "</rte>\n"
                                 "<trk><name>two segments</name><trkseg>" PT("47", "-100")
                                     PT("47", "-99.99") "</trkseg><trkseg>" PT("47", "-99.99")
                                         PT("47.01", "-99.99") PT("47.01", "-100")
                                             PT("47.0001", "-100") "</trkseg></trk>"));
    assert_int_equal(reading.status, SB_OK);
    /* 0.0001 degrees of latitude at 47 N: 111.17 km x 1e-4, by the quarter meridian / 90. */
    assert_string_equal(reading.messages,
                        "3: track 'two segments' closed over a gap of 11.1 m (0.3 % of the way "
                        "round) | 3: ring repeats 1 vertex: dropped");
    assert_int_equal(support_feature(&reading.draft, "route")->parts.items[0].outer.count, 3);
    assert_int_equal(support_feature(&reading.draft, "two segments")->parts.items[0].outer.count,
                     5);
    support_reading_release(&reading);
}

static void numbers_read_the_quick_way_and_the_slow_way_agree(void **state)
{
    (void)state;
    /* Numbers of every length take the quick way or the slow one: both must agree. */
    support_reading reading = support_read_text(
        "digits.kml",
        KML("<Document><Placemark><name>short</name>" POLYGON(
            SQUARE) "</Placemark>"
                    "<Placemark><name>long</name>" POLYGON(
                        "-1.000000000000000000e2,47.00000000000000000000 "
                        "-99.9900000000000000000,47 "
                        "-99.99,+47.0100000000000000000 -100.0,4701e-2 -100,47.") "</Placemark>"
                                                                                  "</Document>"));
    assert_string_equal(reading.messages, "");
    const sb_ring *a = &support_feature(&reading.draft, "short")->parts.items[0].outer;
    const sb_ring *b = &support_feature(&reading.draft, "long")->parts.items[0].outer;
    assert_int_equal(a->count, 4);
    assert_int_equal(b->count, 4);
    assert_memory_equal(a->items, b->items, 4 * sizeof *a->items);
    support_reading_release(&reading);
}

static void a_run_of_triples_without_blanks_is_parted(void **state)
{
    (void)state;
    support_reading reading = support_read_text(
        "run.kml", KML("<Placemark><name>f</name>" POLYGON(
                       "5,52,0,5.01,52,0,5.01,52.01,0,5,52.01,0,5,52,0") "</Placemark>"));
    assert_string_equal(
        reading.messages,
        "2: coordinates without blanks between tuples: parted after every third number");
    assert_int_equal(support_vertices(&reading.draft), 4);
    /* GeographicLib 2.1.2 Planimeter. */
    assert_true(fabs(support_area_m2(&reading.draft) - 764077.618) <= 0.001);
    support_reading_release(&reading);
}

static void one_text_without_end_is_refused(void **state)
{
    (void)state;
    static const char head[] = "<kml><Placemark>\n<name>";
    size_t n = SB_XML_MAX_TEXT + 4096;
    char path[SUPPORT_PATH_BYTES], *text = malloc(n);
    assert_non_null(text);
    memset(text, 'x', n);
    memcpy(text, head, sizeof head - 1);
    const char *paths[] = {support_file("long.kml", text, n, path)};
    free(text);
    support_reading reading = support_read(paths, 1, NULL);
    assert_int_equal(reading.status, SB_ERR_INPUT);
    assert_string_equal(reading.messages,
                        "2: one text longer than 64 MB, expected at most that much");
    support_reading_release(&reading);
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
        cmocka_unit_test(kml_attributes_are_read_both_ways),
        cmocka_unit_test(ampersands_in_attributes_are_decoded_once),
        cmocka_unit_test(kml_folders_become_a_path),
        cmocka_unit_test(kml_points_and_labels_are_told_apart),
        cmocka_unit_test(a_root_namespace_of_its_own_is_taken_with_a_warning),
        cmocka_unit_test(gpx_attributes_are_read_in_every_spelling),
        cmocka_unit_test(notes_give_ratings_only_by_an_explicit_key),
        cmocka_unit_test(tracks_and_routes_are_boundaries),
        cmocka_unit_test(numbers_read_the_quick_way_and_the_slow_way_agree),
        cmocka_unit_test(a_run_of_triples_without_blanks_is_parted),
        cmocka_unit_test(one_text_without_end_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, tidy);
}
