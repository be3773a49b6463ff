/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A kind of XML file that can be read: how it is known, and who takes it apart. */
#ifndef SB_READ_FORMAT_H
#define SB_READ_FORMAT_H

#include "read/xml.h"
#include "season/draft.h"

/** What every reader works on. */
typedef struct sb_reading {
    sb_draft *draft;
    const char *file; /**< lives as long as the draft */
    sb_report *report;
    sb_container *beside; /**< for a file that is spread over several */
} sb_reading;

/** One shape for every reader. Its state begins with an sb_reading, filled in by read.c; the rest
 * starts zeroed. */
typedef struct sb_format {
    const char *const *roots; /**< local names that the root element may have, NULL at the end */
    /** Namespaces that it may stand in, NULL at the end; another one gets a warning. */
    const char *const *namespaces;
    size_t state_size;
    sb_xml_handler handler;           /**< the root comes first */
    sb_status (*finish)(void *state); /**< after the root has ended; may be NULL */
    void (*release)(void *state);     /**< frees what the state owns, at any moment */
    /** RELAX NG schema that the whole file must also fit, NULL: none. Such a format is ours: it
     * may stand in no other namespace. */
    const char *schema;
    const char *schema_name; /**< as messages call it */
} sb_format;

extern const sb_format sb_format_kml;
extern const sb_format sb_format_learned;
extern const sb_format sb_format_gpx;
extern const sb_format sb_format_season;
extern const sb_format sb_format_taskdata;

/** docs/season.rng, built into the library. */
extern const char sb_season_schema[];
/** docs/learned.rng, likewise. */
extern const char sb_learned_schema[];

#endif
