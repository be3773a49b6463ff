/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Bytes for a page that are not read as they are: deflated, and in 85 letters
 * of ASCII that end neither an attribute nor a script element: five for every four bytes, the
 * highest digit first; of the last group as many letters as it has bytes, and one. */
#ifndef SB_WRITE_DEFLATED_H
#define SB_WRITE_DEFLATED_H

#include "base/text.h"
#include "seedbreak.h"

/** Appends bytes deflated (RFC 1951, no header) in those letters. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_add_deflated(const sb_text *bytes, sb_text *text);

#endif
