/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A rule that a plan would break, for plan.json. */
#ifndef SB_WRITE_BREACH_JSON_H
#define SB_WRITE_BREACH_JSON_H

#include "plan/plan.h"
#include "write/json_out.h"

/** Its name, words and, where it is an amount, numbers (docs/formats.md); null for SB_BROKEN_NONE.
 */
json_t *sb_breach_json(const sb_season *season, const sb_breach *breach, bool *ok);

#endif
