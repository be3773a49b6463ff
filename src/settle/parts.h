/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The parts that a settlement is made of, one file each. Private to src/settle. */
#ifndef SB_SETTLE_PARTS_H
#define SB_SETTLE_PARTS_H

#include "settle/settle.h"

/** Growers with fields, and whose each field is (parties.c). @return SB_OK; SB_ERR_NOMEM */
sb_status sb_settle_parties(const sb_season *season, sb_settlement *settlement);

/** Hectares of each grower that a route cuts, as shares of all it cuts, into share[n_parties]
 * (parties.c). */
void sb_settle_hectares(const sb_season *season, const sb_settlement *settlement,
                        const sb_route *route, double *share);

/** What a priced plan means for the growers (exchange.c). @return SB_OK; SB_ERR_NOMEM */
sb_status sb_settle_exchange(const sb_season *season, const sb_plan *plan,
                             const sb_settlement *settlement, sb_exchange *exchange);

/** The plan of a rival rule: each machine cuts the fields it has in the plan, in the order that the
 * rule gives, with the best cleanouts for it (rival.c).
 * @return SB_OK; SB_ERR_INFEASIBLE: a machine's order can keep no rules; SB_ERR_NOMEM;
 *         SB_ERR_INTERNAL */
sb_status sb_settle_rival(const sb_season *season, const sb_plan *plan, sb_order_by by,
                          const sb_order_options *options, sb_plan **rival);

/** Who pays for each cleanout (cleaning.c). @return SB_OK; SB_ERR_NOMEM */
sb_status sb_settle_cleaning(const sb_season *season, const sb_plan *plan,
                             sb_settlement *settlement);

/** What each grower would pay alone, and the fair split of the plan's cost (fair.c).
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_settle_fair(const sb_season *season, const sb_plan *plan,
                         const sb_order_options *options, sb_report *report,
                         sb_settlement *settlement);

#endif
