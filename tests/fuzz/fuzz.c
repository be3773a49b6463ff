/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700
#include "fuzz.h"

#include <libxml/parser.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/report.h"
#include "read/document.h"

/* Rings longer than this are no fields; beyond it rounding and opposite meridians blur areas. */
#define FIELD_PERIMETER_M 1e6
#define SAME_AREA_SHARE 1e-9
#define SAME_AREA_M2 1e-3
#define SLIVER_WIDTH_M 0.1 /* area by perimeter */

void fuzz_broken(const char *property, const char *file, int line)
{
    fprintf(stderr, "%s:%d: broken: %s\n", file, line, property);
    abort();
}

/* ---- A document from memory ---- */

typedef struct memory {
    const char *bytes;
    size_t n, at;
} memory;

static long memory_read(sb_source *source, char *bytes, size_t n)
{
    memory *m = source->stream;
    size_t left = m->n - m->at, taken = left < n ? left : n;
    if (taken > 0)
        memcpy(bytes, m->bytes + m->at, taken);
    m->at += taken;
    return (long)taken;
}

static bool memory_rewind(sb_source *source)
{
    ((memory *)source->stream)->at = 0;
    return true;
}

static void memory_close(sb_source *source)
{
    (void)source;
}

static bool nothing_beside(sb_container *container, const char *name, const char *path,
                           sb_source *source)
{
    (void)container, (void)name, (void)path, (void)source;
    return false;
}

fuzz_reading fuzz_read(const char *bytes, size_t n)
{
    fuzz_reading reading = {.report = sb_report_new()};
    memory m = {bytes, n, 0};
    xmlInitParser();
    HOLDS(reading.report != NULL && sb_draft_init(&reading.draft) == SB_OK);
    sb_source source = {
        sb_draft_file(&reading.draft, "fuzz"), &m, memory_read, memory_rewind, memory_close, NULL};
    sb_container beside = {NULL, source.name, nothing_beside};
    reading.status = sb_document_read(&reading.draft, &source, &beside, reading.report);
    return reading;
}

void fuzz_release(fuzz_reading *reading)
{
    sb_report_free(reading->report);
    sb_draft_release(&reading->draft);
}

/* ---- Writing ---- */

static void add_escaped(sb_text *kml, const char *text)
{
    for (; *text != '\0'; text++) {
        unsigned char c = (unsigned char)*text;
        if (c == '&' || c == '<' || c == '>' || c == '"' || c < ' ')
            sb_text_addf(kml, "&#%d;", c);
        else
            sb_text_add(kml, text, 1);
    }
}

static void add_ring(sb_text *kml, const sb_ring *ring, const char *boundary)
{
    sb_text_addf(kml, "<%s><LinearRing><coordinates>", boundary);
    for (size_t i = 0; i <= ring->count; i++)
        sb_text_addf(kml, "%.17g,%.17g ", ring->items[i % ring->count].lon_deg,
                     ring->items[i % ring->count].lat_deg);
    sb_text_addf(kml, "</coordinates></LinearRing></%s>", boundary);
}

static void add_feature(sb_text *kml, const sb_feature *feature)
{
    sb_text_addf(kml, "<Placemark><name>");
    add_escaped(kml, feature->name != NULL ? feature->name : "");
    sb_text_addf(kml, "</name><ExtendedData>");
    for (size_t i = 0; i < feature->attributes.count; i++) {
        sb_text_addf(kml, "<Data name=\"");
        add_escaped(kml, feature->attributes.items[i].key);
        sb_text_addf(kml, "\"><value>");
        add_escaped(kml, feature->attributes.items[i].value);
        sb_text_addf(kml, "</value></Data>");
    }
    sb_text_addf(kml, "</ExtendedData><MultiGeometry>");
    for (size_t p = 0; p < feature->parts.count; p++) {
        const sb_part *part = &feature->parts.items[p];
        sb_text_addf(kml, "<Polygon>");
        add_ring(kml, &part->outer, "outerBoundaryIs");
        for (size_t h = 0; h < part->n_holes; h++)
            add_ring(kml, &part->holes[h], "innerBoundaryIs");
        sb_text_addf(kml, "</Polygon>");
    }
    if (feature->kind == SB_FEATURE_POINT)
        sb_text_addf(kml, "<Point><coordinates>%.17g,%.17g</coordinates></Point>",
                     feature->place.lon_deg, feature->place.lat_deg);
    sb_text_addf(kml, "</MultiGeometry></Placemark>\n");
}

void fuzz_write_kml(const sb_draft *draft, sb_text *kml)
{
    sb_text_addf(kml, "<kml><Document>\n");
    for (size_t i = 0; i < draft->features.count; i++)
        add_feature(kml, &draft->features.items[i]);
    sb_text_addf(kml, "</Document></kml>\n");
    HOLDS(!kml->failed);
}

/* ---- Properties ---- */

static bool on_globe(sb_lonlat place)
{
    return fabs(place.lon_deg) <= 180 && fabs(place.lat_deg) <= 90;
}

static void check_ring(const sb_ring *ring)
{
    HOLDS(ring->count >= 3);
    for (size_t i = 0; i < ring->count; i++)
        HOLDS(on_globe(ring->items[i]));
    double area_m2 = sb_ring_area_m2(ring);
    HOLDS(area_m2 >= 0 && isfinite(area_m2));
    if (sb_ring_perimeter_m(ring) > FIELD_PERIMETER_M)
        return;
    sb_ring turned = {.items = sb_alloc(ring->count, sizeof *turned.items), .count = ring->count};
    HOLDS(turned.items != NULL);
    size_t start = ring->count / 2;
    for (size_t i = 0; i < ring->count; i++)
        turned.items[i] = ring->items[(start + ring->count - i) % ring->count];
    HOLDS(fabs(sb_ring_area_m2(&turned) - area_m2) <=
          fmax(SAME_AREA_M2, SAME_AREA_SHARE * area_m2));
    sb_free(turned.items);
}

/* Inside one of the parts; a sliver may leave no room for a place that rounding keeps inside. */
static void check_place(const sb_feature *feature, sb_lonlat place)
{
    bool inside = false;
    for (size_t p = 0; p < feature->parts.count; p++) {
        const sb_part *part = &feature->parts.items[p];
        double perimeter_m = sb_ring_perimeter_m(&part->outer);
        if (perimeter_m > FIELD_PERIMETER_M || sb_part_area_m2(part) < SLIVER_WIDTH_M * perimeter_m)
            return;
        inside = inside || sb_part_contains(part, place);
    }
    HOLDS(inside);
}

static void check_outline(const sb_feature *feature)
{
    for (size_t p = 0; p < feature->parts.count; p++) {
        check_ring(&feature->parts.items[p].outer);
        for (size_t h = 0; h < feature->parts.items[p].n_holes; h++)
            check_ring(&feature->parts.items[p].holes[h]);
    }
    sb_flaw flaw;
    sb_lonlat place;
    HOLDS(sb_parts_flaw(feature->parts.items, feature->parts.count, &flaw) == SB_OK);
    HOLDS(sb_parts_place(feature->parts.items, feature->parts.count, &place) == SB_OK);
    HOLDS(on_globe(place));
    if (!flaw.found && feature->parts.count > 0)
        check_place(feature, place);
}

static bool has_error(const sb_report *report)
{
    for (size_t i = 0; i < sb_report_count(report); i++)
        if (sb_report_get(report, i).severity == SB_ERROR)
            return true;
    return false;
}

void fuzz_check_reading(const fuzz_reading *reading)
{
    HOLDS(reading->status == SB_OK || reading->status == SB_ERR_INPUT);
    HOLDS((reading->status == SB_OK) != has_error(reading->report));
    HOLDS(reading->status == SB_OK || reading->draft.features.count == 0);
    for (size_t i = 0; i < reading->draft.features.count; i++) {
        const sb_feature *feature = &reading->draft.features.items[i];
        if (feature->kind == SB_FEATURE_AREA)
            check_outline(feature);
        else if (feature->kind == SB_FEATURE_POINT)
            HOLDS(on_globe(feature->place));
    }
}

static void check_same_ring(const sb_ring *a, const sb_ring *b)
{
    HOLDS(a->count == b->count);
    for (size_t i = 0; i < a->count; i++)
        HOLDS(a->items[i].lon_deg == b->items[i].lon_deg &&
              a->items[i].lat_deg == b->items[i].lat_deg);
}

static void check_same_feature(const sb_feature *a, const sb_feature *b)
{
    HOLDS(a->kind == b->kind);
    HOLDS(strcmp(a->name != NULL ? a->name : "", b->name != NULL ? b->name : "") == 0);
    HOLDS(a->attributes.count == b->attributes.count);
    for (size_t i = 0; i < a->attributes.count; i++) {
        HOLDS(strcmp(a->attributes.items[i].key, b->attributes.items[i].key) == 0);
        HOLDS(strcmp(a->attributes.items[i].value, b->attributes.items[i].value) == 0);
    }
    HOLDS(a->parts.count == b->parts.count);
    for (size_t p = 0; p < a->parts.count; p++) {
        const sb_part *part_a = &a->parts.items[p], *part_b = &b->parts.items[p];
        check_same_ring(&part_a->outer, &part_b->outer);
        HOLDS(part_a->n_holes == part_b->n_holes);
        for (size_t h = 0; h < part_a->n_holes; h++)
            check_same_ring(&part_a->holes[h], &part_b->holes[h]);
    }
    if (a->kind == SB_FEATURE_POINT)
        HOLDS(a->place.lon_deg == b->place.lon_deg && a->place.lat_deg == b->place.lat_deg);
}

void fuzz_check_round_trip(const sb_draft *draft)
{
    sb_text kml = {0};
    fuzz_write_kml(draft, &kml);
    fuzz_reading again = fuzz_read(kml.bytes, kml.count);
    HOLDS(again.status == SB_OK);
    HOLDS(again.draft.features.count == draft->features.count);
    for (size_t i = 0; i < draft->features.count; i++)
        check_same_feature(&draft->features.items[i], &again.draft.features.items[i]);
    fuzz_release(&again);
    sb_text_release(&kml);
}

const char *fuzz_file(const void *bytes, size_t n)
{
    static char path[64];
    if (path[0] == '\0')
        snprintf(path, sizeof path, P_tmpdir "/seedbreak-fuzz-%ld", (long)getpid());
    FILE *file = fopen(path, "wb");
    HOLDS(file != NULL);
    HOLDS(fwrite(bytes, 1, n, file) == n);
    HOLDS(fclose(file) == 0);
    return path;
}
