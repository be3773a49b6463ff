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

static void add_base64(const unsigned char *bytes, size_t n, sb_text *text)
{
    static const char letters[] =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for (size_t i = 0; i < n; i += 3) {
        unsigned long three = (unsigned long)bytes[i] << 16;
        three |= i + 1 < n ? (unsigned long)bytes[i + 1] << 8 : 0;
        three |= i + 2 < n ? bytes[i + 2] : 0;
        const char four[4] = {letters[three >> 18], letters[three >> 12 & 63],
                              i + 1 < n ? letters[three >> 6 & 63] : '=',
                              i + 2 < n ? letters[three & 63] : '='};
        sb_text_add(text, four, sizeof four);
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
        add_base64(out, stream.total_out, text);
    (void)deflateEnd(&stream);
    sb_free(out);
    return status == SB_OK && text->failed ? SB_ERR_NOMEM : status;
}
