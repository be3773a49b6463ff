/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What the parts of the growers' rule share. Private to src/order/fair*.c.
 *
 * The takers are the growers with fields. With a multiplier y for each, no plan that keeps every
 * cap costs less than
 *
 *     min over all plans of  cost + sum y (loss - cap)
 *
 * which is an ordinary search: losses in a taker's fields count 1 + y times. Without money and with
 * multipliers that add up to 1 it says how large the worst excess over a cap must be. */
#ifndef SB_ORDER_FAIR_PARTS_H
#define SB_ORDER_FAIR_PARTS_H

#include "order/fair.h"
#include "order/fleet.h"
#include "order/parallel.h"

/** A plan met on the way. */
typedef struct sb_met {
    sb_routes routes; /**< cost at true prices, as weighed */
    double *loss;     /**< by taker */
} sb_met;

typedef struct sb_fair {
    const sb_fair_options *options;
    bool alone;       /**< one machine: it is number 0 of `season` */
    sb_season season; /**< of the machines at hand; owns its `fields` (not what they point to) */
    sb_crew *watch;   /**< tells how late it is */
    double weight;    /**< how many times spread counts */
    sb_fleet fleet;   /**< at true prices, as weighed */
    int n_takers;
    int *taker_of; /**< by field */
    int *grower;   /**< by taker; -1: of fields that name none */
    double *most;  /**< by taker: its cap; with least_worst also a little above the least worst */
    struct {
        sb_met *items;
        size_t count, capacity;
    } met;
    bool cut_short; /**< some search was, by time: with more of it more might be found */
    int searches;
    bool enough; /**< the search at hand has looked at its share of labels */
    long most_labels, labels;
    double
        grace_until_s; /**< while the last plan is improved out of time: until then; 0: it is not */
} sb_fair;

/** What a search is after: the least cost that keeps the caps, or the least worst excess. */
typedef struct sb_aim_at {
    bool money;
    const double *cap;  /**< by taker */
    const double *hard; /**< least worst excess: caps that must be kept besides; NULL: none */
    double penalty;     /**< for each unit of loss over a cap that must be kept, while improving */
} sb_aim_at;

/** The caps that a plan must keep, by taker; NULL: none. */
static inline const double *sb_fair_musts(const sb_aim_at *aim)
{
    return aim->money ? aim->cap : aim->hard;
}

static inline bool sb_fair_over(double loss, double cap)
{
    return loss > cap * (1 + 1e-10) + 1e-11; /* tighter than the checker's slack */
}

/** The season of the machines that options name, its takers, and the plan without the rule as the
 * first one met. f->options, alone and weight are set, all else 0.
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL. Release in any case. */
sb_status sb_fair_init(sb_fair *f, const sb_season *season, const sb_plan *free);
void sb_fair_release(sb_fair *f);

/** The cap on a taker's loss that was asked for; INFINITY: none. */
double sb_fair_asked(const sb_fair *f, int taker);

/** Does a plan keep every rule, and every cap that must be kept? */
bool sb_fair_keeps(const sb_fair *f, const sb_aim_at *aim, const sb_met *met);
/** The worst excess over a cap. */
double sb_fair_excess(const sb_fair *f, const sb_aim_at *aim, const double *loss);
/** Expected loss of one route's stops, added by taker. */
void sb_fair_add_losses(const sb_fair *f, int machine, const int *field, const int *level,
                        int count, double *loss);
/** Adds routes, copied and priced, to the plans met, unless they are there or break a rule.
 * @param index [out] where they are; SIZE_MAX: they break a rule. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_fair_meet(sb_fair *f, const sb_routes *routes, size_t *index);

/** One ordinary search at these multipliers; the plan found joins those met (fair_search.c).
 * @param y       by taker, >= 0
 * @param begin   a plan met to begin with
 * @param seconds most time
 * @param bound   [out] no plan has less than this of cost + sum y loss (money), or of sum y loss
 * @param index   [out] of the plan found
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_fair_search(sb_fair *f, bool money, const double *y, size_t begin, double seconds,
                         double *bound, size_t *index);

/** The best multipliers by all plans met, as a linear program in GLPK (fair_master.c).
 * @param y     [out] by taker: how many times its losses count in the search
 * @param dues  [out] what of that search's bound the caps take away
 * @param value [out] no multipliers can give a better bound than this
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_fair_multipliers(const sb_fair *f, const sb_aim_at *aim, double most_y, double *y,
                              double *dues, double *value);

/** Looks near a plan met for one that suits the aim better; what is found joins those met
 * (fair_improve.c).
 * @param kicks how often to shake it and look again
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_fair_improve(sb_fair *f, const sb_aim_at *aim, size_t begin, int kicks, size_t *index);

/** Goes through everything that may be better, in small seasons; a better plan joins those met
 * (fair_close.c).
 * @param y       by taker: multipliers whose bound is good
 * @param to_beat the best cost, or the best excess
 * @param closed  [out] no plan is better than the best one now met
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_fair_close(sb_fair *f, const sb_aim_at *aim, const double *y, double to_beat,
                        bool *closed);

#endif
