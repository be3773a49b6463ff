/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The best multipliers by the plans met: every plan is a plane over them, and the least of all
 * planes is nowhere below the bound they stand for (Kelley 1960, J. SIAM 8:703; from memory). */
#include <glpk.h>
#include <math.h>

#include "base/mem.h"
#include "order/fair_parts.h"
#include "order/glpk_guard.h"

typedef struct master {
    const sb_fair *f;
    const sb_aim_at *aim;
    double most_y;
    int *index; /* n_takers + 2 */
    double *number;
    double *y, *value; /* the caller's */
    glp_prob *lp;
} master;

/* Columns: the value, then a multiplier for each taker that has a cap. */
static void add_columns(master *m)
{
    int n = m->f->n_takers;
    glp_add_cols(m->lp, n + 1);
    glp_set_col_bnds(m->lp, 1, GLP_FR, 0, 0);
    glp_set_obj_coef(m->lp, 1, 1);
    for (int g = 0; g < n; g++) {
        double most = m->aim->money ? m->most_y : 1;
        if (isinf(m->aim->cap[g]))
            glp_set_col_bnds(m->lp, g + 2, GLP_FX, 0, 0);
        else
            glp_set_col_bnds(m->lp, g + 2, GLP_DB, 0, most);
    }
}

static void add_row(master *m, const double *loss, double base)
{
    int row = glp_add_rows(m->lp, 1), length = 1;
    m->index[1] = 1;
    m->number[1] = 1;
    for (int g = 0; g < m->f->n_takers; g++)
        if (isfinite(m->aim->cap[g])) {
            m->index[++length] = g + 2;
            m->number[length] = m->aim->cap[g] - loss[g];
        }
    glp_set_row_bnds(m->lp, row, GLP_UP, 0, base);
    glp_set_mat_row(m->lp, row, length, m->index, m->number);
}

/* Without money the multipliers add up to 1. */
static void add_sum(master *m)
{
    int row = glp_add_rows(m->lp, 1), length = 0;
    for (int g = 0; g < m->f->n_takers; g++) {
        m->index[++length] = g + 2;
        m->number[length] = 1;
    }
    glp_set_row_bnds(m->lp, row, GLP_FX, 1, 1);
    glp_set_mat_row(m->lp, row, length, m->index, m->number);
}

static sb_status solve(void *context)
{
    master *m = context;
    glp_smcp how;
    m->lp = glp_create_prob();
    glp_set_obj_dir(m->lp, GLP_MAX);
    add_columns(m);
    for (size_t i = 0; i < m->f->met.count; i++) {
        const sb_met *met = &m->f->met.items[i];
        add_row(m, met->loss, m->aim->money ? met->routes.cost : 0);
    }
    if (!m->aim->money)
        add_sum(m);
    glp_init_smcp(&how);
    how.msg_lev = GLP_MSG_OFF;
    if (glp_simplex(m->lp, &how) != 0 || glp_get_status(m->lp) != GLP_OPT)
        return SB_ERR_INTERNAL;
    *m->value = glp_get_obj_val(m->lp);
    for (int g = 0; g < m->f->n_takers; g++)
        m->y[g] = fmax(glp_get_col_prim(m->lp, g + 2), 0);
    return SB_OK;
}

sb_status sb_fair_multipliers(const sb_fair *f, const sb_aim_at *aim, double most_y, double *y,
                              double *value)
{
    master m = {.f = f, .aim = aim, .most_y = most_y, .y = y, .value = value};
    bool glpk_lives = false;
    m.index = sb_alloc((size_t)f->n_takers + 2, sizeof *m.index);
    m.number = sb_alloc((size_t)f->n_takers + 2, sizeof *m.number);
    sb_status status = SB_ERR_NOMEM;
    if (m.index != NULL && m.number != NULL)
        status = sb_glpk_guard(solve, &m, &glpk_lives);
    if (m.lp != NULL && glpk_lives)
        glp_delete_prob(m.lp);
    sb_free(m.index);
    sb_free(m.number);
    return status;
}
