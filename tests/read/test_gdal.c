/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The same files through GDAL (ogrinfo, ogr2ogr): features, names, vertices and areas must agree.
 * Areas are GDAL's too: reprojected by PROJ to an equal-area plane and measured there, which
 * shares nothing with geodesic arithmetic. Skipped, visibly, where GDAL is not installed. */
#define _POSIX_C_SOURCE 200809L
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "drafts.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define SAME_DEG 1e-12
/* Straight lines of the plane are not geodesics: 2e-5 of the area was seen on thin parcels. */
#define SAME_AREA_SHARE 2e-5
#define SAME_AREA_M2 0.001
#define MAX_VERTICES 4096
#define MAX_RINGS 256

/* A feature as ogrinfo prints it. */
typedef struct shape {
    char name[128];
    size_t n_vertices, n_rings, n_polygons;
    double x[MAX_VERTICES], y[MAX_VERTICES];
    size_t ring_start[MAX_RINGS + 1];
    bool ring_is_outer[MAX_RINGS];
} shape;

static bool have_gdal(void)
{
    return system("command -v ogrinfo ogr2ogr >/dev/null 2>&1") == 0;
}

/* Rings of well-known text: every innermost pair of brackets; the first in its bracket is outer. */
static void parse_wkt(const char *c, shape *s)
{
    size_t depth = 0, seen[16] = {0};
    s->n_vertices = s->n_rings = s->n_polygons = 0;
    for (; *c != '\0'; c++) {
        if (*c == ')')
            depth--;
        if (*c != '(')
            continue;
        seen[++depth] = 0;
        if (strchr("-0123456789", c[1]) == NULL)
            continue;
        size_t first = s->n_vertices;
        bool outer = seen[depth - 1]++ == 0;
        do {
            char *end;
            assert_true(s->n_vertices < MAX_VERTICES);
            s->x[s->n_vertices] = strtod(c + 1, &end);
            s->y[s->n_vertices++] = strtod(end, &end);
            c = end + strcspn(end, ",)"); /* an altitude may follow */
        } while (*c == ',');
        depth--;
        if (s->n_vertices - first == 1) { /* a point: no outline */
            s->n_vertices = first;
            seen[depth]--;
            continue;
        }
        assert_true(s->n_rings < MAX_RINGS);
        s->ring_start[s->n_rings] = first;
        s->ring_is_outer[s->n_rings++] = outer;
        s->ring_start[s->n_rings] = s->n_vertices;
        s->n_polygons += outer;
    }
}

/* The next feature with an outline from what `ogrinfo -al -q` prints. */
static bool next_shape(FILE *listing, const char *name_key, shape *s)
{
    char *line = NULL;
    size_t size = 0, n_key = strlen(name_key);
    bool found = false;
    s->name[0] = '\0';
    while (!found && getline(&line, &size, listing) > 0) {
        line[strcspn(line, "\n")] = '\0';
        const char *text = line + strspn(line, " ");
        if (strncmp(text, "OGRFeature(", 11) == 0)
            s->name[0] = '\0';
        else if (strncmp(text, name_key, n_key) == 0)
            snprintf(s->name, sizeof s->name, "%s", text + n_key);
        else if (strncmp(text, "POLYGON", 7) == 0 || strncmp(text, "MULTI", 5) == 0 ||
                 strncmp(text, "GEOMETRYCOLLECTION", 18) == 0) {
            parse_wkt(text, s);
            found = s->n_polygons > 0;
        }
    }
    free(line);
    return found;
}

static FILE *run(const char *command)
{
    FILE *listing = popen(command, "r");
    assert_non_null(listing);
    return listing;
}

static void compare_ring(const sb_ring *ours, const shape *s, size_t r)
{
    size_t first = s->ring_start[r], n = s->ring_start[r + 1] - first;
    size_t last = first + n - 1;
    bool closed = s->x[first] == s->x[last] && s->y[first] == s->y[last];
    assert_int_equal(ours->count, n - closed);
    for (size_t i = 0; i < ours->count; i++) {
        assert_true(fabs(ours->items[i].lon_deg - s->x[first + i]) <= SAME_DEG);
        assert_true(fabs(ours->items[i].lat_deg - s->y[first + i]) <= SAME_DEG);
    }
}

static void compare_vertices(const sb_feature *feature, const shape *s)
{
    assert_int_equal(feature->parts.count, s->n_polygons);
    size_t r = 0;
    for (size_t p = 0; p < feature->parts.count; p++) {
        const sb_part *part = &feature->parts.items[p];
        assert_true(s->ring_is_outer[r]);
        compare_ring(&part->outer, s, r++);
        for (size_t h = 0; h < part->n_holes; h++) {
            assert_false(s->ring_is_outer[r]);
            compare_ring(&part->holes[h], s, r++);
        }
    }
    assert_int_equal(r, s->n_rings);
}

/* Shoelace over the plane's metres, relative to the first vertex to keep the digits. */
static double plane_area_m2(const shape *s)
{
    double area_m2 = 0;
    for (size_t r = 0; r < s->n_rings; r++) {
        size_t first = s->ring_start[r], end = s->ring_start[r + 1];
        double twice = 0;
        for (size_t i = first; i + 1 < end; i++) {
            double ax = s->x[i] - s->x[first], ay = s->y[i] - s->y[first];
            double bx = s->x[i + 1] - s->x[first], by = s->y[i + 1] - s->y[first];
            twice += ax * by - bx * ay;
        }
        area_m2 += (s->ring_is_outer[r] ? 1 : -1) * fabs(twice) / 2;
    }
    return area_m2;
}

static double our_area_m2(const sb_feature *feature)
{
    double area_m2 = 0;
    for (size_t p = 0; p < feature->parts.count; p++)
        area_m2 += sb_part_area_m2(&feature->parts.items[p]);
    return area_m2;
}

static const sb_feature *feature_of(const sb_draft *draft, const shape *s)
{
    const sb_feature *feature = support_feature(draft, s->name);
    if (feature == NULL)
        print_error("GDAL reads '%s', we do not\n", s->name);
    assert_non_null(feature);
    return feature;
}

static size_t count_areas(const sb_draft *draft)
{
    size_t n = 0;
    for (size_t i = 0; i < draft->features.count; i++)
        n += draft->features.items[i].kind == SB_FEATURE_AREA;
    return n;
}

/* Pictures laid over the ground: GDAL makes polygons of their frames. */
static bool is_overlay(const shape *s)
{
    return strcmp(s->name, "Large-scale overlay on terrain") == 0;
}

static void compare_areas(const sb_draft *draft, const char *path)
{
    static shape s;
    char command[4 * SUPPORT_PATH_BYTES];
    size_t first = 0;
    while (draft->features.items[first].kind != SB_FEATURE_AREA)
        first++;
    sb_lonlat centre = draft->features.items[first].parts.items[0].outer.items[0];
    snprintf(command, sizeof command,
             "ogr2ogr -q -f GPKG '%s/plane.gpkg' '%s' -overwrite -t_srs '+proj=laea +lat_0=%.9f "
             "+lon_0=%.9f +datum=WGS84' 2>/dev/null && ogrinfo -ro -al -q '%s/plane.gpkg'",
             support_folder(), path, centre.lat_deg, centre.lon_deg, support_folder());
    FILE *listing = run(command);
    size_t n = 0;
    while (next_shape(listing, "Name (String) = ", &s)) {
        if (is_overlay(&s))
            continue;
        double gdal_m2 = plane_area_m2(&s), ours_m2 = our_area_m2(feature_of(draft, &s));
        if (fabs(gdal_m2 - ours_m2) > fmax(SAME_AREA_SHARE * gdal_m2, SAME_AREA_M2))
            print_error("%s: GDAL %.4f m2, we %.4f m2\n", s.name, gdal_m2, ours_m2);
        assert_true(fabs(gdal_m2 - ours_m2) <= fmax(SAME_AREA_SHARE * gdal_m2, SAME_AREA_M2));
        n++;
    }
    pclose(listing);
    snprintf(command, sizeof command, "%s/plane.gpkg", support_folder());
    unlink(command);
    assert_int_equal(n, count_areas(draft));
}

static void compare_kml(const char *path)
{
    static shape s;
    char command[2 * SUPPORT_PATH_BYTES];
    const char *paths[] = {path};
    support_reading reading = support_read(paths, 1, NULL);
    assert_int_equal(reading.status, SB_OK);
    snprintf(command, sizeof command, "ogrinfo -ro -al -q '%s' 2>/dev/null", path);
    FILE *listing = run(command);
    size_t n = 0;
    while (next_shape(listing, "Name (String) = ", &s)) {
        if (is_overlay(&s))
            continue;
        compare_vertices(feature_of(&reading.draft, &s), &s);
        n++;
    }
    pclose(listing);
    assert_int_equal(n, count_areas(&reading.draft));
    compare_areas(&reading.draft, path);
    support_reading_release(&reading);
}

static void our_kml_reads_as_gdal_reads_it(void **state)
{
    (void)state;
    static const char *const files[] = {
        "demo/fields.kml",
        "tests/read/quirks/bom.kml",
        "tests/read/quirks/cw.kml",
        "tests/read/quirks/exp.kml",
        "tests/read/quirks/inner_first.kml",
        "tests/read/quirks/latin1_declared.kml",
        "tests/read/quirks/multi_nested.kml",
        "tests/read/quirks/no_space_newlines.kml",
        "tests/read/quirks/ns21.kml",
        "tests/read/quirks/ns22g.kml",
        "tests/read/quirks/antimeridian.kml",
    };
    if (!have_gdal())
        skip();
    for (size_t i = 0; i < COUNT(files); i++) {
        char path[SUPPORT_PATH_BYTES];
        print_message("%s\n", files[i]);
        compare_kml(support_source(files[i], path));
    }
}

static void open_kml_reads_as_gdal_reads_it(void **state)
{
    (void)state;
    static const char *const files[] = {"fields/nl_brp2023_fields.kml", "fields/kmlsamples.kml"};
    for (size_t i = 0; i < COUNT(files); i++) {
        char path[SUPPORT_PATH_BYTES];
        if (!have_gdal() || !support_reference(files[i], path))
            skip();
        print_message("%s\n", files[i]);
        compare_kml(path);
    }
}

/* Waypoints by place and name, a track by its vertices. */
static void gpx_reads_as_gdal_reads_it(void **state)
{
    (void)state;
    static const char text[] =
        "<gpx version='1.1' creator='t' xmlns='http://www.topografix.com/GPX/1/1'>"
        "<wpt lat='47.0010' lon='-99.9780'><name>SP01</name></wpt>"
        "<trk><name>walk</name><trkseg><trkpt lat='47.02' lon='-100'/><trkpt lat='47.02' "
        "lon='-99.993'/></trkseg><trkseg><trkpt lat='47.025' lon='-99.993'/><trkpt lat='47.025' "
        "lon='-100'/><trkpt lat='47.02' lon='-100'/></trkseg></trk></gpx>";
    static shape s;
    char path[SUPPORT_PATH_BYTES], command[2 * SUPPORT_PATH_BYTES];
    if (!have_gdal())
        skip();
    const char *paths[] = {support_file("walk.gpx", text, sizeof text - 1, path)};
    support_reading reading = support_read(paths, 1, NULL);
    assert_string_equal(reading.messages, "");
    snprintf(command, sizeof command, "ogrinfo -ro -q '%s' tracks", path);
    FILE *listing = run(command);
    assert_true(next_shape(listing, "name (String) = ", &s));
    pclose(listing);
    /* GDAL keeps the segments apart; joined they are our ring. */
    const sb_ring *ring = &support_feature(&reading.draft, s.name)->parts.items[0].outer;
    assert_int_equal(ring->count, s.n_vertices - 1);
    for (size_t i = 0; i < ring->count; i++)
        assert_true(ring->items[i].lon_deg == s.x[i] && ring->items[i].lat_deg == s.y[i]);
    snprintf(command, sizeof command, "ogrinfo -ro -q '%s' waypoints | grep POINT", path);
    listing = run(command);
    sb_lonlat place;
    assert_int_equal(fscanf(listing, " POINT (%lf %lf)", &place.lon_deg, &place.lat_deg), 2);
    pclose(listing);
    const sb_feature *point = support_feature(&reading.draft, "SP01");
    assert_true(point->place.lon_deg == place.lon_deg && point->place.lat_deg == place.lat_deg);
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
        cmocka_unit_test(our_kml_reads_as_gdal_reads_it),
        cmocka_unit_test(open_kml_reads_as_gdal_reads_it),
        cmocka_unit_test(gpx_reads_as_gdal_reads_it),
    };
    return cmocka_run_group_tests(tests, NULL, tidy);
}
