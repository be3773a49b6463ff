/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "read/read.h"

#include <libxml/parser.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "read/format.h"
#include "read/schema.h"
#include "read/travel_csv.h"

static const sb_format *const formats[] = {&sb_format_kml, &sb_format_gpx, &sb_format_season};
#define N_FORMATS (sizeof formats / sizeof *formats)
#define EXPECTED_ROOTS "'kml', 'gpx' or 'season'"

/* One document on its way through the door: its root decides who reads it. */
typedef struct document {
    sb_reading reading;
    const sb_format *format; /* NULL until the root is seen */
    void *state;
} document;

static bool listed(const char *const *namespaces, const char *ns)
{
    for (size_t i = 0; namespaces[i] != NULL; i++)
        if (strcmp(namespaces[i], ns) == 0)
            return true;
    return false;
}

static sb_status choose(document *d, const sb_xml_element *root)
{
    const sb_reading *r = &d->reading;
    char name[SB_EXCERPT_BYTES], ns[SB_EXCERPT_BYTES];
    for (size_t i = 0; i < N_FORMATS && d->format == NULL; i++)
        if (strcmp(formats[i]->root, root->name) == 0)
            d->format = formats[i];
    if (d->format == NULL)
        return sb_bad(r->report, r->file, root->line,
                      "root element '%s', " EXPECTED_ROOTS " was expected",
                      sb_excerpt(root->name, name));
    bool expected = listed(d->format->namespaces, root->ns);
    if (!expected && d->format->schema != NULL)
        return sb_bad(r->report, r->file, root->line,
                      "root element '%s' in namespace '%s', '%s' was expected",
                      sb_excerpt(root->name, name), sb_excerpt(root->ns, ns),
                      d->format->namespaces[0]);
    if (!expected)
        sb_say(r->report, SB_WARNING, r->file, root->line,
               "root element '%s' in namespace '%s', '%s' was expected: read all the same",
               sb_excerpt(root->name, name), sb_excerpt(root->ns, ns), d->format->namespaces[0]);
    d->state = sb_alloc(1, d->format->state_size);
    if (d->state == NULL)
        return SB_ERR_NOMEM;
    memcpy(d->state, r, sizeof *r);
    return SB_OK;
}

static sb_status start(void *context, const sb_xml_element *element, sb_xml_interest *interest)
{
    document *d = context;
    sb_status status = element->depth == 1 ? choose(d, element) : SB_OK;
    return status == SB_OK ? d->format->handler.start(d->state, element, interest) : status;
}

static sb_status end(void *context, size_t depth, char *text, size_t length, size_t line)
{
    document *d = context;
    return d->format->handler.end(d->state, depth, text, length, line);
}

/* One way through the file; what it gave to the draft goes again when it fails. */
static sb_status read_once(sb_draft *draft, sb_source *source, const char *file,
                           sb_xml_repair *repair, sb_report *report)
{
    static const sb_xml_handler handler = {start, end};
    document d = {.reading = {draft, file, report}};
    size_t n_features = draft->features.count;
    sb_xml_repair repair_used = *repair;
    sb_status status = sb_xml_read(source, repair, &handler, &d, report);
    if (status == SB_OK && d.format->schema != NULL)
        status = sb_schema_check(source, repair_used, d.format->schema, report);
    if (status == SB_OK && d.format->finish != NULL)
        status = d.format->finish(d.state);
    if (d.format != NULL && d.state != NULL)
        d.format->release(d.state);
    sb_free(d.state);
    if (status != SB_OK)
        sb_draft_forget_features(draft, n_features);
    return status;
}

static sb_status read_xml(sb_draft *draft, sb_source *source, const char *file, sb_report *report)
{
    sb_xml_repair repair = SB_XML_AS_IS;
    sb_report *first = sb_report_new(), *second = NULL;
    if (first == NULL)
        return SB_ERR_NOMEM;
    sb_status status = read_once(draft, source, file, &repair, first);
    if (status == SB_ERR_INPUT && repair != SB_XML_AS_IS) {
        const char *how = repair == SB_XML_WINDOWS_1252
                              ? "bytes that are not UTF-8, UTF-8 was expected: read as windows-1252"
                              : "the encoding declared is not that of the bytes: declaration "
                                "ignored";
        second = sb_report_new();
        if (second == NULL) {
            status = SB_ERR_NOMEM;
            goto out;
        }
        sb_say(second, SB_WARNING, file, 1, "%s", how);
        sb_xml_repair again = repair;
        sb_status repaired = read_once(draft, source, file, &again, second);
        if (repaired != SB_ERR_INPUT)
            status = repaired;
    }
out:
    /* A second reading that failed too says less about the file than the first. */
    sb_report_append(report, status == SB_OK && second != NULL ? second : first);
    sb_report_free(first);
    sb_report_free(second);
    return status;
}

static sb_status refuse_by_magic(const char *file, const char *magic, size_t n, sb_report *report)
{
    if (n == 0)
        return sb_bad(report, file, 0, "empty file, a KML, GPX or season file was expected");
    if (n >= 2 && memcmp(magic, "\x1f\x8b", 2) == 0)
        return sb_bad(report, file, 0, "gzip data, plain XML was expected: unpack it first");
    return SB_OK;
}

static sb_status read_file(sb_draft *draft, const char *path, sb_report *report)
{
    const char *file = sb_draft_file(draft, path);
    if (file == NULL)
        return SB_ERR_NOMEM;
    sb_source source;
    sb_status status = sb_source_open(&source, file, report);
    if (status != SB_OK)
        return status;
    char magic[4];
    long n = sb_source_fill(&source, magic, sizeof magic);
    if (n < 0)
        status = sb_bad_system(report, file, "cannot read");
    else
        status = refuse_by_magic(file, magic, (size_t)n, report);
    if (status == SB_OK)
        status = read_xml(draft, &source, file, report);
    source.close(&source);
    return status;
}

/* The field that an overlay means: an outline, or a point that is more than a scouting point. */
static sb_feature *find_field(sb_draft *draft, const char *name)
{
    sb_feature *point = NULL;
    for (size_t i = 0; i < draft->features.count; i++) {
        sb_feature *feature = &draft->features.items[i];
        if (feature->name == NULL || strcmp(feature->name, name) != 0)
            continue;
        if (feature->kind == SB_FEATURE_AREA)
            return feature;
        if (feature->kind == SB_FEATURE_POINT && point == NULL)
            point = feature;
    }
    return point;
}

static sb_status lay_over(sb_draft *draft, const sb_feature *overlay, sb_report *report)
{
    char excerpt[SB_EXCERPT_BYTES];
    sb_feature *field = find_field(draft, overlay->name);
    if (field == NULL)
        return sb_bad(report, overlay->file, overlay->line,
                      "field '%s' is in no field file, the name of a field that was read was "
                      "expected",
                      sb_excerpt(overlay->name, excerpt));
    for (size_t i = 0; i < overlay->attributes.count; i++) {
        const sb_attribute *attribute = &overlay->attributes.items[i];
        sb_status status =
            sb_feature_add_attribute(field, attribute->key, attribute->value, attribute->line);
        if (status != SB_OK)
            return status;
        field->attributes.items[field->attributes.count - 1].file = overlay->file;
    }
    return SB_OK;
}

/* Takes the overlays out of the features and lays them over the fields. */
static sb_status lay_all_over(sb_draft *draft, sb_report *report)
{
    sb_status worst = SB_OK;
    for (size_t i = 0; i < draft->features.count; i++) {
        if (draft->features.items[i].kind != SB_FEATURE_OVERLAY)
            continue;
        sb_status status = lay_over(draft, &draft->features.items[i], report);
        if (worst == SB_OK || status == SB_ERR_NOMEM)
            worst = status;
    }
    size_t kept = 0;
    for (size_t i = 0; i < draft->features.count; i++) {
        if (draft->features.items[i].kind == SB_FEATURE_OVERLAY)
            sb_feature_release(&draft->features.items[i]);
        else
            draft->features.items[kept++] = draft->features.items[i];
    }
    draft->features.count = kept;
    return worst;
}

sb_status sb_draft_read(sb_draft *draft, const char *const *paths, size_t n,
                        const sb_read_options *options, sb_report *report)
{
    if (draft == NULL || report == NULL || paths == NULL || n == 0)
        return SB_ERR_ARG;
    xmlInitParser(); /* safe to call from several threads and more than once */
    sb_status worst = SB_OK;
    for (size_t i = 0; i < n; i++) {
        sb_status status = read_file(draft, paths[i], report);
        if (status == SB_ERR_NOMEM)
            return status;
        if (worst == SB_OK)
            worst = status;
    }
    if (options != NULL && options->travel_csv != NULL) {
        sb_status status = sb_travel_read(draft, options->travel_csv, report);
        if (worst == SB_OK || status == SB_ERR_NOMEM)
            worst = status;
    }
    return worst == SB_OK ? lay_all_over(draft, report) : worst;
}
