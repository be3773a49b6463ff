/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_master.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

/* ---- Cuts and duals ------------------------------------------------------------------------ */

void sb_entry_cuts_release(sb_entry_cuts *cuts)
{
    for (size_t c = 0; c < cuts->count; c++)
        sb_free(cuts->items[c].set);
    sb_free(cuts->items);
    *cuts = (sb_entry_cuts){0};
}

int sb_entries_of(const sb_entries *cut, const sb_route_column *column)
{
    int entries = 0;
    bool inside = false;
    for (int t = 0; t < column->stops; t++) {
        bool here = sb_has(cut->set, column->field[t]);
        entries += here && !inside;
        inside = here;
    }
    return entries;
}

sb_status sb_duals_init(sb_duals *d, const sb_fleet *f)
{
    *d = (sb_duals){0};
    d->reward = sb_alloc((size_t)f->n, sizeof *d->reward);
    d->machine = sb_alloc((size_t)f->machines, sizeof *d->machine);
    d->hour = sb_alloc((size_t)f->machines, sizeof *d->hour);
    return d->reward && d->machine && d->hour ? SB_OK : SB_ERR_NOMEM;
}

void sb_duals_release(sb_duals *d)
{
    sb_free(d->reward);
    sb_free(d->machine);
    sb_free(d->hour);
    sb_free(d->entry);
    *d = (sb_duals){0};
}

sb_status sb_duals_grow(sb_duals *d, size_t n_entries)
{
    if (n_entries <= d->n_entries)
        return SB_OK;
    double *entry = sb_resize(d->entry, n_entries, sizeof *entry);
    if (entry == NULL)
        return SB_ERR_NOMEM;
    for (size_t c = d->n_entries; c < n_entries; c++)
        entry[c] = 0;
    d->entry = entry;
    d->n_entries = n_entries;
    return SB_OK;
}

sb_status sb_duals_copy(const sb_fleet *f, const sb_duals *from, sb_duals *to)
{
    sb_status status = sb_duals_grow(to, from->n_entries);
    if (status != SB_OK)
        return status;
    memcpy(to->reward, from->reward, (size_t)f->n * sizeof *to->reward);
    memcpy(to->machine, from->machine, (size_t)f->machines * sizeof *to->machine);
    memcpy(to->hour, from->hour, (size_t)f->machines * sizeof *to->hour);
    to->spend = from->spend;
    to->full = from->full;
    for (size_t c = 0; c < to->n_entries; c++)
        to->entry[c] = c < from->n_entries ? from->entry[c] : 0;
    return SB_OK;
}

void sb_duals_mix(const sb_fleet *f, const sb_duals *a, const sb_duals *b, double share,
                  sb_duals *to)
{
    for (int j = 0; j < f->n; j++)
        to->reward[j] = share * a->reward[j] + (1 - share) * b->reward[j];
    for (int m = 0; m < f->machines; m++)
        to->hour[m] = share * a->hour[m] + (1 - share) * b->hour[m];
    to->spend = share * a->spend + (1 - share) * b->spend;
    to->full = share * a->full + (1 - share) * b->full;
    for (size_t c = 0; c < to->n_entries; c++)
        to->entry[c] = share * a->entry[c] + (1 - share) * b->entry[c];
}

double sb_duals_reduced(const sb_duals *d, const sb_route_column *column, const sb_entry_cuts *cuts)
{
    double money = column->cost - d->machine[column->machine];
    for (int t = 0; t < column->stops; t++)
        money -= d->reward[column->field[t]];
    money += d->spend * column->spend + d->full * column->full;
    for (size_t c = 0; c < d->n_entries; c++)
        if (d->entry[c] != 0)
            money -= d->entry[c] * sb_entries_of(&cuts->items[c], column);
    return money;
}

/* ---- The linear program -------------------------------------------------------------------- */

#define TRIAL_STEPS 150

static bool has_row(const sb_entries *cut)
{
    return cut->least > 0 || isfinite(cut->most);
}

static int row_type(const sb_entries *cut)
{
    if (!has_row(cut))
        return GLP_FR;
    if (isinf(cut->most))
        return GLP_LO;
    return cut->least <= 0 ? GLP_UP : cut->least < cut->most ? GLP_DB : GLP_FX;
}

static bool reserve(sb_master *m, int wanted)
{
    if (wanted <= m->scratch)
        return true;
    int *index = sb_resize(m->index, 2 * (size_t)wanted, sizeof *index);
    if (index != NULL)
        m->index = index;
    double *value = sb_resize(m->value, 2 * (size_t)wanted, sizeof *value);
    if (value != NULL)
        m->value = value;
    if (index == NULL || value == NULL)
        return false;
    m->scratch = 2 * wanted;
    return true;
}

static void add_stand_ins(sb_master *m, double cost)
{
    int n = m->fleet->n;
    glp_add_cols(m->lp, n);
    for (int j = 1; j <= n; j++) {
        int index[2] = {0, j};
        double value[2] = {0, 1};
        glp_set_obj_coef(m->lp, j, cost);
        glp_set_col_bnds(m->lp, j, GLP_LO, 0, 0);
        glp_set_mat_col(m->lp, j, 1, index, value);
    }
    m->n_fixed_columns = n;
}

static void add_machine_rows(sb_master *m)
{
    const sb_fleet *f = m->fleet;
    for (int k = 0; k < f->machines; k++) {
        if (f->kind[k] != k)
            continue;
        int count = 0, row = glp_add_rows(m->lp, 1);
        for (int other = k; other < f->machines; other++)
            count += f->kind[other] == k;
        glp_set_row_bnds(m->lp, row, GLP_UP, 0, count);
        m->kind_row[k] = row;
    }
}

static int add_limit_row(sb_master *m, double most)
{
    if (isinf(most))
        return 0;
    int row = glp_add_rows(m->lp, 1);
    glp_set_row_bnds(m->lp, row, GLP_UP, 0, sb_spend_most(most));
    return row;
}

sb_status sb_master_init(sb_master *m, const sb_fleet *f, double stand_in_cost)
{
    *m = (sb_master){.fleet = f};
    m->kind_row = sb_alloc((size_t)f->machines, sizeof *m->kind_row);
    if (m->kind_row == NULL || !reserve(m, f->n + 4))
        return SB_ERR_NOMEM;
    m->lp = glp_create_prob();
    glp_set_obj_dir(m->lp, GLP_MIN);
    glp_add_rows(m->lp, f->n);
    for (int j = 1; j <= f->n; j++)
        glp_set_row_bnds(m->lp, j, GLP_FX, 1, 1);
    add_machine_rows(m);
    m->spend_row = add_limit_row(m, f->most_spend);
    m->full_row = add_limit_row(m, f->most_full);
    m->first_cut_row = glp_get_num_rows(m->lp) + 1;
    add_stand_ins(m, stand_in_cost);
    return SB_OK;
}

void sb_master_release(sb_master *m, bool glpk_lives)
{
    if (glpk_lives && m->lp != NULL)
        glp_delete_prob(m->lp);
    sb_free(m->kind_row);
    sb_free(m->index);
    sb_free(m->value);
    sb_free(m->basis);
    *m = (sb_master){0};
}

/* One column's entries in index / value from 1; returns how many. */
static int fill_column(sb_master *m, const sb_route_column *c, const sb_entry_cuts *cuts)
{
    int length = 0;
    for (int t = 0; t < c->stops; t++) {
        int row = c->field[t] + 1, k = 1;
        while (k <= length && m->index[k] != row)
            k++;
        if (k > length) {
            m->index[++length] = row;
            m->value[length] = 0;
        }
        m->value[k]++;
    }
    m->index[++length] = m->kind_row[c->machine];
    m->value[length] = 1;
    if (m->spend_row > 0 && c->spend > 0) {
        m->index[++length] = m->spend_row;
        m->value[length] = c->spend;
    }
    if (m->full_row > 0 && c->full > 0) {
        m->index[++length] = m->full_row;
        m->value[length] = c->full;
    }
    for (size_t k = 0; k < m->n_cuts; k++) {
        int entries = has_row(&cuts->items[k]) ? sb_entries_of(&cuts->items[k], c) : 0;
        if (entries > 0) {
            m->index[++length] = m->first_cut_row + (int)k;
            m->value[length] = entries;
        }
    }
    return length;
}

/* A cut that comes later than columns: its row over all of them. */
static sb_status add_cut(sb_master *m, const sb_column_pool *columns, const sb_entries *cut)
{
    if (!reserve(m, (int)m->n_columns + m->fleet->n + 2))
        return SB_ERR_NOMEM;
    int row = glp_add_rows(m->lp, 1), length = 0;
    glp_set_row_bnds(m->lp, row, row_type(cut), cut->least, cut->most);
    for (size_t c = 0; c < m->n_columns && has_row(cut); c++) {
        int entries = sb_entries_of(cut, &columns->items[c]);
        if (entries > 0) {
            m->index[++length] = m->n_fixed_columns + (int)c + 1;
            m->value[length] = entries;
        }
    }
    /* The stand-ins keep it, each for its own field and as often as it takes; all together, where
     * there must not be too many. */
    int members = 0;
    for (int j = 0; j < m->fleet->n; j++)
        members += sb_has(cut->set, j);
    for (int j = 1; j <= m->fleet->n && cut->least > 0; j++)
        if (sb_has(cut->set, j - 1)) {
            m->index[++length] = j;
            m->value[length] = isinf(cut->most) ? cut->least : cut->least / members;
        }
    glp_set_mat_row(m->lp, row, length, m->index, m->value);
    return SB_OK;
}

static void restore_basis(sb_master *m)
{
    int rows = glp_get_num_rows(m->lp), columns = glp_get_num_cols(m->lp);
    for (int i = 1; i <= rows; i++)
        glp_set_row_stat(m->lp, i, m->basis[i]);
    for (int k = 1; k <= columns; k++)
        glp_set_col_stat(m->lp, k, m->basis[rows + k]);
}

sb_status sb_master_keep_basis(sb_master *m)
{
    int rows = glp_get_num_rows(m->lp), columns = glp_get_num_cols(m->lp);
    int *basis = sb_resize(m->basis, (size_t)(rows + columns + 1), sizeof *basis);
    if (basis == NULL)
        return SB_ERR_NOMEM;
    m->basis = basis;
    for (int i = 1; i <= rows; i++)
        basis[i] = glp_get_row_stat(m->lp, i);
    for (int k = 1; k <= columns; k++)
        basis[rows + k] = glp_get_col_stat(m->lp, k);
    return SB_OK;
}

double sb_master_try(sb_master *m, const sb_column_pool *columns, const sb_entries *cut)
{
    restore_basis(m);
    if (cut != NULL && add_cut(m, columns, cut) != SB_OK)
        return -INFINITY;
    glp_smcp how;
    glp_init_smcp(&how);
    how.msg_lev = GLP_MSG_OFF;
    how.meth = GLP_DUALP;
    how.it_lim = TRIAL_STEPS;
    int failed = glp_simplex(m->lp, &how);
    bool none = failed == 0 && glp_get_prim_stat(m->lp) == GLP_NOFEAS;
    bool known = (failed == 0 || failed == GLP_EITLIM) && glp_get_dual_stat(m->lp) == GLP_FEAS;
    double value = known ? glp_get_obj_val(m->lp) : -INFINITY;
    if (cut != NULL) {
        int row[2] = {0, glp_get_num_rows(m->lp)};
        glp_del_rows(m->lp, 1, row);
    }
    restore_basis(m);
    return none ? INFINITY : value;
}

sb_status sb_master_update(sb_master *m, const sb_column_pool *columns, const sb_entry_cuts *cuts)
{
    while (m->n_cuts < cuts->count) {
        if (!reserve(m, (int)m->n_columns + m->fleet->n + 2))
            return SB_ERR_NOMEM;
        sb_status status = add_cut(m, columns, &cuts->items[m->n_cuts]);
        if (status != SB_OK)
            return status;
        m->n_cuts++;
    }
    for (; m->n_columns < columns->count; m->n_columns++) {
        const sb_route_column *c = &columns->items[m->n_columns];
        if (!reserve(m, m->fleet->n + 4 + (int)m->n_cuts))
            return SB_ERR_NOMEM;
        int column = glp_add_cols(m->lp, 1), length = fill_column(m, c, cuts);
        glp_set_obj_coef(m->lp, column, c->cost);
        glp_set_col_bnds(m->lp, column, c->barred ? GLP_FX : GLP_LO, 0, 0);
        glp_set_mat_col(m->lp, column, length, m->index, m->value);
    }
    return SB_OK;
}

/* Of the sign that the row's bounds allow. */
static double entry_dual(const sb_master *m, int row)
{
    double dual = glp_get_row_dual(m->lp, row);
    switch (glp_get_row_type(m->lp, row)) {
    case GLP_FR:
        return 0;
    case GLP_LO:
        return fmax(dual, 0);
    case GLP_UP:
        return fmin(dual, 0);
    default:
        return dual;
    }
}

bool sb_master_solve(sb_master *m, double *value, sb_duals *duals)
{
    const sb_fleet *f = m->fleet;
    glp_smcp how;
    glp_init_smcp(&how);
    how.msg_lev = GLP_MSG_OFF;
    if (glp_simplex(m->lp, &how) != 0 || glp_get_status(m->lp) != GLP_OPT) {
        glp_std_basis(m->lp); /* a basis gone bad: from the beginning */
        if (glp_simplex(m->lp, &how) != 0 || glp_get_status(m->lp) != GLP_OPT)
            return false;
    }
    *value = glp_get_obj_val(m->lp);
    for (int j = 0; j < f->n; j++)
        duals->reward[j] = glp_get_row_dual(m->lp, j + 1);
    for (int k = 0; k < f->machines; k++)
        duals->machine[k] = fmin(glp_get_row_dual(m->lp, m->kind_row[f->kind[k]]), 0);
    duals->spend = m->spend_row > 0 ? fmax(-glp_get_row_dual(m->lp, m->spend_row), 0) : 0;
    duals->full = m->full_row > 0 ? fmax(-glp_get_row_dual(m->lp, m->full_row), 0) : 0;
    for (size_t c = 0; c < duals->n_entries && c < m->n_cuts; c++)
        duals->entry[c] = entry_dual(m, m->first_cut_row + (int)c);
    return true;
}

double sb_master_share(const sb_master *m, size_t column)
{
    return glp_get_col_prim(m->lp, m->n_fixed_columns + (int)column + 1);
}

double sb_master_stand_ins(const sb_master *m)
{
    double sum = 0;
    for (int j = 1; j <= m->n_fixed_columns; j++)
        sum += glp_get_col_prim(m->lp, j);
    return sum;
}

void sb_master_price_stand_ins(sb_master *m, double cost)
{
    for (int j = 1; j <= m->n_fixed_columns; j++)
        glp_set_obj_coef(m->lp, j, cost);
}

double sb_master_value(const sb_master *m)
{
    return glp_get_obj_val(m->lp);
}

bool sb_master_forbidden(const sb_master *m, size_t column)
{
    return glp_get_col_type(m->lp, m->n_fixed_columns + (int)column + 1) == GLP_FX;
}

void sb_master_admit(sb_master *m, size_t column)
{
    glp_set_col_bnds(m->lp, m->n_fixed_columns + (int)column + 1, GLP_LO, 0, 0);
}

void sb_master_forbid(sb_master *m, size_t column)
{
    glp_set_col_bnds(m->lp, m->n_fixed_columns + (int)column + 1, GLP_FX, 0, 0);
}
