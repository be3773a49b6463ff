/* SPDX-License-Identifier: GPL-3.0-or-later */
/** An XML document being written to memory. It keeps count of failures, so that callers need not
 * look at every return value. (libxml2's writer leaks, and prints, when memory runs out.) */
#ifndef SB_WRITE_XML_OUT_H
#define SB_WRITE_XML_OUT_H

#include <stdbool.h>

#include "base/text.h"
#include "geo/geo.h"
#include "seedbreak.h"

typedef struct sb_xml_out sb_xml_out;

/** Begins an indented UTF-8 document. NULL when out of memory. */
sb_xml_out *sb_xml_out_new(void);
/** Ends the document, appends it to text (unless something failed) and frees it.
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_xml_out_finish(sb_xml_out *out, sb_text *text);

/** Opens an element; its name is borrowed until sb_xml_close. Attributes come next, children then.
 */
void sb_xml_open(sb_xml_out *out, const char *name);
void sb_xml_close(sb_xml_out *out);
void sb_xml_attribute(sb_xml_out *out, const char *name, const char *value);
/** An element with text only. Characters that XML forbids become '?'. */
void sb_xml_element(sb_xml_out *out, const char *name, const char *value);
/** Releases a text that went into the document; the document fails if the text did. */
void sb_xml_release(sb_xml_out *out, sb_text *text);
/** Attributes lat and lon, 7 decimals (about a centimetre), -180 <= lon < 180. */
void sb_xml_lat_lon(sb_xml_out *out, sb_lonlat place);

#endif
