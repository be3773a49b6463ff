/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The part of `check` about machines, what they share and who may cut what. */
#ifndef SB_WRITE_CHECK_RULES_H
#define SB_WRITE_CHECK_RULES_H

#include "base/text.h"
#include "season/season.h"

/** Adds the machines when there are several or one is not free to cut everything at any time, what
 * they share, and the rules of fields about them; nothing when none of it is stated. */
void sb_add_check_rules(const sb_season *season, sb_text *text);

#endif
