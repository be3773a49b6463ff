/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The door every output file goes through: whole or not at all. */
#ifndef SB_WRITE_FILE_H
#define SB_WRITE_FILE_H

#include <stddef.h>

#include "seedbreak.h"

/** Makes a folder and the folders above it; one that exists is fine.
 * @return SB_OK; SB_ERR_SYSTEM, with the system's reason in the report; SB_ERR_NOMEM */
sb_status sb_make_folder(const char *folder, sb_report *report);

/** Writes folder/name under a temporary name in the same folder, forces it to the disk and renames
 * it. On failure a file that was there before is untouched and no temporary file stays behind.
 * @return SB_OK; SB_ERR_SYSTEM, with the system's reason in the report; SB_ERR_NOMEM */
sb_status sb_write_file(const char *folder, const char *name, const char *bytes, size_t n,
                        sb_report *report);

#endif
