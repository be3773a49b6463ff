/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE
#include "base/date.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

#define SECONDS_PER_DAY 86400

bool sb_date_parse(const char *text, int *day)
{
    if (strspn(text, "0123456789-") < 10)
        return false;
    struct tm parsed = {0};
    const char *end = strptime(text, "%Y-%m-%d", &parsed);
    if (end != text + 10 || (*end != '\0' && *end != 'T'))
        return false;
    if (parsed.tm_year < 0 || parsed.tm_year >= 300)
        return false;
    struct tm normal = parsed;
    time_t seconds = timegm(&normal);
    /* timegm turns 31 June into 1 July: such a date does not exist. */
    if (normal.tm_mday != parsed.tm_mday || normal.tm_mon != parsed.tm_mon)
        return false;
    *day = (int)(seconds / SECONDS_PER_DAY - (seconds % SECONDS_PER_DAY < 0));
    return true;
}

void sb_date_format(int day, char out[11])
{
    time_t seconds = (time_t)day * SECONDS_PER_DAY;
    struct tm broken;
    gmtime_r(&seconds, &broken);
    if (strftime(out, 11, "%Y-%m-%d", &broken) == 0)
        out[0] = '\0';
}
