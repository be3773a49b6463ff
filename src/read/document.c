/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "read/document.h"

#include <libxml/xmlerror.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "read/schema.h"
#include "read/windows_1252.h"

static const sb_format *const formats[] = {&sb_format_kml, &sb_format_gpx, &sb_format_season,
                                           &sb_format_taskdata, &sb_format_learned};
#define N_FORMATS (sizeof formats / sizeof *formats)
#define EXPECTED_ROOTS "one of kml, gpx, season, ISO11783_TaskData"

/* One document on its way through the door: its root decides who reads it. */
typedef struct document {
    sb_reading reading;
    const sb_format *format; /* NULL until the root is seen */
    void *state;
} document;

static bool listed(const char *const *names, const char *name)
{
    for (size_t i = 0; names[i] != NULL; i++)
        if (strcmp(names[i], name) == 0)
            return true;
    return false;
}

static sb_status choose(document *d, const sb_xml_element *root)
{
    const sb_reading *r = &d->reading;
    char name[SB_EXCERPT_BYTES], ns[SB_EXCERPT_BYTES];
    for (size_t i = 0; i < N_FORMATS && d->format == NULL; i++)
        if (listed(formats[i]->roots, root->name))
            d->format = formats[i];
    if (d->format == NULL)
        return sb_bad(r->report, r->file, root->line, "root element '%s', expected " EXPECTED_ROOTS,
                      sb_excerpt(root->name, name));
    bool expected = listed(d->format->namespaces, root->ns);
    if (!expected && d->format->schema != NULL)
        return sb_bad(
            r->report, r->file, root->line, "root element '%s' in namespace '%s', expected '%s'",
            sb_excerpt(root->name, name), sb_excerpt(root->ns, ns), d->format->namespaces[0]);
    if (!expected)
        sb_say(r->report, SB_WARNING, r->file, root->line,
               "root element '%s' in namespace '%s', expected '%s': read all the same",
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
static sb_status read_once(sb_draft *draft, sb_source *source, sb_container *beside,
                           sb_xml_repair *repair, sb_report *report)
{
    static const sb_xml_handler handler = {start, end};
    document d = {.reading = {draft, source->name, report, beside}};
    size_t n_features = draft->features.count;
    sb_xml_repair repair_used = *repair;
    sb_status status = sb_xml_read(source, repair, &handler, &d, report);
    if (status == SB_OK && d.format->schema != NULL)
        status =
            sb_schema_check(source, repair_used, d.format->schema, d.format->schema_name, report);
    if (status == SB_OK && d.format->finish != NULL)
        status = d.format->finish(d.state);
    if (d.format != NULL && d.state != NULL)
        d.format->release(d.state);
    sb_free(d.state);
    if (status != SB_OK)
        sb_draft_forget_features(draft, n_features);
    return status;
}

static void say_nothing(void *context, const char *format, ...)
{
    (void)context, (void)format;
}

/* One more time, with the bytes taken in another way; a fault found now is the file's own. */
static sb_status read_again(sb_draft *draft, sb_source *source, sb_container *beside,
                            sb_xml_repair repair, sb_report *report)
{
    bool recode = repair == SB_XML_WINDOWS_1252;
    sb_windows_1252 recoded;
    sb_windows_1252_init(&recoded, source);
    sb_say(report, SB_WARNING, source->name, 1, "%s",
           recode ? "bytes that are not UTF-8, expected UTF-8: read as windows-1252"
                  : "the encoding declared is not that of the bytes: declaration ignored");
    return read_once(draft, recode ? &recoded.source : source, beside, &repair, report);
}

sb_status sb_document_read(sb_draft *draft, sb_source *source, sb_container *beside,
                           sb_report *report)
{
    sb_xml_repair repair = SB_XML_AS_IS;
    sb_report *first = sb_report_new(), *second = NULL;
    if (first == NULL)
        return SB_ERR_NOMEM;
    /* A few faults libxml2 prints, whatever handlers it was given: not while we read. */
    xmlGenericErrorFunc printer = xmlGenericError;
    void *printer_context = xmlGenericErrorContext;
    xmlSetGenericErrorFunc(NULL, say_nothing);
    sb_status status = read_once(draft, source, beside, &repair, first);
    if (status == SB_ERR_INPUT && repair != SB_XML_AS_IS) {
        second = sb_report_new();
        status = second != NULL ? read_again(draft, source, beside, repair, second) : SB_ERR_NOMEM;
    }
    xmlSetGenericErrorFunc(printer_context, printer);
    sb_report_append(report, second != NULL ? second : first);
    sb_report_free(first);
    sb_report_free(second);
    return status;
}
