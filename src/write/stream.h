/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A finished text goes to a stream in one piece. */
#ifndef SB_WRITE_STREAM_H
#define SB_WRITE_STREAM_H

#include <stdio.h>

#include "base/text.h"
#include "seedbreak.h"

/** Writes and flushes. @return SB_OK; SB_ERR_NOMEM (the text had failed); SB_ERR_SYSTEM */
sb_status sb_stream_text(const sb_text *text, FILE *stream);

#endif
