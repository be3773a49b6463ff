/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The part of the page where stops are moved and cleanouts changed by hand. */
#ifndef SB_WRITE_BY_HAND_H
#define SB_WRITE_BY_HAND_H

#include "write/page.h"

/** Can plans be made by hand on this page: was the model built in, and is the season small enough?
 */
bool sb_by_hand_possible(const sb_page *page);

/** Appends the section, hidden until the script has the model running. */
void sb_by_hand_section(sb_text *text);

/** Appends model and season as data for the script. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_by_hand_data(const sb_page *page, sb_text *text);

#endif
