/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Moments of the log: the clock on the cab's wall, to the minute, in no time zone. */
#ifndef SB_LOG_MOMENT_H
#define SB_LOG_MOMENT_H

#include <limits.h>
#include <stdbool.h>

#include "season/calendar.h"

/** Minutes since 1970-01-01T00:00 on the local clock. */
typedef long sb_moment;
#define SB_NO_MOMENT LONG_MIN
#define SB_MINUTES_PER_DAY 1440

/** "2026-08-06T17:30" (a blank may stand for the T; seconds are dropped), whole.
 * @return false: *moment untouched */
bool sb_moment_parse(const char *text, sb_moment *moment);

/** "2026-08-06T17:30" and a NUL. */
void sb_moment_format(sb_moment moment, char out[17]);

/** The moment of a time in seconds since 1970 UTC, by the system's time zone. */
sb_moment sb_moment_local(long long seconds_utc);

/** Working hours of the season at a moment: outside working hours, those of the last before. */
double sb_moment_hours(const sb_calendar *calendar, sb_moment moment);

#endif
