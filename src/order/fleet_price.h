/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The cheapest walk of any length for one machine, with a reward for every visit.
 *
 * A walk leaves the yard, cuts fields, perhaps one of them twice, and goes home whenever it likes;
 * it may come back to a field only after it has forgotten it (ng-routes). It keeps the full load.
 * Its reduced cost is its cost less the rewards of its visits; the sum of all rewards and of the
 * machines' least reduced costs (at most 0: a machine may stay in the yard) bounds every plan.
 *
 * Unlike order/walk.h, labels of one field compare across generations (numbers of stops so far):
 * what comes next does not depend on how many fields came before. */
#ifndef SB_ORDER_FLEET_PRICE_H
#define SB_ORDER_FLEET_PRICE_H

#include "order/pass.h"

/** Slices that a machine's hours are cut into for bounds on the rest of a walk. */
#define SB_REST_SLICES 48

typedef struct sb_pricer {
    const sb_problem *p;
    sb_crew *crew;
    int most_stops; /**< no route has more */
    /* What the caller sets: */
    double *reward;     /**< n: money for each visit */
    double *toll;       /**< (n + 1) x (n + 1), money added to a move; column n is the way home */
    double spend_price; /**< money for each money spent on cleanouts */
    double full_price;  /**< money for each full cleanout */
    uint64_t *memory;   /**< n x words: fields that are remembered while in this one */
    /* What passes work out: */
    uint8_t *near;                /**< (n + 1) x n: moves that a sparse pass looks at */
    double *scratch;              /**< n + 1 */
    uint8_t *open;                /**< (n + 1) x n, bit l: may a walk use the move after level l? */
    double *load_high, *load_low; /**< n x dims: loads on leaving */
    double *price_high;           /**< n x dims: prices of the load on leaving; they may be 0 */
    double *zero;                 /**< dims */
    double *earliest_h, *latest_h; /**< n: when the field is finished */
    double *arc;                   /**< (n + 1) x n: least reduced cost of a move */
    double *work_h;                /**< (n + 1) x n: least hours from finishing one to the next */
    struct sb_rest {
        double best;   /**< least reduced cost from here on */
        double second; /**< when it may not go on to `next` */
        short next;    /**< -1: home */
    } * rest;          /**< most_stops x SB_REST_SLICES x n: with so many further stops at most, and
                             so many slices of the machine's hours left */
    double slice_h;    /**< INFINITY: hours do not matter, there is one slice */
    sb_bucket yard;
    sb_bucket *forward;  /**< most_stops x n: by stops before it */
    sb_bucket *backward; /**< most_stops x n: by stops behind it */
    sb_label_worker *workers;
    long labels; /**< looked at so far, all passes */
} sb_pricer;

/** What one pass does. */
typedef struct sb_pricing {
    double limit;     /**< only walks of less reduced cost matter */
    double absorb;    /**< see sb_sieve */
    double absorb_h;  /**< likewise for time */
    bool sparse;      /**< look at near moves alone: finds walks, bounds nothing */
    bool elementary;  /**< remember everything: walks are routes */
    bool keep_all;    /**< with elementary: no label absorbs another */
    bool prune;       /**< drop labels that no backward label completes under the limit */
    long most_labels; /**< give up beyond so many */
} sb_pricing;

/** Rewards and tolls 0, memory of the field itself alone. @return SB_OK; SB_ERR_NOMEM. Release in
 * any case. */
sb_status sb_pricer_init(sb_pricer *pricer, const sb_problem *p, sb_crew *crew);
void sb_pricer_release(sb_pricer *pricer);

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
