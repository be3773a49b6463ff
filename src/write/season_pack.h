/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A season as bytes, for the page: what pricing, checking and drawing a plan need, and the plan
 * itself. Where numbers come from and what the files said beside them stay behind. */
#ifndef SB_WRITE_SEASON_PACK_H
#define SB_WRITE_SEASON_PACK_H

#include "base/text.h"
#include "plan/plan.h"
#include "season/season.h"

/** Seasons of more places than this are not packed: every pair has its kilometres in it. */
#define SB_MOST_PACKED_PLACES 140

/** Appends a season and the stops of a plan. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_season_pack(const sb_season *season, const sb_plan *plan, sb_text *bytes);

/** Reads both back; the plan is not priced. The bytes must be those that sb_season_pack wrote.
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_ARG: they end too early. Then nothing is handed over */
sb_status sb_season_unpack(const unsigned char *bytes, size_t n, sb_season **season,
                           sb_plan **plan);

#endif
