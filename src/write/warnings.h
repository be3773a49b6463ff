/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What whoever gets a plan or its page without the messages should know all the same. */
#ifndef SB_WRITE_WARNINGS_H
#define SB_WRITE_WARNINGS_H

#include "plan/plan.h"

/** The warnings of the season's files, then one for each rule that the plan breaks, as `trace`
 * prints them.
 * @param warnings [out] a new report; the caller frees it with sb_report_free
 * @param broken   [out] how many rules the plan breaks
 * @return SB_OK; SB_ERR_NOMEM: *warnings is NULL */
sb_status sb_warnings_collect(const sb_season *season, const sb_plan *plan, sb_report **warnings,
                              size_t *broken);

#endif
