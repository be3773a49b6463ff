/* SPDX-License-Identifier: GPL-3.0-or-later */
/* ISO 11783-10 TASKDATA.XML, versions 2 to 4: the partfields (PFD) with their boundaries.
 * Attributes have one-letter names; what they mean stands beside each use. */
#define _POSIX_C_SOURCE 200809L
#include <errno.h>
#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "read/coordinates.h"
#include "read/outline.h"

#define M2_PER_HA 1e4

typedef enum node {
    NODE_NONE,
    NODE_ROOT,
    NODE_PARTFIELD,
    NODE_POLYGON, /* a boundary: PLN with A="1" */
    NODE_EXTERIOR,
    NODE_INTERIOR,
} node;

/* Something that partfields refer to by id: customer, farm, crop type. */
typedef struct named {
    char *id, *name;
} named;

/* A partfield and the ids it refers to, kept until everything is read. */
typedef struct partfield {
    sb_feature feature;
    char *customer, *farm, *crop_type;
    struct {
        sb_ring *items;
        size_t count, capacity;
    } holes;
} partfield;

typedef struct taskdata {
    sb_reading reading;
    node nodes[SB_XML_MAX_DEPTH + 1];
    struct {
        named *items;
        size_t count, capacity;
    } names;
    struct {
        partfield *items;
        size_t count, capacity;
    } partfields;
    struct {
        char **items;
        size_t count, capacity;
    } externals;           /* "PFD00001" */
    const char *root_file; /* messages of an external file name that one */
    sb_ring listed;
    size_t ring_line;
} taskdata;

static const char *attribute(const sb_xml_element *element, const char *name)
{
    const char *value = sb_xml_attribute_value(element, name);
    return value != NULL ? value + strspn(value, " \t\r\n") : "";
}

static sb_status keep(char **slot, const char *value)
{
    *slot = sb_strdup(value);
    return *slot != NULL ? SB_OK : SB_ERR_NOMEM;
}

/* The designator stands in C; in the wild it stands in B, and C holds a number or nothing. */
static const char *partfield_name(const sb_xml_element *element)
{
    const char *designator = attribute(element, "C"), *code = attribute(element, "B");
    double number;
    bool usable = *designator != '\0' && !sb_parse_double(designator, &number);
    return usable || *code == '\0' ? designator : code;
}

static sb_status begin_partfield(taskdata *t, const sb_xml_element *element)
{
    partfield fresh = {
        .feature = {.kind = SB_FEATURE_AREA, .file = t->reading.file, .line = element->line}};
    if (!SB_PUSH(&t->partfields, fresh))
        return SB_ERR_NOMEM;
    partfield *p = &t->partfields.items[t->partfields.count - 1];
    const char *name = partfield_name(element);
    if (*name != '\0' && keep(&p->feature.name, name) != SB_OK)
        return SB_ERR_NOMEM;
    if (keep(&p->customer, attribute(element, "E")) != SB_OK ||
        keep(&p->farm, attribute(element, "F")) != SB_OK ||
        keep(&p->crop_type, attribute(element, "G")) != SB_OK)
        return SB_ERR_NOMEM;
    double area_m2;
    if (!sb_parse_double(attribute(element, "D"), &area_m2) || area_m2 <= 0)
        return SB_OK; /* often 0 when nobody measured */
    sb_text area_ha = {0};
    sb_text_addf(&area_ha, "%.6g", area_m2 / M2_PER_HA);
    sb_status status = area_ha.failed ? SB_ERR_NOMEM
                                      : sb_feature_add_attribute(&p->feature, "area_ha",
                                                                 area_ha.bytes, element->line);
    sb_text_release(&area_ha);
    return status;
}

static sb_status add_named(taskdata *t, const sb_xml_element *element)
{
    named fresh = {sb_strdup(attribute(element, "A")), sb_strdup(attribute(element, "B"))};
    if (fresh.id != NULL && fresh.name != NULL && SB_PUSH(&t->names, fresh))
        return SB_OK;
    sb_free(fresh.id);
    sb_free(fresh.name);
    return SB_ERR_NOMEM;
}

/* Only names that the standard can form: three letters, five digits, no folders. */
static sb_status add_external(taskdata *t, const sb_xml_element *element)
{
    const char *name = attribute(element, "A");
    bool good = strlen(name) == 8 && strspn(name, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == 3 &&
                strspn(name + 3, "0123456789") == 5;
    char excerpt[SB_EXCERPT_BYTES];
    if (!good)
        return sb_bad(t->reading.report, t->reading.file, element->line,
                      "external file '%s', expected a name like PFD00001",
                      sb_excerpt(name, excerpt));
    char *copy = sb_strdup(name);
    if (copy != NULL && SB_PUSH(&t->externals, copy))
        return SB_OK;
    sb_free(copy);
    return SB_ERR_NOMEM;
}

static sb_status add_point(taskdata *t, const sb_xml_element *element)
{
    const sb_reading *r = &t->reading;
    char excerpt[SB_EXCERPT_BYTES];
    sb_lonlat place;
    const char *lat = attribute(element, "C"), *lon = attribute(element, "D");
    if (!sb_parse_double(lat, &place.lat_deg) || !sb_parse_double(lon, &place.lon_deg))
        return sb_bad(r->report, r->file, element->line,
                      "point with C='%s', expected decimal degrees in C and D",
                      sb_excerpt(lat, excerpt));
    sb_status status = sb_place_check(r, place, element->line);
    if (status == SB_OK && !SB_PUSH(&t->listed, place))
        status = SB_ERR_NOMEM;
    return status;
}

static sb_status enter(taskdata *t, const sb_xml_element *element, node opened,
                       sb_xml_interest *interest)
{
    t->nodes[element->depth] = opened;
    *interest = SB_XML_ENTER;
    t->listed.count = 0;
    t->ring_line = element->line;
    return opened == NODE_PARTFIELD ? begin_partfield(t, element) : SB_OK;
}

static sb_status start_in_root(taskdata *t, const sb_xml_element *element,
                               sb_xml_interest *interest)
{
    const char *name = element->name;
    if (strcmp(name, "PFD") == 0)
        return enter(t, element, NODE_PARTFIELD, interest);
    if (strcmp(name, "CTR") == 0 || strcmp(name, "FRM") == 0 || strcmp(name, "CTP") == 0)
        return add_named(t, element);
    bool in_external = t->root_file != NULL;
    return strcmp(name, "XFR") == 0 && !in_external ? add_external(t, element) : SB_OK;
}

static sb_status start_root(taskdata *t, const sb_xml_element *element, sb_xml_interest *interest)
{
    char excerpt[SB_EXCERPT_BYTES];
    if (t->root_file != NULL && strcmp(element->name, "XFC") != 0)
        return sb_bad(t->reading.report, t->reading.file, element->line,
                      "root element '%s', expected 'XFC' in an external file",
                      sb_excerpt(element->name, excerpt));
    return enter(t, element, NODE_ROOT, interest);
}

static sb_status start(void *context, const sb_xml_element *element, sb_xml_interest *interest)
{
    taskdata *t = context;
    const char *name = element->name, *type = attribute(element, "A");
    switch (element->depth == 1 ? NODE_NONE : t->nodes[element->depth - 1]) {
    case NODE_NONE:
        return start_root(t, element, interest);
    case NODE_ROOT:
        return start_in_root(t, element, interest);
    case NODE_PARTFIELD: /* PLN A: 1 is the boundary */
        return strcmp(name, "PLN") == 0 && strcmp(type, "1") == 0
                   ? enter(t, element, NODE_POLYGON, interest)
                   : SB_OK;
    case NODE_POLYGON: /* LSG A: 1 exterior, 2 interior */
        if (strcmp(name, "LSG") != 0 || (strcmp(type, "1") != 0 && strcmp(type, "2") != 0))
            return SB_OK;
        return enter(t, element, *type == '1' ? NODE_EXTERIOR : NODE_INTERIOR, interest);
    case NODE_EXTERIOR:
    case NODE_INTERIOR: /* types of ring points vary from maker to maker */
        return strcmp(name, "PNT") == 0 ? add_point(t, element) : SB_OK;
    }
    return SB_OK;
}

static sb_status end_exterior(taskdata *t, partfield *p)
{
    sb_part part = {0};
    sb_status status = sb_outline_finish(&t->reading, &t->listed, false, t->ring_line, &part.outer);
    if (status == SB_OK && !SB_PUSH(&p->feature.parts, part)) {
        sb_part_release(&part);
        status = SB_ERR_NOMEM;
    }
    return status;
}

static sb_status end_interior(taskdata *t, partfield *p)
{
    sb_ring ring = {0};
    sb_status status = sb_outline_finish(&t->reading, &t->listed, false, t->ring_line, &ring);
    if (status == SB_OK && !SB_PUSH(&p->holes, ring)) {
        sb_free(ring.items);
        status = SB_ERR_NOMEM;
    }
    return status;
}

/* Version 3 puts several exteriors into one polygon: a hole belongs to the one around it. */
static sb_part *part_around(const partfield *p, const sb_ring *hole)
{
    for (size_t v = 0; v < hole->count; v++)
        for (size_t i = 0; i < p->feature.parts.count; i++)
            if (sb_part_contains(&p->feature.parts.items[i], hole->items[v]))
                return &p->feature.parts.items[i];
    return NULL;
}

static sb_status end_partfield(taskdata *t)
{
    partfield *p = &t->partfields.items[t->partfields.count - 1];
    for (size_t i = 0; i < p->holes.count; i++) {
        sb_ring *hole = &p->holes.items[i];
        sb_part *part = part_around(p, hole);
        if (part == NULL)
            return sb_bad(t->reading.report, t->reading.file, hole->line,
                          "interior at %.7f,%.7f lies in no exterior, expected one around it",
                          hole->items[0].lon_deg, hole->items[0].lat_deg);
        sb_ring *added = sb_part_add_hole(part);
        if (added == NULL)
            return SB_ERR_NOMEM;
        *added = *hole;
        *hole = (sb_ring){0}; /* handed over */
    }
    return SB_OK;
}

static sb_status end(void *context, size_t depth, char *text, size_t length, size_t line)
{
    (void)text, (void)length, (void)line;
    taskdata *t = context;
    partfield *p = t->partfields.count > 0 ? &t->partfields.items[t->partfields.count - 1] : NULL;
    switch (t->nodes[depth]) {
    case NODE_EXTERIOR:
        return end_exterior(t, p);
    case NODE_INTERIOR:
        return end_interior(t, p);
    case NODE_PARTFIELD:
        return end_partfield(t);
    default:
        return SB_OK;
    }
}

static sb_status read_external(taskdata *t, const char *name)
{
    static const sb_xml_handler handler = {start, end};
    sb_reading *r = &t->reading;
    char file_name[16] = {0};
    memcpy(file_name, name, 8);
    memcpy(file_name + 8, ".XML", 4);
    const char *slash = strrchr(r->file, '/');
    sb_text joined = {0};
    sb_text_add(&joined, r->file, slash != NULL ? (size_t)(slash - r->file) + 1 : 0);
    sb_text_addf(&joined, "%s", file_name);
    const char *path = joined.failed ? NULL : sb_draft_file(r->draft, joined.bytes);
    sb_text_release(&joined);
    if (path == NULL)
        return SB_ERR_NOMEM;
    sb_source source = {0};
    if (!r->beside->open(r->beside, file_name, path, &source) && errno == ENOMEM)
        return SB_ERR_NOMEM;
    if (source.stream == NULL)
        return sb_bad(r->report, r->file, 0,
                      "external file %s is not there, expected it beside TASKDATA.XML", file_name);
    t->root_file = r->file;
    r->file = path;
    sb_xml_repair repair = SB_XML_AS_IS;
    sb_status status = sb_xml_read(&source, &repair, &handler, t, r->report);
    r->file = t->root_file;
    t->root_file = NULL;
    source.close(&source);
    return status;
}

static const char *name_of(const taskdata *t, const char *id)
{
    for (size_t i = 0; *id != '\0' && i < t->names.count; i++)
        if (strcmp(t->names.items[i].id, id) == 0 && t->names.items[i].name[0] != '\0')
            return t->names.items[i].name;
    return NULL;
}

/* Terminals name crops in words; only a word that is one of our ids says anything. */
static sb_status add_crop(taskdata *t, partfield *p)
{
    const sb_setup *setup = &t->reading.draft->setup;
    const char *word = name_of(t, p->crop_type);
    for (size_t i = 0; word != NULL && i < setup->n_crops; i++)
        if (strcasecmp(setup->crops[i].id, word) == 0 ||
            strcasecmp(setup->crops[i].name, word) == 0)
            return sb_feature_add_attribute(&p->feature, "crop", setup->crops[i].id,
                                            p->feature.line);
    return SB_OK;
}

static sb_status add_partfield(taskdata *t, partfield *p)
{
    const sb_reading *r = &t->reading;
    char excerpt[SB_EXCERPT_BYTES];
    sb_feature *feature = &p->feature;
    if (feature->parts.count == 0) {
        sb_say(r->report, SB_WARNING, feature->file, feature->line,
               "partfield '%s' has no boundary: passed by",
               sb_excerpt(feature->name != NULL ? feature->name : "", excerpt));
        return SB_OK;
    }
    const char *customer = name_of(t, p->customer), *farm = name_of(t, p->farm);
    sb_status status = SB_OK;
    if (customer != NULL)
        status = sb_feature_add_attribute(feature, "grower", customer, feature->line);
    if (status == SB_OK && farm != NULL)
        status = keep(&feature->folder, farm);
    if (status == SB_OK)
        status = add_crop(t, p);
    return status == SB_OK ? sb_draft_add_feature(r->draft, feature) : status;
}

static sb_status finish(void *state)
{
    taskdata *t = state;
    sb_status status = SB_OK;
    for (size_t i = 0; status == SB_OK && i < t->externals.count; i++)
        status = read_external(t, t->externals.items[i]);
    for (size_t i = 0; status == SB_OK && i < t->partfields.count; i++)
        status = add_partfield(t, &t->partfields.items[i]);
    return status;
}

static void release(void *state)
{
    taskdata *t = state;
    for (size_t i = 0; i < t->names.count; i++) {
        sb_free(t->names.items[i].id);
        sb_free(t->names.items[i].name);
    }
    sb_free(t->names.items);
    for (size_t i = 0; i < t->partfields.count; i++) {
        partfield *p = &t->partfields.items[i];
        sb_feature_release(&p->feature);
        sb_free(p->customer);
        sb_free(p->farm);
        sb_free(p->crop_type);
        for (size_t h = 0; h < p->holes.count; h++)
            sb_free(p->holes.items[h].items);
        sb_free(p->holes.items);
    }
    sb_free(t->partfields.items);
    for (size_t i = 0; i < t->externals.count; i++)
        sb_free(t->externals.items[i]);
    sb_free(t->externals.items);
    sb_free(t->listed.items);
}

static const char *const namespaces[] = {"", NULL};

static const char *const roots[] = {"ISO11783_TaskData", NULL};

const sb_format sb_format_taskdata = {
    roots, namespaces, sizeof(taskdata), {start, end}, finish, release, NULL, NULL,
};
