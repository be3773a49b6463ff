/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Undeclared 8-bit text is nearly always windows-1252: a source that gives another's bytes as
 * UTF-8. The five bytes without a character become control characters, as in browsers (WHATWG
 * Encoding). */
#ifndef SB_READ_WINDOWS_1252_H
#define SB_READ_WINDOWS_1252_H

#include "read/source.h"

#define SB_RECODE_BYTES 4096
#define SB_RECODE_GROWTH 3 /**< most bytes of UTF-8 that one byte becomes */

/** Writes n bytes as UTF-8 into out, which has room for SB_RECODE_GROWTH times as many.
 * @return bytes written */
size_t sb_windows_1252_to_utf8(const char *bytes, size_t n, char *out);

typedef struct sb_windows_1252 {
    sb_source source; /**< what to read from; first */
    sb_source *inner;
    char utf8[SB_RECODE_GROWTH *
              SB_RECODE_BYTES]; /**< converted, not yet handed out: from at to count */
    size_t at, count;
} sb_windows_1252;

/** Recodes `inner`, which is borrowed and has to be rewound by the reader as usual. */
void sb_windows_1252_init(sb_windows_1252 *recoded, sb_source *inner);

#endif
