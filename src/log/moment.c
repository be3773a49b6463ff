/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "log/moment.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "base/date.h"

static int two_digits(const char *text)
{
    return strspn(text, "0123456789") >= 2 ? (text[0] - '0') * 10 + (text[1] - '0') : -1;
}

bool sb_moment_parse(const char *text, sb_moment *moment)
{
    char date[11] = "";
    size_t length = strlen(text);
    if (length != 16 && length != 19)
        return false;
    memcpy(date, text, 10);
    int day, hours = two_digits(text + 11), minutes = two_digits(text + 14);
    if (!sb_date_parse(date, &day) || (text[10] != 'T' && text[10] != ' ') || text[13] != ':')
        return false;
    if (strspn(text + 11, "0123456789") != 2 || hours > 23 || minutes < 0 || minutes > 59)
        return false;
    if (length == 19 &&
        (text[16] != ':' || strspn(text + 17, "0123456789") != 2 || two_digits(text + 17) > 59))
        return false;
    if (length == 16 && strspn(text + 14, "0123456789") != 2)
        return false;
    *moment = (sb_moment)day * SB_MINUTES_PER_DAY + hours * 60 + minutes;
    return true;
}

static int day_of(sb_moment moment)
{
    return (int)(moment / SB_MINUTES_PER_DAY - (moment % SB_MINUTES_PER_DAY < 0));
}

void sb_moment_format(sb_moment moment, char out[17])
{
    int day = day_of(moment);
    unsigned minutes = (unsigned)(moment - (sb_moment)day * SB_MINUTES_PER_DAY);
    sb_date_format(day, out);
    snprintf(out + 10, 7, "T%02u:%02u", minutes / 60 % 24, minutes % 60);
}

sb_moment sb_moment_local(long long seconds_utc)
{
    time_t seconds = (time_t)seconds_utc;
    struct tm local;
    if (localtime_r(&seconds, &local) == NULL)
        return SB_NO_MOMENT;
    char date[11];
    int day;
    if (strftime(date, sizeof date, "%Y-%m-%d", &local) == 0 || !sb_date_parse(date, &day))
        return SB_NO_MOMENT;
    return (sb_moment)day * SB_MINUTES_PER_DAY + local.tm_hour * 60 + local.tm_min;
}

double sb_moment_hours(const sb_calendar *calendar, sb_moment moment)
{
    int day = day_of(moment);
    double clock_h = (double)(moment - (sb_moment)day * SB_MINUTES_PER_DAY) / 60;
    /* Work that goes on past midnight belongs to the day on which it began. */
    if (clock_h < calendar->day_starts_h &&
        clock_h + 24 <= calendar->day_starts_h + calendar->hours_per_day) {
        day--;
        clock_h += 24;
    }
    double before = sb_calendar_hours_before(calendar, day);
    double through = sb_calendar_hours_through(calendar, day);
    return fmin(fmax(before, before + clock_h - calendar->day_starts_h), through);
}
