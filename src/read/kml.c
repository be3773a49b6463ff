/* SPDX-License-Identifier: GPL-3.0-or-later */
/* KML 2.0 to 2.3 (OGC 07-134r2, 12-007r2): one Placemark is one field, yard or scouting point. */
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "read/coordinates.h"
#include "read/outline.h"

/* What an open element is to us. */
typedef enum node {
    NODE_NONE,
    NODE_CONTAINER, /* kml, Document, Folder */
    NODE_FOLDER,
    NODE_FOLDER_NAME,
    NODE_PLACEMARK,
    NODE_NAME,
    NODE_EXTENDED,
    NODE_DATA,
    NODE_VALUE,
    NODE_SCHEMA,
    NODE_SIMPLE,
    NODE_MULTI,
    NODE_POLYGON,
    NODE_OUTER,
    NODE_INNER,
    NODE_RING,
    NODE_POINT,
    NODE_COORDINATES,
} node;

/* Which child of which element is entered or read; everything else is passed by. */
static const struct rule {
    node parent;
    const char *name;
    node child;
    sb_xml_interest interest;
} rules[] = {
    {NODE_NONE, "kml", NODE_CONTAINER, SB_XML_ENTER},
    {NODE_NONE, "Document", NODE_CONTAINER, SB_XML_ENTER}, /* a fragment, without kml round it */
    {NODE_NONE, "Folder", NODE_FOLDER, SB_XML_ENTER},
    {NODE_NONE, "Placemark", NODE_PLACEMARK, SB_XML_ENTER},
    {NODE_CONTAINER, "Document", NODE_CONTAINER, SB_XML_ENTER},
    {NODE_CONTAINER, "Folder", NODE_FOLDER, SB_XML_ENTER},
    {NODE_CONTAINER, "Placemark", NODE_PLACEMARK, SB_XML_ENTER},
    {NODE_FOLDER, "Document", NODE_CONTAINER, SB_XML_ENTER},
    {NODE_FOLDER, "Folder", NODE_FOLDER, SB_XML_ENTER},
    {NODE_FOLDER, "Placemark", NODE_PLACEMARK, SB_XML_ENTER},
    {NODE_FOLDER, "name", NODE_FOLDER_NAME, SB_XML_TEXT},
    {NODE_PLACEMARK, "name", NODE_NAME, SB_XML_TEXT},
    {NODE_PLACEMARK, "ExtendedData", NODE_EXTENDED, SB_XML_ENTER},
    {NODE_PLACEMARK, "MultiGeometry", NODE_MULTI, SB_XML_ENTER},
    {NODE_PLACEMARK, "MultiPolygon", NODE_MULTI, SB_XML_ENTER},
    {NODE_PLACEMARK, "Polygon", NODE_POLYGON, SB_XML_ENTER},
    {NODE_PLACEMARK, "Point", NODE_POINT, SB_XML_ENTER},
    {NODE_MULTI, "MultiGeometry", NODE_MULTI, SB_XML_ENTER},
    {NODE_MULTI, "MultiPolygon", NODE_MULTI, SB_XML_ENTER},
    {NODE_MULTI, "Polygon", NODE_POLYGON, SB_XML_ENTER},
    {NODE_MULTI, "Point", NODE_POINT, SB_XML_ENTER},
    {NODE_EXTENDED, "Data", NODE_DATA, SB_XML_ENTER},
    {NODE_EXTENDED, "SchemaData", NODE_SCHEMA, SB_XML_ENTER},
    {NODE_DATA, "value", NODE_VALUE, SB_XML_TEXT},
    {NODE_SCHEMA, "SimpleData", NODE_SIMPLE, SB_XML_TEXT},
    {NODE_POLYGON, "outerBoundaryIs", NODE_OUTER, SB_XML_ENTER},
    {NODE_POLYGON, "innerBoundaryIs", NODE_INNER, SB_XML_ENTER},
    {NODE_OUTER, "LinearRing", NODE_RING, SB_XML_ENTER},
    {NODE_INNER, "LinearRing", NODE_RING, SB_XML_ENTER},
    {NODE_RING, "coordinates", NODE_COORDINATES, SB_XML_TEXT},
    {NODE_POINT, "coordinates", NODE_COORDINATES, SB_XML_TEXT},
};

/* Things that a map may hold and a season cannot use: counted, and told once each. */
static const struct ignored {
    const char *name, *why;
} ignored[] = {
    {"NetworkLink", "nothing is fetched"},
    {"GroundOverlay", "a picture is no field"},
    {"ScreenOverlay", "a picture is no field"},
    {"PhotoOverlay", "a picture is no field"},
    {"Tour", "a tour is no field"},
    {"Model", "a model is no outline"},
    {"Track", "a track in KML is no outline"},
    {"MultiTrack", "a track in KML is no outline"},
    {"LineString", "a line is no outline; draw a polygon"},
    {"LinearRing", "a bare ring is no outline; draw a polygon"},
};
#define N_IGNORED (sizeof ignored / sizeof *ignored)

typedef struct kml {
    sb_reading reading;
    char *ns; /* of the root, for files that invent one */
    node nodes[SB_XML_MAX_DEPTH + 1];
    size_t folder_ends[SB_XML_MAX_DEPTH + 1]; /* length of the path inside the element */
    sb_text path;                             /* "North/Home" */
    sb_feature feature;                       /* the open Placemark */
    bool has_point, has_other_geometry;
    sb_part part; /* the open Polygon */
    size_t polygon_line, rings_in_boundary;
    char *key; /* of the open Data or SimpleData; NULL: it has no name */
    sb_ring listed;
    size_t counts[N_IGNORED], first_lines[N_IGNORED];
} kml;

static const char *const namespaces[] = {"http://www.opengis.net/kml/2.2",
                                         "http://www.opengis.net/kml/2.3",
                                         "http://earth.google.com/kml/2.0",
                                         "http://earth.google.com/kml/2.1",
                                         "http://earth.google.com/kml/2.2",
                                         "",
                                         NULL};
#define EXTENSION_NS "http://www.google.com/kml/ext/2.2"

static bool is_ours(const kml *k, const char *ns)
{
    if (strcmp(ns, k->ns) == 0)
        return true;
    for (size_t i = 0; namespaces[i] != NULL; i++)
        if (strcmp(ns, namespaces[i]) == 0)
            return true;
    return false;
}

static void count_ignored(kml *k, const sb_xml_element *element)
{
    bool known = is_ours(k, element->ns) || strcmp(element->ns, EXTENSION_NS) == 0 ||
                 strcmp(element->ns, SB_XML_UNDECLARED) == 0;
    for (size_t i = 0; known && i < N_IGNORED; i++)
        if (strcmp(element->name, ignored[i].name) == 0) {
            if (k->counts[i]++ == 0)
                k->first_lines[i] = element->line;
            k->has_other_geometry = true;
        }
}

/* A name to remember until its value is read. */
static sb_status keep_key(kml *k, const sb_xml_element *element)
{
    const char *name = sb_xml_attribute_value(element, "name");
    sb_free(k->key);
    k->key = name != NULL ? sb_strdup(name) : NULL;
    return name != NULL && k->key == NULL ? SB_ERR_NOMEM : SB_OK;
}

static sb_status begin_node(kml *k, node opened, const sb_xml_element *element)
{
    switch (opened) {
    case NODE_PLACEMARK:
        k->feature = (sb_feature){.file = k->reading.file, .line = element->line};
        k->has_point = k->has_other_geometry = false;
        return SB_OK;
    case NODE_POLYGON:
        k->polygon_line = element->line;
        return SB_OK;
    case NODE_OUTER:
    case NODE_INNER:
        k->rings_in_boundary = 0;
        return SB_OK;
    case NODE_DATA:
    case NODE_SIMPLE:
        return keep_key(k, element);
    default:
        return SB_OK;
    }
}

static sb_status start(void *context, const sb_xml_element *element, sb_xml_interest *interest)
{
    kml *k = context;
    size_t depth = element->depth;
    k->folder_ends[depth] = k->path.count;
    if (depth == 1) {
        k->ns = sb_strdup(element->ns);
        if (k->ns == NULL)
            return SB_ERR_NOMEM;
    }
    if (is_ours(k, element->ns)) {
        for (size_t i = 0; i < sizeof rules / sizeof *rules; i++)
            if (rules[i].parent == k->nodes[depth - 1] &&
                strcmp(rules[i].name, element->name) == 0) {
                k->nodes[depth] = rules[i].child;
                *interest = rules[i].interest;
                return begin_node(k, rules[i].child, element);
            }
    }
    count_ignored(k, element);
    return SB_OK;
}

static void cut_path(kml *k, size_t length)
{
    k->path.count = length;
    if (k->path.bytes != NULL)
        k->path.bytes[length] = '\0';
}

static sb_status take_name(char **slot, const char *trimmed)
{
    sb_free(*slot);
    *slot = NULL;
    if (*trimmed == '\0')
        return SB_OK;
    *slot = sb_strdup(trimmed);
    return *slot != NULL ? SB_OK : SB_ERR_NOMEM;
}

/* The name comes before what the folder holds, so the path is ready for all of it. */
static sb_status take_folder_name(kml *k, size_t depth, const char *trimmed)
{
    cut_path(k, k->folder_ends[depth - 1]);
    if (*trimmed != '\0')
        sb_text_addf(&k->path, "%s%s", k->path.count > 0 ? "/" : "", trimmed);
    return k->path.failed ? SB_ERR_NOMEM : SB_OK;
}

static sb_status take_value(kml *k, const char *text, size_t line)
{
    return k->key != NULL ? sb_feature_add_attribute(&k->feature, k->key, text, line) : SB_OK;
}

static sb_status take_ring(kml *k, node boundary, size_t line)
{
    const sb_reading *r = &k->reading;
    k->rings_in_boundary++;
    sb_ring *ring = &k->part.outer;
    if (boundary == NODE_INNER) {
        if (k->rings_in_boundary == 2)
            sb_say(r->report, SB_WARNING, r->file, line,
                   "several rings in one innerBoundaryIs, expected one: all kept as holes");
        ring = sb_part_add_hole(&k->part);
        if (ring == NULL)
            return SB_ERR_NOMEM;
    } else if (ring->count > 0) {
        return sb_bad(r->report, r->file, line, "a second outer ring in one Polygon, expected one");
    }
    return sb_outline_finish(r, &k->listed, true, line, ring);
}

static sb_status take_coordinates(kml *k, size_t depth, char *text, size_t length, size_t line)
{
    const sb_reading *r = &k->reading;
    sb_status status = sb_coordinates_read(r, text, length, line, &k->listed);
    if (status != SB_OK)
        return status;
    if (k->nodes[depth - 1] == NODE_RING)
        return take_ring(k, k->nodes[depth - 2], line);
    if (k->listed.count != 1)
        return sb_bad(r->report, r->file, line, "point with %zu places, expected one",
                      k->listed.count);
    if (!k->has_point)
        k->feature.place = k->listed.items[0];
    k->has_point = true;
    return SB_OK;
}

static sb_status end_polygon(kml *k)
{
    if (k->part.outer.count == 0)
        return sb_bad(k->reading.report, k->reading.file, k->polygon_line,
                      "Polygon without an outer ring, expected one outerBoundaryIs");
    if (!SB_PUSH(&k->feature.parts, k->part))
        return SB_ERR_NOMEM;
    k->part = (sb_part){0};
    return SB_OK;
}

static sb_status end_placemark(kml *k)
{
    char excerpt[SB_EXCERPT_BYTES];
    sb_feature *feature = &k->feature;
    bool bare = feature->parts.count == 0 && !k->has_point;
    /* A label without geometry is no field; with attributes it claims to be one, and the join
     * says what it lacks. */
    if (bare && (k->has_other_geometry || feature->attributes.count == 0)) {
        if (!k->has_other_geometry)
            sb_say(k->reading.report, SB_WARNING, k->reading.file, feature->line,
                   "placemark '%s' has no geometry: passed by",
                   sb_excerpt(feature->name != NULL ? feature->name : "", excerpt));
        sb_feature_release(feature);
        return SB_OK;
    }
    feature->kind = feature->parts.count == 0 && k->has_point ? SB_FEATURE_POINT : SB_FEATURE_AREA;
    if (k->path.count > 0) {
        feature->folder = sb_strdup(sb_text_get(&k->path));
        if (feature->folder == NULL)
            return SB_ERR_NOMEM;
    }
    return sb_draft_add_feature(k->reading.draft, feature);
}

static sb_status end(void *context, size_t depth, char *text, size_t length, size_t line)
{
    kml *k = context;
    switch (k->nodes[depth]) {
    case NODE_FOLDER:
        cut_path(k, k->folder_ends[depth]);
        return SB_OK;
    case NODE_FOLDER_NAME:
        return take_folder_name(k, depth, sb_trim(text));
    case NODE_NAME:
        return take_name(&k->feature.name, sb_trim(text));
    case NODE_VALUE:
    case NODE_SIMPLE:
        return take_value(k, text, line);
    case NODE_COORDINATES:
        return take_coordinates(k, depth, text, length, line);
    case NODE_POLYGON:
        return end_polygon(k);
    case NODE_PLACEMARK:
        return end_placemark(k);
    default:
        return SB_OK;
    }
}

static sb_status finish(void *state)
{
    kml *k = state;
    for (size_t i = 0; i < N_IGNORED; i++)
        if (k->counts[i] > 0)
            sb_say(k->reading.report, SB_WARNING, k->reading.file, k->first_lines[i],
                   "%zu %s passed by: %s", k->counts[i], ignored[i].name, ignored[i].why);
    return SB_OK;
}

static void release(void *state)
{
    kml *k = state;
    sb_free(k->ns);
    sb_free(k->key);
    sb_free(k->listed.items);
    sb_text_release(&k->path);
    sb_part_release(&k->part);
    sb_feature_release(&k->feature);
}

static const char *const roots[] = {"kml", "Document", "Folder", "Placemark", NULL};

const sb_format sb_format_kml = {
    roots, namespaces, sizeof(kml), {start, end}, finish, release, NULL, NULL,
};
