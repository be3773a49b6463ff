/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The end of the proof: every route that a better plan may use, and GLPK's integer solver to put
 * them together (Baldacci, Christofides & Mingozzi 2008, Math. Programming 115:351; from memory).
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "order/fleet_prover.h"

/* Rules that couple routes by time are looked at plan by plan; after so many that break them we
 * give up. */
#define MOST_REJECTED 300
#define SAME_MONEY 1e-9 /* relative: sums in another order */
/* Cuts over three fields: what makes one worth a row, how many come at a time and how often. */
#define BROKEN_BY 0.05
#define MOST_THREES 30
#define MOST_SIFTS 60

typedef struct closing {
    sb_prover *s;
    bool keep_all; /* machines may wait for each other: a dearer or later route may be the better
                      one */
    sb_column_pool routes;
    sb_master master;
    int *members; /* n: fields of a route in ascending order, for comparing */
} closing;

/* ---- Listing ------------------------------------------------------------------------------- */

static bool over(sb_prover *s, sb_pass_end end)
{
    if (end == SB_PASS_NOMEM)
        s->status = SB_ERR_NOMEM;
    s->stopped |= end == SB_PASS_STOPPED || end == SB_PASS_NOMEM;
    return end != SB_PASS_DONE;
}

/* All routes of a kind that a plan under the target may use. false: too many, or stopped. */
static bool list_kind(closing *c, int kind, long most_labels)
{
    sb_prover *s = c->s;
    sb_pricer *w = &s->pricers[kind];
    double least;
    sb_walk_end *ends = NULL;
    size_t count = 0;
    sb_prover_set_prices(s, kind, &s->best);
    sb_pricing pricing = sb_prover_pricing(s, kind);
    pricing.limit = sb_prover_target(s) - s->best_bound + s->best_least[kind];
    pricing.most_labels = most_labels;
    if (over(s, sb_pricer_forward(w, &pricing, &least)) || over(s, sb_pricer_backward(w, &pricing)))
        return false;
    pricing.absorb = pricing.absorb_h = 0;
    pricing.elementary = pricing.prune = true;
    pricing.keep_all = c->keep_all;
    if (over(s, sb_pricer_forward(w, &pricing, &least)))
        return false;
    s->status = sb_pricer_ends(w, pricing.limit, true, &ends, &count);
    for (size_t e = 0; e < count && s->status == SB_OK; e++) {
        sb_pricer_read(w, &ends[e], s->field, s->level);
        size_t before = c->routes.count;
        s->status =
            sb_column_pool_add(&c->routes, s->fleet, kind, s->field, s->level, ends[e].stops);
        if (c->routes.count > before && !c->routes.items[before].is_route)
            sb_column_pool_drop_last(&c->routes);
    }
    sb_free(ends);
    return s->status == SB_OK;
}

/* ---- Routes over the same fields ------------------------------------------------------------ */

static int compare_ints(const void *a, const void *b)
{
    return *(const int *)a - *(const int *)b;
}

/* A number that routes of one kind over the same fields share. */
static uint64_t mark_of(const sb_route_column *column)
{
    uint64_t mark = (uint64_t)column->machine * 0x9E3779B97F4A7C15u;
    for (int t = 0; t < column->stops; t++) {
        uint64_t z = ((uint64_t)column->field[t] + 1) * 0xD1B54A32D192ED03u;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
        mark += z ^ (z >> 27);
    }
    return mark;
}

typedef struct ranked {
    uint64_t mark;
    double cost;
    size_t index;
} ranked;

static int compare_ranked(const void *a, const void *b)
{
    const ranked *x = a, *y = b;
    if (x->mark != y->mark)
        return x->mark < y->mark ? -1 : 1;
    if (x->cost != y->cost)
        return x->cost < y->cost ? -1 : 1;
    return (x->index > y->index) - (x->index < y->index);
}

static bool same_fields(closing *c, const sb_route_column *a, const sb_route_column *b)
{
    if (a->machine != b->machine || a->stops != b->stops)
        return false;
    size_t bytes = (size_t)a->stops * sizeof(int);
    memcpy(c->members, a->field, bytes);
    memcpy(c->members + a->stops, b->field, bytes);
    qsort(c->members, (size_t)a->stops, sizeof(int), compare_ints);
    qsort(c->members + a->stops, (size_t)a->stops, sizeof(int), compare_ints);
    return memcmp(c->members, c->members + a->stops, bytes) == 0;
}

/* Of routes over the same fields the cheapest is enough, unless another takes less of what is
 * limited. */
static bool drop_dear_routes(closing *c)
{
    sb_column_pool *routes = &c->routes;
    ranked *order = sb_alloc(routes->count, sizeof *order);
    bool *dear = sb_alloc(routes->count, sizeof *dear);
    bool made = order != NULL && dear != NULL;
    for (size_t i = 0; i < routes->count && made; i++)
        order[i] = (ranked){mark_of(&routes->items[i]), routes->items[i].cost, i};
    if (made && routes->count > 0)
        qsort(order, routes->count, sizeof *order, compare_ranked);
    for (size_t i = 1; i < routes->count && made; i++)
        for (size_t k = i; k > 0 && order[k - 1].mark == order[i].mark; k--) {
            const sb_route_column *a = &routes->items[order[k - 1].index];
            const sb_route_column *b = &routes->items[order[i].index];
            if (!dear[order[k - 1].index] && a->spend <= b->spend && a->full <= b->full &&
                same_fields(c, a, b)) {
                dear[order[i].index] = true;
                break;
            }
        }
    if (made)
        sb_column_pool_drop(routes, dear);
    sb_free(order);
    sb_free(dear);
    return made;
}

/* ---- Putting them together ----------------------------------------------------------------- */

/* The plan of the present integer solution. */
static sb_status read_plan(closing *c, sb_routes *plan)
{
    const sb_fleet *f = c->s->fleet;
    for (int m = 0; m < f->machines; m++)
        plan->count[m] = 0;
    for (size_t i = 0; i < c->routes.count; i++) {
        const sb_route_column *r = &c->routes.items[i];
        if (glp_mip_col_val(c->master.lp, c->master.n_fixed_columns + (int)i + 1) < 0.5)
            continue;
        int m = r->machine;
        while (m < f->machines && (f->kind[m] != r->machine || plan->count[m] > 0))
            m++;
        if (m == f->machines)
            return SB_ERR_INTERNAL; /* more routes than machines: GLPK went wrong */
        plan->count[m] = r->stops;
        size_t at = (size_t)m * (size_t)f->n, bytes = (size_t)r->stops * sizeof(int);
        memcpy(plan->field + at, r->field, bytes);
        memcpy(plan->level + at, r->level, bytes);
    }
    return sb_fleet_cost(f, plan, &plan->cost);
}

/* Not all of these routes together. */
static sb_status reject(closing *c)
{
    int count = 0, *index = sb_alloc((size_t)c->s->fleet->machines + 1, sizeof *index);
    double *value = sb_alloc((size_t)c->s->fleet->machines + 1, sizeof *value);
    bool made = index != NULL && value != NULL;
    for (size_t i = 0; i < c->routes.count && made; i++) {
        int column = c->master.n_fixed_columns + (int)i + 1;
        if (glp_mip_col_val(c->master.lp, column) > 0.5) {
            index[++count] = column;
            value[count] = 1;
        }
    }
    if (made) {
        int row = glp_add_rows(c->master.lp, 1);
        glp_set_row_bnds(c->master.lp, row, GLP_UP, 0, count - 1);
        glp_set_mat_row(c->master.lp, row, count, index, value);
    }
    sb_free(index);
    sb_free(value);
    return made ? SB_OK : SB_ERR_NOMEM;
}

/* No plan as dear as the target interests. */
static sb_status add_cost_row(closing *c, double target)
{
    size_t count = c->routes.count;
    int *index = sb_alloc(count + 1, sizeof *index), row = glp_add_rows(c->master.lp, 1);
    double *value = sb_alloc(count + 1, sizeof *value);
    bool made = index != NULL && value != NULL;
    for (size_t i = 0; i < count && made; i++) {
        index[i + 1] = c->master.n_fixed_columns + (int)i + 1;
        value[i + 1] = c->routes.items[i].cost;
    }
    if (made) {
        glp_set_row_bnds(c->master.lp, row, GLP_UP, 0, target);
        glp_set_mat_row(c->master.lp, row, (int)count, index, value);
    }
    sb_free(index);
    sb_free(value);
    return made ? SB_OK : SB_ERR_NOMEM;
}

static void stop_in_time(glp_tree *tree, void *info)
{
    const closing *c = info;
    if (sb_crew_stopped(c->s->crew))
        glp_ios_terminate(tree);
}

typedef enum mip_end { MIP_FOUND, MIP_NOTHING, MIP_STOPPED } mip_end;

static mip_end solve_integer(closing *c)
{
    glp_smcp simplex;
    glp_init_smcp(&simplex);
    simplex.msg_lev = GLP_MSG_OFF;
    if (glp_simplex(c->master.lp, &simplex) != 0)
        return MIP_STOPPED;
    if (glp_get_status(c->master.lp) != GLP_OPT)
        return glp_get_status(c->master.lp) == GLP_NOFEAS ? MIP_NOTHING : MIP_STOPPED;
    glp_iocp how;
    glp_init_iocp(&how);
    how.msg_lev = GLP_MSG_OFF;
    how.br_tech = GLP_BR_DTH;
    how.bt_tech = GLP_BT_BLB;
    how.cb_func = stop_in_time;
    how.cb_info = c;
    if (glp_intopt(c->master.lp, &how) != 0)
        return MIP_STOPPED;
    int status = glp_mip_status(c->master.lp);
    return status == GLP_OPT ? MIP_FOUND : status == GLP_NOFEAS ? MIP_NOTHING : MIP_STOPPED;
}

/* Takes routes out of program and list that cost more than `room` beyond the program's optimum. */
static sb_status drop_useless(closing *c, double room)
{
    sb_column_pool *routes = &c->routes;
    int count = 0, *column = sb_alloc(routes->count + 1, sizeof *column);
    if (column == NULL)
        return SB_ERR_NOMEM;
    size_t kept = 0;
    for (size_t i = 0; i < routes->count; i++) {
        int at = c->master.n_fixed_columns + (int)i + 1;
        if (glp_get_col_dual(c->master.lp, at) > room) {
            column[++count] = at;
            sb_free(routes->items[i].field);
        } else {
            routes->items[kept++] = routes->items[i];
        }
    }
    routes->count = c->master.n_columns = kept;
    if (count > 0)
        glp_del_cols(c->master.lp, count, column);
    sb_free(column);
    return SB_OK;
}

/* How many of three fields a route cuts. */
static int cut_of(const sb_route_column *r, const int *three)
{
    int cut = 0;
    for (int t = 0; t < r->stops; t++)
        cut += r->field[t] == three[0] || r->field[t] == three[1] || r->field[t] == three[2];
    return cut;
}

/* At most one route of a plan cuts two or more of three fields (Jepsen, Petersen, Spoorendonk &
 * Pisinger 2008, Operations Research 56:497; from memory). */
static sb_status add_three(closing *c, const int *three)
{
    int count = 0, *index = sb_alloc(c->routes.count + 1, sizeof *index);
    double *value = sb_alloc(c->routes.count + 1, sizeof *value);
    bool made = index != NULL && value != NULL;
    for (size_t i = 0; i < c->routes.count && made; i++)
        if (cut_of(&c->routes.items[i], three) >= 2) {
            index[++count] = c->master.n_fixed_columns + (int)i + 1;
            value[count] = 1;
        }
    if (made) {
        int row = glp_add_rows(c->master.lp, 1);
        glp_set_row_bnds(c->master.lp, row, GLP_UP, 0, 1);
        glp_set_mat_row(c->master.lp, row, count, index, value);
    }
    sb_free(index);
    sb_free(value);
    return made ? SB_OK : SB_ERR_NOMEM;
}

typedef struct broken_three {
    double by;
    int fields[3];
} broken_three;

static int more_broken(const void *a, const void *b)
{
    const broken_three *x = a, *y = b;
    if (x->by != y->by)
        return x->by > y->by ? -1 : 1;
    return memcmp(x->fields, y->fields, sizeof x->fields);
}

static double broken_by(const closing *c, const int *three)
{
    double sum = 0;
    for (size_t i = 0; i < c->routes.count; i++) {
        double share = sb_master_share(&c->master, i);
        if (share > 1e-9 && cut_of(&c->routes.items[i], three) >= 2)
            sum += share;
    }
    return sum - 1;
}

/* The shares of pairs of fields that one route cuts together. */
static void fill_together(const closing *c, double *together)
{
    int n = c->s->fleet->n;
    for (size_t i = 0; i < c->routes.count; i++) {
        const sb_route_column *r = &c->routes.items[i];
        double share = sb_master_share(&c->master, i);
        for (int a = 0; a < r->stops && share > 1e-9; a++)
            for (int b = 0; b < r->stops; b++)
                together[r->field[a] * n + r->field[b]] += share;
    }
}

/* Adds the triples that the present solution breaks most; returns how many. */
static size_t cut_threes(closing *c)
{
    sb_prover *s = c->s;
    int n = s->fleet->n;
    struct {
        broken_three *items;
        size_t count, capacity;
    } found = {0};
    double *together = sb_alloc((size_t)n * (size_t)n, sizeof *together);
    if (together == NULL)
        s->status = SB_ERR_NOMEM;
    else
        fill_together(c, together);
    for (int i = 0; i < n && s->status == SB_OK; i++)
        for (int j = i + 1; j < n && s->status == SB_OK; j++)
            for (int k = j + 1; k < n; k++) {
                broken_three three = {.fields = {i, j, k}};
                if (together[i * n + j] + together[i * n + k] + together[j * n + k] <=
                    1 + BROKEN_BY)
                    continue; /* cannot be broken by more */
                three.by = broken_by(c, three.fields);
                if (three.by > BROKEN_BY && !SB_PUSH(&found, three)) {
                    s->status = SB_ERR_NOMEM;
                    break;
                }
            }
    if (found.count > 0)
        qsort(found.items, found.count, sizeof *found.items, more_broken);
    size_t added = found.count < MOST_THREES ? found.count : MOST_THREES;
    for (size_t i = 0; i < added && s->status == SB_OK; i++)
        s->status = add_three(c, found.items[i].fields);
    sb_free(found.items);
    sb_free(together);
    return added;
}

/* The linear program over all listed routes bounds every better plan. Cuts raise it, and its duals
 * rule out most routes. true: nothing is left below the target. */
static bool sift(closing *c, double target)
{
    sb_prover *s = c->s;
    glp_smcp how;
    glp_init_smcp(&how);
    how.msg_lev = GLP_MSG_OFF;
    for (int round = 0; round < MOST_SIFTS && !sb_crew_stopped(s->crew); round++) {
        how.meth = round == 0 ? GLP_PRIMAL : GLP_DUALP; /* cuts leave the basis dual feasible */
        if (glp_simplex(c->master.lp, &how) != 0 || glp_get_status(c->master.lp) != GLP_OPT)
            return false; /* then the integer solver has more to do */
        double value = glp_get_obj_val(c->master.lp) * (1 - 1e-9); /* GLPK's tolerance */
        sb_prover_raise(s, value);
        sb_prover_tell(s);
        if (sb_prover_rounded(s, value) >= target)
            return true;
        s->status = drop_useless(c, (target - value) * (1 + 1e-6) + 1e-6 * s->ceiling);
        if (s->status != SB_OK || cut_threes(c) == 0 || s->status != SB_OK)
            return false;
    }
    return false;
}

static bool put_together(closing *c)
{
    sb_prover *s = c->s;
    double target = sb_prover_target(s);
    sb_routes plan = {0};
    bool closed = false;
    s->status = sb_routes_init(&plan, s->fleet);
    if (s->status == SB_OK)
        s->status = sb_master_init(&c->master, s->fleet, s->conceivable + 1);
    if (s->status == SB_OK)
        s->status = sb_master_update(&c->master, &c->routes, &s->cuts);
    closed = s->status == SB_OK && sift(c, target);
    if (closed || s->status != SB_OK)
        goto out;
    for (int j = 1; j <= c->master.n_fixed_columns && s->status == SB_OK; j++)
        glp_set_col_bnds(c->master.lp, j, GLP_FX, 0, 0);
    for (size_t i = 0; i < c->routes.count && s->status == SB_OK; i++)
        glp_set_col_kind(c->master.lp, c->master.n_fixed_columns + (int)i + 1, GLP_BV);
    int cost_row = glp_get_num_rows(c->master.lp) + 1;
    if (s->status == SB_OK)
        s->status = add_cost_row(c, target);
    for (int k = 0; k < MOST_REJECTED && s->status == SB_OK; k++) {
        mip_end end = solve_integer(c);
        closed = end == MIP_NOTHING;
        if (end != MIP_FOUND)
            break;
        double alone = glp_mip_obj_val(c->master.lp);
        s->status = read_plan(c, &plan);
        if (s->status != SB_OK)
            break;
        sb_prover_take(s, &plan);
        /* Where waits add nothing, no plan of these routes is cheaper. */
        if (plan.cost <= alone + SAME_MONEY * (1 + fabs(alone))) {
            closed = true;
            break;
        }
        if (!c->keep_all)
            break;
        target = fmin(target, sb_prover_target(s));
        glp_set_row_bnds(c->master.lp, cost_row, GLP_UP, 0, target);
        s->status = reject(c);
    }
out:
    sb_routes_release(&plan);
    sb_master_release(&c->master, true);
    return closed && s->status == SB_OK;
}

static bool list_and_close(sb_prover *s, long most_labels, bool keep_all)
{
    closing c = {.s = s, .keep_all = keep_all};
    bool listed = true, closed = false;
    c.members = sb_alloc(2 * (size_t)s->fleet->n, sizeof *c.members);
    if (c.members == NULL)
        s->status = SB_ERR_NOMEM;
    for (int m = 0; m < s->fleet->machines && listed && s->status == SB_OK; m++)
        if (s->fleet->kind[m] == m) {
            listed = list_kind(&c, m, most_labels);
            sb_pricer_forget(&s->pricers[m]);
        }
    if (listed && s->status == SB_OK) {
        if (!keep_all && !drop_dear_routes(&c))
            s->status = SB_ERR_NOMEM;
        else
            closed = put_together(&c);
    }
    sb_column_pool_release(&c.routes);
    sb_free(c.members);
    return closed;
}

bool sb_prover_list_routes(sb_prover *s, long most_labels)
{
    /* First as if machines never had to wait: the best routes often need not. */
    if (list_and_close(s, most_labels, false))
        return true;
    return s->fleet->coupled && !s->stopped && s->status == SB_OK &&
           list_and_close(s, most_labels, true);
}
