/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What order and trace do with a plan once they have one. */
#ifndef SEEDBREAK_CLI_OUTPUT_H
#define SEEDBREAK_CLI_OUTPUT_H

#include "messages.h"
#include "options.h"

/** Can --out be written to? Asked before the search, so that no one waits for a plan in vain.
 * @return CLI_DONE, also when --out was not given or is not there yet; CLI_SYSTEM with a message */
cli_exit cli_output_ready(const cli_options *options);

/** Writes the plan's files when --out asks for them, and nothing else. */
cli_exit cli_output_files(const sb_season *season, const sb_plan *plan, const cli_options *options);

/** Writes the plan's files when --out asks for them, then prints it: a plan that took long to find
 * is shown even when the folder cannot be written. */
cli_exit cli_output_plan(const sb_season *season, const sb_plan *plan, const cli_options *options);

#endif
