/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Growing text, and numbers read whole and in the C locale. */
#ifndef SB_BASE_TEXT_H
#define SB_BASE_TEXT_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

/** Text that grows. Start from {0}; bytes is NUL-terminated once anything was added.
 * failed stays true after the first append that found no memory: check it once at the end. */
typedef struct sb_text {
    char *bytes;
    size_t count, capacity;
    bool failed;
} sb_text;

void sb_text_add(sb_text *text, const char *bytes, size_t n);
void sb_text_addf(sb_text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));
void sb_text_vaddf(sb_text *text, const char *format, va_list args)
    __attribute__((format(printf, 2, 0)));
/** The text so far, "" when empty. Borrowed. */
const char *sb_text_get(const sb_text *text);
void sb_text_clear(sb_text *text);   /**< empty, memory kept */
void sb_text_release(sb_text *text); /**< frees; text may be used again */

/** Appends a whole number with its digits in groups of three: "12,345". */
void sb_text_add_grouped(sb_text *text, double whole);
/** Appends money without its currency: "12,345", below a hundred with cents, "unknown". */
void sb_text_add_amount(sb_text *text, double money);

/** Formats in the C locale whatever the caller's locale is: every number we write goes this way. */

/** No number in a file is honestly larger; products of several such stay finite. */
#define SB_LARGEST 1e15
/** The whole of s (blanks around it allowed) as one decimal number of at most SB_LARGEST either
 * way. Refuses "", "1x", "0x10", "nan", "inf". @return false: *value untouched */
bool sb_parse_double(const char *s, double *value);
/** The whole of s as one decimal integer in min..max. */
bool sb_parse_long(const char *s, long min, long max, long *value);

#define SB_EXCERPT_BYTES 64
/** The beginning of text, fit for a message: at most SB_EXCERPT_BYTES - 1 bytes, whole UTF-8
 * characters, "..." where it was cut, control characters as '?'. Returns out. */
const char *sb_excerpt(const char *text, char out[SB_EXCERPT_BYTES]);

/** Cuts blanks off both ends in place; returns the new start. */
char *sb_trim(char *s);

#endif
