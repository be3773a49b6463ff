/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Branch and cut by GLPK, for seasons in which nothing is remembered: cuts are found in every node
 * of the tree, over the arcs that the root's reduced costs leave open. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "order/glpk_guard.h"
#include "order/root.h"
#include "order/tour_lp.h"

/* Arcs stay in when they could still give a season cheaper by more than this share. */
#define SAME_SHARE 1e-9
#define CUTS_A_NODE 60

typedef struct brancher {
    const sb_problem *p;
    sb_crew *crew;
    const sb_root *root;
    int *field;
    double *cost, *bound;
    sb_tour_lp lp;
    sb_cut_pool found; /* of the node at hand */
    int *from, *to;
    double *value, *solution;
    sb_status status;
    bool offered;
} brancher;

static size_t arc(const sb_problem *p, int i, int j)
{
    return (size_t)i * (size_t)(p->n + 1) + (size_t)j;
}

static void add_node_cuts(brancher *b, glp_tree *tree)
{
    glp_prob *lp = glp_ios_get_prob(tree);
    int count = sb_tour_lp_support(&b->lp, lp, b->from, b->to, b->value);
    sb_support support = {b->from, b->to, b->value, count};
    sb_cut_pool_release(&b->found);
    b->status = sb_cuts_find(b->p, &support, CUTS_A_NODE, &b->found);
    if (b->status != SB_OK) {
        glp_ios_terminate(tree);
        return;
    }
    for (size_t c = 0; c < b->found.count; c++) {
        const sb_cut *cut = &b->found.items[c];
        int length = sb_tour_lp_cut_row(&b->lp, cut), row = glp_add_rows(lp, 1);
        if (cut->inside)
            glp_set_row_bnds(lp, row, GLP_UP, 0, cut->size - 1);
        else
            glp_set_row_bnds(lp, row, GLP_LO, 1, 0);
        glp_set_mat_row(lp, row, length, b->lp.index, b->lp.value);
    }
}

/* Offers the known season once, as something to beat. */
static void offer_known(brancher *b, glp_tree *tree)
{
    const sb_problem *p = b->p;
    if (b->offered || isinf(*b->cost))
        return;
    b->offered = true;
    for (int c = 1; c <= b->lp.n_columns; c++) {
        b->solution[c] = 0;
        for (int t = 0; t <= p->n && b->lp.column_from[c] >= 0; t++)
            if (b->lp.column_from[c] == (t ? b->field[t - 1] : p->n) &&
                b->lp.column_to[c] == (t < p->n ? b->field[t] : p->n))
                b->solution[c] = 1;
    }
    glp_ios_heur_sol(tree, b->solution);
}

static void on_event(glp_tree *tree, void *info)
{
    brancher *b = info;
    int best = glp_ios_best_node(tree);
    if (best != 0)
        *b->bound = fmax(*b->bound, fmin(glp_ios_node_bound(tree, best), *b->cost));
    if (sb_crew_stopped(b->crew)) {
        glp_ios_terminate(tree);
        return;
    }
    if (glp_ios_reason(tree) == GLP_IROWGEN)
        add_node_cuts(b, tree);
    else if (glp_ios_reason(tree) == GLP_IHEUR)
        offer_known(b, tree);
}

/* Follows the arcs of GLPK's solution from the yard; false when they are no tour. */
static bool read_tour(brancher *b, int *tour, double *cost)
{
    const sb_problem *p = b->p;
    int node = p->n;
    *cost = 0;
    for (int t = 0; t <= p->n; t++) {
        int next = -1;
        for (int c = 1; c <= b->lp.n_columns && next < 0; c++)
            if (b->lp.column_from[c] == node && glp_mip_col_val(b->lp.lp, c) > 0.5)
                next = b->lp.column_to[c];
        if (next < 0 || (next == p->n) != (t == p->n))
            return false;
        *cost += b->root->cost[arc(p, node, next)];
        if (t < p->n)
            tour[t] = next;
        node = next;
    }
    return true;
}

static sb_status load_arcs(brancher *b)
{
    const sb_problem *p = b->p;
    double most = *b->cost * (1 - SAME_SHARE) - b->root->bound;
    for (int i = 0; i <= p->n; i++)
        for (int j = 0; j <= p->n; j++) {
            if (i == j || isinf(b->root->cost[arc(p, i, j)]))
                continue;
            bool known = false;
            for (int t = 0; t <= p->n && isfinite(*b->cost); t++)
                known |= i == (t ? b->field[t - 1] : p->n) && j == (t < p->n ? b->field[t] : p->n);
            if (!known && b->root->reduced[arc(p, i, j)] > most)
                continue;
            sb_status status =
                sb_tour_lp_add_arc(&b->lp, i, j, b->root->cost[arc(p, i, j)], &b->root->cuts);
            if (status != SB_OK)
                return status;
        }
    return SB_OK;
}

static sb_status branch(void *context)
{
    brancher *b = context;
    const sb_problem *p = b->p;
    sb_status status = sb_tour_lp_init(&b->lp, p, 0);
    if (status == SB_OK)
        status = load_arcs(b);
    if (status == SB_OK)
        status = sb_tour_lp_add_cuts(&b->lp, &b->root->cuts);
    if (status != SB_OK)
        return status;
    size_t columns = (size_t)b->lp.n_columns + 1;
    b->from = sb_alloc(columns, sizeof *b->from);
    b->to = sb_alloc(columns, sizeof *b->to);
    b->value = sb_alloc(columns, sizeof *b->value);
    b->solution = sb_alloc(columns, sizeof *b->solution);
    if (!b->from || !b->to || !b->value || !b->solution)
        return SB_ERR_NOMEM;
    for (int c = 1; c <= b->lp.n_columns; c++) {
        if (b->lp.column_from[c] < 0)
            glp_set_col_bnds(b->lp.lp, c, GLP_FX, 0, 0);
        else
            glp_set_col_kind(b->lp.lp, c, GLP_BV);
    }
    glp_smcp simplex;
    glp_init_smcp(&simplex);
    simplex.msg_lev = GLP_MSG_OFF;
    glp_adv_basis(b->lp.lp, 0);
    if (glp_simplex(b->lp.lp, &simplex) != 0 || glp_get_status(b->lp.lp) != GLP_OPT)
        return SB_OK;
    glp_iocp settings;
    glp_init_iocp(&settings);
    settings.msg_lev = GLP_MSG_OFF;
    settings.br_tech = GLP_BR_PCH;
    settings.bt_tech = GLP_BT_BLB;
    settings.sr_heur = GLP_OFF; /* with rows added later it has returned false optima */
    double left_s = sb_crew_limit_s(b->crew) - sb_crew_elapsed_s(b->crew);
    if (left_s < 1e6)
        settings.tm_lim = (int)(fmax(left_s, 0) * 1000) + 1;
    settings.cb_func = on_event;
    settings.cb_info = b;
    int code = glp_intopt(b->lp.lp, &settings);
    if (b->status != SB_OK)
        return b->status;
    int end = glp_mip_status(b->lp.lp);
    if (end == GLP_OPT || end == GLP_FEAS) {
        double cost;
        int *tour = sb_alloc((size_t)p->n, sizeof *tour);
        if (tour == NULL)
            return SB_ERR_NOMEM;
        if (read_tour(b, tour, &cost) && cost < *b->cost) {
            memcpy(b->field, tour, (size_t)p->n * sizeof *tour);
            *b->cost = cost;
        }
        sb_free(tour);
    }
    if (code == 0 && (end == GLP_OPT || end == GLP_NOFEAS || end == GLP_UNDEF))
        *b->bound = *b->cost;
    return SB_OK;
}

sb_status sb_root_branch(const sb_problem *p, sb_crew *crew, const sb_root *root, int *field,
                         double *cost, double *bound)
{
    *bound = root->bound;
    if (root->bound >= *cost * (1 - SAME_SHARE)) {
        *bound = *cost;
        return SB_OK;
    }
    brancher b = {.p = p, .crew = crew, .root = root, .field = field, .cost = cost, .bound = bound};
    bool glpk_lives;
    sb_status status = sb_glpk_guard(branch, &b, &glpk_lives);
    sb_tour_lp_release(&b.lp, glpk_lives);
    sb_cut_pool_release(&b.found);
    sb_free(b.from);
    sb_free(b.to);
    sb_free(b.value);
    sb_free(b.solution);
    return status;
}
