/* SPDX-License-Identifier: GPL-3.0-or-later */
/** One machine's route under search: what it takes to price a change by walking the changed stretch
 * alone. Because the untouched rest costs K + V . load, nothing behind the stretch is walked unless
 * time or seed limits press there. */
#ifndef SB_ORDER_FLEET_ROUTE_H
#define SB_ORDER_FLEET_ROUTE_H

#include "order/fleet.h"

/** What broken rules cost while searching. */
typedef struct sb_rule_price {
    double money; /**< for one broken rule, and again for each hour or whole limit of excess */
    const int
        *limit_begin; /**< n + 1: limits of field j are limit_begin[j] .. limit_begin[j+1]-1 */
} sb_rule_price;

typedef struct sb_route_state {
    const sb_problem *p;
    sb_rule_price price;
    int count;
    int *field, *level; /**< n: the stops in order */
    /* By field, of those in the route. Kept by field and not by place, so that a stop that moves up
     * or down takes nothing along: */
    double *load_after;   /**< n x dims: load on leaving it */
    double *price_before; /**< n x dims: V: price of the load on setting out for it */
    double *cost;         /**< road, cleanout and seeds of the stop */
    double *delay;        /**< money lost with time there */
    double *late;         /**< price of a broken date */
    double *over;         /**< price of broken seed limits */
    double *shut;         /**< price of a move that is not open */
    double *set_out_h;    /**< hours of the cleanout and the way to it */
    double *finish_h;
    double *slack_h;  /**< how much later the machine may set out for it and break no date */
    double home_late; /**< price of coming home too late, or by no way */
    double total, total_broken, spend, full;
} sb_route_state;

/** Stops begin..end-1 make way for `count` new ones. */
typedef struct sb_change {
    int begin, end, count;
    int *field, *level; /**< n: the new stops; levels are filled in where fresh */
    int fresh[6];       /**< ascending places in the new stretch whose level is chosen anew;
                             `count` stands for the first stop behind it */
    int n_fresh;
    int tail_level;                   /**< [out] level of the first stop behind the stretch */
    double cost, broken, spend, full; /**< [out] what the whole route comes to more */
} sb_change;

/** @return SB_OK; SB_ERR_NOMEM. Release in any case. */
sb_status sb_route_state_init(sb_route_state *route, const sb_problem *p, sb_rule_price price);
void sb_route_state_release(sb_route_state *route);

/** Works everything out anew from field and level. */
void sb_route_refresh(sb_route_state *route);

/** What the route would come to more after the change. */
void sb_route_price(const sb_route_state *route, sb_change *change);
/** Makes the change; only what it reaches is worked out anew. */
void sb_route_apply(sb_route_state *route, const sb_change *change);

/** When the fields of the route after the change (NULL: as it is) are begun and finished, by
 * field. Precedences between machines want it. */
void sb_route_times(const sb_route_state *route, const sb_change *change, double *arrive_h,
                    double *finish_h);

static inline double sb_rule_broken(const sb_rule_price *price, double excess)
{
    return excess <= 0 ? 0 : price->money * (1 + excess);
}

#endif
