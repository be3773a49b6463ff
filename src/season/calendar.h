/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The season's calendar: between dates and working hours.
 *
 * Inside, time is working hours since the season began: nights, blocked days and everything else
 * when nobody works have length zero. Work may stop in the evening and go on next morning, so
 * durations simply add up. */
#ifndef SB_SEASON_CALENDAR_H
#define SB_SEASON_CALENDAR_H

#include <stdbool.h>
#include <stddef.h>

#include "base/date.h"

typedef struct sb_calendar {
    int start_day;        /**< first day of the season */
    int end_day;          /**< last day, or SB_NO_DAY */
    double hours_per_day; /**< 0 < h <= 24 */
    double day_starts_h;  /**< clock time of the first working hour, 0..24 */
    int *blocked;         /**< days without work, ascending, no doubles */
    size_t n_blocked;
} sb_calendar;

/** Two times closer than this are the same moment (h): a few milliseconds, far above rounding. */
#define SB_SAME_TIME_H 1e-6

/** Working hours before the first moment of a day; 0 for days before the season. */
double sb_calendar_hours_before(const sb_calendar *calendar, int day);
/** Blocked days of the season up to a day, itself included. */
size_t sb_calendar_blocked_through(const sb_calendar *calendar, int day);
/** Working hours up to the last moment of a day. */
double sb_calendar_hours_through(const sb_calendar *calendar, int day);
/** The day on which moment hours falls. A moment between two working days is the evening of the
 * first when work ends there (is_end), the morning of the second when work begins. */
int sb_calendar_day(const sb_calendar *calendar, double hours, bool is_end);
/** "YYYY-MM-DDTHH:MM" of a moment, rounded to the minute, with a NUL (17 bytes). */
void sb_calendar_stamp(const sb_calendar *calendar, double hours, bool is_end, char out[17]);
/** Blocks one more day. @return false: out of memory */
bool sb_calendar_block(sb_calendar *calendar, int day);
/** All working hours from start to end_day; INFINITY without an end. */
double sb_calendar_total_hours(const sb_calendar *calendar);

#endif
