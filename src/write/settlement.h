/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A settlement as text in memory, one renderer a file; put on the disk by settlement_outputs.c.
 * All append to `text` and return SB_OK or SB_ERR_NOMEM. */
#ifndef SB_WRITE_SETTLEMENT_H
#define SB_WRITE_SETTLEMENT_H

#include "base/text.h"
#include "settle/settle.h"

sb_status sb_render_settlement_text(const sb_season *season, const sb_settlement *settlement,
                                    sb_text *text);
sb_status sb_render_settlement_json(const sb_season *season, const sb_settlement *settlement,
                                    sb_text *text);
/** One line a grower: what it bears, could have and fairly pays. */
sb_status sb_render_settlement_csv(const sb_season *season, const sb_settlement *settlement,
                                   sb_text *text);
/** One line for each pair of growers and weed, with the plan and without it. */
sb_status sb_render_exchange_csv(const sb_season *season, const sb_settlement *settlement,
                                 sb_text *text);

/** Name of a giver: a grower, or what the machines held when the season began. */
const char *sb_giver_name(const sb_settlement *settlement, size_t giver);

#endif
