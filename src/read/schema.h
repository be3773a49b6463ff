/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A second look at a whole document: does it fit a RELAX NG schema? */
#ifndef SB_READ_SCHEMA_H
#define SB_READ_SCHEMA_H

#include "read/xml.h"

#define SB_SCHEMA_MAX_BYTES ((size_t)16 << 20) /**< a document is held in memory as a tree */

/** Validates a document that sb_xml_read has already taken (so it is well-formed and has no
 * DOCTYPE), from the same source with the same repair.
 * @param schema the schema as text, NUL-terminated
 * @param called the schema's name in messages, "docs/season.rng"
 * @return SB_OK; SB_ERR_INPUT (reported with the line); SB_ERR_SYSTEM; SB_ERR_NOMEM (also when the
 *         schema itself is no schema: it is built in, and tested) */
sb_status sb_schema_check(sb_source *source, sb_xml_repair repair, const char *schema,
                          const char *called, sb_report *report);

#endif
