/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What a plan would cost if one thing were otherwise, without pricing all of it again: seeds
 * before the change are remembered, and the loss after it is linear in the load, so only the
 * stretch that changes is followed. */
#ifndef SB_PLAN_WHATIF_H
#define SB_PLAN_WHATIF_H

#include "plan/plan.h"

typedef struct sb_whatif sb_whatif;

/** @param plan priced; borrowed as long as the result lives
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL (the plan failed the check) */
sb_status sb_whatif_new(const sb_season *season, const sb_plan *plan, sb_whatif **whatif);
void sb_whatif_free(sb_whatif *whatif);

/** Puts another level before stop i of route r.
 * @param more [out] what it makes dearer, part by part; cheaper is negative; NAN where the plan
 *             itself has no finite price
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_whatif_level(sb_whatif *whatif, size_t r, size_t i, int level, sb_cost *more);
/** Moves stop `from` to place `to` of its route; every field keeps the cleanout before it. */
sb_status sb_whatif_move(sb_whatif *whatif, size_t r, size_t from, size_t to, sb_cost *more);

/** Seeds that would be brought to the ground of stop i's field after another level before it.
 * @param seeds [out] by weed */
void sb_whatif_brought(const sb_whatif *whatif, size_t r, size_t i, int level, double *seeds);

/** Does the last change break a rule that the plan keeps? What the plan's fairness asks for is such
 * a rule: a cap, or the least worst loss.
 * @param breach [out] the first such rule on the way; SB_BROKEN_NONE: none, or the plan's fairness
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL (it failed the check) */
sb_status sb_whatif_breaks(sb_whatif *whatif, bool *breaks, sb_breach *breach);
/** Once sb_whatif_breaks was asked: does some grower lose more than a rule lets him, and than in
 * the plan?
 * @param who [out] the one who loses most too much; untouched when nobody does. May be NULL */
bool sb_whatif_unfair(const sb_whatif *whatif, sb_overloss *who);
/** Rules that the plan itself breaks. */
size_t sb_whatif_broken(const sb_whatif *whatif);
/** The plan with the last change, priced (without ledger) once sb_whatif_breaks was asked. */
const sb_plan *sb_whatif_plan(const sb_whatif *whatif);

#endif
