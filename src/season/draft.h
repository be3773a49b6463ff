/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A draft: what the files say, word for word, before anybody asked whether it makes sense.
 *
 * src/read fills a draft; src/season/join.c turns it into a season. Readers check syntax (numbers
 * are numbers, rings have vertices); the join checks meaning (the crop exists, the rating is on
 * the scale, the outline does not cross itself). */
#ifndef SB_SEASON_DRAFT_H
#define SB_SEASON_DRAFT_H

#include <stdbool.h>
#include <stddef.h>

#include "geo/geo.h"
#include "season/numbers.h"
#include "season/setup.h"

#define SB_APART_KEY "apart:" /**< and the grower */
/** The value of an attribute `apart:GROWER` that names no cleanout: any full one will do. */
#define SB_ANY_FULL "any full"

/** One attribute of a feature: `crop`, `weed:kochia`, ... Strings are owned, values trimmed. */
typedef struct sb_attribute {
    char *key, *value;
    size_t line;
    const char *file; /**< NULL: the feature's own file; else borrowed from the draft's file list,
                           for what a season file lays over a field */
    bool holds;       /**< a rating said later than the scouting: it holds against the points */
} sb_attribute;

typedef enum sb_feature_kind {
    SB_FEATURE_AREA,  /**< has parts */
    SB_FEATURE_POINT, /**< has a place */
    /** What a season file lays over the field of that name; none is left when reading ends. */
    SB_FEATURE_OVERLAY,
} sb_feature_kind;

/** One Placemark, track, route, waypoint or partfield. */
typedef struct sb_feature {
    sb_feature_kind kind;
    char *name;   /**< trimmed; NULL when the file gives none */
    char *folder; /**< path of the folders around it, "North/Home"; NULL at the top */
    struct {
        sb_attribute *items;
        size_t count, capacity;
    } attributes;
    struct {
        sb_part *items;
        size_t count, capacity;
    } parts;
    sb_lonlat place;
    char *note;         /**< what type, cmt and desc of a GPX waypoint say; NULL: nothing */
    bool from_waypoint; /**< a GPX wpt: a point that is a scouting point unless role says else */
    const char *file;   /**< borrowed from the draft's file list */
    size_t line;
} sb_feature;

/** km between named places, from a travel table; NAN where there is no way. */
typedef struct sb_travel_table {
    const char *file; /**< NULL: no table */
    char **names;
    size_t n;
    double *km; /**< n x n, row = from */
} sb_travel_table;

typedef struct sb_draft {
    sb_setup setup;
    struct {
        sb_feature *items;
        size_t count, capacity;
    } features;
    struct {
        char **items;
        size_t count, capacity;
    } files; /**< names of the files read; features borrow them */
    sb_travel_table travel;
    sb_factors learned;       /**< what earlier seasons taught, applied once all files are read */
    const char *learned_file; /**< that says so, or NULL */
    const char *season_file;  /**< the season file laid over the built-in setup, or NULL */
} sb_draft;

/** An empty draft with the built-in setup. @return SB_OK, SB_ERR_NOMEM */
sb_status sb_draft_init(sb_draft *draft);
void sb_draft_release(sb_draft *draft);

/** Adds a feature, its strings and parts handed over; on failure they are released. */
sb_status sb_draft_add_feature(sb_draft *draft, sb_feature *feature);
/** Drops the features after the first `keep`: what a file gave before it turned out bad. */
void sb_draft_forget_features(sb_draft *draft, size_t keep);
/** Adds an attribute; key and value are copied, the value trimmed. An empty value is none: nothing
 * is added. */
sb_status sb_feature_add_attribute(sb_feature *feature, const char *key, const char *value,
                                   size_t line);
/** The value of the last attribute of that key, or NULL: what is laid over later wins. */
const char *sb_feature_attribute(const sb_feature *feature, const char *key);
/** Takes every attribute of that key out. */
void sb_feature_drop_attribute(sb_feature *feature, const char *key);
/** The field of that name: an outline, or else a point that is more than a scouting point; NULL:
 * no such field. */
sb_feature *sb_draft_field(sb_draft *draft, const char *name);
/** Reports that no field has this name, with those near it. @return SB_ERR_INPUT; SB_ERR_NOMEM */
sb_status sb_draft_no_field(const sb_draft *draft, const char *name, const char *file, size_t line,
                            sb_report *report);
void sb_feature_release(sb_feature *feature);
/** A copy of a file name that lives as long as the draft; NULL when out of memory. */
const char *sb_draft_file(sb_draft *draft, const char *path);

#endif
