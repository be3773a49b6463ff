/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The ranges that spreads.c makes multipliers of. */
#ifndef SB_DOUBT_SPREAD_TABLE_H
#define SB_DOUBT_SPREAD_TABLE_H

#include "doubt/spreads.h"

/** A constant as published: its middle is what the built-in season uses. A season that uses another
 * number keeps the range's width around it. */
typedef struct sb_range {
    sb_doubtful what;
    const char *id; /**< weed; NULL: any */
    double middle, low, high;
    const char *source;
} sb_range;

/** Never NULL for SB_DOUBT_SEEDS_PER_PLANT .. SB_DOUBT_CROWDING. */
const sb_range *sb_range_of_weed(sb_doubtful what, const char *weed_id);
/** Never NULL for SB_DOUBT_HELD .. SB_DOUBT_TANK_LARGE. */
const sb_range *sb_range_of_machine(sb_doubtful what);
const sb_range *sb_range_of_keep(const char *cleanout_id);

#endif
