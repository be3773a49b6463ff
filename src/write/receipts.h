/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What a field receives and from whom, read out of a plan's ledger. */
#ifndef SB_WRITE_RECEIPTS_H
#define SB_WRITE_RECEIPTS_H

#include "base/text.h"
#include "plan/plan.h"
#include "write/why.h"

/** Name of an origin of the ledger: a field, or the machine as it came to the season. */
const char *sb_origin_name(const sb_season *season, size_t origin);

/** Seeds of a weed from one origin to the ground of a field. */
double sb_given(const sb_ledger *ledger, size_t origin, int field, int weed);

/** Appends one sentence a weed: "Receives 38k seeds of Kochia, most from Home Quarter (92 %)." or
 * "Receives no weed seeds." Weeds of which there come next to none are left out. */
void sb_receipt_words(const sb_season *season, const sb_plan *plan, int field,
                      sb_add_name *add_name, sb_text *text);

/** Days from the ready date of a stop's field to the day on which it is cut; 0 without dates. */
int sb_days_ripe(const sb_season *season, const sb_stop *stop);

/** The weed of a field's worst rating (highest class, then density), -1 when none is rated. */
int sb_worst_weed(const sb_season *season, int field);
/** The class of that rating; 0 when none is rated. */
int sb_worst_class(const sb_season *season, int field);

#endif
