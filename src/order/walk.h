/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Walks: seasons of n stops that may visit a field twice and miss another, with full memory of
 * the load. The cheapest walk, with a price on every visit, bounds the cheapest season from below
 * (Held & Karp 1971); a walk may come back to a field only after it has forgotten it (ng-routes:
 * Baldacci, Mingozzi & Roberti 2011); both from memory.
 *
 * Walks are searched over positions 0..n-1 by labels (order/labels.h), forward and backward. A
 * (position, move, level) that no walk under the limit uses is closed for good. When every field is
 * remembered, walks are seasons and the search is exact. */
#ifndef SB_ORDER_WALK_H
#define SB_ORDER_WALK_H

#include "order/pass.h"

typedef struct sb_walk {
    const sb_problem *p;
    sb_crew *crew;
    double *reward;   /**< n: money for each visit; the bound is the cheapest walk less rewards,
                           plus all rewards */
    uint64_t *memory; /**< n x words: fields that are remembered while in this one */
    uint8_t *open;    /**< [t][i][j] bit l: position t may be reached by i -> j after level l */
    /* What every open way allows, by (position, field): */
    double *load_high, *load_low;   /**< loads on leaving, dims each */
    double *price_high, *price_low; /**< prices of the load on leaving, dims each */
    double *earliest_h, *latest_h;  /**< when the field is finished; only when timed */
    double *rest;                   /**< n x n: what going on from (position, field) costs at least,
                                         less rewards, counting no seeds but the last field's */
    sb_bucket yard;                 /**< the one label before the first move */
    sb_bucket *forward, *backward;  /**< n x n labels */
    sb_label_worker *workers;
    long labels; /**< looked at so far, all passes */
} sb_walk;

/** What one pass over all positions does. */
typedef struct sb_pass {
    double limit;  /**< only walks that cost less matter; INFINITY: all */
    double absorb; /**< see sb_sieve */
    double absorb_time;
    bool elementary; /**< remember everything: walks are seasons */
    bool prune;      /**< drop labels that the opposite pass cannot complete under the limit */
    int beam;   /**< with elementary and prune: keep only so many labels of a bucket, those that
                   promise   the cheapest season: a search that proves nothing. 0: all */
    bool close; /**< with prune, forward: close what no surviving label uses */
    long most_labels; /**< give up beyond so many */
} sb_pass;

/** Rewards 0, memory of the field itself alone, everything allowed open. @return SB_OK,
 * SB_ERR_NOMEM */
sb_status sb_walk_init(sb_walk *walk, const sb_problem *p, sb_crew *crew);
void sb_walk_release(sb_walk *walk);

static inline uint8_t *sb_walk_open(sb_walk *w, int t, int i, int j)
{
    size_t n = (size_t)w->p->n;
    return &w->open[((size_t)t * (n + 1) + (size_t)i) * n + (size_t)j];
}

/** Works out boxes and times anew from what is open, and closes what they rule out. */
void sb_walk_tighten(sb_walk *walk);

/** Forward labels at every position.
 * @param cost  [out] the cheapest walk as a bound: its cost less rewards plus all rewards;
 *              INFINITY when there is none under the limit
 * @param field, level [out] that walk, n each; untouched when there is none */
sb_pass_end sb_walk_forward(sb_walk *walk, const sb_pass *pass, double *cost, int *field,
                            int *level);

/** Backward labels at every position, pruned by the forward ones; run sb_walk_forward first. */
sb_pass_end sb_walk_backward(sb_walk *walk, const sb_pass *pass);

/** Labels of the last forward or backward pass. */
long sb_walk_pass_labels(const sb_bucket *buckets, int n);

#endif
