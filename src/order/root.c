/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/root.h"

#include <limits.h>
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "order/glpk_guard.h"
#include "order/tour_lp.h"

/* Arcs into and out of each node that the LP starts with. */
#define NEAREST 8
/* Simplex iterations between two looks at whether to stop. */
#define STEPS_BETWEEN_LOOKS 500
/* Cuts looked for between two solutions. */
#define CUTS_A_ROUND 60
/* A column enters when its reduced cost is below this share of the mean arc cost. */
#define PRICE_TOLERANCE 1e-9

typedef struct solver {
    const sb_problem *p;
    sb_crew *crew;
    const int *field;
    sb_root *root;
    sb_tour_lp lp;
    bool *has; /* (n + 1)^2: arcs in the LP */
    int *from, *to;
    double *value;
    int support_capacity;
} solver;

static size_t arc(const sb_problem *p, int i, int j)
{
    return (size_t)i * (size_t)(p->n + 1) + (size_t)j;
}

static void first_order_costs(const sb_problem *p, double *cost)
{
    for (int i = 0; i <= p->n; i++) {
        for (int j = 0; j < p->n; j++)
            cost[arc(p, i, j)] = sb_first_order_least(p, i, j);
        cost[arc(p, i, p->n)] = i < p->n ? p->home_cost[i] : INFINITY;
    }
    /* The last field is one that nothing must follow. */
    for (int i = 0; i < p->n && p->ordered; i++)
        for (int w = 0; w < p->words; w++)
            if (p->behind[(size_t)i * (size_t)p->words + (size_t)w])
                cost[arc(p, i, p->n)] = INFINITY;
}

static sb_status add_arc(solver *s, int i, int j)
{
    size_t at = arc(s->p, i, j);
    if (s->has[at] || isinf(s->root->cost[at]))
        return SB_OK;
    s->has[at] = true;
    return sb_tour_lp_add_arc(&s->lp, i, j, s->root->cost[at], &s->root->cuts);
}

/* The k cheapest arcs out of (or into) a node. */
static sb_status add_nearest(solver *s, int node, bool out)
{
    const sb_problem *p = s->p;
    for (int k = 0; k < NEAREST; k++) {
        int best = -1;
        for (int other = 0; other <= p->n; other++) {
            size_t at = out ? arc(p, node, other) : arc(p, other, node);
            size_t best_at = out ? arc(p, node, best) : arc(p, best, node);
            if (other == node || s->has[at] || isinf(s->root->cost[at]))
                continue;
            if (best < 0 || s->root->cost[at] < s->root->cost[best_at])
                best = other;
        }
        if (best < 0)
            return SB_OK;
        sb_status status = out ? add_arc(s, node, best) : add_arc(s, best, node);
        if (status != SB_OK)
            return status;
    }
    return SB_OK;
}

static sb_status start_arcs(solver *s)
{
    const sb_problem *p = s->p;
    sb_status status = SB_OK;
    for (int t = 0; s->field != NULL && t <= p->n && status == SB_OK; t++)
        status = add_arc(s, t ? s->field[t - 1] : p->n, t < p->n ? s->field[t] : p->n);
    for (int node = 0; node <= p->n && status == SB_OK; node++) {
        status = add_nearest(s, node, true);
        if (status == SB_OK)
            status = add_nearest(s, node, false);
    }
    return status;
}

/* Solves the LP as it stands; false: stopped or GLPK found no optimum. */
static bool simplex(solver *s, int method)
{
    double left_s = sb_crew_limit_s(s->crew) - sb_crew_elapsed_s(s->crew);
    if (sb_crew_stopped(s->crew) || left_s <= 0)
        return false;
    glp_smcp settings;
    glp_init_smcp(&settings);
    settings.msg_lev = GLP_MSG_OFF;
    settings.meth = method;
    if (left_s < 1e6)
        settings.tm_lim = (int)(left_s * 1000) + 1;
    settings.it_lim = STEPS_BETWEEN_LOOKS;
    int code;
    do
        code = glp_simplex(s->lp.lp, &settings);
    while (code == GLP_EITLIM && !sb_crew_stopped(s->crew));
    if (code == GLP_EBADB || code == GLP_ESING || code == GLP_ECOND || code == GLP_EFAIL) {
        glp_adv_basis(s->lp.lp, 0);
        settings.meth = GLP_PRIMAL;
        settings.it_lim = INT_MAX;
        code = glp_simplex(s->lp.lp, &settings);
    }
    return code == 0 && glp_get_status(s->lp.lp) == GLP_OPT;
}

/* How much of the degree and cut rows no arc at hand can fill. */
static double artificial_total(const solver *s)
{
    double total = 0;
    for (int c = 1; c <= s->lp.n_columns; c++)
        if (s->lp.column_from[c] < 0)
            total += glp_get_col_prim(s->lp.lp, c);
    return total;
}

#define NOTHING_MISSING 1e-6

/* While arcs are missing, the arcs there are no fractional tour, and cutting it off is no use. */
static sb_status find_cuts(solver *s, bool *found)
{
    *found = false;
    if (artificial_total(s) > NOTHING_MISSING)
        return SB_OK;
    if (s->support_capacity < s->lp.n_columns) {
        int capacity = s->lp.n_columns * 2;
        sb_free(s->from);
        sb_free(s->to);
        sb_free(s->value);
        s->from = sb_alloc((size_t)capacity, sizeof *s->from);
        s->to = sb_alloc((size_t)capacity, sizeof *s->to);
        s->value = sb_alloc((size_t)capacity, sizeof *s->value);
        s->support_capacity = s->from && s->to && s->value ? capacity : 0;
        if (s->support_capacity == 0)
            return SB_ERR_NOMEM;
    }
    int count = sb_tour_lp_support(&s->lp, s->lp.lp, s->from, s->to, s->value);
    sb_support support = {s->from, s->to, s->value, count};
    size_t before = s->root->cuts.count;
    sb_status status = sb_cuts_find(s->p, &support, CUTS_A_ROUND, &s->root->cuts);
    *found = s->root->cuts.count > before;
    return status == SB_OK ? sb_tour_lp_add_cuts(&s->lp, &s->root->cuts) : status;
}

/* Reduced costs of every arc from the LP's duals. */
static void reduced_costs(solver *s)
{
    const sb_problem *p = s->p;
    sb_root *root = s->root;
    glp_prob *lp = s->lp.lp;
    int nodes = p->n + 1;
    for (int i = 0; i <= p->n; i++)
        for (int j = 0; j <= p->n; j++)
            root->reduced[arc(p, i, j)] = root->cost[arc(p, i, j)] - glp_get_row_dual(lp, i + 1) -
                                          glp_get_row_dual(lp, nodes + j + 1);
    for (size_t c = 0; c < s->lp.n_cuts; c++) {
        double dual = glp_get_row_dual(lp, 2 * nodes + (int)c + 1);
        if (fabs(dual) < 1e-12)
            continue;
        const sb_cut *cut = &root->cuts.items[c];
        for (int i = 0; i <= p->n; i++)
            for (int j = 0; j <= p->n && sb_has(cut->from, i); j++)
                if (i != j && sb_has(cut->to, j))
                    root->reduced[arc(p, i, j)] -= dual;
    }
}

static void rewards(solver *s)
{
    const sb_problem *p = s->p;
    glp_prob *lp = s->lp.lp;
    int nodes = p->n + 1;
    for (int i = 0; i < p->n; i++) {
        s->root->reward[i] = glp_get_row_dual(lp, i + 1) + glp_get_row_dual(lp, nodes + i + 1);
        for (size_t c = 0; c < s->lp.n_cuts; c++)
            if (s->root->cuts.items[c].inside && sb_has(s->root->cuts.items[c].from, i))
                s->root->reward[i] += glp_get_row_dual(lp, 2 * nodes + (int)c + 1);
    }
}

static sb_status price_in(solver *s, double tolerance, bool *added)
{
    const sb_problem *p = s->p;
    *added = false;
    for (int i = 0; i <= p->n; i++)
        for (int j = 0; j <= p->n; j++) {
            if (i == j || s->has[arc(p, i, j)] || !(s->root->reduced[arc(p, i, j)] < -tolerance))
                continue;
            sb_status status = add_arc(s, i, j);
            if (status != SB_OK)
                return status;
            *added = true;
        }
    return SB_OK;
}

static double largest_cost(const sb_problem *p, const double *cost)
{
    double most = 0;
    for (int i = 0; i < (p->n + 1) * (p->n + 1); i++)
        if (isfinite(cost[i]))
            most = fmax(most, cost[i]);
    return most;
}

static sb_status solve(void *context)
{
    solver *s = context;
    sb_root *root = s->root;
    double largest = largest_cost(s->p, root->cost);
    sb_status status = sb_tour_lp_init(&s->lp, s->p, 10 * (largest + 1) * (s->p->n + 1));
    if (status == SB_OK)
        status = start_arcs(s);
    if (status != SB_OK)
        return status;
    glp_adv_basis(s->lp.lp, 0);
    if (!simplex(s, GLP_PRIMAL))
        return SB_OK;
    for (;;) {
        bool found = true, added = false;
        while (found) {
            status = find_cuts(s, &found);
            if (status != SB_OK)
                return status;
            if (found && !simplex(s, GLP_DUALP))
                return SB_OK;
        }
        reduced_costs(s);
        status = price_in(s, PRICE_TOLERANCE * (largest + 1), &added);
        if (status != SB_OK)
            return status;
        if (!added)
            break;
        if (!simplex(s, GLP_PRIMAL))
            return SB_OK;
    }
    rewards(s);
    root->bound = artificial_total(s) > NOTHING_MISSING ? INFINITY : glp_get_obj_val(s->lp.lp);
    return SB_OK;
}

sb_status sb_root_solve(const sb_problem *p, sb_crew *crew, const int *field, sb_root *root)
{
    size_t arcs = (size_t)(p->n + 1) * (size_t)(p->n + 1);
    *root = (sb_root){.bound = -INFINITY};
    solver s = {.p = p, .crew = crew, .field = field, .root = root};
    bool glpk_lives = false;
    sb_status status = SB_ERR_NOMEM;
    root->cost = sb_alloc(arcs, sizeof *root->cost);
    root->reduced = sb_alloc(arcs, sizeof *root->reduced);
    root->reward = sb_alloc((size_t)p->n, sizeof *root->reward);
    s.has = sb_alloc(arcs, sizeof *s.has);
    if (!root->cost || !root->reduced || !root->reward || !s.has)
        goto out;
    first_order_costs(p, root->cost);
    status = sb_glpk_guard(solve, &s, &glpk_lives);
out:
    sb_tour_lp_release(&s.lp, glpk_lives);
    sb_free(s.has);
    sb_free(s.from);
    sb_free(s.to);
    sb_free(s.value);
    return status;
}

void sb_root_release(sb_root *root)
{
    sb_free(root->cost);
    sb_free(root->reduced);
    sb_free(root->reward);
    sb_cut_pool_release(&root->cuts);
    *root = (sb_root){0};
}
