/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Plans between the corners of the trade-off curve: those that no weight of spread picks, only a
 * limit on money (docs/method.md, "Money against spread").
 *
 * A plan counts when every plan that takes no more money costs more at the curve's largest weight.
 * Such a plan is efficient, and what it takes more than any cheaper one buys enough of spread to
 * pay at that weight. All corners are among them. */
#ifndef SB_ORDER_BETWEEN_H
#define SB_ORDER_BETWEEN_H

#include "order/tradeoff_parts.h"

/** Looks for them from every corner met down to the one before it; they join the plans met.
 * @return SB_OK: curve->open_pairs says where there may be more; SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_find_between(sb_weigher *w);

/** Puts those that no other plan beats in both money and spread among the curve's points, and keeps
 * curve->best what it was. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_put_between(sb_weigher *w);

#endif
