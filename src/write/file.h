/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The door every output file goes through: whole or not at all. */
#ifndef SB_WRITE_FILE_H
#define SB_WRITE_FILE_H

#include <stddef.h>

#include "base/text.h"
#include "seedbreak.h"

/** Makes a folder and the folders above it; one that exists is fine.
 * @return SB_OK; SB_ERR_SYSTEM, with the system's reason in the report; SB_ERR_NOMEM */
sb_status sb_make_folder(const char *folder, sb_report *report);

/** A file written under a temporary name beside the one it will replace. */
typedef struct sb_prepared_file {
    int handle; /**< open and locked until placed; -1: nothing to place */
    const char *folder;
    sb_text path, temporary;
} sb_prepared_file;

/** Writes folder/name under a temporary name in the same folder and forces it to the disk; removes
 * temporary files of that name whose writer was killed. The folder's name is borrowed. Whatever it
 * returns, sb_file_release is due.
 * @return SB_OK; SB_ERR_SYSTEM, with the system's reason in the report; SB_ERR_NOMEM */
sb_status sb_file_prepare(sb_prepared_file *file, const char *folder, const char *name,
                          const char *bytes, size_t n, sb_report *report);
/** Forces a folder's list of names to the disk, after one was given or taken. A folder that cannot
 * be synced (some network file systems) is no reason to fail: the file is whole either way. */
void sb_sync_folder(const char *folder);
/** Gives a prepared file its name. @return SB_OK; SB_ERR_SYSTEM: what was there is untouched;
 * SB_ERR_NOMEM likewise, when that is the system's reason */
sb_status sb_file_place(sb_prepared_file *file, sb_report *report);
/** Removes the temporary file if it was not placed. */
void sb_file_release(sb_prepared_file *file);

/** Prepares and places one file. On failure a file that was there before is untouched and no
 * temporary file stays behind.
 * @return SB_OK; SB_ERR_SYSTEM, with the system's reason in the report; SB_ERR_NOMEM */
sb_status sb_write_file(const char *folder, const char *name, const char *bytes, size_t n,
                        sb_report *report);

#define SB_MOST_FILES 8
/** Files that belong together. */
typedef struct sb_file_set {
    size_t n; /**< at most SB_MOST_FILES */
    const char *const *names;
    /** Appends the i-th file to an empty text. @return SB_OK; SB_ERR_NOMEM */
    sb_status (*render)(const void *context, size_t i, sb_text *text);
    const void *context;
} sb_file_set;

/** Makes the folder and writes the set. All are written before the first gets its name: a full disk
 * leaves the old files all there and all of one kind.
 * @return as sb_write_file */
sb_status sb_write_set(const sb_file_set *set, const char *folder, sb_report *report);

#endif
