/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Undeclared 8-bit text is nearly always windows-1252: a source that gives another's bytes as
 * UTF-8. The five bytes without a character become control characters, as in browsers (WHATWG
 * Encoding). */
#ifndef SB_READ_WINDOWS_1252_H
#define SB_READ_WINDOWS_1252_H

#include "read/source.h"

#define SB_RECODE_BYTES 4096

typedef struct sb_windows_1252 {
    sb_source source; /**< what to read from; first */
    sb_source *inner;
    char utf8[3 * SB_RECODE_BYTES]; /**< converted, not yet handed out: from at to count */
    size_t at, count;
} sb_windows_1252;

/** Recodes `inner`, which is borrowed and has to be rewound by the reader as usual. */
void sb_windows_1252_init(sb_windows_1252 *recoded, sb_source *inner);

#endif
