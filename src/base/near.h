/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Names that a misspelt name may have meant, for error messages. */
#ifndef SB_BASE_NEAR_H
#define SB_BASE_NEAR_H

#include "base/text.h"

/** The i-th name of a list. */
typedef const char *(*sb_name_at)(const void *list, size_t i);

/** Single-character insertions, removals and changes that turn a into b, upper and lower case
 * alike. Only the first 64 bytes count. */
size_t sb_edits_between(const char *a, const char *b);

/** Few enough edits for their length? Not where no letter of `wanted` would be left. */
bool sb_is_near(const char *wanted, const char *name);

/** An sb_name_at of an array of strings. */
const char *sb_name_in(const void *names, size_t i);

/** Adds the names of a list that are near `wanted`, nearest first, at most three:
 * `: did you mean 'North' or 'South'`. @return false: none is near, nothing was added */
bool sb_text_add_near(sb_text *text, const char *wanted, sb_name_at name_at, const void *list,
                      size_t n);

/** Adds which names may have been meant: those near it, else those that have it in them, else
 * those that begin nearly so, as names are typed short: ": did you mean 'Homestead'"; else, when
 * there are few, all: ", expected one of 'ring', 'big'". */
void sb_text_add_meant(sb_text *text, const char *wanted, sb_name_at name_at, const void *list,
                       size_t n);

#endif
