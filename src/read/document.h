/* SPDX-License-Identifier: GPL-3.0-or-later */
/** One XML document of whatever kind: its root element says which. */
#ifndef SB_READ_DOCUMENT_H
#define SB_READ_DOCUMENT_H

#include "read/format.h"

/** Reads a document into the draft; one that fails leaves no features behind.
 * @param source its name lives as long as the draft
 * @param beside where the files that it names lie
 * @return SB_OK; SB_ERR_INPUT; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_document_read(sb_draft *draft, sb_source *source, sb_container *beside,
                           sb_report *report);

#endif
