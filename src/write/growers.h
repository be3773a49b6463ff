/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What passes between growers, as a table of the page. */
#ifndef SB_WRITE_GROWERS_H
#define SB_WRITE_GROWERS_H

#include "write/page.h"

/** Appends a table of one weed's seeds from grower to grower; nothing unless there are several.
 * Fields whose grower nobody named, and the machine's load when the season began, have rows of
 * their own. */
void sb_html_growers(const sb_page *page, int weed, sb_text *text);

#endif
