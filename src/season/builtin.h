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

/* Where the season-wide numbers come from. */
#define SB_SOURCE_DETOUR                                                                      \
    "assumed: on a square grid of roads the mean detour over all directions is 4/pi = 1.27, " \
    "rounded up"
#define SB_SOURCE_WAGE \
    "common practice: 20-25 USD/h now; 16.30 USD/h in Iowa in 2018 (Iowa Farm Bureau)"
#define SB_SOURCE_LOST_TIME                                                                   \
    "assumed: an hour of cutting earns about 320 USD at the Iowa custom rate of 2023 (98.60-" \
    "102.05 USD/ha), and one cleaning hour in three would have been fit for cutting"

#endif
