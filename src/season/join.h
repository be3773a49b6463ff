/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Inside of the join: a draft on its way to a season. Private to src/season.
 *
 * Every step adds its errors to the report and goes on, so that one run names them all; a step
 * returns only SB_OK or SB_ERR_NOMEM. Indexes left by a failed look-up are always valid ones. */
#ifndef SB_SEASON_JOIN_H
#define SB_SEASON_JOIN_H

#include "base/report.h"
#include "base/text.h"
#include "season/season.h"

/** A field by name. */
typedef struct sb_named {
    const char *name;
    int field; /**< index of a field, or ~index of a field already cut */
} sb_named;

typedef struct sb_joining {
    sb_draft *draft; /**< its setup has moved into the season */
    sb_season *season;
    sb_report *report;
    size_t errors;
    sb_feature **from; /**< the feature of each field of the season */
    sb_field *cut;     /**< fields already cut (role `cut`), built like the others */
    sb_feature **cut_from;
    size_t n_cut;
    sb_feature **scouts; /**< scouting points */
    size_t n_scouts;
    sb_feature **yards;
    size_t n_yards;
    sb_feature **patches; /**< of fields */
    size_t n_patches;
    sb_named *names; /**< fields and cut fields, sorted by name */
    size_t n_names;
    bool start_assumed;  /**< the calendar starts on a day that nobody stated */
    bool yard_assumed;   /**< no yard was given */
    bool points_swapped; /**< scouting points lie in no field, but would with longitude and latitude
                              swapped */
} sb_joining;

/** Reports an error and counts it. */
#define SB_JOIN_BAD(join, file, line, ...) \
    ((join)->errors++, (void)sb_bad((join)->report, file, line, __VA_ARGS__))

/* ---- Looking things up (join.c) ---- */

/** The last attribute of that key whose value is not empty, or NULL. */
const sb_attribute *sb_join_attribute(const sb_feature *feature, const char *key);
/** Does it rate a weed? */
bool sb_join_rates(const sb_feature *feature);
/** The file an attribute stands in. */
const char *sb_join_file(const sb_feature *feature, const sb_attribute *attribute);
/** Where an attribute stands; nowhere for NULL. */
sb_stated sb_join_stated(const sb_feature *feature, const sb_attribute *attribute);
/** A field by name: its index, ~index of a cut field, or INT_MIN: no such field. */
int sb_join_field_named(const sb_joining *join, const char *name);
/** Adds `: did you mean 'North'` when fields have a name near this one. */
void sb_join_add_near_field(const sb_joining *join, sb_text *text, const char *name);
/** Adds "a, b, c": the ids of n items of `size` bytes that start with their id. */
void sb_join_add_ids(sb_text *text, const void *items, size_t n, size_t size);
/** Adds what an unknown id could have been: "one of a, b or one added in the season file", and the
 * ids near it. Items as in sb_join_add_ids. */
void sb_join_add_expected(sb_text *text, const char *wanted, const void *items, size_t n,
                          size_t size);
/** Index of a cleanout that an attribute names, with an error and 0 when there is none. */
int sb_join_cleanout(sb_joining *join, const char *id, const char *file, size_t line);

/* ---- The steps, in their order ---- */

/** Numbers of the setup are in range; lists fit their limits (join_setup.c). */
void sb_join_check_setup(sb_joining *join);
/** A field from its feature, all that needs no other feature (join_fields.c). */
sb_status sb_join_field(sb_joining *join, sb_feature *feature, sb_field *field);
/** Warns of keys and notes that say nothing to us but nearly would (join_keys.c).
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_join_warn_unread(sb_joining *join);
/** Hands scouting points to the fields that contain them (join_scouting.c). */
sb_status sb_join_scouting(sb_joining *join);
/** Ratings of a field from attributes and points, and the numbers that follow (join_ratings.c). */
void sb_join_ratings(sb_joining *join, sb_feature *feature, sb_field *field);
/** Who may cut a field and after whom: `only` and `apart:GROWER` (join_rules.c). */
sb_status sb_join_rules(sb_joining *join);
/** Patches of fields: what is cut last becomes a field of its own, what is left standing goes
 * (join_patches.c). */
sb_status sb_join_patches(sb_joining *join);
/** A copy without name that owns what it holds. @return SB_OK; SB_ERR_NOMEM, to be released too */
sb_status sb_join_copy_field(const sb_field *from, sb_field *to);
/** Fields that are split become several, and lists that name them name all parts; the indexes of
 * the other fields change with it (join_split.c). */
sb_status sb_join_split(sb_joining *join);
/** `after` lists, and no circle in them (join_after.c). */
sb_status sb_join_after(sb_joining *join);
/** The calendar's start and what dates say about each other (join_setup.c). */
void sb_join_calendar(sb_joining *join);
/** Yards, and what each machine starts from and ends with (join_machines.c). */
sb_status sb_join_machines(sb_joining *join);
/** Road distances, and doubts about places (join_places.c). */
sb_status sb_join_places(sb_joining *join);
/** Warns of fields and yards far from all others, and of numbers that look swapped (join_far.c).
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_join_doubt_places(sb_joining *join);
/** What the answer will rest on that no file said (assume.c). */
sb_status sb_join_assumptions(sb_joining *join);

/** Centre of n places, longitudes taken around the first (join_places.c). */
sb_lonlat sb_join_centre(const sb_lonlat *places, size_t n);

/** Warns of fields that overlap, with the overlap in hectares, of fields drawn twice and of
 * slivers (join_overlaps.c). @return SB_OK; SB_ERR_NOMEM */
sb_status sb_check_overlaps(const sb_season *season, sb_report *report);

#endif
