/* SPDX-License-Identifier: GPL-3.0-or-later */
/** From a log to where everything stands: the season replayed as it happened. */
#ifndef SB_LOG_SEASON_H
#define SB_LOG_SEASON_H

#include "carry/carry.h"
#include "log/log.h"

/** A machine after the log's last entry about it. */
typedef struct sb_machine_state {
    bool worked; /**< it has cut or been cleaned this season */
    bool has_cut;
    bool half_way;  /**< it stands in a field that it has cut a part of, and has not been cleaned;
                         with other machines in the season: nor been away, nor did one cut there */
    int place;      /**< where it stands: place number of the season */
    sb_moment last; /**< end of its last entry; SB_NO_MOMENT: none */
    size_t entry;   /**< index of that entry */
    double free_h;  /**< working hours: it can go on from then */
    int cleanout;   /**< on record since the last field, -1: none */
    bool cleaned;   /**< it was done this season, since the last field */
    uint16_t *cut_since; /**< by grower, as in the season */
    sb_load *loads;      /**< by origin: the fields, then the start load */
    /* Half way through a field: how it came to its gate, and what it has brought there since. */
    sb_load *entry_loads;
    int entry_cleanout;
    bool entry_cleaned;
    uint16_t *entry_cut_since;
    double entry_loss; /**< money */
} sb_machine_state;

typedef struct sb_field_state {
    double cut_share; /**< of the field's area, 0..1 */
    bool finished;    /**< nothing more is to be cut */
    bool dropped;     /**< taken out of the season before it was finished */
    double strip_m;   /**< of swath from the entry that hold 90 % of the loose seeds brought, the
                           longest of its entries; 0: none */
    int machine;      /**< that cut it last, -1: nobody */
    double until_h;   /**< working hours when it was cut last */
    size_t entry;     /**< index of the entry that finished or dropped it, or cut it last */
} sb_field_state;

/** What one cleanout is expected to have laid on the tarp. */
typedef struct sb_tarp_state {
    size_t entry; /**< index */
    int machine, cleanout;
    double kg;                  /**< material */
    double seeds[SB_MAX_WEEDS]; /**< expected */
} sb_tarp_state;

/** What a machine did, in the order in which it happened: cut (a part of) a field, or was cleaned.
 */
typedef struct sb_log_step {
    size_t entry; /**< index */
    int machine;
    int field;     /**< -1: cleaned */
    double share;  /**< of the field's area */
    int cleanout;  /**< -1: cut */
    bool enters;   /**< it came into the field then, and was not half way through it */
    int on_record; /**< of a cut: cleanout that the machine came with, -1: none since its last field
                    */
} sb_log_step;

typedef struct sb_log_state {
    const sb_season *season; /**< borrowed, like the log */
    const sb_log *log;
    sb_machine_state *machines;
    sb_field_state *fields;
    struct {
        sb_tarp_state *items;
        size_t count, capacity;
    } tarps;
    struct {
        sb_log_step *items;
        size_t count, capacity;
    } steps;
    sb_ledger ledger;      /**< who gave what to whom until now */
    sb_cost cost;          /**< what was spent and lost until now */
    double cleaning_cost;  /**< of it against the limit on cleaning: all cleanouts before a field */
    double full_cleanouts; /**< done */
} sb_log_state;

/** Replays a log on its season, which sb_season_read_log has read: every entry that is not struck
 * names things that exist, comes not before the one before it of its machine as they happened, and
 * cuts nothing twice. Own seeds that fall in the field they come from are not brought.
 * @return SB_OK; SB_ERR_INPUT (nonsense: reported with the entry's line); SB_ERR_NOMEM. Release in
 *         any case */
sb_status sb_log_replay(const sb_season *season, const sb_log *log, sb_report *report,
                        sb_log_state *state);
void sb_log_state_release(sb_log_state *state);

/** Warns of entries that a replay took but that are likely slips: far more hectares an hour than
 * the machine cuts, a field cut before it is ready, against a rule (the machine's limits, the
 * cleanout demanded before entry, growers kept apart, fields to be cut after others) or finished
 * with a part of its hectares, far more on the tarp than the machine holds, something said out of
 * season. Notes what stays standing. */
void sb_log_say_doubts(const sb_log_state *state, sb_report *report);
/** Refuses a new entry that cannot be, though older logs may hold such: more hectares an hour than
 * the header passes over at road speed, a tarp heavier than any machine, seedlings before the cut,
 * a machine at work half a year out of season, a cleanout that cleans nothing, a weed rated twice,
 * a field dropped before a part of it was cut.
 * @param index of the entry
 * @return SB_OK; SB_ERR_INPUT (reported) */
sb_status sb_log_check_new(const sb_log_state *state, size_t index, sb_report *report);
/** Adds "on 2020-01-01, but the season starts on 2026-08-03 (calendar)" when days lie more than so
 * many outside the season that the calendar states. @return true: they do */
bool sb_log_add_outside(const sb_season *season, int first_day, int last_day, int most_days,
                        sb_text *text);
/** Refuses a new field whose longitude and latitude look swapped.
 * @return SB_OK; SB_ERR_INPUT (reported) */
sb_status sb_log_check_place(const sb_season *season, const sb_log *log, const sb_log_entry *entry,
                             sb_report *report);

/** Seeds of a weed that a machine holds, all pools and origins. */
double sb_machine_state_seeds(const sb_log_state *state, int machine, int weed);

/** What is left of a season: the fields still to be cut, each machine standing where it stands with
 * what it holds, from the hour it can go on, under the limits that are left. A field cut in part is
 * there with the rest of its hectares. A machine half way through a field goes on as if it came to
 * its gate again, which carries the same seeds on: what it has brought there is brought in the
 * rest, not before. That field is for it alone and comes first of its fields. A machine that has
 * worked goes home and does its final cleanout even without a field, unless that is done. A field
 * to be cut after another begins no sooner than that one was finished.
 * @param becomes [out] n_fields: index in the rest of each field, -1: not in it
 * @param rest    [out] without a field when none is left; the caller frees it with sb_season_free
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_state_rest(const sb_log_state *state, int *becomes, sb_season **rest);
/** Has the machine cut, and is it not back in its yard with its final cleanout done? */
bool sb_state_is_due_home(const sb_log_state *state, int machine);
/** What the season has cost until now; with a rest, without what is counted there. */
sb_cost sb_state_cost(const sb_log_state *state);
/** Money, by the crops' prices: grain of fields that were dropped or finished without all of it. */
double sb_state_standing(const sb_log_state *state);

/** Lets a machine of the state go on as if a cleanout were done now, or a part of a field cut, for
 * plans that have not happened. @return SB_OK */
void sb_state_clean(sb_log_state *state, int machine, int cleanout, sb_tarp_state *tarp);
void sb_state_cut(sb_log_state *state, int machine, int field, double share);

#endif
