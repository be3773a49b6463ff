/* SPDX-License-Identifier: GPL-3.0-or-later */
/* GPX 1.0 and 1.1: closed tracks and routes are boundaries, waypoints are scouting points or
 * yards. Attributes stand in `extensions`, in a namespace of our own (docs/formats.md). */
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "read/coordinates.h"
#include "read/outline.h"

/* Ends of a walked boundary this close to each other were meant to meet: a header width and the
 * error of a phone (common practice, no source), or a small share of a long walk. */
#define CLOSE_GAP_M 25.0
#define CLOSE_GAP_SHARE 0.05

#define FIELD_NS "urn:seedbreak:field:1"

typedef enum node {
    NODE_NONE,
    NODE_GPX,
    NODE_WAYPOINT,
    NODE_LINE, /* trk or rte */
    NODE_SEGMENT,
    NODE_NAME,
    NODE_NOTE, /* type, cmt, desc of a waypoint: may hold "weed:kochia=3" */
    NODE_EXTENSIONS,
    NODE_GROUP, /* `field` in our namespace: attributes in a bundle */
    NODE_ATTRIBUTE,
} node;

static const struct rule {
    node parent;
    const char *name;
    node child;
    sb_xml_interest interest;
} rules[] = {
    {NODE_GPX, "wpt", NODE_WAYPOINT, SB_XML_ENTER},
    {NODE_GPX, "rte", NODE_LINE, SB_XML_ENTER},
    {NODE_GPX, "trk", NODE_LINE, SB_XML_ENTER},
    {NODE_WAYPOINT, "name", NODE_NAME, SB_XML_TEXT},
    {NODE_WAYPOINT, "type", NODE_NOTE, SB_XML_TEXT},
    {NODE_WAYPOINT, "cmt", NODE_NOTE, SB_XML_TEXT},
    {NODE_WAYPOINT, "desc", NODE_NOTE, SB_XML_TEXT},
    {NODE_WAYPOINT, "extensions", NODE_EXTENSIONS, SB_XML_ENTER},
    {NODE_LINE, "name", NODE_NAME, SB_XML_TEXT},
    {NODE_LINE, "trkseg", NODE_SEGMENT, SB_XML_ENTER},
    {NODE_LINE, "extensions", NODE_EXTENSIONS, SB_XML_ENTER},
};

typedef struct gpx {
    sb_reading reading;
    char *ns;
    node nodes[SB_XML_MAX_DEPTH + 1];
    sb_feature feature; /* the open waypoint, track or route */
    sb_text notes;      /* type, cmt and desc of the open waypoint, a line each */
    const char *kind;   /* "track", "route" */
    sb_ring listed;
    char *key;  /* of the open attribute; NULL: none */
    bool taken; /* its value stood in its start tag */
} gpx;

static const char *const namespaces[] = {"http://www.topografix.com/GPX/1/1",
                                         "http://www.topografix.com/GPX/1/0", "", NULL};

static bool is_ours(const gpx *g, const char *ns)
{
    if (strcmp(ns, g->ns) == 0)
        return true;
    for (size_t i = 0; namespaces[i] != NULL; i++)
        if (strcmp(ns, namespaces[i]) == 0)
            return true;
    return false;
}

static sb_status read_degrees(gpx *g, const sb_xml_element *element, const char *name,
                              double *value)
{
    const sb_reading *r = &g->reading;
    char excerpt[SB_EXCERPT_BYTES];
    const char *text = sb_xml_attribute_value(element, name);
    if (text == NULL)
        return sb_bad(r->report, r->file, element->line, "%s without %s, expected decimal degrees",
                      element->name, name);
    if (!sb_parse_double(text, value))
        return sb_bad(r->report, r->file, element->line, "%s '%s', expected decimal degrees", name,
                      sb_excerpt(text, excerpt));
    if (strpbrk(text, "eE") != NULL)
        sb_say(r->report, SB_WARNING, r->file, element->line,
               "%s '%s' with an exponent, expected plain decimal degrees: taken as %.9f", name,
               sb_excerpt(text, excerpt), *value);
    return SB_OK;
}

static sb_status read_place(gpx *g, const sb_xml_element *element, sb_lonlat *place)
{
    sb_status status = read_degrees(g, element, "lat", &place->lat_deg);
    if (status == SB_OK)
        status = read_degrees(g, element, "lon", &place->lon_deg);
    if (status == SB_OK)
        status = sb_place_check(&g->reading, *place, element->line);
    return status;
}

static sb_status begin_feature(gpx *g, node opened, const sb_xml_element *element)
{
    bool waypoint = opened == NODE_WAYPOINT;
    g->feature = (sb_feature){.kind = waypoint ? SB_FEATURE_POINT : SB_FEATURE_AREA,
                              .from_waypoint = waypoint,
                              .file = g->reading.file,
                              .line = element->line};
    g->listed.count = 0;
    sb_text_clear(&g->notes);
    g->kind = strcmp(element->name, "trk") == 0 ? "track" : "route";
    return waypoint ? read_place(g, element, &g->feature.place) : SB_OK;
}

static sb_status add_point(gpx *g, const sb_xml_element *element)
{
    sb_lonlat place;
    sb_status status = read_place(g, element, &place);
    if (status == SB_OK && !SB_PUSH(&g->listed, place))
        status = SB_ERR_NOMEM;
    return status;
}

/* XML names hold no colon, so an element cannot be called weed:kochia. These can say the same:
 * <data name="weed:kochia">, <weed id="kochia">, <weed.kochia>, <weed_kochia>, <weed-kochia>. */
static void write_key(const sb_xml_element *element, sb_text *key)
{
    static const char *const families[] = {"weed", "limit"};
    const char *name = element->name;
    const char *said = sb_xml_attribute_value(element, "name");
    const char *id = sb_xml_attribute_value(element, "id");
    for (size_t i = 0; i < sizeof families / sizeof *families; i++) {
        size_t n = strlen(families[i]);
        if (strncmp(name, families[i], n) != 0)
            continue;
        if (name[n] == '\0' && (id != NULL || said != NULL)) {
            sb_text_addf(key, "%s:%s", name, id != NULL ? id : said);
            return;
        }
        if (name[n] != '\0' && strchr("._-", name[n]) != NULL) {
            sb_text_addf(key, "%s:%s", families[i], name + n + 1);
            return;
        }
    }
    sb_text_addf(key, "%s", strcmp(name, "data") == 0 && said != NULL ? said : name);
}

/* An element of our namespace: its key, and its value when that stands in the start tag. */
static sb_status begin_attribute(gpx *g, const sb_xml_element *element)
{
    sb_text key = {0};
    sb_status status = SB_OK;
    const char *rating = sb_xml_attribute_value(element, "rating");
    const char *density = sb_xml_attribute_value(element, "plants_m2");
    write_key(element, &key);
    g->taken = rating != NULL || density != NULL;
    if (rating != NULL && !key.failed)
        status = sb_feature_add_attribute(&g->feature, key.bytes, rating, element->line);
    if (density != NULL && status == SB_OK) {
        sb_text_addf(&key, ":plants_m2");
        if (!key.failed)
            status = sb_feature_add_attribute(&g->feature, key.bytes, density, element->line);
    }
    sb_free(g->key);
    g->key = key.bytes; /* handed over */
    return key.failed ? SB_ERR_NOMEM : status;
}

static sb_status start_extension(gpx *g, const sb_xml_element *element, sb_xml_interest *interest)
{
    if (strcmp(element->ns, FIELD_NS) != 0)
        return SB_OK;
    if (g->nodes[element->depth - 1] == NODE_EXTENSIONS && strcmp(element->name, "field") == 0) {
        g->nodes[element->depth] = NODE_GROUP;
        *interest = SB_XML_ENTER;
        return SB_OK;
    }
    g->nodes[element->depth] = NODE_ATTRIBUTE;
    *interest = SB_XML_TEXT;
    return begin_attribute(g, element);
}

static sb_status start(void *context, const sb_xml_element *element, sb_xml_interest *interest)
{
    gpx *g = context;
    if (element->depth == 1) {
        g->ns = sb_strdup(element->ns);
        g->nodes[1] = NODE_GPX;
        *interest = SB_XML_ENTER;
        return g->ns != NULL ? SB_OK : SB_ERR_NOMEM;
    }
    node parent = g->nodes[element->depth - 1];
    if (parent == NODE_EXTENSIONS || parent == NODE_GROUP)
        return start_extension(g, element, interest);
    if (!is_ours(g, element->ns))
        return SB_OK;
    if ((parent == NODE_SEGMENT && strcmp(element->name, "trkpt") == 0) ||
        (parent == NODE_LINE && strcmp(element->name, "rtept") == 0))
        return add_point(g, element);
    for (size_t i = 0; i < sizeof rules / sizeof *rules; i++)
        if (rules[i].parent == parent && strcmp(rules[i].name, element->name) == 0) {
            g->nodes[element->depth] = rules[i].child;
            *interest = rules[i].interest;
            if (rules[i].child == NODE_WAYPOINT || rules[i].child == NODE_LINE)
                return begin_feature(g, rules[i].child, element);
            return SB_OK;
        }
    return SB_OK;
}

/* A walked boundary whose ends meet, or nearly. The gap is always told. */
static sb_status check_gap(gpx *g, const char *name)
{
    const sb_reading *r = &g->reading;
    const sb_ring *line = &g->listed;
    double gap_m = sb_distance_m(line->items[0], line->items[line->count - 1]);
    if (gap_m == 0)
        return SB_OK;
    double share = gap_m / sb_ring_perimeter_m(line);
    if (gap_m > CLOSE_GAP_M && share > CLOSE_GAP_SHARE)
        return sb_bad(r->report, r->file, g->feature.line,
                      "unclosed %s '%s': its ends lie %.1f m apart (%.1f %% of the way round), "
                      "expected at most %g m or %g %%",
                      g->kind, name, gap_m, 100 * share, CLOSE_GAP_M, 100 * CLOSE_GAP_SHARE);
    sb_say(r->report, SB_WARNING, r->file, g->feature.line,
           "%s '%s' closed over a gap of %.1f m (%.1f %% of the way round)", g->kind, name, gap_m,
           100 * share);
    return SB_OK;
}

static sb_status end_line(gpx *g)
{
    const sb_reading *r = &g->reading;
    sb_feature *feature = &g->feature;
    char excerpt[SB_EXCERPT_BYTES];
    const char *name = sb_excerpt(feature->name != NULL ? feature->name : "", excerpt);
    size_t n_points = g->listed.count;
    if (n_points < 3) {
        sb_say(r->report, SB_WARNING, r->file, feature->line,
               "%s '%s' has %zu %s, a boundary needs at least 3: passed by", g->kind, name,
               n_points, n_points == 1 ? "point" : "points");
        sb_feature_release(feature);
        return SB_OK;
    }
    sb_status status = check_gap(g, name);
    sb_part part = {0};
    if (status == SB_OK)
        status = sb_outline_finish(r, &g->listed, false, feature->line, &part.outer);
    if (status == SB_OK && !SB_PUSH(&feature->parts, part))
        status = SB_ERR_NOMEM;
    if (status != SB_OK) {
        sb_part_release(&part);
        return status;
    }
    return sb_draft_add_feature(r->draft, feature);
}

/* "weed:kochia=3" or "role=yard" among the words of a note: what a scout types into a phone. A
 * bare number is never taken for a rating. */
static sb_status take_notes(gpx *g)
{
    char *save = NULL;
    if (g->notes.count == 0)
        return SB_OK;
    g->feature.note = sb_strdup(g->notes.bytes);
    if (g->feature.note == NULL)
        return SB_ERR_NOMEM;
    for (char *word = strtok_r(g->notes.bytes, " \t\r\n;,", &save); word != NULL;
         word = strtok_r(NULL, " \t\r\n;,", &save)) {
        char *equals = strchr(word, '=');
        bool known = strncmp(word, "weed:", 5) == 0 || strncmp(word, "role=", 5) == 0;
        if (!known || equals == NULL || equals[1] == '\0')
            continue;
        *equals = '\0';
        if (sb_feature_attribute(&g->feature, word) != NULL)
            continue; /* the extensions have said it */
        sb_status status = sb_feature_add_attribute(&g->feature, word, equals + 1, g->feature.line);
        if (status != SB_OK)
            return status;
    }
    return SB_OK;
}

static sb_status end_waypoint(gpx *g)
{
    sb_status status = take_notes(g);
    return status == SB_OK ? sb_draft_add_feature(g->reading.draft, &g->feature) : status;
}

static sb_status end_attribute(gpx *g, const char *text, size_t line)
{
    return g->taken ? SB_OK : sb_feature_add_attribute(&g->feature, g->key, text, line);
}

static sb_status end(void *context, size_t depth, char *text, size_t length, size_t line)
{
    gpx *g = context;
    switch (g->nodes[depth]) {
    case NODE_NAME:
        text = sb_trim(text);
        sb_free(g->feature.name);
        g->feature.name = *text != '\0' ? sb_strdup(text) : NULL;
        return *text != '\0' && g->feature.name == NULL ? SB_ERR_NOMEM : SB_OK;
    case NODE_NOTE:
        sb_text_add(&g->notes, text, length);
        sb_text_add(&g->notes, "\n", 1);
        return g->notes.failed ? SB_ERR_NOMEM : SB_OK;
    case NODE_ATTRIBUTE:
        return end_attribute(g, text, line);
    case NODE_WAYPOINT:
        return end_waypoint(g);
    case NODE_LINE:
        return end_line(g);
    default:
        return SB_OK;
    }
}

static void release(void *state)
{
    gpx *g = state;
    sb_free(g->ns);
    sb_free(g->key);
    sb_free(g->listed.items);
    sb_text_release(&g->notes);
    sb_feature_release(&g->feature);
}

static const char *const roots[] = {"gpx", NULL};

const sb_format sb_format_gpx = {
    roots, namespaces, sizeof(gpx), {start, end}, NULL, release, NULL, NULL,
};
