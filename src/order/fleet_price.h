/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The passes of a pricer (order/fleet_pricer.h): labels forward from the yard, backward from home,
 * and the walks they make. */
#ifndef SB_ORDER_FLEET_PRICE_H
#define SB_ORDER_FLEET_PRICE_H

#include "order/fleet_pricer.h"

/** Forward labels.
 * @param least [out] the least reduced cost of a walk under the limit; INFINITY: there is none */
sb_pass_end sb_pricer_forward(sb_pricer *pricer, const sb_pricing *pricing, double *least);
/** Backward labels, those alone that a forward label completes under the limit; run
 * sb_pricer_forward first. */
sb_pass_end sb_pricer_backward(sb_pricer *pricer, const sb_pricing *pricing);

/** Where a walk of the last forward pass ends. */
typedef struct sb_walk_end {
    double reduced; /**< cost */
    int stops, field, label;
} sb_walk_end;

/** The walks under the limit: the cheapest that ends in each field (of each field and length with
 * `every`: all of them), in ascending order of reduced cost, ties by field and length.
 * @param ends [out] the caller frees it with sb_free. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_pricer_ends(const sb_pricer *pricer, double limit, bool every, sb_walk_end **ends,
                         size_t *count);
/** @param field, level [out] end->stops each */
void sb_pricer_read(const sb_pricer *pricer, const sb_walk_end *end, int *field, int *level);

#endif
