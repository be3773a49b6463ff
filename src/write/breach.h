/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A rule that a plan would break, in words. */
#ifndef SB_WRITE_BREACH_H
#define SB_WRITE_BREACH_H

#include "write/why.h"

/** "Chapel would receive 6.1k seeds/ha of Kochia, its limit is 2000". Nothing for SB_BROKEN_NONE.
 */
void sb_breach_words(const sb_season *season, const sb_breach *breach, sb_add_name *add_name,
                     sb_text *text);

#endif
