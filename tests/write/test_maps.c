/* SPDX-License-Identifier: GPL-3.0-or-later */
/* route.gpx and map.kml: read back by libxml2, by our own reader, and by GDAL where there is one.
 */
#define _POSIX_C_SOURCE 200809L
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <libxml/parser.h>
#include <libxml/xpath.h>
#include <libxml/xpathInternals.h>
#include <unistd.h>

#include "base/mem.h"
#include "plans.h"
#include "seasons.h"
#include "write/file.h"
#include "write/projection.h"
#include "write/write.h"

typedef sb_status renderer(const sb_season *season, const sb_plan *plan, sb_text *text);

static const char hostile[] = "<script>alert(\"x\")</script> & ]]> 'quoted' \xE2\x80\xAE"
                              "Åse\x01";

static sb_season *shaped_season(void)
{
    support_options options = support_every_rule();
    options.missing_ways = false;
    sb_season *season = support_random_season(4, 9, &options);
    support_add_shapes(season);
    return season;
}

/* A document and an XPath context with its root's namespace as "n". */
typedef struct document {
    xmlDocPtr doc;
    xmlXPathContextPtr context;
} document;

static document parsed(const sb_season *season, const sb_plan *plan, renderer *render)
{
    sb_text text = {0};
    assert_int_equal(render(season, plan, &text), SB_OK);
    document d = {.doc = xmlReadMemory(text.bytes, (int)text.count, NULL, NULL, XML_PARSE_NONET)};
    sb_text_release(&text);
    assert_non_null(d.doc);
    d.context = xmlXPathNewContext(d.doc);
    xmlXPathRegisterNs(d.context, BAD_CAST "n", xmlDocGetRootElement(d.doc)->ns->href);
    return d;
}

static void release(document *d)
{
    xmlXPathFreeContext(d->context);
    xmlFreeDoc(d->doc);
}

static double number_of(const document *d, const char *expression)
{
    xmlXPathObjectPtr found = xmlXPathEvalExpression(BAD_CAST expression, d->context);
    assert_non_null(found);
    double value = xmlXPathCastToNumber(found);
    xmlXPathFreeObject(found);
    return value;
}

static void expect_text(const document *d, const char *expression, const char *expected)
{
    xmlXPathObjectPtr found = xmlXPathEvalExpression(BAD_CAST expression, d->context);
    assert_non_null(found);
    xmlChar *value = xmlXPathCastToString(found);
    assert_string_equal(value, expected);
    xmlFree(value);
    xmlXPathFreeObject(found);
}

/* GPX 1.1 schema (topografix.com/GPX/1/1/gpx.xsd): metadata, wpt, rte; in a point name, then desc;
 * latitude -90..90, longitude -180 <= x < 180. */
static void the_route_keeps_the_order_of_the_gpx_schema(void **state)
{
    (void)state;
    sb_season *season = shaped_season();
    sb_plan *plan = support_plan(season);
    document d = parsed(season, plan, sb_render_route_gpx);
    expect_text(&d, "/n:gpx/@version", "1.1");
    assert_true(number_of(&d, "count(/n:gpx/n:wpt)") == 10);
    assert_true(number_of(&d, "count(/n:gpx/n:rte)") == 10);
    assert_true(number_of(&d, "count(//n:rte[count(n:rtept) != 2])") == 0);
    assert_true(number_of(&d, "count(//n:rte/preceding-sibling::*[not(self::n:metadata or "
                              "self::n:wpt or self::n:rte)])") == 0);
    assert_true(number_of(&d, "count(//n:wpt[name(*[1]) != 'name' or name(*[2]) != 'desc'])") == 0);
    assert_true(number_of(&d, "count(//*[@lat][not(@lat >= -90 and @lat <= 90)])") == 0);
    assert_true(number_of(&d, "count(//*[@lon][not(@lon >= -180 and @lon < 180)])") == 0);
    assert_true(number_of(&d, "count(//@lat[contains(., 'e')])") == 0);
    release(&d);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* GPSBabel's table of receivers: waypoint names of 10 characters, route names of 15. */
static void receivers_get_short_names_and_people_the_full_ones(void **state)
{
    (void)state;
    sb_season *season = shaped_season();
    support_name_field(season, 1,
                       "Søndre mark ved Åsen, with a name longer than any receiver shows");
    sb_plan *plan = support_plan(season);
    document d = parsed(season, plan, sb_render_route_gpx);
    static const char allowed[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-";
    char expression[160];
    snprintf(expression, sizeof expression,
             "count(//n:name[translate(., '%s', '') != '' and "
             "not(parent::n:metadata)])",
             allowed);
    assert_true(number_of(&d, expression) == 0);
    assert_true(number_of(&d, "count(//n:name[string-length(.) > 10][not(parent::n:metadata)])") ==
                0);
    assert_true(number_of(&d, "count(//n:wpt/n:name[. = preceding::n:wpt/n:name])") == 0);
    assert_true(number_of(&d, "count(//n:rte/n:name[. = preceding::n:rte/n:name])") == 0);
    assert_true(number_of(&d,
                          "count(//n:wpt/n:desc[starts-with(., 'Søndre mark ved Åsen, with a name "
                          "longer than any receiver shows: ')])") == 1);
    release(&d);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void longitude_180_is_written_as_minus_180(void **state)
{
    (void)state;
    sb_season *season = support_season_new(1, 1);
    season->fields[0].place = (sb_lonlat){179.99999999, -17};
    sb_plan *plan = support_plan(season);
    document d = parsed(season, plan, sb_render_route_gpx);
    expect_text(&d, "//n:wpt[n:name = 'F01']/@lon", "-180.0000000");
    release(&d);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void hostile_names_stay_text(void **state)
{
    (void)state;
    sb_season *season = shaped_season();
    support_name_field(season, 0, hostile);
    sb_plan *plan = support_plan(season);
    document d = parsed(season, plan, sb_render_map_kml);
    assert_true(number_of(&d, "count(//script) + count(//n:script)") == 0);
    sb_text expected = {0};
    sb_text_addf(&expected, "%s", hostile);
    expected.bytes[expected.count - 1] = '?'; /* a control character that XML cannot hold */
    expect_text(&d, "//n:Placemark[1]/n:name", expected.bytes);
    sb_text_release(&expected);
    release(&d);
    d = parsed(season, plan, sb_render_route_gpx);
    assert_true(number_of(&d, "count(//n:script)") == 0);
    release(&d);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* OGC 12-007r2, KML 2.2 schema: name, description, styleUrl, ExtendedData, geometry, in this
 * order; every style that is used is there. */
static void the_map_keeps_the_order_of_the_kml_schema(void **state)
{
    (void)state;
    sb_season *season = shaped_season();
    sb_plan *plan = support_plan(season);
    document d = parsed(season, plan, sb_render_map_kml);
    assert_true(number_of(&d, "count(//n:Polygon)") == 10); /* nine fields, one of two parts */
    assert_true(number_of(&d, "count(//n:innerBoundaryIs)") == 1);
    assert_true(number_of(&d, "count(//n:styleUrl[not(substring(., 2) = //n:Style/@id)])") == 0);
    assert_true(number_of(&d, "count(//n:ExtendedData/following-sibling::*[self::n:name or "
                              "self::n:description or self::n:styleUrl])") == 0);
    assert_true(number_of(&d, "count(//n:styleUrl/following-sibling::*[self::n:name or "
                              "self::n:description])") == 0);
    assert_true(number_of(&d, "count(//n:LineString)") == 1);
    assert_true(number_of(&d, "count(//n:Placemark[n:Point and "
                              "n:ExtendedData/n:Data/n:value = 'stop'])") == 9);
    release(&d);
    sb_plan_free(plan);
    sb_season_free(season);
}

static char folder[] = "scratch-maps-XXXXXX";

static const char *written(const sb_season *season, const sb_plan *plan, renderer *render,
                           const char *name)
{
    static char path[128];
    sb_text text = {0};
    assert_int_equal(render(season, plan, &text), SB_OK);
    assert_int_equal(sb_write_file(folder, name, text.bytes, text.count, NULL), SB_OK);
    sb_text_release(&text);
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static void expect_same_field(const sb_season *a, const sb_season *b, size_t f)
{
    const sb_field *x = &a->fields[f], *y = &b->fields[f];
    assert_string_equal(x->name, y->name);
    assert_string_equal(a->growers[x->grower], b->growers[y->grower]);
    assert_string_equal(a->setup.crops[x->crop].id, b->setup.crops[y->crop].id);
    assert_int_equal(x->n_parts, y->n_parts);
    /* Outer rings run anti-clockwise, holes clockwise (OGC KML 2.2, OGC 07-147r2; from memory). */
    for (size_t p = 0; p < x->n_parts; p++) {
        assert_int_equal(x->parts[p].n_holes, y->parts[p].n_holes);
        assert_int_equal(sb_ring_winding(&y->parts[p].outer), 1);
        for (size_t h = 0; h < y->parts[p].n_holes; h++)
            assert_int_equal(sb_ring_winding(&y->parts[p].holes[h]), -1);
    }
    assert_true(x->yield_t_ha == y->yield_t_ha);
    assert_true(x->worth == y->worth);
    assert_int_equal(x->ready_day, y->ready_day);
    assert_int_equal(x->latest_day, y->latest_day);
    assert_int_equal(x->best_before_day, y->best_before_day);
    assert_int_equal(x->entry, y->entry);
    assert_int_equal(x->n_after, y->n_after);
    assert_true(x->tank_limit_seeds_kg == y->tank_limit_seeds_kg);
    for (size_t k = 0; k < a->setup.n_weeds; k++) {
        assert_true(x->ratings[k].density_plants_m2 == y->ratings[k].density_plants_m2);
        assert_true(x->limit_seeds_ha[k] == y->limit_seeds_ha[k]);
    }
    /* Rounded to 7 decimals a vertex moves by at most 8 mm, so the area by less than the length of
     * its outlines times that. */
    double area_m2 = 0, outline_m = 0;
    for (size_t p = 0; p < x->n_parts; p++) {
        area_m2 += sb_part_area_m2(&x->parts[p]);
        outline_m += sb_ring_perimeter_m(&x->parts[p].outer);
        for (size_t h = 0; h < x->parts[p].n_holes; h++)
            outline_m += sb_ring_perimeter_m(&x->parts[p].holes[h]);
    }
    assert_true(fabs(y->area_ha * 1e4 - area_m2) < 0.008 * outline_m);
}

static void the_map_reads_back_as_a_field_file(void **state)
{
    (void)state;
    sb_season *season = shaped_season(), *again;
    for (size_t f = 0; f < season->n_fields; f++)
        for (size_t k = 0; k < season->setup.n_weeds; k++) {
            sb_rating *rating = &season->fields[f].ratings[k];
            rating->source = rating->density_plants_m2 > 0 ? SB_RATING_DENSITY : SB_RATING_NONE;
        }
    sb_plan *plan = support_plan(season);
    const char *path = written(season, plan, sb_render_map_kml, "map.kml");
    sb_report *report = sb_report_new();
    sb_status status = sb_season_read(&path, 1, NULL, report, &again);
    for (size_t i = 0; status != SB_OK && i < sb_report_count(report); i++)
        print_error("%zu: %s\n", sb_report_get(report, i).line, sb_report_get(report, i).text);
    assert_int_equal(status, SB_OK);
    assert_int_equal(again->n_fields, season->n_fields);
    assert_int_equal(again->n_yards, season->n_yards);
    for (size_t f = 0; f < season->n_fields; f++)
        expect_same_field(season, again, f);
    sb_report_free(report);
    sb_season_free(again);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void rename_text(char **text, const char *name)
{
    sb_free(*text);
    *text = sb_strdup(name);
    assert_non_null(*text);
}

static void the_map_keeps_rules_about_machines_and_split_fields(void **state)
{
    (void)state;
    sb_season *season = support_season_new(4, 1), *again;
    support_add_shapes(season);
    const char *machine = season->setup.machines[0].id;
    season->fields[0].gate_m = 50;
    season->fields[0].slope_percent = 7.5;
    support_add_only(season, 0, 0);
    support_add_apart(season, 0, 0, 2);
    support_add_apart(season, 0, 1, -1);
    for (int i = 1; i <= 2; i++) {
        sb_field *part = &season->fields[i];
        rename_text(&part->whole, "Twin");
        rename_text(&part->name, i == 1 ? "Twin 1" : "Twin 2");
        part->part = i;
        part->n_split = 2;
        support_add_after(season, 3, i);
    }
    sb_plan *plan = support_plan(season);
    const char *path = written(season, plan, sb_render_map_kml, "map.kml");
    sb_report *report = sb_report_new();
    assert_int_equal(sb_season_read(&path, 1, NULL, report, &again), SB_OK);
    assert_int_equal(again->n_fields, 4);
    const sb_field *field = &again->fields[0];
    assert_true(field->gate_m == 50 && field->slope_percent == 7.5);
    assert_int_equal(field->n_only, 1);
    assert_string_equal(again->setup.machines[field->only[0]].id, machine);
    assert_int_equal(field->n_apart, 2);
    assert_string_equal(again->growers[field->apart[0].grower], "Grower 1");
    assert_int_equal(field->apart[0].cleanout, 2);
    assert_int_equal(field->apart[1].cleanout, -1);
    assert_string_equal(again->fields[1].name, "Twin 1");
    assert_string_equal(again->fields[2].name, "Twin 2");
    /* The outline of a square of 20 ha less a hole of a ninth, in two. */
    assert_true(fabs(again->fields[2].area_ha - 20 * 8. / 9 / 2) < 0.1);
    assert_int_equal(again->fields[3].n_after, 2);
    sb_report_free(report);
    sb_season_free(again);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* How many features GDAL finds in a layer; -1 when it says nothing. */
static int gdal_count(const char *path, const char *layer)
{
    char command[256], line[256];
    int count = -1;
    snprintf(command, sizeof command, "ogrinfo -ro -so '%s' '%s' 2>/dev/null", path, layer);
    FILE *pipe = popen(command, "r");
    assert_non_null(pipe);
    while (fgets(line, sizeof line, pipe) != NULL)
        if (strncmp(line, "Feature Count: ", 15) == 0)
            count = atoi(line + 15);
    pclose(pipe);
    return count;
}

static void gdal_finds_the_same_features(void **state)
{
    (void)state;
    if (system("ogrinfo --version >/dev/null 2>&1") != 0) {
        print_message("skipped: no ogrinfo here (Debian package gdal-bin)\n");
        skip();
    }
    sb_season *season = shaped_season();
    sb_plan *plan = support_plan(season);
    const char *path = written(season, plan, sb_render_route_gpx, "route.gpx");
    assert_int_equal(gdal_count(path, "waypoints"), 10);
    assert_int_equal(gdal_count(path, "routes"), 10);
    assert_int_equal(gdal_count(path, "route_points"), 20);
    path = written(season, plan, sb_render_map_kml, "map.kml");
    /* Nine fields and the yard; the way and nine stops. */
    assert_int_equal(gdal_count(path, "Harvest order"), 10);
    assert_int_equal(gdal_count(path, season->setup.machines[0].name), 10);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void no_memory_is_a_status_at_every_step(void **state)
{
    (void)state;
    static renderer *const renderers[] = {sb_render_route_gpx,  sb_render_map_kml,
                                          sb_render_ledger_csv, sb_render_plan_text,
                                          sb_render_plan_json,  sb_render_season_html};
    sb_season *season = support_season_new(2, 1);
    support_set_density(season, 0, 0, 1);
    support_add_shapes(season);
    sb_plan *plan = support_plan(season);
    long live = sb_mem_live();
    for (size_t i = 0; i < sizeof renderers / sizeof *renderers; i++)
        for (long budget = 0;; budget++) {
            sb_text text = {0};
            sb_mem_set_budget(budget);
            sb_status status = renderers[i](season, plan, &text);
            sb_mem_set_budget(-1);
            sb_text_release(&text);
            assert_int_equal(sb_mem_live(), live);
            if (status == SB_OK)
                break;
            assert_int_equal(status, SB_ERR_NOMEM);
        }
    sb_plan_free(plan);
    sb_season_free(season);
}

/* A square kilometre is as big on the map wherever it lies (Lambert's cylindrical projection). */
static void the_map_keeps_areas(void **state)
{
    (void)state;
    sb_season *season = shaped_season();
    sb_projection projection = sb_projection_fit(season, 1000, 800, 20);
    double smallest = INFINITY, largest = 0;
    for (size_t f = 0; f < season->n_fields; f++) {
        const sb_ring *ring = &season->fields[f].parts[0].outer;
        double twice = 0;
        for (size_t v = 0; v < ring->count; v++) {
            sb_point a = sb_project(&projection, ring->items[v]);
            sb_point b = sb_project(&projection, ring->items[(v + 1) % ring->count]);
            assert_true(a.x >= 0 && a.x <= 1000 && a.y >= 0 && a.y <= projection.height);
            twice += a.x * b.y - b.x * a.y;
        }
        double ratio = fabs(twice) / 2 / sb_ring_area_m2(ring);
        smallest = fmin(smallest, ratio);
        largest = fmax(largest, ratio);
    }
    /* What is left is the ellipsoid's flattening over a few kilometres. */
    assert_true(largest / smallest < 1 + 1e-4);
    sb_season_free(season);
}

static int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) != NULL ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    char command[64];
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    return system(command);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_route_keeps_the_order_of_the_gpx_schema),
        cmocka_unit_test(receivers_get_short_names_and_people_the_full_ones),
        cmocka_unit_test(longitude_180_is_written_as_minus_180),
        cmocka_unit_test(hostile_names_stay_text),
        cmocka_unit_test(the_map_keeps_the_order_of_the_kml_schema),
        cmocka_unit_test(the_map_reads_back_as_a_field_file),
        cmocka_unit_test(the_map_keeps_rules_about_machines_and_split_fields),
        cmocka_unit_test(gdal_finds_the_same_features),
        cmocka_unit_test(no_memory_is_a_status_at_every_step),
        cmocka_unit_test(the_map_keeps_areas),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
