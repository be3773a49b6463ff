/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Where bytes come from: a file on disk, or an entry of an archive read without unpacking it. */
#ifndef SB_READ_SOURCE_H
#define SB_READ_SOURCE_H

#include <stdbool.h>
#include <stddef.h>

#include "seedbreak.h"

typedef struct sb_source sb_source;
struct sb_source {
    const char *name; /**< as messages call it; borrowed */
    void *stream;
    /** Up to n bytes. @return how many, 0 at the end, -1 on failure with errno set */
    long (*read)(sb_source *source, char *bytes, size_t n);
    /** Back to the first byte. @return false on failure */
    bool (*rewind)(sb_source *source);
    void (*close)(sb_source *source);
    const char *fault; /**< why read failed, when the bytes themselves are to blame; else NULL */
};

/** Where files lie side by side: a folder, or a folder inside an archive. */
typedef struct sb_container sb_container;
struct sb_container {
    void *archive;     /**< NULL: a folder on disk */
    const char *place; /**< path of a file in it; borrowed */
    /** Opens the file of that name (no folders in it) beside `place`.
     * @param path the name to give to the source, lives as long as it
     * @return false, with errno set: there is none, or (ENOMEM) no memory */
    bool (*open)(sb_container *container, const char *name, const char *path, sb_source *source);
};

/** The folder that a file on disk lies in. */
sb_container sb_container_of_file(const char *path);

/** Opens a file for reading. Folders and other things that are no file are refused.
 * @return SB_OK (the caller closes it through source->close); SB_ERR_SYSTEM; SB_ERR_INPUT */
sb_status sb_source_open(sb_source *source, const char *path, sb_report *report);

/** Reports why a read failed. @return SB_ERR_INPUT; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_source_failed(const sb_source *source, sb_report *report);

/** Fills bytes as far as the source goes, n at most. @return as read */
long sb_source_fill(sb_source *source, char *bytes, size_t n);

#endif
