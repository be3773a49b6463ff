/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What a board says in words: for what a machine waits, and how many days nobody works. */
#ifndef SB_WRITE_BOARD_WORDS_H
#define SB_WRITE_BOARD_WORDS_H

#include "plan/wait.h"
#include "write/why.h"

/** Said below a board of several machines. */
#define SB_BOARD_LEFT_OUT \
    "A machine that a day leaves out goes on waiting, or has no work yet or any more."

/** Appends for what a machine waits, behind "waiting": " for Kettle to ripen (Tue 15 Sep)"; nothing
 * when that is not known. */
void sb_wait_words(const sb_season *season, const sb_plan *plan, const sb_wait *wait,
                   sb_add_name *add_name, sb_text *text);

/** Appends what lies between two days with work, of which there must be at least one: "20 days
 * without work, 3 of them blocked", "1 blocked day". */
void sb_words_days_between(sb_text *text, const sb_calendar *calendar, int before, int after);

/** Whole days within a wait, blocked ones included; 0 where there are none but blocked ones. */
int sb_wait_days(const sb_calendar *calendar, const sb_wait *wait);

#endif
