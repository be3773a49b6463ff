/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Orders that people choose without the model, to measure the plan against. */
#ifndef SB_ORDER_RIVALS_H
#define SB_ORDER_RIVALS_H

#include "order/parallel.h"
#include "order/problem.h"

/** The cheapest travel and delay that keep every rule, as if seeds cost nothing.
 * @param field [out] n; field[0] is -1 when no such order was found
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_rival_shortest_road(const sb_problem *p, sb_crew *crew, uint64_t seed, int *field);

/** At each stop the field with the least weed seed entering the machine, valued at what an
 * average field would lose to it, among those whose dates and precedences let them be cut then.
 * @param field [out] n. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_rival_cleanest_first(const sb_problem *p, int *field);

#endif
