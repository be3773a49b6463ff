/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Names that were typed wrong. */
#ifndef SB_LOG_NAMES_H
#define SB_LOG_NAMES_H

#include "base/near.h"
#include "base/text.h"

/** Adds which names may have been meant: those near it, or near with their beginning, as names are
 * typed short in a log; else, when there are few, all: ": did you mean 'Homestead'",
 * ", expected one of 'ring', 'big'". */
void sb_log_add_near(sb_text *text, const char *wanted, sb_name_at name_at, const void *list,
                     size_t n);

#endif
