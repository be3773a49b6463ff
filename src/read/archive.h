/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Fields in a ZIP: KMZ, or a TASKDATA folder as it comes from a terminal.
 *
 * Entries are read where they are, never unpacked to disk, and counted as they inflate: what an
 * archive says of itself is not believed. */
#ifndef SB_READ_ARCHIVE_H
#define SB_READ_ARCHIVE_H

#include "season/draft.h"

#define SB_ARCHIVE_MAX_ENTRIES 1000
#define SB_ARCHIVE_MAX_BYTES ((size_t)200 << 20) /**< of one entry, inflated */
#define SB_ARCHIVE_MAX_RATIO 200                 /**< inflated to packed, beyond the first MB */

/** Reads TASKDATA.XML if the archive holds one, else doc.kml at its root, else the first .kml in
 * it (the rule of KMZ readers), with a warning when there are more.
 * @param file lives as long as the draft
 * @return SB_OK; SB_ERR_INPUT; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_archive_read(sb_draft *draft, const char *file, sb_report *report);

#endif
