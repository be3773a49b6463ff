/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "read/xml.h"

#include <libxml/parser.h>
#include <libxml/parserInternals.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"

#define CHUNK_BYTES ((size_t)64 << 10)
#define MAX_ATTRIBUTES 256

typedef struct parse {
    xmlParserCtxtPtr parser;
    const sb_xml_handler *handler;
    void *context;
    const char *file;
    sb_report *report;
    sb_status status; /* the first thing that went wrong */
    sb_xml_repair next_repair;
    size_t depth;      /* elements open now */
    size_t skip_depth; /* depth of the element passed by, 0: none */
    size_t text_depth; /* depth of the element whose text is collected, 0: none */
    size_t text_line;
    sb_text text;
    sb_text values; /* attributes of the current start tag, NUL after each */
    bool root_seen, told_undeclared;
} parse;

static size_t line_now(const parse *p)
{
    return p->parser->input != NULL ? (size_t)p->parser->input->line : 0;
}

static void stop(parse *p, sb_status status)
{
    if (p->status == SB_OK)
        p->status = status;
    xmlStopParser(p->parser);
}

const char *sb_xml_attribute_value(const sb_xml_element *element, const char *name)
{
    for (size_t i = 0; i < element->n_attributes; i++)
        if (element->attributes[i].ns[0] == '\0' && strcmp(element->attributes[i].name, name) == 0)
            return element->attributes[i].value;
    return NULL;
}

/* libxml2 leaves an ampersand in an attribute as "&#38;", for a tree builder to decode. */
static void add_value(sb_text *values, const char *value, const char *end)
{
    static const char ampersand[] = "&#38;";
    size_t n = sizeof ampersand - 1;
    for (const char *c = value; c < end; c++) {
        bool found = *c == '&' && (size_t)(end - c) >= n && memcmp(c, ampersand, n) == 0;
        sb_text_add(values, c, 1);
        c += found ? n - 1 : 0;
    }
    sb_text_add(values, "", 1);
}

/* libxml2 hands over five pointers for each attribute: local name, prefix, namespace, value,
 * end of value. The value is not terminated: copies are. */
static bool copy_attributes(parse *p, const xmlChar **raw, size_t n, sb_xml_attribute *attributes)
{
    sb_text_clear(&p->values);
    for (size_t i = 0; i < n; i++)
        add_value(&p->values, (const char *)raw[5 * i + 3], (const char *)raw[5 * i + 4]);
    if (p->values.failed)
        return false;
    const char *value = sb_text_get(&p->values);
    for (size_t i = 0; i < n; i++) {
        const char *ns = (const char *)raw[5 * i + 2];
        attributes[i] = (sb_xml_attribute){ns != NULL ? ns : "", (const char *)raw[5 * i], value};
        value += strlen(value) + 1;
    }
    return true;
}

/* An undeclared prefix arrives as part of the local name. */
static void split_undeclared(sb_xml_element *element)
{
    const char *colon = element->ns[0] == '\0' ? strrchr(element->name, ':') : NULL;
    if (colon != NULL) {
        element->name = colon + 1;
        element->ns = SB_XML_UNDECLARED;
    }
}

static void on_start(void *user, const xmlChar *name, const xmlChar *prefix, const xmlChar *uri,
                     int n_namespaces, const xmlChar **namespaces, int n_attributes,
                     int n_defaulted, const xmlChar **raw)
{
    (void)prefix, (void)n_namespaces, (void)namespaces, (void)n_defaulted;
    parse *p = user;
    if (p->status != SB_OK)
        return;
    p->root_seen = true;
    if (++p->depth > SB_XML_MAX_DEPTH) {
        stop(p, sb_bad(p->report, p->file, line_now(p),
                       "elements nested deeper than %d, expected at most that much",
                       SB_XML_MAX_DEPTH));
        return;
    }
    if (p->skip_depth != 0 || p->text_depth != 0)
        return;
    if (n_attributes > MAX_ATTRIBUTES) {
        stop(p, sb_bad(p->report, p->file, line_now(p),
                       "element with %d attributes, expected at most %d", n_attributes,
                       MAX_ATTRIBUTES));
        return;
    }
    sb_xml_attribute attributes[MAX_ATTRIBUTES];
    if (!copy_attributes(p, raw, (size_t)n_attributes, attributes)) {
        stop(p, SB_ERR_NOMEM);
        return;
    }
    sb_xml_element element = {uri != NULL ? (const char *)uri : "",
                              (const char *)name,
                              attributes,
                              (size_t)n_attributes,
                              line_now(p),
                              p->depth};
    split_undeclared(&element);
    sb_xml_interest interest = SB_XML_SKIP;
    sb_status status = p->handler->start(p->context, &element, &interest);
    if (status != SB_OK) {
        stop(p, status);
    } else if (interest == SB_XML_SKIP) {
        p->skip_depth = p->depth;
    } else if (interest == SB_XML_TEXT) {
        p->text_depth = p->depth;
        p->text_line = element.line;
        sb_text_clear(&p->text);
    }
}

static void on_end(void *user, const xmlChar *name, const xmlChar *prefix, const xmlChar *uri)
{
    (void)name, (void)prefix, (void)uri;
    parse *p = user;
    if (p->status != SB_OK)
        return;
    size_t depth = p->depth--;
    if (p->skip_depth != 0) {
        if (p->skip_depth == depth)
            p->skip_depth = 0;
        return;
    }
    char *text = NULL;
    if (p->text_depth != 0) {
        if (p->text_depth != depth)
            return;
        p->text_depth = 0;
        sb_text_add(&p->text, "", 0);
        if (p->text.failed) {
            stop(p, SB_ERR_NOMEM);
            return;
        }
        text = p->text.bytes;
    }
    sb_status status =
        p->handler->end(p->context, depth, text, text != NULL ? p->text.count : 0, p->text_line);
    if (status != SB_OK)
        stop(p, status);
}

static void on_text(void *user, const xmlChar *bytes, int n)
{
    parse *p = user;
    if (p->status != SB_OK || p->text_depth == 0)
        return;
    if (p->text.count + (size_t)n > SB_XML_MAX_TEXT) {
        stop(p, sb_bad(p->report, p->file, line_now(p),
                       "one text longer than %zu MB, expected at most that much",
                       SB_XML_MAX_TEXT >> 20));
        return;
    }
    sb_text_add(&p->text, (const char *)bytes, (size_t)n);
    if (p->text.failed)
        stop(p, SB_ERR_NOMEM);
}

static void on_doctype(void *user, const xmlChar *name, const xmlChar *public_id,
                       const xmlChar *system_id)
{
    (void)name, (void)public_id, (void)system_id;
    parse *p = user;
    stop(p, sb_bad(p->report, p->file, line_now(p),
                   "DOCTYPE found, expected none: a field file needs no entities"));
}

/* Faults of the encoding that another reading of the same bytes may cure. */
static sb_xml_repair cure_of(const xmlError *error)
{
    if (strstr(error->message, "not proper UTF-8") != NULL)
        return SB_XML_WINDOWS_1252;
    return error->code == XML_ERR_INVALID_ENCODING ? SB_XML_IGNORE_LABEL : SB_XML_AS_IS;
}

static sb_status tell_fault(const parse *p, const xmlError *error)
{
    char excerpt[SB_EXCERPT_BYTES];
    char *message = sb_strdup(error->message);
    if (message == NULL)
        return SB_ERR_NOMEM;
    message[strcspn(message, "\n")] = '\0';
    sb_status status =
        sb_bad(p->report, p->file, (size_t)error->line, "broken XML, expected well-formed XML: %s",
               sb_excerpt(sb_trim(message), excerpt));
    sb_free(message);
    return status;
}

/* Without memory libxml2 has no words either; and where it finds none for the bytes that a
 * converter is to give, it blames the bytes. */
static bool no_memory(const parse *p, const xmlError *error)
{
    const xmlParserInput *input = p->parser != NULL ? p->parser->input : NULL;
    bool no_buffer = input != NULL && input->buf != NULL && input->buf->buffer == NULL;
    return error->code == XML_ERR_NO_MEMORY || error->message == NULL || no_buffer;
}

static void on_error(void *user, xmlErrorPtr error)
{
    parse *p = user;
    if (p->status != SB_OK)
        return;
    if (no_memory(p, error)) {
        stop(p, SB_ERR_NOMEM);
        return;
    }
    char excerpt[SB_EXCERPT_BYTES];
    if (error->code == XML_NS_ERR_UNDEFINED_NAMESPACE) {
        if (!p->told_undeclared)
            sb_say(p->report, SB_WARNING, p->file, (size_t)error->line,
                   "namespace prefix '%s' is not declared, its elements are ignored",
                   sb_excerpt(error->str1 != NULL ? error->str1 : "", excerpt));
        p->told_undeclared = true;
        return;
    }
    if (error->level < XML_ERR_FATAL)
        return;
    p->next_repair = cure_of(error);
    size_t line = (size_t)error->line;
    bool ends = error->code == XML_ERR_DOCUMENT_END;
    if (error->code == XML_ERR_DOCUMENT_EMPTY || (ends && !p->root_seen))
        stop(p, sb_bad(p->report, p->file, line,
                       "no XML found, expected a KML, GPX, TASKDATA or season file"));
    else if (ends && p->depth > 0)
        stop(p, sb_bad(p->report, p->file, line,
                       "file ends inside an element, expected its end tag: cut off?"));
    else
        stop(p, tell_fault(p, error));
}

static bool begin(parse *p, sb_xml_repair repair)
{
    xmlSAXHandler sax = {0};
    sax.initialized = XML_SAX2_MAGIC;
    sax.startElementNs = on_start;
    sax.endElementNs = on_end;
    sax.characters = on_text;
    sax.ignorableWhitespace = on_text;
    sax.cdataBlock = on_text;
    sax.internalSubset = on_doctype;
    sax.serror = on_error;
    p->parser = xmlCreatePushParserCtxt(&sax, p, NULL, 0, NULL);
    if (p->parser == NULL)
        return false;
    int options = XML_PARSE_NONET | XML_PARSE_BIG_LINES;
    if (repair != SB_XML_AS_IS)
        options |= XML_PARSE_IGNORE_ENC;
#if LIBXML_VERSION >= 21300
    options |= XML_PARSE_NO_XXE;
#endif
    xmlCtxtUseOptions(p->parser, options);
    return true;
}

size_t sb_xml_leading_blanks(const char *bytes, size_t n)
{
    size_t blanks = 0;
    while (blanks < n && memchr(" \t\r\n", bytes[blanks], 4) != NULL)
        blanks++;
    bool declared = n - blanks >= 5 && memcmp(bytes + blanks, "<?xml", 5) == 0;
    return declared ? blanks : 0;
}

/* Blanks before the declaration are a fault to the letter; everybody's editor has left some. */
static size_t skip_blanks(const parse *p, const char *bytes, size_t n)
{
    size_t blanks = sb_xml_leading_blanks(bytes, n);
    if (blanks > 0)
        sb_say(p->report, SB_WARNING, p->file, 1,
               "blanks before the XML declaration, expected none: skipped");
    for (size_t i = 0; i < blanks; i++)
        p->parser->input->line += bytes[i] == '\n';
    return blanks;
}

static void feed(parse *p, sb_source *source, char *bytes)
{
    for (bool first = true; p->status == SB_OK; first = false) {
        long got = sb_source_fill(source, bytes, CHUNK_BYTES);
        if (got < 0) {
            stop(p, sb_source_failed(source, p->report));
            return;
        }
        size_t n = (size_t)got, skip = first ? skip_blanks(p, bytes, n) : 0;
        bool last = n < CHUNK_BYTES;
        int code = xmlParseChunk(p->parser, bytes + skip, (int)(n - skip), last);
        /* Not through on_error: a byte that its converter does not know. */
        if (code == XML_ERR_INVALID_ENCODING && p->status == SB_OK)
            stop(p, sb_bad(p->report, p->file, line_now(p),
                           "bytes that do not fit the encoding, expected text in it"));
        /* Nor through it: no room for what it was fed. */
        if (code == XML_PARSER_EOF && p->status == SB_OK)
            stop(p, SB_ERR_NOMEM);
        if (last)
            break;
    }
    /* libxml2 reports through on_error; this is for a fault it kept to itself. */
    if (p->status == SB_OK && (!p->parser->wellFormed || !p->root_seen))
        p->status = sb_bad(p->report, p->file, line_now(p), "broken XML, expected well-formed XML");
}

sb_status sb_xml_read(sb_source *source, sb_xml_repair *repair, const sb_xml_handler *handler,
                      void *context, sb_report *report)
{
    parse p = {.handler = handler, .context = context, .file = source->name, .report = report};
    char *bytes = sb_alloc(CHUNK_BYTES, 1);
    if (bytes == NULL || !begin(&p, *repair)) {
        p.status = SB_ERR_NOMEM;
        goto out;
    }
    if (!source->rewind(source)) {
        p.status = sb_source_failed(source, report);
        goto out;
    }
    feed(&p, source, bytes);
out:
    *repair = *repair == SB_XML_AS_IS ? p.next_repair : SB_XML_AS_IS;
    xmlFreeParserCtxt(p.parser);
    sb_text_release(&p.text);
    sb_text_release(&p.values);
    sb_free(bytes);
    return p.status;
}
