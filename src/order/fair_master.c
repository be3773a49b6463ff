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
    int *index; /* 2 n_takers + 2 */
    double *number;
    double *y, *dues, *value; /* the caller's */
    glp_prob *lp;
} master;

/* Columns: the value, then a multiplier for each taker that has a cap, then one for each cap that
 * must be kept besides. */
static int columns_of(const master *m)
{
    return 1 + m->f->n_takers * (m->aim->hard != NULL ? 2 : 1);
}

/* The cap that a column is the multiplier of. */
static double cap_of(const master *m, int column)
{
    int n = m->f->n_takers;
    return column <= n + 1 ? m->aim->cap[column - 2] : m->aim->hard[column - 2 - n];
}

static void add_columns(master *m)
{
    int n = m->f->n_takers;
    glp_add_cols(m->lp, columns_of(m));
    glp_set_col_bnds(m->lp, 1, GLP_FR, 0, 0);
    glp_set_obj_coef(m->lp, 1, 1);
    for (int c = 2; c <= columns_of(m); c++) {
        double most = m->aim->money || c > n + 1 ? m->most_y : 1;
        if (isinf(cap_of(m, c)))
            glp_set_col_bnds(m->lp, c, GLP_FX, 0, 0);
        else
            glp_set_col_bnds(m->lp, c, GLP_DB, 0, most);
    }
}

static void add_row(master *m, const double *loss, double base)
{
    int row = glp_add_rows(m->lp, 1), length = 1, n = m->f->n_takers;
    m->index[1] = 1;
    m->number[1] = 1;
    for (int c = 2; c <= columns_of(m); c++)
        if (isfinite(cap_of(m, c))) {
            m->index[++length] = c;
            m->number[length] = cap_of(m, c) - loss[(c - 2) % n];
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

static void read_multipliers(const master *m)
{
    int n = m->f->n_takers;
    *m->dues = 0;
    for (int g = 0; g < n; g++)
        m->y[g] = 0;
    for (int c = 2; c <= columns_of(m); c++) {
        double y = fmax(glp_get_col_prim(m->lp, c), 0);
        m->y[(c - 2) % n] += y;
        if (y > 0)
            *m->dues += y * cap_of(m, c);
    }
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
    read_multipliers(m);
    return SB_OK;
}

sb_status sb_fair_multipliers(const sb_fair *f, const sb_aim_at *aim, double most_y, double *y,
                              double *dues, double *value)
{
    master m = {.f = f, .aim = aim, .most_y = most_y, .y = y, .dues = dues, .value = value};
    bool glpk_lives = false;
    m.index = sb_alloc(2 * (size_t)f->n_takers + 2, sizeof *m.index);
    m.number = sb_alloc(2 * (size_t)f->n_takers + 2, sizeof *m.number);
    sb_status status = SB_ERR_NOMEM;
    if (m.index != NULL && m.number != NULL)
        status = sb_glpk_guard(solve, &m, &glpk_lives);
    if (m.lp != NULL && glpk_lives)
        glp_delete_prob(m.lp);
    sb_free(m.index);
    sb_free(m.number);
    return status;
}
