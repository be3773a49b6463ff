/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Ctrl-C asks the search to stop at the best plan so far; a second one, half a second or more
 * later, ends the program. */
#ifndef SEEDBREAK_CLI_INTERRUPT_H
#define SEEDBREAK_CLI_INTERRUPT_H

#include <stdbool.h>

/** From now on the first SIGINT or SIGTERM is remembered, and a later one ends the program. */
void cli_interrupt_catch(void);

/** Was a signal caught? Safe to ask from any thread. */
bool cli_interrupted(void);

#endif
