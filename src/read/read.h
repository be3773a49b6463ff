/* SPDX-License-Identifier: GPL-3.0-or-later */
/** From files to a draft: any mix of field, scouting and season files, told apart by content. */
#ifndef SB_READ_READ_H
#define SB_READ_READ_H

#include "season/draft.h"
#include "seedbreak.h"

/** Reads every file into a draft that sb_draft_init has made. The season file's fields are laid
 * over the features once all files are read, so the order of the paths does not matter.
 * All files are looked at, so that one call reports the first fault of each.
 * @param paths   n file names; borrowed, the draft keeps copies
 * @param options NULL for the defaults
 * @return SB_OK; SB_ERR_INPUT; SB_ERR_SYSTEM; SB_ERR_NOMEM; the draft is the caller's to release
 *         either way */
sb_status sb_draft_read(sb_draft *draft, const char *const *paths, size_t n,
                        const sb_read_options *options, sb_report *report);

/** Changes a draft once all files are read. @return SB_OK; else what the reading ends with */
typedef sb_status sb_draft_change(sb_draft *draft, const void *context, sb_report *report);
/** sb_season_read with a change (NULL: none) between reading and joining. */
sb_status sb_season_read_changed(const char *const *paths, size_t n_paths,
                                 const sb_read_options *options, sb_draft_change *change,
                                 const void *context, sb_report *report, sb_season **season);

#endif
