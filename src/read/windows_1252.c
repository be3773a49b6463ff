/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "read/windows_1252.h"

#include <string.h>

/* What 0x80 to 0x9F stand for (WHATWG Encoding, index-windows-1252); the rest is Unicode. */
static const unsigned short above_0x80[32] = {
    0x20AC, 0x0081, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0x008D, 0x017D, 0x008F, 0x0090, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0x009D, 0x017E, 0x0178};

size_t sb_windows_1252_to_utf8(const char *bytes, size_t n, char *out)
{
    char *end = out;
    for (size_t i = 0; i < n; i++) {
        unsigned code = (unsigned char)bytes[i];
        if (code >= 0x80 && code < 0xA0)
            code = above_0x80[code - 0x80];
        if (code < 0x80) {
            *end++ = (char)code;
        } else if (code < 0x800) {
            *end++ = (char)(0xC0 | code >> 6);
            *end++ = (char)(0x80 | (code & 0x3F));
        } else {
            *end++ = (char)(0xE0 | code >> 12);
            *end++ = (char)(0x80 | (code >> 6 & 0x3F));
            *end++ = (char)(0x80 | (code & 0x3F));
        }
    }
    return (size_t)(end - out);
}

static long recoded_read(sb_source *source, char *bytes, size_t n)
{
    sb_windows_1252 *r = source->stream;
    if (r->at == r->count) {
        char raw[SB_RECODE_BYTES];
        long got = r->inner->read(r->inner, raw, sizeof raw);
        if (got <= 0) {
            source->fault = r->inner->fault;
            return got;
        }
        r->count = sb_windows_1252_to_utf8(raw, (size_t)got, r->utf8);
        r->at = 0;
    }
    size_t left = r->count - r->at, taken = left < n ? left : n;
    memcpy(bytes, r->utf8 + r->at, taken);
    r->at += taken;
    return (long)taken;
}

static bool recoded_rewind(sb_source *source)
{
    sb_windows_1252 *r = source->stream;
    r->at = r->count = 0;
    bool done = r->inner->rewind(r->inner);
    source->fault = r->inner->fault;
    return done;
}

static void recoded_close(sb_source *source)
{
    (void)source; /* the inner one is borrowed */
}

void sb_windows_1252_init(sb_windows_1252 *recoded, sb_source *inner)
{
    recoded->source =
        (sb_source){inner->name, recoded, recoded_read, recoded_rewind, recoded_close, NULL};
    recoded->inner = inner;
    recoded->at = recoded->count = 0;
}
