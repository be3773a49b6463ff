/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/stream.h"

sb_status sb_stream_text(const sb_text *text, FILE *stream)
{
    if (text->failed)
        return SB_ERR_NOMEM;
    bool whole = fwrite(sb_text_get(text), 1, text->count, stream) == text->count;
    return whole && fflush(stream) == 0 ? SB_OK : SB_ERR_SYSTEM;
}
