/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What the parts of the fleet's proof share. Private to fleet_prove, fleet_bound, fleet_close and
 * fleet_branch. */
#ifndef SB_ORDER_FLEET_PROVER_H
#define SB_ORDER_FLEET_PROVER_H

#include "order/fleet_master.h"
#include "order/fleet_price.h"
#include "order/fleet_solve.h"

typedef struct sb_prover {
    const sb_fleet *fleet;
    sb_crew *crew;
    const sb_fleet_options *options;
    sb_fleet_outcome *outcome;
    sb_pricer *pricers; /**< machines; those of kinds are in use */
    int *like;          /**< machines: how many of the kind */
    double *least;      /**< machines: least reduced cost of a walk at the last duals, at most 0 */
    double *best_least; /**< the same at the best duals */
    double *over_h; /**< machines: hours that the last round's cheapest walk has too many; in rounds
                         that look at whole hours, 0 */
    int *visits;    /**< machines x n: how often the last round's cheapest walk cuts each field */
    double ceiling; /**< plans are looked for below it: the known cost, or a guess */
    double conceivable;  /**< no plan that keeps the rules costs more */
    double unit;         /**< every plan's cost is a multiple of it; 0: not known */
    double best_bound;   /**< of the best duals */
    double inherited;    /**< bound of the branch that this one is a part of; -INFINITY: none */
    double elsewhere;    /**< bound of all other branches */
    double center_value; /**< what the centre's bound seems to be; proven: what it is */
    bool center_proven;
    double absorb_share;
    int steps, idle; /**< Polyak's steps made; how many of the last were in vain */
    double step_size;
    double *direction; /**< n, then machines: of the last step */
    bool begun;        /**< have steps been made? */
    bool settled;      /**< steps no longer help: the linear program's turn */
    bool stopped;
    bool exhausted; /**< no further round raises the bound */
    sb_column_pool columns;
    sb_entry_cuts cuts;
    sb_master master;
    sb_duals best;        /**< of the best bound */
    sb_duals center;      /**< that seem best: the linear program's are mixed with them */
    sb_duals lp, at;      /**< the linear program's; those being priced */
    int *field, *level;   /**< n: scratch for a walk; a walk may be as long as most_stops <= n */
    struct sb_tree *tree; /**< of branches; owned, NULL: none */
    sb_status status;
} sb_prover;

/** What a better plan may cost at most; more than that need not be looked at. */
double sb_prover_target(const sb_prover *s);
/** A bound as far as it says something: rounded up to the unit. */
double sb_prover_rounded(const sb_prover *s, double bound);
/** Has a kind's pricer pay what the duals say. */
void sb_prover_set_prices(sb_prover *s, int kind, const sb_duals *duals);
/** How a kind is priced at the present gap. */
sb_pricing sb_prover_pricing(const sb_prover *s, int kind);
void sb_prover_tell(sb_prover *s);
/** Every plan of the branch at hand costs at least so much: what does that say of all plans? */
void sb_prover_raise(sb_prover *s, double bound);
/** Takes better routes if these are. */
void sb_prover_take(sb_prover *s, const sb_routes *routes);

/** Some rounds of pricing; the first time only a good guess at the duals and what it proves. Inside
 * sb_glpk_guard. @return true: the bound reached the target */
bool sb_prover_bound(sb_prover *s);
/** Lists every route that a better plan may use and has GLPK put them together.
 * @param most_labels gives up beyond so many. @return true: that closed it */
bool sb_prover_list_routes(sb_prover *s, long most_labels);

/** Branches until nothing under the target is left; begin when the bound of all plans stands still.
 * @return true: nothing is left */
bool sb_prover_branch(sb_prover *s);
void sb_tree_free(struct sb_tree *tree);

#endif
