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
#ifndef SB_ORDER_FLEET_PRICER_H
#define SB_ORDER_FLEET_PRICER_H

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

static inline size_t sb_pricer_cell(const sb_pricer *w, int t, int j)
{
    return (size_t)t * (size_t)w->p->n + (size_t)j;
}

/** A field's row in load_high, load_low or price_high. */
static inline double *sb_pricer_box(const sb_pricer *w, double *rows, int j)
{
    return rows + (size_t)j * (size_t)w->p->dims;
}

/** Money for the way home and its toll. */
static inline double sb_pricer_home(const sb_pricer *w, int j)
{
    size_t n = (size_t)w->p->n;
    return w->p->home_cost[j] + w->toll[(size_t)j * (n + 1) + n];
}

/** What is paid for a move beyond its cost, less the reward of the visit. */
static inline double sb_pricer_surcharge(const sb_pricer *w, int i, int j, int l)
{
    const sb_problem *p = w->p;
    return w->toll[(size_t)i * (size_t)(p->n + 1) + (size_t)j] + w->spend_price * p->level_cost[l] +
           (p->level_full[l] ? w->full_price : 0) - w->reward[j];
}

/** Below so many fields a round is done sooner than other threads wake up. */
#define SB_PRICER_SHARES_FROM 12

#endif
