/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Patches of a season, told with a plan. */
#ifndef SB_WRITE_PATCHES_OUT_H
#define SB_WRITE_PATCHES_OUT_H

#include <jansson.h>

#include "base/text.h"
#include "season/season.h"

/** What is left standing, and the grain given up with it, which no plan's total contains. Appends
 * nothing when nothing is. */
void sb_patches_left_text(const sb_season *season, sb_text *text);
/** Key `patches` of plan.json: what becomes of each. */
json_t *sb_patches_json(const sb_season *season, bool *ok);

#endif
