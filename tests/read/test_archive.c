/* SPDX-License-Identifier: GPL-3.0-or-later */
/* KMZ, and TASKDATA as file, folder and ZIP. Archives are made here, with libzip. */
#define _POSIX_C_SOURCE 200809L
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include <cmocka.h>
#include <zip.h>

#include "drafts.h"

#define KML(name)                                                                  \
    "<kml><Placemark><name>" name "</name><Polygon><outerBoundaryIs><LinearRing>"  \
    "<coordinates>5,52 5.01,52 5.01,52.01 5,52.01 5,52</coordinates></LinearRing>" \
    "</outerBoundaryIs></Polygon></Placemark></kml>"

#define PNT(lat, lon) "<PNT A='2' C='" lat "' D='" lon "'/>"
#define EXTERIOR \
    "<LSG A='1'>" PNT("52", "5") PNT("52", "5.01") PNT("52.01", "5.01") PNT("52.01", "5") "</LSG>"
#define HOLE                                                                           \
    "<LSG A='2'>" PNT("52.002", "5.002") PNT("52.002", "5.004") PNT("52.004", "5.004") \
        PNT("52.004", "5.002") PNT("52.002", "5.002") "</LSG>"
#define FAR_EXTERIOR "<LSG A='1'>" PNT("53", "5") PNT("53", "5.01") PNT("53.01", "5.01") "</LSG>"
#define TASKDATA(inside) \
    "<ISO11783_TaskData VersionMajor='4' VersionMinor='3'>\n" inside "</ISO11783_TaskData>"

/* GeographicLib 2.1.2 Planimeter. */
#define SQUARE_M2 764077.618
#define HOLE_M2 30564.457

typedef struct member {
    const char *name, *text;
} member;

static const char *make_archive(const char *name, const member *members, size_t n,
                                char path[SUPPORT_PATH_BYTES])
{
    snprintf(path, SUPPORT_PATH_BYTES, "%s/%s", support_folder(), name);
    zip_t *zip = zip_open(path, ZIP_CREATE | ZIP_TRUNCATE, NULL);
    assert_non_null(zip);
    for (size_t i = 0; i < n; i++) {
        zip_source_t *source = zip_source_buffer(zip, members[i].text, strlen(members[i].text), 0);
        assert_true(zip_file_add(zip, members[i].name, source, 0) >= 0);
    }
    assert_int_equal(zip_close(zip), 0);
    return path;
}

static support_reading read_archive(const char *name, const member *members, size_t n)
{
    char path[SUPPORT_PATH_BYTES];
    const char *paths[] = {make_archive(name, members, n, path)};
    return support_read(paths, 1, NULL);
}

static void a_kmz_gives_its_doc_kml(void **state)
{
    (void)state;
    const member members[] = {{"files/other.kml", KML("other")}, {"doc.kml", KML("main")}};
    support_reading reading = read_archive("two.kmz", members, 2);
    assert_string_equal(reading.messages,
                        "0: archive with 2 .kml files, expected one: only doc.kml is read");
    assert_int_equal(reading.draft.features.count, 1);
    const sb_feature *field = &reading.draft.features.items[0];
    assert_string_equal(field->name, "main");
    assert_non_null(strstr(field->file, "two.kmz/doc.kml"));
    support_reading_release(&reading);
}

static void a_kmz_without_doc_kml_gives_its_first(void **state)
{
    (void)state;
    const member members[] = {{"a.txt", "x"}, {"deep/down/Fields.KML", KML("deep")}};
    support_reading reading = read_archive("deep.kmz", members, 2);
    assert_string_equal(reading.messages, "");
    assert_string_equal(reading.draft.features.items[0].name, "deep");
    support_reading_release(&reading);
}

static void a_broken_entry_is_told_with_its_line(void **state)
{
    (void)state;
    const member members[] = {{"doc.kml", "<kml>\n<Placemark>\n</kml>"}};
    support_reading reading = read_archive("broken.kmz", members, 1);
    assert_int_equal(reading.status, SB_ERR_INPUT);
    assert_string_equal(reading.messages, "3: broken XML, expected well-formed XML: Opening and "
                                          "ending tag mismatch: Placemark line 2 and kml");
    support_reading_release(&reading);
}

static void an_entry_that_inflates_without_end_is_stopped(void **state)
{
    (void)state;
    /* 4 MB of blanks pack to some 4 kB: a thousand to one. */
    static char bomb[4 << 20];
    memset(bomb, ' ', sizeof bomb - 1);
    memcpy(bomb, "<kml>", 5);
    const member members[] = {{"doc.kml", bomb}};
    support_reading reading = read_archive("bomb.kmz", members, 1);
    assert_int_equal(reading.status, SB_ERR_INPUT);
    assert_string_equal(reading.messages,
                        "0: archive entry inflates to more than 200 times its size, expected less");
    support_reading_release(&reading);
}

static void too_many_entries_are_refused(void **state)
{
    (void)state;
    static char names[1001][16];
    static member members[1001];
    for (size_t i = 0; i < 1001; i++) {
        snprintf(names[i], sizeof names[i], "%zu.txt", i);
        members[i] = (member){names[i], "x"};
    }
    support_reading reading = read_archive("many.kmz", members, 1001);
    assert_string_equal(reading.messages, "0: archive of 1001 entries, expected at most 1000");
    support_reading_release(&reading);
}

static void partfields_are_read_with_holes_growers_and_names(void **state)
{
    (void)state;
    support_reading reading = support_read_text(
        "TASKDATA.XML",
        TASKDATA("<CTR A='CTR1' B='A. Aldane'/><FRM A='FRM1' B='Home'/>"
                 "<CTP A='CTP1' B='Wheat'/>\n"
                 "<PFD A='PFD1' B='code' C='North' D='733513' E='CTR1' F='FRM1' G='CTP1'>"
                 "<PLN A='1'>" HOLE FAR_EXTERIOR EXTERIOR "</PLN><PLN A='2'>" EXTERIOR
                 "</PLN></PFD>\n"
                 "<PFD A='PFD2' B='Name in B' C='12345' D='0'><PLN A='1'>" EXTERIOR
                 "</PLN></PFD>\n<PFD A='PFD3' C='Empty' D='1'/>"));
    assert_string_equal(reading.messages, "5: partfield 'Empty' has no boundary: passed by");
    assert_int_equal(reading.draft.features.count, 2);
    const sb_feature *north = support_feature(&reading.draft, "North");
    assert_int_equal(north->parts.count, 2);
    assert_int_equal(north->line, 3);
    assert_int_equal(north->parts.items[0].n_holes, 0); /* the hole lies in the other one */
    assert_int_equal(north->parts.items[1].n_holes, 1);
    assert_true(fabs(sb_part_area_m2(&north->parts.items[1]) - (SQUARE_M2 - HOLE_M2)) <= 0.001);
    assert_string_equal(sb_feature_attribute(north, "grower"), "A. Aldane");
    assert_string_equal(sb_feature_attribute(north, "crop"), "wheat");
    assert_string_equal(sb_feature_attribute(north, "area_ha"), "73.3513");
    assert_string_equal(north->folder, "Home");
    const sb_feature *second = support_feature(&reading.draft, "Name in B");
    assert_null(sb_feature_attribute(second, "area_ha"));
    support_reading_release(&reading);
}

static void external_files_are_read_from_beside(void **state)
{
    (void)state;
    static const char main_file[] =
        TASKDATA("<XFR A='PFD00001' B='1'/><CTR A='CTR1' B='A. Aldane'/>");
    static const char external[] =
        "<XFC><PFD A='PFD1' C='Out' E='CTR1'><PLN A='1'>" EXTERIOR "</PLN></PFD></XFC>";
    const member members[] = {{"TASKDATA/TASKDATA.XML", main_file},
                              {"TASKDATA/PFD00001.XML", external}};
    support_reading zipped = read_archive("taskdata.zip", members, 2);
    assert_string_equal(zipped.messages, "");
    assert_string_equal(sb_feature_attribute(support_feature(&zipped.draft, "Out"), "grower"),
                        "A. Aldane");
    support_reading_release(&zipped);

    char folder[SUPPORT_PATH_BYTES], path[SUPPORT_PATH_BYTES];
    snprintf(folder, sizeof folder, "%s/stick", support_folder());
    assert_int_equal(mkdir(folder, 0700), 0);
    support_file("stick/TASKDATA.XML", main_file, sizeof main_file - 1, path);
    support_file("stick/PFD00001.XML", external, sizeof external - 1, path);
    const char *paths[] = {folder};
    support_reading stick = support_read(paths, 1, NULL);
    assert_string_equal(stick.messages, "");
    assert_non_null(strstr(support_feature(&stick.draft, "Out")->file, "stick/PFD00001.XML"));
    support_reading_release(&stick);
}

static void external_files_that_are_not_there_or_elsewhere_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *xfr, *message;
    } cases[] = {
        {"<XFR A='PFD00009'/>",
         "0: external file PFD00009.XML is not there, expected it beside TASKDATA.XML"},
        {"<XFR A='../../x'/>", "2: external file '../../x', expected a name like PFD00001"},
        {"<XFR A='PFD0000/'/>", "2: external file 'PFD0000/', expected a name like PFD00001"},
        {"<XFR/>", "2: external file '', expected a name like PFD00001"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[512];
        snprintf(text, sizeof text, "<ISO11783_TaskData>\n%s</ISO11783_TaskData>", cases[i].xfr);
        support_reading reading = support_read_text("x.xml", text);
        assert_int_equal(reading.status, SB_ERR_INPUT);
        assert_string_equal(reading.messages, cases[i].message);
        support_reading_release(&reading);
    }
}

static void kmz_samples_are_read_or_refused(void **state)
{
    (void)state;
    static const struct {
        const char *file;
        sb_status status;
        const char *messages;
    } cases[] = {
        {"fields/bad-too-large.kmz", SB_ERR_INPUT,
         "0: archive entry of 4294967294 bytes, expected at most 200 MB"},
        {"fields/hier.kmz", SB_OK,
         "0: archive with 2 .kml files, expected one: only doc.kml is read | 3: 2 NetworkLink "
         "passed by: nothing is fetched"},
        {"fields/multikml-doc.kmz", SB_OK,
         "0: archive with 4 .kml files, expected one: only z/c.kml is read | 1: placemark 'c.kml' "
         "has no geometry: passed by"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char path[SUPPORT_PATH_BYTES];
        if (!support_reference(cases[i].file, path))
            skip();
        const char *paths[] = {path};
        support_reading reading = support_read(paths, 1, NULL);
        print_message("%s: %s\n", cases[i].file, reading.messages);
        assert_int_equal(reading.status, cases[i].status);
        assert_string_equal(reading.messages, cases[i].messages);
        support_reading_release(&reading);
    }
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
        cmocka_unit_test(a_kmz_gives_its_doc_kml),
        cmocka_unit_test(a_kmz_without_doc_kml_gives_its_first),
        cmocka_unit_test(a_broken_entry_is_told_with_its_line),
        cmocka_unit_test(an_entry_that_inflates_without_end_is_stopped),
        cmocka_unit_test(too_many_entries_are_refused),
        cmocka_unit_test(partfields_are_read_with_holes_growers_and_names),
        cmocka_unit_test(external_files_are_read_from_beside),
        cmocka_unit_test(external_files_that_are_not_there_or_elsewhere_are_refused),
        cmocka_unit_test(kmz_samples_are_read_or_refused),
    };
    return cmocka_run_group_tests(tests, NULL, tidy);
}
