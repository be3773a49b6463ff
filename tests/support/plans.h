/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Plans made by code, and what a picture needs: shapes, names, growers. */
#ifndef SUPPORT_PLANS_H
#define SUPPORT_PLANS_H

#include "plan/plan.h"

/** Gives every field of a season made by code a square outline of its area around its place, the
 * second one a hole, the third one two parts; growers "Grower 1" and "Grower 2" in turn. Places are
 * spread over a ring of some kilometres. */
void support_add_shapes(sb_season *season);
/** Changes a field's name. */
void support_name_field(sb_season *season, size_t field, const char *name);

/** The fields in the order of their numbers by machine 0, before field i the cleanout i modulo the
 * number of levels; priced and explained. The caller frees it with sb_plan_free. */
sb_plan *support_plan(const sb_season *season);

/** The cheapest plan, sought on one thread; aborts when there is none or it is not proven. The
 * caller frees it with sb_plan_free. */
sb_plan *support_order(const sb_season *season);

/** Does `other` break a rule that `plan` keeps? */
bool support_breaks_another(const sb_season *season, const sb_plan *plan, const sb_plan *other);

#endif
