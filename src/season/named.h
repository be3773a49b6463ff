/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What somebody at the command line calls a machine. */
#ifndef SB_SEASON_NAMED_H
#define SB_SEASON_NAMED_H

#include "base/text.h"
#include "season/season.h"

/** The machine that is meant by its id or its name, or by the beginning of one of them when only
 * one machine begins so; upper and lower case alike.
 * @param file for the message, NULL: an option
 * @return SB_OK; SB_ERR_INPUT: none is called so, or several may be: the message says which there
 *         are, and leaves *machine alone; SB_ERR_NOMEM */
sb_status sb_machine_named(const sb_season *season, const char *typed, const char *file,
                           sb_report *report, int *machine);

/** Adds "'big' (Depot combine), 'hill' (Ridge combine)": what the machines may be called. */
void sb_add_machine_names(const sb_season *season, sb_text *text);

#endif
