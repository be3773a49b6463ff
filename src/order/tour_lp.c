/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/tour_lp.h"

#include <string.h>

#include "base/mem.h"

#define ABOVE_ZERO 1e-9

static bool reserve_scratch(sb_tour_lp *t, int wanted)
{
    if (wanted <= t->scratch_capacity)
        return true;
    int capacity = wanted * 2;
    int *index = sb_resize(t->index, (size_t)capacity, sizeof *index);
    if (index != NULL)
        t->index = index;
    double *value = sb_resize(t->value, (size_t)capacity, sizeof *value);
    if (value != NULL)
        t->value = value;
    if (index == NULL || value == NULL)
        return false;
    t->scratch_capacity = capacity;
    return true;
}

static int new_column(sb_tour_lp *t, int from, int to, double cost)
{
    if (t->n_columns + 2 > t->column_capacity) {
        int capacity = t->column_capacity ? t->column_capacity * 2 : 256;
        int *column_from = sb_resize(t->column_from, (size_t)capacity, sizeof(int));
        if (column_from != NULL)
            t->column_from = column_from;
        int *column_to = sb_resize(t->column_to, (size_t)capacity, sizeof(int));
        if (column_to != NULL)
            t->column_to = column_to;
        if (column_from == NULL || column_to == NULL)
            return 0;
        t->column_capacity = capacity;
    }
    int column = glp_add_cols(t->lp, 1);
    t->column_from[column] = from;
    t->column_to[column] = to;
    t->n_columns = column;
    glp_set_obj_coef(t->lp, column, cost);
    if (from < 0)
        glp_set_col_bnds(t->lp, column, GLP_LO, 0, 0);
    else
        glp_set_col_bnds(t->lp, column, GLP_DB, 0, 1);
    return column;
}

static sb_status add_artificial(sb_tour_lp *t, int row)
{
    int column = new_column(t, -1, -1, t->artificial_cost);
    if (column == 0)
        return SB_ERR_NOMEM;
    int index[2] = {0, row};
    double value[2] = {0, 1};
    glp_set_mat_col(t->lp, column, 1, index, value);
    return SB_OK;
}

sb_status sb_tour_lp_init(sb_tour_lp *t, const sb_problem *p, double artificial_cost)
{
    *t = (sb_tour_lp){.p = p, .artificial_cost = artificial_cost};
    t->lp = glp_create_prob();
    glp_set_obj_dir(t->lp, GLP_MIN);
    int rows = 2 * (p->n + 1);
    glp_add_rows(t->lp, rows);
    for (int r = 1; r <= rows; r++) {
        glp_set_row_bnds(t->lp, r, GLP_FX, 1, 1);
        sb_status status = add_artificial(t, r);
        if (status != SB_OK)
            return status;
    }
    return SB_OK;
}

void sb_tour_lp_release(sb_tour_lp *t, bool glpk_lives)
{
    if (glpk_lives && t->lp != NULL)
        glp_delete_prob(t->lp);
    sb_free(t->column_from);
    sb_free(t->column_to);
    sb_free(t->index);
    sb_free(t->value);
    *t = (sb_tour_lp){0};
}

sb_status sb_tour_lp_add_arc(sb_tour_lp *t, int from, int to, double cost, const sb_cut_pool *pool)
{
    if (!reserve_scratch(t, (int)t->n_cuts + 3))
        return SB_ERR_NOMEM;
    int column = new_column(t, from, to, cost);
    if (column == 0)
        return SB_ERR_NOMEM;
    int length = 0, nodes = t->p->n + 1;
    t->index[++length] = from + 1;
    t->value[length] = 1;
    t->index[++length] = nodes + to + 1;
    t->value[length] = 1;
    for (size_t c = 0; c < t->n_cuts; c++)
        if (sb_cut_has(&pool->items[c], from, to)) {
            t->index[++length] = 2 * nodes + (int)c + 1;
            t->value[length] = 1;
        }
    glp_set_mat_col(t->lp, column, length, t->index, t->value);
    return SB_OK;
}

int sb_tour_lp_cut_row(sb_tour_lp *t, const sb_cut *cut)
{
    int length = 0;
    for (int c = 1; c <= t->n_columns; c++)
        if (t->column_from[c] >= 0 && sb_cut_has(cut, t->column_from[c], t->column_to[c])) {
            t->index[++length] = c;
            t->value[length] = 1;
        }
    return length;
}

sb_status sb_tour_lp_add_cuts(sb_tour_lp *t, const sb_cut_pool *pool)
{
    for (; t->n_cuts < pool->count; t->n_cuts++) {
        const sb_cut *cut = &pool->items[t->n_cuts];
        if (!reserve_scratch(t, t->n_columns + 2))
            return SB_ERR_NOMEM;
        int row = glp_add_rows(t->lp, 1), length = sb_tour_lp_cut_row(t, cut);
        if (cut->inside)
            glp_set_row_bnds(t->lp, row, GLP_UP, 0, cut->size - 1);
        else
            glp_set_row_bnds(t->lp, row, GLP_LO, 1, 0);
        glp_set_mat_row(t->lp, row, length, t->index, t->value);
        if (!cut->inside) {
            sb_status status = add_artificial(t, row);
            if (status != SB_OK)
                return status;
        }
    }
    return SB_OK;
}

int sb_tour_lp_support(const sb_tour_lp *t, glp_prob *lp, int *from, int *to, double *value)
{
    int count = 0;
    for (int c = 1; c <= t->n_columns; c++) {
        double x = glp_get_col_prim(lp, c);
        if (t->column_from[c] < 0 || x <= ABOVE_ZERO)
            continue;
        from[count] = t->column_from[c];
        to[count] = t->column_to[c];
        value[count++] = x;
    }
    return count;
}
