/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The best cleanout levels for an order that is given. */
#ifndef SB_ORDER_CHAIN_H
#define SB_ORDER_CHAIN_H

#include "order/problem.h"

/** Labels along the one path, sieved position by position: exact, but for seasons with binding seed
 * limits that leave thousands of choices open, where only the most promising are followed.
 * @param field n fields in order
 * @param level [out] n levels; untouched when no levels keep the rules
 * @param cost  [out] INFINITY when no levels keep the rules
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_chain_levels(const sb_problem *p, const int *field, int *level, double *cost);
/** The same for a route of `count` fields, 0..n of them; an empty route costs nothing. */
sb_status sb_chain_route_levels(const sb_problem *p, const int *field, int count, int *level,
                                double *cost);

#endif
