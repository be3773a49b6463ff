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

/** A move on that may be worth looking at. */
typedef struct sb_rest_move {
    double least; /**< money it takes, less the reward */
    double value; /**< the same with what comes behind it, whatever came before */
    int at;       /**< in the order of sb_rest.next */
    int field;    /**< where it leads */
    int fewest;   /**< ticks it takes at least */
} sb_rest_move;

/** A move of a walk. */
typedef struct sb_rest_step {
    int from, to, level;
} sb_rest_step;

/** Where a walk stands in the table, and what the whole of it costs. */
typedef struct sb_rest_place {
    double cost;
    int field, level, left, row;
    unsigned set;
} sb_rest_place;

/** What a machine's time is counted in. */
typedef struct sb_rest_clock {
    double tick_h;
    int spare;     /**< ticks added to every clock, for moves of less than one tick */
    int most;      /**< ticks on a clock */
    short *ticks;  /**< n x n x levels: what a move takes off the clock */
    short *fewest; /**< n x n: the same at the quickest level */
    int block;     /**< every move takes at least so many */
} sb_rest_clock;

/** From coarse to fine. */
#define SB_REST_CLOCKS 3

/** What the rest of a walk comes to at least (order/fleet_rest.h), by the field it stands in, what
 * is left on the clock, what led there (its row), and which of a few fields it has seen and not
 * forgotten. */
typedef struct sb_rest {
    int rows;     /**< of each field, a multiple of 4; 0: nothing is known of what came before */
    int own_from; /**< the first row that is a single move's; those before it are groups' */
    short *row;   /**< n x n x levels, (before, field, level between): the row */
    short *group; /**< n x levels: that of a move that has none of its own, in every field */
    int *owner;   /**< n x rows: whose row it is, a move's index in group; -1: nobody's */
    int *used;    /**< n x rows: when walks last used it, by `fillings` */
    int fillings; /**< whose walks were looked at */
    int onto;     /**< moves on from each field that are told apart by row: to the nearest */
    int *next; /**< n x n: fields in ascending order of the way there; the first `onto` are near */
    double *onward; /**< n x onto x levels x rows: what a move on costs with the seeds of the field
                         and those that the row is sure of; INFINITY: no way, or straight back */
    double *plain;  /**< n x n x levels: with those of the field alone, in the order of `next` */
    int most_bits;  /**< members of each field at most */
    int *kept; /**< n x most_bits: when members last kept a walk from going round, by `fillings` */
    int *members; /**< n: how many it has */
    int *member;  /**< n x most_bits: fields that the bounds remember there, once seen; learnt along
                       the cycles of the walks that they take for the cheapest */
    uint8_t *carried; /**< n x n x 2^most_bits: those remembered after a move, by those before */
    bool by_hours;    /**< clocks show the machine's hours in ticks; else stops */
    sb_rest_clock clocks[SB_REST_CLOCKS];
    int clock;             /**< that of the last filling */
    int bits;              /**< of most_bits, used by the last filling */
    int *walk, stops;      /**< fields of the walk that the last filling took for the cheapest */
    double walk_least;     /**< what that costs: no route costs less */
    double walk_h;         /**< when that is home at least, if nowhere it waits */
    sb_rest_step *steps;   /**< its moves, and those of walks that cost little more */
    int n_steps;           /**< of them */
    sb_rest_place *starts; /**< n, scratch: the best walk that begins with each field */
    sb_rest_move *ahead;   /**< n x n, scratch: moves on */
    double *row_least;     /**< n x rows, scratch */
    double *row_most;      /**< n, scratch: what no row came to more than, a tick ago */
    double *anyhow;        /**< (most + 1) x n: reduced cost whatever came before */
    float *least;          /**< (most + 1) x n x 2^bits x rows: reduced cost, rounded down */
} sb_rest;

/** Fields remembered near each field to begin with, itself included. */
#define SB_PRICER_NEAREST 8
/** And at most: they grow along the cycles of walks. */
#define SB_PRICER_MEMORY 16

typedef struct sb_near_field {
    double cost;
    int field;
} sb_near_field;

/** All fields in ascending order of the least first-order cost of a move to j; both_ways: or from
 * j.
 * @param all [out] n; j itself and fields without a way cost INFINITY */
void sb_order_near_fields(const sb_problem *p, int j, bool both_ways, sb_near_field *all);

/** All fields in ascending order of the least first-order cost of a move to them from i.
 * @param all [out] n; i itself and fields without a way cost INFINITY */
void sb_order_next_fields(const sb_problem *p, int i, sb_near_field *all);

typedef struct sb_pricer {
    const sb_problem *p;
    sb_crew *crew;
    int most_stops; /**< no route has more */
    /* What the caller sets: */
    double *reward;     /**< n: money for each visit */
    double *toll;       /**< (n + 1) x (n + 1), money added to a move; column n is the way home */
    double spend_price; /**< money for each money spent on cleanouts */
    double full_price;  /**< money for each full cleanout */
    double hour_price;  /**< money for each hour of cleaning; of other hours it is in `toll` */
    uint64_t *memory;   /**< n x words: fields that are remembered while in this one; more may be
                             added */
    /* What passes work out: */
    uint8_t *near;                /**< (n + 1) x n: moves that a sparse pass looks at */
    double *scratch;              /**< n + 1 */
    uint8_t *open;                /**< (n + 1) x n, bit l: may a walk use the move after level l? */
    double *load_high, *load_low; /**< n x dims: loads on leaving */
    double *price_high;           /**< n x dims: prices of the load on leaving; they may be 0 */
    double *zero;                 /**< dims */
    double *earliest_h, *latest_h; /**< n: when the field is finished */
    double *arc;                   /**< (n + 1) x n: least reduced cost of a move */
    sb_rest rest;
    sb_bucket yard;
    sb_bucket *forward;  /**< most_stops x n: by stops before it */
    sb_bucket *backward; /**< most_stops x n: by stops behind it */
    sb_label_worker *workers;
    long labels;      /**< looked at so far, all passes */
    long last_labels; /**< of the last full forward pass */
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

/** Rewards and tolls 0, memory of the field itself and the nearest. @return SB_OK; SB_ERR_NOMEM.
 * Release in any case. */
sb_status sb_pricer_init(sb_pricer *pricer, const sb_problem *p, sb_crew *crew);
void sb_pricer_release(sb_pricer *pricer);

/** Frees the labels of the last passes when they are many. */
void sb_pricer_forget(sb_pricer *pricer);
/** Has walks use those moves alone; what follows for loads and times is worked out anew.
 * @param open (n + 1) x n, bit l, a part of the problem's `allowed`; copied */
void sb_pricer_restrict(sb_pricer *pricer, const uint8_t *open);

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
           (p->level_full[l] ? w->full_price : 0) + w->hour_price * p->level_h[l] - w->reward[j];
}

/** Below so many fields a round is done sooner than other threads wake up. */
#define SB_PRICER_SHARES_FROM 12

#endif
