/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What the track of a machine's receiver says of the fields it has cut. */
#ifndef SB_LOG_TRACK_H
#define SB_LOG_TRACK_H

#include "log/season.h"

/* How a track is matched to fields (docs/formats.md). All are common practice, no source. */

/** A leg faster than this is driving. */
#define SB_TRACK_MOST_CUTTING_KM_H 12.0
/** A leg longer than one of these tells nothing of what lies between its ends. */
#define SB_TRACK_LEG_M 250.0
#define SB_TRACK_LEG_S 600
/** Steps shorter than this are the receiver's noise. */
#define SB_TRACK_STEP_M 5.0
/** Out of a field for no longer than this is a turn, or unloading. */
#define SB_TRACK_OUT_S 1800
/** A shorter stay, or a smaller share of the field, is a pass. */
#define SB_TRACK_STAY_S 600
#define SB_TRACK_SHARE 0.02
/** From this share on a field is finished: header overlap and headlands make up the rest. */
#define SB_TRACK_FINISHED 0.9

/** One place and time of a track. */
typedef struct sb_fix {
    sb_lonlat place;
    long long seconds; /**< since 1970, UTC */
    size_t line;
    size_t number; /**< in the file */
    bool begins;   /**< a segment: nothing is known of the way to it */
} sb_fix;

typedef struct sb_track {
    struct {
        sb_fix *items;
        size_t count, capacity;
    } fixes; /**< ascending in time */
} sb_track;

/** Reads all tracks of a GPX file; segments are put in the order of their times.
 * @return SB_OK; SB_ERR_INPUT (no GPX, no track, a point without a time or before the one before
 *         it); SB_ERR_SYSTEM; SB_ERR_NOMEM. Release in any case */
sb_status sb_track_read(const char *path, sb_report *report, sb_track *track);
void sb_track_release(sb_track *track);

/** A stay in one field. */
typedef struct sb_stay {
    int field;
    long long from_s, to_s;
    double cut_m;  /**< of track inside, at cutting speed */
    double share;  /**< of the field's area that this covers, at most what was left */
    bool counts;   /**< long and large enough for work */
    bool finishes; /**< the field is finished with it */
    size_t logged; /**< number of the entry that the log has of it already; 0: none */
} sb_stay;

typedef struct sb_stays {
    sb_stay *items;
    size_t count, capacity;
} sb_stays;

/** The stays of a track in the fields of a season, in the order of time. A leg lies in the field
 * that its middle lies in; one that tells nothing, in that of both its ends.
 * @param width_m of the swath
 * @param cut_share by field: what was cut before
 * @return SB_OK; SB_ERR_NOMEM. The caller frees the items in any case */
sb_status sb_track_stays(const sb_season *season, const sb_track *track, double width_m,
                         const double *cut_share, sb_stays *stays);

/** Judges the stays anew: which are work, and how much of its field each cut. Those that are logged
 * are not. Parameters as above. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_track_judge(const sb_season *season, double width_m, const double *cut_share,
                         sb_stays *stays);

#endif
