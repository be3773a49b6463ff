/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The cheapest plans by their number of full cleanouts (docs/method.md, "Money against spread").
 */
#ifndef SB_ORDER_BY_FULL_H
#define SB_ORDER_BY_FULL_H

#include "order/tradeoff_parts.h"

/** Once the curve's points stand: at its asked weight the cheapest plan with at most 0, 1, 2, ...
 * of them up to the best plan, and the one that would come next; into curve->full.
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_find_by_full(sb_weigher *w);

#endif
