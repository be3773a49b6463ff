/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Days as whole numbers: days since 1970-01-01, so that differences are subtractions. */
#ifndef SB_BASE_DATE_H
#define SB_BASE_DATE_H

#include <limits.h>
#include <stdbool.h>

#define SB_NO_DAY INT_MIN /**< "no date given" */

/** "YYYY-MM-DD" (proleptic Gregorian, years 1900-2199), whole, or "YYYY-MM-DDT..." whose time part
 * is ignored. @return false: *day untouched */
bool sb_date_parse(const char *text, int *day);

/** Writes "YYYY-MM-DD" and a NUL into out (11 bytes). */
void sb_date_format(int day, char out[11]);

#endif
