/* SPDX-License-Identifier: GPL-3.0-or-later */
/** From good routes to proven ones: column generation for a bound, entry cuts where hours are
 * short, and in the end every route that can be in a better plan, put together by GLPK's integer
 * solver. */
#ifndef SB_ORDER_FLEET_PROVE_H
#define SB_ORDER_FLEET_PROVE_H

#include "order/fleet_solve.h"

/** @param outcome [in, out] the best known routes; improved, with a bound
 * @return SB_OK (closed or not); SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_fleet_prove(const sb_fleet *fleet, sb_crew *crew, const sb_fleet_options *options,
                         sb_fleet_outcome *outcome);

#endif
