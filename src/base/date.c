/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/date.h"

/* Days by the Gregorian calendar, counted in years that begin in March, so that the odd day comes
 * last: 400 years are DAYS_400 days, and month m of such a year begins after (153 m + 2) / 5. */
#define DAYS_400 146097
#define DAYS_TO_1970 719468 /* from 1 March of the year 0 */

#define FIRST_YEAR 1900
#define LAST_YEAR 2199

static int day_of(int year, int month, int of_month)
{
    int march_year = month > 2 ? year : year - 1;
    int since_march = month > 2 ? month - 3 : month + 9;
    int era = march_year / 400, of_era = march_year % 400;
    int of_year = (153 * since_march + 2) / 5 + of_month - 1;
    return era * DAYS_400 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - DAYS_TO_1970;
}

/* n digits as a number, -1 when something else stands there. */
static int digits(const char *text, int n)
{
    int value = 0;
    for (int i = 0; i < n; i++) {
        if (text[i] < '0' || text[i] > '9')
            return -1;
        value = value * 10 + (text[i] - '0');
    }
    return value;
}

bool sb_date_parse(const char *text, int *day)
{
    static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    int year = digits(text, 4);
    if (year < FIRST_YEAR || year > LAST_YEAR || text[4] != '-')
        return false;
    int month = digits(text + 5, 2);
    if (month < 1 || month > 12 || text[7] != '-')
        return false;
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    int of_month = digits(text + 8, 2);
    if (of_month < 1 || of_month > lengths[month - 1] + (month == 2 && leap))
        return false;
    if (text[10] != '\0' && text[10] != 'T')
        return false;
    *day = day_of(year, month, of_month);
    return true;
}

static void put(char *out, int value, int n)
{
    for (; n > 0; n--, value /= 10)
        out[n - 1] = (char)('0' + value % 10);
}

void sb_date_format(int day, char out[11])
{
    int shifted = day + DAYS_TO_1970;
    int era = shifted / DAYS_400, of_era = shifted % DAYS_400;
    if (of_era < 0) {
        era--;
        of_era += DAYS_400;
    }
    int year = (of_era - of_era / 1460 + of_era / 36524 - of_era / 146096) / 365;
    int of_year = of_era - (365 * year + year / 4 - year / 100);
    int since_march = (5 * of_year + 2) / 153;
    int month = since_march < 10 ? since_march + 3 : since_march - 9;
    put(out, era * 400 + year + (month <= 2), 4);
    out[4] = '-';
    put(out + 5, month, 2);
    out[7] = '-';
    put(out + 8, of_year - (153 * since_march + 2) / 5 + 1, 2);
    out[10] = '\0';
}
