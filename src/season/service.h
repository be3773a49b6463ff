/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Which machine may serve which field, and when. */
#ifndef SB_SEASON_SERVICE_H
#define SB_SEASON_SERVICE_H

#include "base/text.h"
#include "season/season.h"

/** Why a machine may not cut a field. */
typedef enum sb_hindrance {
    SB_UNHINDERED,
    SB_HINDERED_BY_WISH,  /**< the field is for other machines only */
    SB_HINDERED_BY_CROP,  /**< the machine does not cut that crop */
    SB_HINDERED_BY_GATE,  /**< its header is wider than the gate */
    SB_HINDERED_BY_SLOPE, /**< the field is steeper than it may cut */
} sb_hindrance;

/** The first reason why a machine may never cut a field, whatever the date. */
sb_hindrance sb_season_hindrance(const sb_season *season, int machine, int field);
/** No such reason? */
bool sb_season_may_cut(const sb_season *season, int machine, int field);
/** Adds the reason in words, "its header is 12 m wide, the gate 9 m"; nothing without one. */
void sb_season_add_hindrance(const sb_season *season, int machine, int field, sb_text *text);

/** Working hours between which a machine is at work: before from_h it stands in its yard and does
 * nothing (one that the log left elsewhere stands there), at to_h at the latest it is back and
 * clean. */
typedef struct sb_window {
    double from_h; /**< >= 0 */
    double to_h;   /**< the least of its own last day, its season hours and the calendar's end;
                        INFINITY: no limit; may be less than from_h */
} sb_window;
sb_window sb_season_window(const sb_season *season, int machine);

/** From when to when a machine could cut a field: its own window and the field's, less the final
 * cleanout. */
sb_window sb_season_common_window(const sb_season *season, int machine, int field);

/** Could a machine cut a field between its own dates and the field's if it had nothing else to do?
 * The way there and back is not counted. */
bool sb_season_has_time(const sb_season *season, int machine, int field);

/** Looks for what no order and no assignment can mend: fields that no machine may cut or, of
 * several machines, none has the time for; and machines with less time than the fields need that
 * nobody else may cut.
 * @param machine the only one that may work, or -1: all may
 * @param report  one error for each such field, machine by machine with the reason; or by how
 *                much the season is too short; and where the files set the hours that are too few
 * @return SB_OK: nothing of that kind; SB_ERR_INFEASIBLE; SB_ERR_NOMEM */
sb_status sb_season_unservable(const sb_season *season, int machine, sb_report *report);

/** Says when a machine sets out first (from), and when it has to be back (to), with file and line.
 * @param lead what the message begins with */
void sb_machine_say_from(const sb_machine *machine, const char *lead, sb_report *report);
void sb_machine_say_to(const sb_machine *machine, const char *lead, sb_report *report);

/** Says how many days are blocked until a day, and where a file blocks the most; nothing when none
 * is. */
void sb_season_say_blocked(const sb_season *season, int last_day, sb_report *report);

#endif
