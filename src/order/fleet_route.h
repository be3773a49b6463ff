/* SPDX-License-Identifier: GPL-3.0-or-later */
/** One machine's route under search: what it takes to price a change by walking the changed stretch
 * alone. Because the untouched rest costs K + V . load, nothing behind the stretch is walked unless
 * time or seed limits press there. */
#ifndef SB_ORDER_FLEET_ROUTE_H
#define SB_ORDER_FLEET_ROUTE_H

#include "order/fleet.h"
#include "order/fleet_ways.h"

/** What one stop comes to as things are. */
typedef struct sb_stop_state {
    double cost;      /**< road, cleanout and seeds */
    double delay;     /**< money lost with time */
    double late;      /**< price of a broken date */
    double over;      /**< price of broken seed limits */
    double shut;      /**< price of a move that is not open */
    double set_out_h; /**< hours of the cleanout and the way to it */
    double finish_h;
    double slack_h; /**< how much later the machine may set out for it and break no date */
    double carried; /**< money: how much the stops behind it would save at most if it left nothing
                         in the machine but its own seeds */
} sb_stop_state;

/** What some stops come to together. */
typedef struct sb_sums {
    double total, broken; /**< money; price of broken rules */
    double at_stake;      /**< part of both: what earlier times and cleaner loads could save */
    double spend, full;
} sb_sums;

typedef struct sb_route_state {
    const sb_problem *p;
    const sb_ways *ways;
    double rule_price; /**< money for one broken rule, and again for each hour or whole limit of
                          excess */
    int count;
    int *field, *level; /**< n: the stops in order */
    /* By field, of those in the route. Kept by field and not by place, so that a stop that moves up
     * or down takes nothing along: */
    double *load_after;   /**< n x dims: load on leaving it */
    double *price_before; /**< n x dims: V: price of the load on setting out for it */
    sb_stop_state *stop;
    sb_sums *before;  /**< by place, count + 1 of them: of the stops in front of it */
    double home_late; /**< price of coming home too late, or by no way */
    double total, total_broken;
} sb_route_state;

/** Stops of a route as it is. */
typedef struct sb_piece {
    const sb_route_state *route;
    int from, count;
    bool turned;
} sb_piece;

/** Stops begin..end-1 make way for pieces. Levels where they join are chosen anew, the others are
 * kept; a turned piece keeps its levels between the same neighbours. */
typedef struct sb_change {
    int begin, end;
    sb_piece piece[3];
    int n_pieces;
    int new_level; /**< >= 0: of the one stop, which stays where it is; no other is chosen anew */
    double least;  /**< [out] what the whole route comes to more at least, broken rules included */
    int count;     /**< [out] stops of the pieces */
    int *field, *level; /**< [out] n: what they are */
    double *stop_least; /**< [out] n: what each comes to at least */
    int fresh[4];       /**< ascending places in the new stretch whose level is chosen anew; `count`
                             stands for the first stop behind it */
    int n_fresh;
    int tail_level;                   /**< [out] level of the first stop behind the stretch */
    double cost, broken, spend, full; /**< [out] what the whole route comes to more */
} sb_change;

/** @param ways the problem's; the caller keeps them
 * @return SB_OK; SB_ERR_NOMEM. Release in any case. */
sb_status sb_route_state_init(sb_route_state *route, const sb_problem *p, const sb_ways *ways,
                              double rule_price);
void sb_route_state_release(sb_route_state *route);

/** Works everything out anew from field and level. */
void sb_route_refresh(sb_route_state *route);

/** What the route would come to more at least after the change, without walking it: `least`. */
void sb_route_screen(const sb_route_state *route, sb_change *change);
/** What the route would come to more after the change. It is walked only as far as it takes to see
 * that this is above `most`.
 * @param change screened
 * @return false: above `most` for sure, and nothing else is known of it */
bool sb_route_price(const sb_route_state *route, sb_change *change, double most);
/** Makes the change; only what it reaches is worked out anew. */
void sb_route_apply(sb_route_state *route, const sb_change *change);

/** When the fields of the route after the change (NULL: as it is) are begun and finished, by
 * field. Precedences between machines want it. */
void sb_route_times(const sb_route_state *route, const sb_change *change, double *arrive_h,
                    double *finish_h);

/** What a rule broken by so much costs while searching. */
static inline double sb_rule_broken(double rule_price, double excess)
{
    return excess <= 0 ? 0 : rule_price * (1 + excess);
}

#endif
