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
/* Several times what the schema (260 KB measured) and its use on a document (100 KB) take. */
#define SCHEMA_ROOM_BYTES ((size_t)2 << 20)
/* Bytes of tree for a byte of document: 17 measured where elements are short. */
#define TREE_SHARE 32

/* One thread at a time: libxml2 fills tables of data types on first use, unguarded. */
static pthread_mutex_t schema_guard = PTHREAD_MUTEX_INITIALIZER;

typedef struct complaint {
    sb_report *report;
    const char *file;
    const char *schema; /* its name */
    bool told;
    bool no_memory;
} complaint;

static void on_error(void *user, xmlErrorPtr error)
{
    complaint *c = user;
    c->no_memory |= error->code == XML_ERR_NO_MEMORY;
    if (c->told || c->no_memory)
        return; /* the first says what is wrong, the rest what follows from it */
    c->told = true;
    char excerpt[SB_EXCERPT_BYTES];
    char *message = sb_strdup(error->message != NULL ? error->message : "");
    sb_bad(c->report, c->file, error->line > 0 ? (size_t)error->line : 0,
           "does not fit the schema %s: %s", c->schema,
           message != NULL ? sb_excerpt(sb_trim(message), excerpt) : "out of memory");
    sb_free(message);
}

/* The document has been through the door and the schema is ours: there is nothing to tell. */
static void on_parse_error(void *user, xmlErrorPtr error)
{
    (void)user, (void)error;
}

static sb_status read_whole(sb_source *source, sb_report *report, sb_text *text)
{
    sb_status status = SB_OK;
    char *bytes = sb_alloc(CHUNK_BYTES, 1);
    if (bytes == NULL)
        return SB_ERR_NOMEM;
    if (!source->rewind(source))
        status = sb_source_failed(source, report);
    for (long got = CHUNK_BYTES; status == SB_OK && got == CHUNK_BYTES;) {
        got = sb_source_fill(source, bytes, CHUNK_BYTES);
        if (got < 0)
            status = sb_source_failed(source, report);
        else
            sb_text_add(text, bytes, (size_t)got);
        if (status == SB_OK && text->count > SB_SCHEMA_MAX_BYTES)
            status = sb_bad(report, source->name, 0,
                            "file larger than %zu MB, expected at most that much",
                            SB_SCHEMA_MAX_BYTES >> 20);
    }
    sb_free(bytes);
    return status == SB_OK && text->failed ? SB_ERR_NOMEM : status;
}

/* libxml2 2.9.14 does not survive when memory runs out in its schemas, and does not tell when it
 * runs out in its trees: so we see first that there is room for all of it. */
static bool has_room(size_t document_bytes)
{
    return sb_mem_room(SCHEMA_ROOM_BYTES + TREE_SHARE * document_bytes);
}

static xmlDocPtr parse(const sb_text *text, sb_xml_repair repair)
{
    xmlParserCtxtPtr parser = xmlNewParserCtxt();
    if (parser == NULL)
        return NULL;
    parser->sax->serror = on_parse_error;
    int options =
        XML_PARSE_NONET | XML_PARSE_BIG_LINES | (repair != SB_XML_AS_IS ? XML_PARSE_IGNORE_ENC : 0);
    size_t skip = sb_xml_leading_blanks(text->bytes, text->count);
    xmlDocPtr tree = xmlCtxtReadMemory(parser, text->bytes + skip, (int)(text->count - skip), NULL,
                                       NULL, options);
    xmlFreeParserCtxt(parser);
    return tree;
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
    int verdict = xmlRelaxNGValidateDoc(validator, tree);
    if (verdict == 0 && !c->no_memory)
        status = SB_OK;
    else if (c->told && !c->no_memory)
        status = SB_ERR_INPUT;
out:
    xmlRelaxNGFreeValidCtxt(validator);
    xmlRelaxNGFree(schema);
    xmlRelaxNGFreeParserCtxt(reader);
    return status;
}

sb_status sb_schema_check(sb_source *source, sb_xml_repair repair, const char *schema,
                          const char *called, sb_report *report)
{
    xmlDocPtr tree = NULL;
    sb_text text = {0};
    complaint c = {report, source->name, called, false, false};
    sb_status status = read_whole(source, report, &text);
    if (status != SB_OK)
        goto out;
    tree = has_room(text.count) ? parse(&text, repair) : NULL;
    if (tree == NULL) {
        status = SB_ERR_NOMEM;
        goto out;
    }
    pthread_mutex_lock(&schema_guard);
    status = validate(tree, schema, &c);
    pthread_mutex_unlock(&schema_guard);
out:
    xmlFreeDoc(tree);
    sb_text_release(&text);
    return status;
}
