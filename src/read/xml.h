/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The one door through which XML comes in.
 *
 * Streaming (libxml2's push parser), so that a file costs no more memory than what is kept of it.
 * Nothing outside the file is ever opened: a DOCTYPE is refused, and with it entities and external
 * subsets; there is no network. Depth and the length of one text are limited. Lines are true
 * beyond 65535. */
#ifndef SB_READ_XML_H
#define SB_READ_XML_H

#include <stdbool.h>
#include <stddef.h>

#include "read/source.h"
#include "seedbreak.h"

#define SB_XML_MAX_DEPTH 100
#define SB_XML_MAX_TEXT ((size_t)64 << 20) /**< bytes of one collected text */

/** Namespace of an element whose prefix nobody declared. */
#define SB_XML_UNDECLARED "undeclared prefix"

typedef struct sb_xml_attribute {
    const char *ns, *name, *value; /**< ns "": none */
} sb_xml_attribute;

/** An element as its start tag says; borrowed for the length of the call. */
typedef struct sb_xml_element {
    const char *ns, *name; /**< local name; ns "": no namespace */
    const sb_xml_attribute *attributes;
    size_t n_attributes;
    size_t line;
    size_t depth; /**< the root is 1 */
} sb_xml_element;

/** The value of an attribute without namespace, or NULL. */
const char *sb_xml_attribute_value(const sb_xml_element *element, const char *name);

/** What a handler wants of an element. */
typedef enum sb_xml_interest {
    SB_XML_SKIP,  /**< nothing: pass it by with all that is inside */
    SB_XML_ENTER, /**< its children, one by one */
    SB_XML_TEXT,  /**< all text inside, children's too, in one piece */
} sb_xml_interest;

/** Takes a document element by element. A status other than SB_OK ends the reading; the handler
 * has then reported why. */
typedef struct sb_xml_handler {
    /** *interest is SB_XML_SKIP unless the handler says otherwise. */
    sb_status (*start)(void *context, const sb_xml_element *element, sb_xml_interest *interest);
    /** The end of an element entered (text NULL) or collected (text writable, NUL-terminated,
     * length bytes, beginning on line). */
    sb_status (*end)(void *context, size_t depth, char *text, size_t length, size_t line);
} sb_xml_handler;

/** What to do about a file that is well-formed but for its encoding. */
typedef enum sb_xml_repair {
    SB_XML_AS_IS,
    SB_XML_IGNORE_LABEL, /**< its declaration names another encoding than its bytes have */
    SB_XML_WINDOWS_1252, /**< undeclared 8-bit text; the caller hands in a source that recodes it */
} sb_xml_repair;

/** Blanks before "<?xml" at the beginning of a file: how many bytes to pass over. */
size_t sb_xml_leading_blanks(const char *bytes, size_t n);

/** Reads a document from the source's first byte to its end.
 * @param repair [in/out] how to take its bytes; when the call fails only because of the encoding
 *               and another reading may help, the reading to try next, else SB_XML_AS_IS
 * @return SB_OK; SB_ERR_INPUT; SB_ERR_SYSTEM; SB_ERR_NOMEM; what the handler returned */
sb_status sb_xml_read(sb_source *source, sb_xml_repair *repair, const sb_xml_handler *handler,
                      void *context, sb_report *report);

#endif
