/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/deflated.h"

#include <zlib.h>

#include "base/mem.h"

static voidpf take(voidpf nothing, uInt n, uInt size)
{
    (void)nothing;
    return sb_alloc(n, size);
}

static void give_back(voidpf nothing, voidpf p)
{
    (void)nothing;
    sb_free(p);
}

static void add_letters(const unsigned char *bytes, size_t n, sb_text *text)
{
    /* page/page.js and src/embed_text.py have them too. */
    static const char letters[] = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
                                  "!#$%,()*+-;.=>?@^_`{|}~";
    for (size_t i = 0; i < n; i += 4) {
        size_t there = n - i < 4 ? n - i : 4;
        unsigned long four = 0;
        for (size_t k = 0; k < 4; k++)
            four = four << 8 | (k < there ? bytes[i + k] : 0u);
        char five[5];
        for (size_t k = 5; k-- > 0; four /= 85)
            five[k] = letters[four % 85];
        sb_text_add(text, five, there + 1);
    }
}

sb_status sb_add_deflated(const sb_text *bytes, sb_text *text)
{
    z_stream stream = {.zalloc = take, .zfree = give_back};
    /* -15: the largest window, no header. */
    if (bytes->failed ||
        deflateInit2(&stream, Z_BEST_COMPRESSION, Z_DEFLATED, -15, 9, Z_DEFAULT_STRATEGY) != Z_OK)
        return SB_ERR_NOMEM;
    size_t most = deflateBound(&stream, (uLong)bytes->count);
    unsigned char *out = sb_alloc(most, 1);
    sb_status status = out != NULL ? SB_OK : SB_ERR_NOMEM;
    if (status == SB_OK) {
        stream.next_in = (unsigned char *)bytes->bytes;
        stream.avail_in = (uInt)bytes->count;
        stream.next_out = out;
        stream.avail_out = (uInt)most;
        /* There is room for all of it, so one call finishes. */
        status = deflate(&stream, Z_FINISH) == Z_STREAM_END ? SB_OK : SB_ERR_INTERNAL;
    }
    if (status == SB_OK)
        add_letters(out, stream.total_out, text);
    (void)deflateEnd(&stream);
    sb_free(out);
    return status == SB_OK && text->failed ? SB_ERR_NOMEM : status;
}
