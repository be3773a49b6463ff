/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every allocation fails once: ours through the door, libxml2's through its hooks. Reading then
 * ends with "out of memory", and nothing is leaked.
 *
 * One thing is left out: while libxml2 2.9.14 compiles and runs a RELAX NG schema, a failed
 * allocation of its own makes it crash or turn in circles. That is the second look at a season
 * file, so libxml2's failures are tried on the other formats only. */
#define _POSIX_C_SOURCE 200809L
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include <cmocka.h>
#include <libxml/parser.h>
#include <libxml/xmlmemory.h>
#include <zip.h>

#include "base/mem.h"
#include "drafts.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

#define RING                                                                                   \
    "<LinearRing><coordinates>-100,47 -99.99,47 -99.99,47.01 -100,47.01 -100,47</coordinates>" \
    "</LinearRing>"
#define HOLE                                                                              \
    "<LinearRing><coordinates>-99.998,47.002 -99.996,47.002 -99.996,47.004</coordinates>" \
    "</LinearRing>"
#define KML(name)                                                                            \
    "<kml><Folder><name>Farm</name><Placemark><name>" name "</name><ExtendedData>"           \
    "<Data name='crop'><value>wheat</value></Data></ExtendedData><MultiGeometry><Polygon>"   \
    "<innerBoundaryIs>" HOLE "</innerBoundaryIs><outerBoundaryIs>" RING "</outerBoundaryIs>" \
    "</Polygon><Point><coordinates>5, 52</coordinates></Point></MultiGeometry></Placemark>"  \
    "<Placemark><name>words</name></Placemark><NetworkLink/></Folder></kml>"

static const char season[] =
    "<season xmlns='urn:seedbreak:season:1' currency='EUR'>"
    "<weed id='brome' seeds_per_plant='200' retained='0.75' header_loss='0.2' viability='0.9' "
    "emergence='0.6' cost_per_plant='0.3'/><weed id='kochia' retained='0.8'/>"
    "<crop id='flax' yield_t_ha='1.5'/><cleanout id='v' minutes='4'><keep section='tank' "
    "loose='0.5'/><step section='tank'>Shake.</step></cleanout><cleanout id='deep'><step>Sweep"
    "</step></cleanout><scale><class label='a' plants_m2='1'/></scale><calendar><blocked "
    "date='2026-08-03'/></calendar><machine id='m'><rate crop='flax' ha_per_hour='2'/><section "
    "id='tank' kg='7'/><start><load weed='kochia' section='shoe' lodged_seeds='7'/></start>"
    "</machine><machine id='n'><start field='North' cleanout='deep'/></machine><field "
    "name='North' crop='oats'><rating weed='kochia' rating='3'/><limit weed='kochia' "
    "seeds_ha='9'/></field></season>";

static const char gpx[] =
    "<gpx xmlns:f='urn:seedbreak:field:1'><trk><name>t</name><extensions><f:field><f:crop>oats"
    "</f:crop><f:data name='grower'>A</f:data><f:weed id='kochia' plants_m2='1'/></f:field>"
    "</extensions><trkseg><trkpt lat='47' lon='-100'/><trkpt lat='47' lon='-99'/><trkpt lat='48' "
    "lon='-99'/><trkpt lat='47' lon='-100'/></trkseg></trk><wpt lat='47.1' lon='-99.1'><name>p"
    "</name><desc>weed:kochia=2</desc></wpt></gpx>";

static const char taskdata[] =
    "<ISO11783_TaskData><CTR A='CTR1' B='A. Aldane'/><FRM A='FRM1' B='Home'/><CTP A='CTP1' "
    "B='Wheat'/><XFR A='PFD00001'/></ISO11783_TaskData>";
static const char external[] =
    "<XFC><PFD A='PFD1' C='North' D='1000' E='CTR1' F='FRM1' G='CTP1'><PLN A='1'><LSG A='1'>"
    "<PNT C='52' D='5'/><PNT C='52' D='5.01'/><PNT C='52.01' D='5.01'/></LSG><LSG A='2'>"
    "<PNT C='52.002' D='5.006'/><PNT C='52.002' D='5.008'/><PNT C='52.004' D='5.008'/></LSG>"
    "</PLN></PFD></XFC>";

static const char travel[] = "km,North,Shop\nNorth,0,1\nShop,1,0\n";

/* What is read together. */
typedef struct file_set {
    const char *paths[3];
    size_t n;
} file_set;

static char paths[8][SUPPORT_PATH_BYTES];
static const char *travel_path;
static file_set sets[5];
#define FIRST_WITHOUT_SEASON 1

static void make_archive(const char *path)
{
    zip_t *zip = zip_open(path, ZIP_CREATE | ZIP_TRUNCATE, NULL);
    zip_source_t *source = zip_source_buffer(zip, KML("Zipped"), sizeof KML("Zipped") - 1, 0);
    zip_file_add(zip, "doc.kml", source, 0);
    zip_close(zip);
}

static int make_files(void **state)
{
    (void)state;
    static const char latin1[] = KML("S\xF6"
                                     "der");
    const char *kml_path =
        support_file("north.kml", KML("North"), sizeof KML("North") - 1, paths[0]);
    const char *season_path = support_file("season.xml", season, sizeof season - 1, paths[1]);
    const char *gpx_path = support_file("walk.gpx", gpx, sizeof gpx - 1, paths[2]);
    travel_path = support_file("travel.csv", travel, sizeof travel - 1, paths[3]);
    snprintf(paths[4], sizeof paths[4], "%s/stick", support_folder());
    mkdir(paths[4], 0700);
    support_file("stick/TASKDATA.XML", taskdata, sizeof taskdata - 1, paths[5]);
    support_file("stick/PFD00001.XML", external, sizeof external - 1, paths[5]);
    const char *latin1_path = support_file("latin1.kml", latin1, sizeof latin1 - 1, paths[5]);
    snprintf(paths[6], sizeof paths[6], "%s/fields.kmz", support_folder());
    make_archive(paths[6]);
    sets[0] = (file_set){{kml_path, season_path}, 2};
    sets[1] = (file_set){{gpx_path}, 1};
    sets[2] = (file_set){{paths[4]}, 1};
    sets[3] = (file_set){{paths[6]}, 1};
    sets[4] = (file_set){{latin1_path}, 1};
    return 0;
}

/* Reads a set with the door closing after `budget` calls. */
static sb_status read_with_budget(const file_set *set, long budget)
{
    sb_draft draft;
    sb_read_options options = {.travel_csv = travel_path};
    assert_int_equal(sb_draft_init(&draft), SB_OK);
    sb_report *report = sb_report_new();
    sb_mem_set_budget(budget);
    sb_status status = sb_draft_read(&draft, set->paths, set->n, &options, report);
    sb_mem_set_budget(-1);
    if (status == SB_OK)
        assert_true(draft.features.count > 0);
    sb_report_free(report);
    sb_draft_release(&draft);
    return status;
}

static void out_of_memory_at_any_step_leaks_nothing(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(sets); i++) {
        long live = sb_mem_live(), budget = 0;
        sb_status status = SB_ERR_NOMEM;
        for (; status != SB_OK; budget++) {
            status = read_with_budget(&sets[i], budget);
            assert_true(status == SB_OK || status == SB_ERR_NOMEM);
            assert_int_equal(sb_mem_live(), live);
        }
        print_message("%s: %ld allocations\n", sets[i].paths[0], budget - 1);
    }
}

/* ---- libxml2's own allocations ---- */

static long xml_budget = -1, xml_live;

static bool xml_door_open(void)
{
    if (xml_budget == 0)
        return false;
    xml_budget -= xml_budget > 0;
    return true;
}

static void *xml_malloc(size_t n)
{
    void *p = xml_door_open() ? malloc(n) : NULL;
    xml_live += p != NULL;
    return p;
}

static void *xml_realloc(void *p, size_t n)
{
    void *grown = xml_door_open() ? realloc(p, n) : NULL;
    xml_live += grown != NULL && p == NULL;
    return grown;
}

static char *xml_strdup(const char *text)
{
    char *copy = xml_malloc(strlen(text) + 1);
    return copy != NULL ? strcpy(copy, text) : NULL;
}

static void xml_free(void *p)
{
    xml_live -= p != NULL;
    free(p);
}

static void out_of_memory_inside_libxml2_is_told(void **state)
{
    (void)state;
    for (size_t i = FIRST_WITHOUT_SEASON; i < COUNT(sets); i++) {
        assert_int_equal(read_with_budget(&sets[i], -1), SB_OK); /* libxml2's own tables */
        xmlResetLastError();
        long live = xml_live, budget = 0;
        sb_status status = SB_ERR_NOMEM;
        for (; status != SB_OK; budget++) {
            xml_budget = budget;
            status = read_with_budget(&sets[i], -1);
            xml_budget = -1;
            xmlResetLastError(); /* libxml2 keeps the text of the last one */
            assert_true(status == SB_OK || status == SB_ERR_NOMEM);
            assert_int_equal(xml_live, live);
        }
        print_message("%s: %ld allocations of libxml2\n", sets[i].paths[0], budget - 1);
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
    xmlMemSetup(xml_free, xml_malloc, xml_realloc, xml_strdup);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(out_of_memory_at_any_step_leaks_nothing),
        cmocka_unit_test(out_of_memory_inside_libxml2_is_told),
    };
    return cmocka_run_group_tests(tests, make_files, tidy);
}
