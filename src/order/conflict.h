/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Why a season has no plan: a smallest set of rules that cannot be kept together. */
#ifndef SB_ORDER_CONFLICT_H
#define SB_ORDER_CONFLICT_H

#include "order/parallel.h"
#include "season/season.h"

/** Looks, without a search, whether dates, `after`, roads and the machines' hours leave no plan
 * (order/overdue.h), and explains it like sb_conflict_explain.
 * @param machine -1: all of the season, each field by one of them
 * @return SB_OK: nothing was found, which proves nothing; SB_ERR_INFEASIBLE; SB_ERR_NOMEM;
 *         SB_ERR_INTERNAL */
sb_status sb_conflict_foreseen(const sb_season *season, int machine, sb_crew *crew,
                               sb_report *report);

/** Drops rules one by one, keeping those without which a plan exists; what stays is in conflict
 * and is added to the report, an SB_ERROR with file and line for each rule.
 * @param machine -1: all of the season, each field by one of them
 * @param proven false: no plan was found, but none is ruled out either; then only that is said
 * @return SB_ERR_INFEASIBLE; SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_conflict_explain(const sb_season *season, int machine, sb_crew *crew, bool proven,
                              sb_report *report);

#endif
