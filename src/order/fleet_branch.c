/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The tree of branches, best bound first: each is bounded by column generation under its answers,
 * closed by its bound or by listing its routes, or split by one more question (branch and price:
 * Barnhart, Johnson, Nemhauser, Savelsbergh & Vance 1998, Operations Research 46:316; from memory).
 */
#include "order/fleet_branch.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

/* Walks kept from branch to branch: those that look best at a branch's first duals. */
#define MOST_COLUMNS 4000
#define COLUMNS_KEPT 2000
/* Routes of a branch are listed under this cap on labels, when its gap is a share of the last one
 * that a list was too long for. */
#define LIST_LABELS 300000L
#define LIST_SHARE 0.8
/* A branch is split when so many rounds have raised its bound by less than this share of the gap.
 */
#define STANDS_STILL 0.05
#define MOST_CALLS 8
/* What stands in for fields that no walk cuts yet gets dearer by this factor. */
#define STAND_IN_DEARER 4.0
#define STAND_INS_LEFT 1e-6

typedef struct branch {
    int parent; /* -1: everything */
    sb_question question;
    bool answer; /* to the question; the parent's answers count as well */
    bool done;
    double bound;
    double absorb_share;
    sb_duals duals; /* where its pricing begins; empty when done */
} branch;

typedef struct sb_tree {
    branch *items;
    size_t count, capacity;
    double list_gap; /* lists are tried below it */
    uint8_t *open;   /* (n + 1) x n: scratch */
    bool *drop;      /* columns: scratch */
    sb_routes plan;
} sb_tree;

void sb_tree_free(sb_tree *t)
{
    if (t == NULL)
        return;
    for (size_t i = 0; i < t->count; i++)
        sb_duals_release(&t->items[i].duals);
    sb_free(t->items);
    sb_free(t->open);
    sb_free(t->drop);
    sb_routes_release(&t->plan);
    sb_free(t);
}

/* ---- Into a branch -------------------------------------------------------------------------- */

/* The ways in that a kind has left under all answers on the way up from a branch. */
static void close_ways(const sb_prover *s, const sb_tree *t, int at, int kind)
{
    const sb_problem *p = &s->fleet->problems[kind];
    memcpy(t->open, p->allowed, (size_t)(p->n + 1) * (size_t)p->n);
    for (int k = at; t->items[k].parent >= 0; k = t->items[k].parent) {
        const branch *b = &t->items[k];
        for (int i = 0; i <= p->n; i++)
            for (int j = 0; j < p->n; j++)
                for (int l = 0; l < p->levels; l++)
                    if ((t->open[sb_arc(p, i, j)] >> l & 1) &&
                        !sb_question_allows(&b->question, b->answer, kind, i < p->n ? i : -1, j, l))
                        t->open[sb_arc(p, i, j)] &= (uint8_t) ~(1u << l);
    }
}

static void bound_entries(sb_prover *s, const sb_tree *t, int at)
{
    for (size_t c = 0; c < s->cuts.count; c++) {
        s->cuts.items[c].least = s->cuts.items[c].always;
        s->cuts.items[c].most = INFINITY;
    }
    for (int k = at; t->items[k].parent >= 0; k = t->items[k].parent) {
        const branch *b = &t->items[k];
        sb_entries *cut = &s->cuts.items[b->question.cut];
        if (b->question.ask == SB_ASK_NEXT && b->answer)
            cut->most = fmin(cut->most, 1);
        else if (b->question.ask == SB_ASK_ENTRIES && b->answer)
            cut->most = fmin(cut->most, b->question.what);
        else if (b->question.ask == SB_ASK_ENTRIES)
            cut->least = fmax(cut->least, b->question.what + 1);
    }
}

/* Where the prover stands when it has the branch alone before it. */
static void restrict_to(sb_prover *s, sb_tree *t, int at)
{
    for (int m = 0; m < s->fleet->machines; m++)
        if (s->fleet->kind[m] == m) {
            close_ways(s, t, at, m);
            sb_pricer_restrict(&s->pricers[m], t->open);
        }
    bound_entries(s, t, at);
    s->best_bound = s->center_value = -INFINITY;
    s->center_proven = false;
    s->exhausted = false;
    s->settled = true;
}

typedef struct ranked {
    double money;
    size_t index;
} ranked;

static int cheaper(const void *x, const void *y)
{
    const ranked *a = x, *b = y;
    if (a->money != b->money)
        return a->money < b->money ? -1 : 1;
    return (a->index > b->index) - (a->index < b->index);
}

/* Keeps the walks that look best at the prover's duals. */
static sb_status thin_out(sb_prover *s, sb_tree *t)
{
    size_t count = s->columns.count;
    if (count <= MOST_COLUMNS)
        return SB_OK;
    ranked *order = sb_alloc(count, sizeof *order);
    bool *drop = sb_resize(t->drop, count, sizeof *drop);
    if (drop != NULL)
        t->drop = drop;
    if (order == NULL || drop == NULL) {
        sb_free(order);
        return SB_ERR_NOMEM;
    }
    for (size_t c = 0; c < count; c++)
        order[c] = (ranked){sb_duals_reduced(&s->best, &s->columns.items[c], &s->cuts), c};
    qsort(order, count, sizeof *order, cheaper);
    for (size_t c = 0; c < count; c++)
        drop[order[c].index] = c >= COLUMNS_KEPT || s->columns.items[order[c].index].barred;
    sb_column_pool_drop(&s->columns, drop);
    sb_free(order);
    return SB_OK;
}

static bool column_fits(const sb_prover *s, const sb_route_column *c)
{
    const sb_pricer *w = &s->pricers[c->machine];
    for (int t = 0; t < c->stops; t++) {
        int from = t > 0 ? c->field[t - 1] : w->p->n;
        if (!(w->open[sb_arc(w->p, from, c->field[t])] >> c->level[t] & 1))
            return false;
    }
    return true;
}

static sb_status enter(sb_prover *s, sb_tree *t, int at)
{
    branch *b = &t->items[at];
    restrict_to(s, t, at);
    s->inherited = b->bound;
    s->absorb_share = b->absorb_share;
    sb_status status = sb_duals_copy(s->fleet, &b->duals, &s->best);
    if (status == SB_OK)
        status = sb_duals_copy(s->fleet, &b->duals, &s->center);
    if (status == SB_OK)
        status = thin_out(s, t);
    sb_master_release(&s->master, true);
    if (status == SB_OK)
        status = sb_master_init(&s->master, s->fleet, s->ceiling);
    if (status == SB_OK)
        status = sb_master_update(&s->master, &s->columns, &s->cuts);
    for (size_t c = 0; c < s->columns.count && status == SB_OK; c++)
        if (!column_fits(s, &s->columns.items[c]))
            sb_master_forbid(&s->master, c);
    return status;
}

/* ---- Plans ---------------------------------------------------------------------------------- */

static void clear_plan(const sb_fleet *f, sb_routes *plan)
{
    memset(plan->count, 0, (size_t)f->machines * sizeof *plan->count);
    plan->cost = INFINITY;
}

static int free_machine(const sb_fleet *f, const sb_routes *plan, int kind)
{
    for (int m = kind; m < f->machines; m++)
        if (f->kind[m] == kind && plan->count[m] == 0)
            return m;
    return -1;
}

static bool cuts_any(const sb_fleet *f, const sb_routes *plan, const sb_route_column *column)
{
    for (int m = 0; m < f->machines; m++)
        for (int t = 0; t < plan->count[m]; t++)
            for (int u = 0; u < column->stops; u++)
                if (plan->field[m * f->n + t] == column->field[u])
                    return true;
    return false;
}

/* Puts the routes of the master's solution together, those it takes most of first.
 * @return true: they cut every field */
static bool round_plan(sb_prover *s, sb_tree *t)
{
    const sb_fleet *f = s->fleet;
    ranked *order = sb_alloc(s->master.n_columns + 1, sizeof *order);
    size_t count = 0;
    int cut = 0;
    clear_plan(f, &t->plan);
    if (order == NULL) {
        s->status = SB_ERR_NOMEM;
        return false;
    }
    for (size_t c = 0; c < s->master.n_columns; c++)
        if (sb_master_share(&s->master, c) > 1e-6 && s->columns.items[c].is_route)
            order[count++] = (ranked){-sb_master_share(&s->master, c), c};
    if (count > 0)
        qsort(order, count, sizeof *order, cheaper);
    for (size_t k = 0; k < count; k++) {
        const sb_route_column *c = &s->columns.items[order[k].index];
        int m = free_machine(f, &t->plan, c->machine);
        if (m < 0 || cuts_any(f, &t->plan, c))
            continue;
        memcpy(t->plan.field + m * f->n, c->field, (size_t)c->stops * sizeof(int));
        memcpy(t->plan.level + m * f->n, c->level, (size_t)c->stops * sizeof(int));
        t->plan.count[m] = c->stops;
        cut += c->stops;
    }
    sb_free(order);
    return cut == f->n;
}

static bool find_plan(sb_prover *s, sb_tree *t)
{
    bool complete = round_plan(s, t);
    if (complete && s->status == SB_OK)
        s->status = sb_fleet_cost(s->fleet, &t->plan, &t->plan.cost);
    if (complete && s->status == SB_OK)
        sb_prover_take(s, &t->plan);
    return complete;
}

/* ---- Work on a branch ----------------------------------------------------------------------- */

static bool solve_master(sb_prover *s)
{
    double value;
    s->status = sb_master_update(&s->master, &s->columns, &s->cuts);
    if (s->status != SB_OK)
        return false;
    s->stopped |= !sb_master_solve(&s->master, &value, &s->lp);
    return !s->stopped;
}

static bool reached(const sb_prover *s)
{
    return sb_prover_rounded(s, s->best_bound) >= sb_prover_target(s);
}

static bool list(sb_prover *s, sb_tree *t)
{
    double gap = s->ceiling - s->best_bound;
    if (s->options->branch_only || gap > t->list_gap)
        return false;
    if (sb_prover_list_routes(s, LIST_LABELS))
        return true;
    t->list_gap = LIST_SHARE * gap;
    return false;
}

/* Bounds the branch. @return true: it holds nothing better. Else `complete` says whether the plan
 * at hand is one */
static bool work(sb_prover *s, sb_tree *t, bool *complete)
{
    double stand_in = s->ceiling;
    for (int call = 0; call < MOST_CALLS; call++) {
        double before = s->best_bound;
        s->exhausted = false;
        if (sb_prover_bound(s))
            return true;
        if (s->stopped || s->status != SB_OK || !solve_master(s))
            return false;
        *complete = find_plan(s, t);
        if (s->status != SB_OK || reached(s) || list(s, t))
            return s->status == SB_OK;
        if (s->stopped || s->status != SB_OK)
            return false;
        bool stand_ins = sb_master_stand_ins(&s->master) > STAND_INS_LEFT;
        if (stand_ins)
            sb_master_price_stand_ins(&s->master, stand_in *= STAND_IN_DEARER);
        else if (s->exhausted || s->best_bound - before < STANDS_STILL * (s->ceiling - before))
            return false;
    }
    return false;
}

/* ---- The tree ------------------------------------------------------------------------------- */

static sb_status add_branch(sb_prover *s, sb_tree *t, int parent, const sb_question *question,
                            bool answer)
{
    branch b = {.parent = parent, .answer = answer, .absorb_share = s->absorb_share};
    if (question != NULL)
        b.question = *question;
    b.bound = fmax(s->inherited, s->best_bound);
    sb_status status = sb_duals_init(&b.duals, s->fleet);
    if (status == SB_OK)
        status = sb_duals_copy(s->fleet, &s->best, &b.duals);
    if (status == SB_OK && !SB_PUSH(t, b))
        status = SB_ERR_NOMEM;
    if (status != SB_OK)
        sb_duals_release(&b.duals);
    return status;
}

/* The open branch of the least bound, of several the latest; -1: none is left.
 * @param elsewhere [out] the least bound of all others */
static int choose(const sb_prover *s, sb_tree *t, double *elsewhere)
{
    int best = -1;
    *elsewhere = INFINITY;
    for (size_t i = 0; i < t->count; i++) {
        branch *b = &t->items[i];
        if (!b->done && sb_prover_rounded(s, b->bound) >= sb_prover_target(s)) {
            b->done = true;
            sb_duals_release(&b->duals);
        }
        if (b->done)
            continue;
        if (best < 0 || b->bound <= t->items[best].bound) {
            if (best >= 0)
                *elsewhere = t->items[best].bound;
            best = (int)i;
        } else {
            *elsewhere = fmin(*elsewhere, b->bound);
        }
    }
    *elsewhere = sb_prover_rounded(s, *elsewhere);
    return best;
}

/* Two branches for one. */
static void split(sb_prover *s, sb_tree *t, int at, bool complete)
{
    sb_question question;
    if (!solve_master(s))
        return;
    bool asked = sb_prover_ask(s, &question);
    if (!asked && s->status == SB_OK)
        asked = sb_prover_ask_open(s, complete ? &t->plan : NULL, &question);
    if (asked && s->status == SB_OK)
        s->status = add_branch(s, t, at, &question, false);
    if (asked && s->status == SB_OK)
        s->status = add_branch(s, t, at, &question, true);
}

static bool grow_tree(sb_prover *s, sb_tree *t)
{
    for (;; s->outcome->branches++) {
        int at = choose(s, t, &s->elsewhere);
        if (at < 0)
            return true;
        sb_prover_raise(s, t->items[at].bound);
        sb_prover_tell(s);
        if (s->options->most_branches > 0 && s->outcome->branches >= s->options->most_branches)
            return false;
        bool complete = false, closed = false;
        if (t->items[at].parent >= 0) { /* what there is to know of the first one is known */
            s->status = enter(s, t, at);
            closed = s->status == SB_OK && work(s, t, &complete);
        } else if (solve_master(s)) {
            complete = find_plan(s, t);
        }
        if (s->stopped || s->status != SB_OK)
            return false;
        if (!closed)
            split(s, t, at, complete);
        if (s->stopped || s->status != SB_OK)
            return false;
        t->items[at].done = true;
        sb_duals_release(&t->items[at].duals);
    }
}

static bool tree_init(sb_prover *s, sb_tree *t)
{
    const sb_problem *p = &s->fleet->problems[0];
    size_t n = (size_t)p->n;
    t->list_gap = s->ceiling;
    t->open = sb_alloc((n + 1) * n, 1);
    if (t->open == NULL || sb_routes_init(&t->plan, s->fleet) != SB_OK)
        return false;
    uint64_t *all = sb_alloc((size_t)p->words, sizeof *all);
    size_t cut;
    for (int j = 0; j < p->n && all != NULL; j++)
        sb_include(all, j);
    bool made = all != NULL && sb_prover_set(s, all, &cut); /* its entries are the routes */
    sb_free(all);
    return made && add_branch(s, t, -1, NULL, false) == SB_OK;
}

bool sb_prover_branch(sb_prover *s)
{
    sb_tree *t = s->tree = sb_alloc(1, sizeof *t);
    double absorb_share = s->absorb_share;
    bool closed = false;
    s->inherited = -INFINITY;
    if (t == NULL || !tree_init(s, t))
        s->status = SB_ERR_NOMEM;
    else
        closed = grow_tree(s, t);
    if (s->status == SB_OK)
        restrict_to(s, t, 0);
    s->inherited = -INFINITY;
    s->elsewhere = INFINITY;
    s->absorb_share = absorb_share;
    sb_tree_free(t);
    s->tree = NULL;
    return closed && s->status == SB_OK;
}
