/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Reading files in tests: paths, files made on the spot, and what the report said. */
#ifndef SUPPORT_DRAFTS_H
#define SUPPORT_DRAFTS_H

#include "read/read.h"

#define SUPPORT_PATH_BYTES 1024

/** A file of the repository, by its path from the top. Returns path. */
const char *support_source(const char *relative, char path[SUPPORT_PATH_BYTES]);
/** A file of the fetched reference data. @return false: it is not here; skip, visibly */
bool support_reference(const char *relative, char path[SUPPORT_PATH_BYTES]);

/** A folder for one test program's files, made on the first call; "" when it cannot be made. */
const char *support_folder(void);
void support_folder_remove(void);
/** Writes a file into it; fails the test when it cannot. Returns path. */
const char *support_file(const char *name, const char *bytes, size_t n,
                         char path[SUPPORT_PATH_BYTES]);

/** One reading: make it, look at it, release it. */
typedef struct support_reading {
    sb_draft draft;
    sb_report *report;
    sb_status status;
    char *messages; /**< "LINE: text" of every message, " | " between; "" when there is none */
} support_reading;
support_reading support_read(const char *const *paths, size_t n, const sb_read_options *options);
/** A single file made of text. */
support_reading support_read_text(const char *name, const char *text);
void support_reading_release(support_reading *reading);

/** Vertices and square metres of all features together. */
size_t support_vertices(const sb_draft *draft);
double support_area_m2(const sb_draft *draft);
/** The feature of that name; NULL when there is none. */
const sb_feature *support_feature(const sb_draft *draft, const char *name);

#endif
