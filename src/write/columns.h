/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Text in columns: widths are counted as a terminal shows them, not in bytes, and characters that
 * could move the cursor or turn the line around never get through. */
#ifndef SB_WRITE_COLUMNS_H
#define SB_WRITE_COLUMNS_H

#include <stdbool.h>

#include "base/text.h"

/** Width of every table that we print. */
#define SB_PAGE_COLUMNS 80

/** Columns that UTF-8 text takes: 2 for wide East Asian characters, 0 for combining marks.
 * A control character or a broken byte counts 1, the way sb_columns_add shows it. */
int sb_columns_width(const char *utf8);

/** Appends text in exactly `width` columns (>= 1): filled up with blanks on the left (right = true)
 * or on the right, or cut with an ellipsis. Control characters and broken bytes become '?';
 * characters that turn the writing direction are dropped. */
void sb_columns_add(sb_text *text, const char *utf8, int width, bool right);

/** The same without filling up: at most `width` columns. */
void sb_columns_cut(sb_text *text, const char *utf8, int width);

/** Appends text as lines of at most SB_PAGE_COLUMNS, broken at blanks, each ended by a newline.
 * The first line starts where the caller stands (at column `at`), the others at column `indent`.
 * A word too long for a line is broken. */
void sb_columns_wrap(sb_text *text, const char *utf8, int at, int indent);

#endif
