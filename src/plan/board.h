/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The board: what every machine does, day by day. */
#ifndef SB_PLAN_BOARD_H
#define SB_PLAN_BOARD_H

#include "plan/wait.h"

/** In the order in which they are told everywhere. */
typedef enum sb_activity {
    SB_CUTTING,
    SB_MOVING,
    SB_CLEANING,
    SB_WAITING, /**< for a field to ripen, for another machine's field to be cut first, or for what
                     the machines share: it stands where it was */
    SB_N_ACTIVITIES
} sb_activity;

/** One thing that one machine does within one working day. */
typedef struct sb_span {
    int day;
    size_t route;
    sb_activity activity;
    size_t stop; /**< the stop that it is for; n_stops: the way home and the final cleanout */
    double begin_h, end_h; /**< working hours, begin_h < end_h */
    sb_wait wait;          /**< of SB_WAITING: for what, and from when to when in all */
} sb_span;

typedef struct sb_board {
    sb_span *spans; /**< by day, then by route, then by time */
    size_t n_spans;
    double (*hours)[SB_N_ACTIVITIES]; /**< by route: hours of each activity in all */
    size_t n_routes;
} sb_board;

/** Splits a priced plan's routes into days. A machine begins with the work for its first stop and
 * ends back and clean; a route whose dates are not finite has no spans. On failure there is nothing
 * to release. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_board_init(const sb_season *season, const sb_plan *plan, sb_board *board);
void sb_board_release(sb_board *board);

/** Spans of the same day as span `first`, from it on.
 * @param busy [out] a machine does more than wait; may be NULL */
size_t sb_board_day(const sb_board *board, size_t first, bool *busy);

/** Is a span the rest of a wait that began on an earlier day? */
bool sb_wait_goes_on(const sb_span *span);

/** Spans of the same day and machine as span `first`, from it on.
 * @param told [out] the machine does more than go on waiting */
size_t sb_board_machine(const sb_board *board, size_t first, bool *told);

/** "cutting", "moving", "cleaning", "waiting". */
const char *sb_activity_word(sb_activity activity);

#endif
