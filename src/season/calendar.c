/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "season/calendar.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/mem.h"

/* A moment later than this many working days is shown as that day: a century, far outside any
 * season, and small enough for every conversion to int. */
#define LAST_WORKING_DAY 36500.0

/* How many blocked days lie before `day`. */
static size_t blocked_before(const sb_calendar *calendar, int day)
{
    size_t low = 0, high = calendar->n_blocked;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (calendar->blocked[middle] < day)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

size_t sb_calendar_blocked_through(const sb_calendar *calendar, int day)
{
    return day < calendar->start_day
               ? 0
               : blocked_before(calendar, day + 1) - blocked_before(calendar, calendar->start_day);
}

double sb_calendar_hours_before(const sb_calendar *calendar, int day)
{
    if (day <= calendar->start_day)
        return 0;
    size_t blocked = sb_calendar_blocked_through(calendar, day - 1);
    double days = (double)day - calendar->start_day - (double)blocked;
    return days * calendar->hours_per_day;
}

double sb_calendar_hours_through(const sb_calendar *calendar, int day)
{
    return day < calendar->start_day ? 0 : sb_calendar_hours_before(calendar, day + 1);
}

/* The number, from 0, of the working day on which a moment falls. */
static int working_day(const sb_calendar *calendar, double hours, bool is_end)
{
    double shifted = is_end ? hours - SB_SAME_TIME_H : hours + SB_SAME_TIME_H;
    double number = floor(shifted / calendar->hours_per_day);
    return (int)fmin(fmax(number, 0), LAST_WORKING_DAY);
}

int sb_calendar_day(const sb_calendar *calendar, double hours, bool is_end)
{
    int day = calendar->start_day + working_day(calendar, hours, is_end);
    for (size_t i = blocked_before(calendar, calendar->start_day); i < calendar->n_blocked; i++) {
        if (calendar->blocked[i] > day)
            break;
        day++;
    }
    return day;
}

void sb_calendar_stamp(const sb_calendar *calendar, double hours, bool is_end, char out[17])
{
    int day = sb_calendar_day(calendar, hours, is_end);
    double worked = hours - sb_calendar_hours_before(calendar, day);
    worked = fmin(fmax(worked, 0), calendar->hours_per_day);
    unsigned minutes = (unsigned)lround(60 * (calendar->day_starts_h + worked));
    /* Work that goes on past midnight is on the next date. */
    day += (int)(minutes / (24 * 60));
    sb_date_format(day, out);
    snprintf(out + 10, 7, "T%02u:%02u", minutes / 60 % 24, minutes % 60);
}

double sb_calendar_total_hours(const sb_calendar *calendar)
{
    if (calendar->end_day == SB_NO_DAY)
        return INFINITY;
    return sb_calendar_hours_through(calendar, calendar->end_day);
}

bool sb_calendar_block(sb_calendar *calendar, int day)
{
    size_t at = blocked_before(calendar, day), after = calendar->n_blocked - at;
    if (after > 0 && calendar->blocked[at] == day)
        return true;
    int *grown = sb_resize(calendar->blocked, calendar->n_blocked + 1, sizeof *grown);
    if (grown == NULL)
        return false;
    memmove(grown + at + 1, grown + at, after * sizeof *grown);
    grown[at] = day;
    calendar->blocked = grown;
    calendar->n_blocked++;
    return true;
}
