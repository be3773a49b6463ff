/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The trade-off between money spent and expected spread (docs/method.md, "Money against spread").
 */
#ifndef SB_ORDER_TRADEOFF_H
#define SB_ORDER_TRADEOFF_H

#include "plan/plan.h"

/** A plan and what it comes to. */
typedef struct sb_curve_point {
    sb_plan *plan; /**< priced, with its ledger once it stands in a curve */
    sb_trade trade;
} sb_curve_point;

typedef struct sb_curve_points {
    sb_curve_point *items;
    size_t count, capacity;
} sb_curve_points;

/** Frees the plans and the list; it may be used again. */
void sb_curve_points_release(sb_curve_points *points);

struct sb_curve {
    int machine;
    double weight;                  /**< how many times spread counts where nothing else is said */
    double spend_limit;             /**< asked for, INFINITY: none */
    double full_limit;              /**< likewise */
    double weight_low, weight_high; /**< where the curve ends */
    sb_curve_points points;         /**< in growing order of money */
    size_t best;                    /**< of points: the cheapest at `weight` */
    sb_curve_points full;           /**< in growing order of full cleanouts */
    bool every_plan;                /**< were plans between the corners looked for? */
    size_t open_pairs; /**< of neighbouring corners, between which there may be further ones */
    double open_share; /**< what share of its cost a plan that is not ruled out could save at
                          most, at the weight that suits it best */
    double seconds;
};

/** The weights that a curve is asked for, as multiples of options->spread_weight. */
#define SB_CURVE_LOW (1.0 / 3)
#define SB_CURVE_HIGH 3.0

#endif
