/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The parts of the built-in season, one file each; sb_setup_builtin puts them together.
 *
 * Every number stands in a table beside the text that says where it comes from. Each part fills
 * its own lists of a zeroed setup. @return SB_OK; SB_ERR_NOMEM (sb_setup_release frees the rest) */
#ifndef SB_SEASON_BUILTIN_H
#define SB_SEASON_BUILTIN_H

#include "season/setup.h"

sb_status sb_builtin_weeds(sb_setup *setup);
sb_status sb_builtin_crops(sb_setup *setup);
sb_status sb_builtin_machine(sb_setup *setup); /**< and with it n_sections */
sb_status sb_builtin_cleanouts(sb_setup *setup);

/** Puts a copy of text into *to. @return false: out of memory */
bool sb_builtin_text(char **to, const char *text);

/* Where the numbers come from that have no entry with a source of its own. */
#define SB_SOURCE_MACHINE                                                                      \
    "ha/h: width x 5 km/h x 0.70 / 10, speed and efficiency typical of combines in ASAE D497 " \
    "(from memory); road speed from memory (25-32 km/h); money assumed"
#define SB_SOURCE_HOLD_UP                                                                       \
    "kg: Hanna, Jarboe & Quick 2005 and Hunter & Sosnoskie (Cornell University); lodged share " \
    "and purge constants are fitted to the former, not measured"
#define SB_SOURCE_TANK_SHARE                                                                      \
    "small seed: Broster & Walsh 2014 (3 %); large seed: common practice, no source; all of the " \
    "tank's and none of the chopper's by construction"
#define SB_SOURCE_DETOUR                                                                      \
    "assumed: on a square grid of roads the mean detour over all directions is 4/pi = 1.27, " \
    "rounded up"
#define SB_SOURCE_WAGE \
    "common practice: 20-25 USD/h now; 16.30 USD/h in Iowa in 2018 (Iowa Farm Bureau)"
#define SB_SOURCE_LOST_TIME                                                                   \
    "assumed: an hour of cutting earns about 320 USD at the Iowa custom rate of 2023 (98.60-" \
    "102.05 USD/ha), and one cleaning hour in three would have been fit for cutting"

#endif
