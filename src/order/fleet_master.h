/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The master: which columns make up a plan, as a linear program in GLPK. Every field once, every
 * machine at most one route, the season's limits on cleaning, and entries: so many machines must
 * come into a set of fields. Use inside sb_glpk_guard only. */
#ifndef SB_ORDER_FLEET_MASTER_H
#define SB_ORDER_FLEET_MASTER_H

#include <glpk.h>

#include "order/fleet_columns.h"

/** How many moves lead from outside into a set of fields. */
typedef struct sb_entries {
    uint64_t *set;      /**< words; owned */
    double always;      /**< at least so many in every plan */
    double least, most; /**< in the branch at hand; 0 and INFINITY: no row */
} sb_entries;

typedef struct sb_entry_cuts {
    sb_entries *items;
    size_t count, capacity;
} sb_entry_cuts;

void sb_entry_cuts_release(sb_entry_cuts *cuts);
/** How often a column comes into the set. */
int sb_entries_of(const sb_entries *cut, const sb_route_column *column);

/** What the rows are worth. */
typedef struct sb_duals {
    double *reward;  /**< n: money for each field */
    double *machine; /**< machines: money for each of the kind, at most 0 */
    double *hour; /**< machines: money for each of the kind's hours, at least 0; see sb_rest_walk */
    double spend, full; /**< money for each unit used, at least 0 */
    double *entry;      /**< by cut: money for each move in, negative where `most` holds it down */
    size_t n_entries;
} sb_duals;

typedef struct sb_master {
    const sb_fleet *fleet;
    glp_prob *lp;
    int *kind_row;           /**< machines: its kind's row */
    int spend_row, full_row; /**< 0: no limit */
    int first_cut_row;
    size_t n_cuts;
    int n_fixed_columns; /**< stand-ins: columns before the first of the pool */
    size_t n_columns;    /**< of the pool, in order */
    int *index;          /**< scratch */
    double *value;
    int scratch;
    int *basis; /**< rows, then columns: kept states; NULL: none */
} sb_master;

/** Rows, and a stand-in for each field at this cost, so that there is always a solution.
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_master_init(sb_master *master, const sb_fleet *fleet, double stand_in_cost);
void sb_master_release(sb_master *master, bool glpk_lives);
/** Takes in columns and cuts added to the pools since. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_master_update(sb_master *master, const sb_column_pool *columns,
                           const sb_entry_cuts *cuts);
/** Solves the linear program. @param value [out] its optimum, stand-ins included
 * @param duals [out] its arrays have room. @return false: GLPK could not */
bool sb_master_solve(sb_master *master, double *value, sb_duals *duals);
/** How much of a column of the pool the present solution takes. */
double sb_master_share(const sb_master *master, size_t column);

/** How much of the stand-ins it takes. */
double sb_master_stand_ins(const sb_master *master);
void sb_master_price_stand_ins(sb_master *master, double cost);
/** What it comes to. */
double sb_master_value(const sb_master *master);

/** Takes a column of the pool out of the program. */
void sb_master_forbid(sb_master *master, size_t column);
bool sb_master_forbidden(const sb_master *master, size_t column);
/** Lets it in again. */
void sb_master_admit(sb_master *master, size_t column);

/** Keeps the basis of the present solution for sb_master_try. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_master_keep_basis(sb_master *master);
/** What the program comes to at least as it is now and with one more row, after a few steps of the
 * dual simplex from the basis kept. The row is gone afterwards and the basis is the kept one.
 * @param cut the row; NULL: none
 * @return INFINITY: there is no solution; -INFINITY: GLPK could not say */
double sb_master_try(sb_master *master, const sb_column_pool *columns, const sb_entries *cut);

/** @return SB_OK; SB_ERR_NOMEM. Release in any case. */
sb_status sb_duals_init(sb_duals *duals, const sb_fleet *fleet);
void sb_duals_release(sb_duals *duals);
/** Room for one more cut, worth nothing yet. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_duals_grow(sb_duals *duals, size_t n_entries);
/** The same numbers, for cuts that came later 0. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_duals_copy(const sb_fleet *fleet, const sb_duals *from, sb_duals *to);
/** to = share * a + (1 - share) * b, machines not included. */
void sb_duals_mix(const sb_fleet *fleet, const sb_duals *a, const sb_duals *b, double share,
                  sb_duals *to);
/** Cost less everything the duals pay for the column. */
double sb_duals_reduced(const sb_duals *duals, const sb_route_column *column,
                        const sb_entry_cuts *cuts);

#endif
