/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reads a log file: urn:seedbreak:log:1 (docs/formats.md, docs/log.rng). */
#include <libxml/parser.h>
#include <libxml/xmlerror.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "log/log.h"
#include "read/schema.h"
#include "read/xml.h"

typedef struct log_file {
    sb_log *log;
    sb_report *report;
    sb_log_entry entry; /* the open one */
    bool is_log;        /* the root says so */
} log_file;

static sb_status begin_root(log_file *file, const sb_xml_element *element)
{
    char name[SB_EXCERPT_BYTES], ns[SB_EXCERPT_BYTES];
    file->is_log = strcmp(element->name, "log") == 0 && strcmp(element->ns, SB_LOG_NAMESPACE) == 0;
    if (file->is_log)
        return SB_OK;
    return sb_bad(file->report, file->log->path, element->line,
                  "root element '%s' in namespace '%s', expected 'log' in '" SB_LOG_NAMESPACE "'",
                  sb_excerpt(element->name, name), sb_excerpt(element->ns, ns));
}

static sb_status begin_entry(log_file *file, const sb_xml_element *element)
{
    char excerpt[SB_EXCERPT_BYTES];
    const char *path = file->log->path;
    sb_log_entry *entry = &file->entry;
    entry->line = element->line;
    if (!sb_log_kind_named(element->name, &entry->kind))
        return sb_bad(file->report, path, element->line, "entry '%s', expected one of docs/log.rng",
                      sb_excerpt(element->name, excerpt));
    for (size_t i = 0; i < element->n_attributes; i++) {
        const sb_xml_attribute *attribute = &element->attributes[i];
        sb_status status = SB_OK;
        if (*attribute->ns != '\0' || strncmp(attribute->name, "weed", 4) == 0)
            status = sb_bad(file->report, path, element->line, "attribute '%s' in an entry '%s'",
                            sb_excerpt(attribute->name, excerpt), element->name);
        else if (strcmp(attribute->name, "n") == 0) {
            if (!sb_parse_long(attribute->value, 1, SB_LOG_MAX_ENTRIES, &entry->number))
                status = sb_bad(file->report, path, element->line,
                                "entry number '%s', expected a whole number from 1",
                                sb_excerpt(attribute->value, excerpt));
        } else if (strcmp(attribute->name, "seal") == 0) {
            if (strlen(attribute->value) != SB_SEAL_LENGTH)
                status = sb_bad(file->report, path, element->line, "seal '%s', expected %d digits",
                                sb_excerpt(attribute->value, excerpt), SB_SEAL_LENGTH);
            else
                memcpy(entry->seal, attribute->value, sizeof entry->seal);
        } else {
            status = sb_log_entry_say(entry, attribute->name, attribute->value);
        }
        if (status != SB_OK)
            return status;
    }
    return SB_OK;
}

static sb_status begin_weed(log_file *file, const sb_xml_element *element)
{
    static const char *const VALUES[] = {"seeds", "plants", "rating", "plants_m2"};
    const char *id = sb_xml_attribute_value(element, "id"), *value = NULL;
    sb_text key = {0};
    for (size_t i = 0; i < sizeof VALUES / sizeof *VALUES && value == NULL; i++) {
        value = sb_xml_attribute_value(element, VALUES[i]);
        if (value != NULL && id != NULL)
            sb_text_addf(&key, "weed:%s%s", id, i == 3 ? ":plants_m2" : "");
    }
    sb_status status = SB_ERR_NOMEM;
    if (strcmp(element->name, "weed") != 0 || id == NULL || value == NULL)
        status = sb_bad(file->report, file->log->path, element->line,
                        "element in an entry, expected weed with an id and a value");
    else if (!key.failed)
        status = sb_log_entry_say(&file->entry, key.bytes, value);
    sb_text_release(&key);
    return status;
}

static sb_status start(void *context, const sb_xml_element *element, sb_xml_interest *interest)
{
    log_file *file = context;
    *interest = SB_XML_ENTER;
    switch (element->depth) {
    case 1:
        return begin_root(file, element);
    case 2:
        return begin_entry(file, element);
    default:
        return begin_weed(file, element);
    }
}

static sb_status end(void *context, size_t depth, char *text, size_t length, size_t line)
{
    (void)text, (void)length, (void)line;
    log_file *file = context;
    if (depth != 2)
        return SB_OK;
    sb_status status = sb_log_entry_understand(&file->entry, file->log->path, file->report);
    return status == SB_OK ? sb_log_push(file->log, &file->entry, file->report) : status;
}

static void say_nothing(void *context, const char *format, ...)
{
    (void)context, (void)format;
}

/* @param is_log [out] its root is a log's, whatever the rest */
static sb_status read_log(const char *path, sb_report *report, sb_log **log, bool *is_log)
{
    static const sb_xml_handler handler = {start, end};
    sb_source source;
    log_file file = {.report = report};
    *is_log = false;
    sb_status status = sb_log_new(path, &file.log);
    if (status != SB_OK)
        return status;
    xmlInitParser();
    if ((status = sb_source_open(&source, path, report)) != SB_OK)
        goto out;
    xmlGenericErrorFunc printer = xmlGenericError;
    void *printer_context = xmlGenericErrorContext;
    xmlSetGenericErrorFunc(NULL, say_nothing);
    sb_xml_repair repair = SB_XML_AS_IS;
    status = sb_xml_read(&source, &repair, &handler, &file, report);
    if (status == SB_OK)
        status = sb_schema_check(&source, SB_XML_AS_IS, sb_log_schema, "docs/log.rng", report);
    xmlSetGenericErrorFunc(printer_context, printer);
    source.close(&source);
out:
    *is_log = file.is_log;
    sb_log_entry_release(&file.entry);
    if (status == SB_OK) {
        *log = file.log;
        file.log = NULL;
    }
    sb_log_free(file.log);
    return status;
}

sb_status sb_log_read(const char *path, sb_report *report, sb_log **log)
{
    bool is_log;
    if (path == NULL || report == NULL || log == NULL)
        return SB_ERR_ARG;
    *log = NULL;
    sb_status status = read_log(path, report, log, &is_log);
    if (status == SB_OK && (*log)->unsealed > 0)
        sb_say(report, SB_WARNING, path, 0,
               "%zu of %zu entries bear no seal: who wrote them, and when, nothing shows",
               (*log)->unsealed, (*log)->entries.count);
    return sb_report_settle(report, status);
}

bool sb_is_log(const char *path)
{
    sb_report *unread = sb_report_new();
    sb_log *log = NULL;
    bool is_log = false;
    if (unread != NULL && path != NULL)
        (void)read_log(path, unread, &log, &is_log);
    sb_log_free(log);
    sb_report_free(unread);
    return is_log;
}
