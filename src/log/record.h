/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The record of a season: for each grower what was cut, cleaned, found and brought, every line
 * with the number of the log entry that it rests on. */
#ifndef SB_LOG_RECORD_H
#define SB_LOG_RECORD_H

#include "log/season.h"

typedef enum sb_record_kind {
    SB_RECORD_CUT,
    SB_RECORD_CLEANED,   /**< before the machine came in */
    SB_RECORD_TARP,      /**< what lay on the tarp then, a weed a line */
    SB_RECORD_BROUGHT,   /**< expected, an origin and weed a line */
    SB_RECORD_SEEDLINGS, /**< found next spring, a weed a line */
} sb_record_kind;

typedef struct sb_record_line {
    sb_record_kind kind;
    int field, grower; /**< whom it is about; grower -1: nobody named */
    size_t entry;      /**< index in the log */
    size_t place;      /**< of that entry in the order in which things happened: lines go by it */
    size_t counted;    /**< SB_RECORD_TARP: index of the entry that counted it, the cleanout itself
                            or a later one; else as entry */
    int weed;          /**< -1: none */
    size_t origin;     /**< SB_RECORD_BROUGHT: field, or n_fields: before the season */
    double cut_ha; /**< SB_RECORD_CUT: of the field's area, as the loads were worked out with; else
                        NAN */
    double expected; /**< seeds; NAN: nothing is */
    double found;    /**< seeds, or seedlings; NAN: nobody looked */
} sb_record_line;

typedef struct sb_record {
    const sb_log_state *state; /**< borrowed */
    struct {
        sb_record_line *items;
        size_t count, capacity;
    } lines; /**< by grower, then by entry */
} sb_record;

/** @return SB_OK; SB_ERR_NOMEM. Release in any case */
sb_status sb_record_make(const sb_log_state *state, sb_record *record);
void sb_record_release(sb_record *record);

/** "cut", "brought": the word for a kind. */
const char *sb_record_word(sb_record_kind kind);
/** The grower's name, or "grower not named". */
const char *sb_record_grower(const sb_season *season, int grower);

/** Renderers: append to the text. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_render_record_csv(const sb_record *record, sb_text *text);
sb_status sb_render_record_html(const sb_record *record, sb_text *text);
/** Strips to walk next spring, a waypoint for each field that was given seeds, worst first (GPX).
 */
sb_status sb_render_scouting_gpx(const sb_log_state *state, sb_text *text);

#endif
