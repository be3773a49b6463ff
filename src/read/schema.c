/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "read/schema.h"

#include <libxml/parser.h>
#include <libxml/relaxng.h>
#include <pthread.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"

#define CHUNK_BYTES ((size_t)64 << 10)

/* One thread at a time: libxml2 fills tables of data types on first use, unguarded. */
static pthread_mutex_t schema_guard = PTHREAD_MUTEX_INITIALIZER;

typedef struct complaint {
    sb_report *report;
    const char *file;
    bool told;
} complaint;

static void on_error(void *user, xmlErrorPtr error)
{
    complaint *c = user;
    if (c->told || error->code == XML_ERR_NO_MEMORY)
        return; /* the first says what is wrong, the rest what follows from it */
    c->told = true;
    char excerpt[SB_EXCERPT_BYTES];
    char *message = sb_strdup(error->message != NULL ? error->message : "");
    sb_bad(c->report, c->file, error->line > 0 ? (size_t)error->line : 0,
           "does not fit the schema docs/season.rng: %s",
           message != NULL ? sb_excerpt(sb_trim(message), excerpt) : "out of memory");
    sb_free(message);
}

/* The document has been through the door and the schema is ours: there is nothing to tell. */
static void on_parse_error(void *user, xmlErrorPtr error)
{
    (void)user, (void)error;
}

static sb_status parse(sb_source *source, sb_xml_repair repair, sb_report *report, xmlDocPtr *tree)
{
    sb_status status = SB_ERR_NOMEM;
    char *bytes = sb_alloc(CHUNK_BYTES, 1);
    xmlParserCtxtPtr parser = xmlCreatePushParserCtxt(NULL, NULL, NULL, 0, NULL);
    if (bytes == NULL || parser == NULL)
        goto out;
    parser->sax->serror = on_parse_error;
    xmlCtxtUseOptions(parser, XML_PARSE_NONET | XML_PARSE_BIG_LINES |
                                  (repair != SB_XML_AS_IS ? XML_PARSE_IGNORE_ENC : 0));
    if (!source->rewind(source)) {
        status = sb_source_failed(source, report);
        goto out;
    }
    size_t total = 0;
    for (long got = CHUNK_BYTES; got == CHUNK_BYTES;) {
        got = sb_source_fill(source, bytes, CHUNK_BYTES);
        total += got > 0 ? (size_t)got : 0;
        if (got < 0 || total > SB_SCHEMA_MAX_BYTES) {
            status = got < 0 ? sb_source_failed(source, report)
                             : sb_bad(report, source->name, 0,
                                      "season file larger than %zu MB, expected at most that much",
                                      SB_SCHEMA_MAX_BYTES >> 20);
            goto out;
        }
        size_t skip = total == (size_t)got ? sb_xml_leading_blanks(bytes, (size_t)got) : 0;
        xmlParseChunk(parser, bytes + skip, (int)((size_t)got - skip), got < (long)CHUNK_BYTES);
    }
    *tree = parser->myDoc; /* handed over */
    parser->myDoc = NULL;
    status = *tree != NULL && parser->wellFormed ? SB_OK : SB_ERR_NOMEM;
out:
    if (parser != NULL)
        xmlFreeDoc(parser->myDoc);
    xmlFreeParserCtxt(parser);
    sb_free(bytes);
    return status;
}

/* The schema is our own and tested: only memory can make it fail to compile. */
static sb_status validate(xmlDocPtr tree, const char *schema_text, complaint *c)
{
    xmlRelaxNGPtr schema = NULL;
    xmlRelaxNGValidCtxtPtr validator = NULL;
    sb_status status = SB_ERR_NOMEM;
    xmlRelaxNGParserCtxtPtr reader =
        xmlRelaxNGNewMemParserCtxt(schema_text, (int)strlen(schema_text));
    if (reader == NULL)
        goto out;
    xmlRelaxNGSetParserStructuredErrors(reader, on_parse_error, NULL);
    if ((schema = xmlRelaxNGParse(reader)) == NULL)
        goto out;
    if ((validator = xmlRelaxNGNewValidCtxt(schema)) == NULL)
        goto out;
    xmlRelaxNGSetValidStructuredErrors(validator, on_error, c);
    if (xmlRelaxNGValidateDoc(validator, tree) == 0)
        status = SB_OK;
    else if (c->told)
        status = SB_ERR_INPUT;
out:
    xmlRelaxNGFreeValidCtxt(validator);
    xmlRelaxNGFree(schema);
    xmlRelaxNGFreeParserCtxt(reader);
    return status;
}

sb_status sb_schema_check(sb_source *source, sb_xml_repair repair, const char *schema,
                          sb_report *report)
{
    xmlDocPtr tree = NULL;
    complaint c = {report, source->name, false};
    sb_status status = parse(source, repair, report, &tree);
    if (status == SB_OK) {
        pthread_mutex_lock(&schema_guard);
        status = validate(tree, schema, &c);
        pthread_mutex_unlock(&schema_guard);
    }
    xmlFreeDoc(tree);
    return status;
}
