/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What every command that searches does: options handed on, progress shown, Ctrl-C heard. */
#ifndef SEEDBREAK_CLI_SEARCH_H
#define SEEDBREAK_CLI_SEARCH_H

#include "options.h"

typedef struct cli_search {
    bool on_terminal;
    double shown_s; /**< when progress was last drawn; -INFINITY: never */
} cli_search;

/** The options of a search as the user gave them, without progress; Ctrl-C is caught from now on.
 */
sb_order_options cli_search_options(const cli_options *options);
/** The same with progress on the terminal.
 * @param search lives as long as the search; end it with cli_search_end */
sb_order_options cli_search_begin(const cli_options *options, cli_search *search);
/** Says how to name a machine when several are there, none is named, and that was an error. */
void cli_note_machine(sb_status status, const sb_season *season, const cli_options *options);
/** Takes the line of progress away. */
void cli_search_end(const cli_search *search);

#endif
