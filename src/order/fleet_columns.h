/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Routes and walks of single machines, collected to be put together into plans. */
#ifndef SB_ORDER_FLEET_COLUMNS_H
#define SB_ORDER_FLEET_COLUMNS_H

#include "order/fleet.h"

typedef struct sb_route_column {
    int machine; /**< the first of its kind */
    int stops;
    int *field, *level; /**< stops; owned, one piece of memory that begins at field */
    double cost;        /**< what the machine's problem says */
    double spend, full;
    bool is_route; /**< visits no field twice and keeps every rule of its machine */
    bool barred;   /**< by what its machine has learnt to remember since */
} sb_route_column;

typedef struct sb_column_pool {
    sb_route_column *items;
    size_t count, capacity;
} sb_column_pool;

/** Adds a walk, copied, at what it really costs; one that breaks dates is left out.
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_column_pool_add(sb_column_pool *columns, const sb_fleet *fleet, int machine,
                             const int *field, const int *level, int stops);
/** Adds the routes that are not empty. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_column_pool_add_routes(sb_column_pool *columns, const sb_fleet *fleet,
                                    const sb_routes *routes);
/** Drops all that are marked. */
void sb_column_pool_drop(sb_column_pool *columns, const bool *mark);
/** Takes the last one away again. */
void sb_column_pool_drop_last(sb_column_pool *columns);
void sb_column_pool_release(sb_column_pool *columns);

#endif
