/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Text in columns: widths are counted as a terminal shows them, not in bytes, and characters that
 * could move the cursor or turn the line around never get through. */
#ifndef SB_WRITE_COLUMNS_H
#define SB_WRITE_COLUMNS_H

#include <stdbool.h>

#include "base/text.h"

/** Width of every table that we print. */
#define SB_PAGE_COLUMNS 80

/** True when the text is proper UTF-8 from its first byte to its last (RFC 3629). */
bool sb_columns_whole(const char *utf8);

/** Columns that UTF-8 text takes: 2 for wide East Asian characters, 0 for combining marks.
 * A control character or a broken byte counts 1, the way sb_columns_add shows it. */
int sb_columns_width(const char *utf8);

/** Appends text in exactly `width` columns (>= 1): filled up with blanks on the left (right = true)
 * or on the right, or cut with an ellipsis. Control characters and broken bytes become '?';
 * characters that turn the writing direction are dropped. */
void sb_columns_add(sb_text *text, const char *utf8, int width, bool right);

/** The same without filling up: at most `width` columns. */
void sb_columns_cut(sb_text *text, const char *utf8, int width);

/** Splits the name of a column into lines of at most `width` (>= 4) columns: at blanks, and a
 * longer word with a hyphen. What does not fit into n (>= 1) lines is cut with an ellipsis.
 * @param lines n empty texts that the caller releases
 * @return lines used, at least 1 */
int sb_columns_split(const char *utf8, int width, sb_text *lines, int n);

/** Appends the head of a table: a line that begins with `first` and goes on with the names in
 * columns of these widths (>= 4), right-aligned and a blank before each; above it as many lines as
 * the names need, three at most. */
void sb_columns_heads(sb_text *text, const char *first, const char *const *names, const int *widths,
                      int n);

/** Columns of the longest word. */
int sb_columns_longest_word(const char *utf8);

/** Appends text as lines of at most SB_PAGE_COLUMNS, broken at blanks, each ended by a newline; a
 * number stays with the unit behind it.
 * The first line starts where the caller stands (at column `at`), the others at column `indent`.
 * A word too long for a line is broken. */
void sb_columns_wrap(sb_text *text, const char *utf8, int at, int indent);

#endif
