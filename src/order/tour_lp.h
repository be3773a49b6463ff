/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The tour as a linear program in GLPK: one column per arc, degree rows, cut rows. */
#ifndef SB_ORDER_TOUR_LP_H
#define SB_ORDER_TOUR_LP_H

#include <glpk.h>

#include "order/cuts.h"

/** Use inside sb_glpk_guard only. Columns 1..n_artificial close rows that the arcs at hand cannot;
 * column n_artificial + 1 + a is arc a. Rows 1..n+1 leave a node, n+2..2n+2 enter one, the rest are
 * the pool's cuts in order. */
typedef struct sb_tour_lp {
    const sb_problem *p;
    glp_prob *lp;
    int *column_from, *column_to; /**< by column, from 1; -1 for an artificial column */
    int n_columns, column_capacity;
    size_t n_cuts; /**< cuts of the pool that have rows */
    double artificial_cost;
    int *index; /**< scratch for one row or column, from 1 */
    double *value;
    int scratch_capacity;
} sb_tour_lp;

/** Degree rows with their artificial columns. @return SB_OK; SB_ERR_NOMEM. Release in any case. */
sb_status sb_tour_lp_init(sb_tour_lp *t, const sb_problem *p, double artificial_cost);
/** Frees what lies outside GLPK, and the glp_prob unless GLPK threw it away. */
void sb_tour_lp_release(sb_tour_lp *t, bool glpk_lives);

/** Adds an arc, with its coefficients in every cut that has a row. */
sb_status sb_tour_lp_add_arc(sb_tour_lp *t, int from, int to, double cost, const sb_cut_pool *pool);
/** Adds rows for the pool's cuts that have none. */
sb_status sb_tour_lp_add_cuts(sb_tour_lp *t, const sb_cut_pool *pool);

/** Fills in one cut's row over the columns: returns its length, entries in t->index / t->value. */
int sb_tour_lp_cut_row(sb_tour_lp *t, const sb_cut *cut);

/** The arcs above zero of the LP's (or a tree's) present solution. Arrays hold n_columns. */
int sb_tour_lp_support(const sb_tour_lp *t, glp_prob *lp, int *from, int *to, double *value);

#endif
