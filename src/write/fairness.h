/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What each grower's fields are expected to lose, and the rule about it. */
#ifndef SB_WRITE_FAIRNESS_H
#define SB_WRITE_FAIRNESS_H

#include "write/page.h"
#include "write/why.h"

/** Appends what the rule is that a plan was made by, and what it costs; nothing where the plan does
 * not say. */
void sb_fairness_words(const sb_season *season, const sb_plan *plan, sb_add_name *add_name,
                       sb_text *text);

/** Has some grower a cap of his own, below that of everybody? */
bool sb_fairness_names(const sb_fairness *fairness);

/** A line for every grower with fields: its loss, what others' fields cause of it, the cap, and the
 * same without the rule where the plan says. Nothing where there is one grower and no rule. */
sb_status sb_html_losses(const sb_page *page, sb_text *text);

#endif
