/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which question to branch on: those that the master's solution answers least clearly are tried on
 * the master, both ways (strong branching: Applegate, Bixby, Chvatal & Cook 1995; from memory). */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "order/fleet_branch.h"

#define WHOLE 1e-5      /* so near to yes or no an answer is clear */
#define TRIED_OF_EACH 6 /* questions of one sort that are tried */
#define LEAST_GAIN \
    1e-6 /* of the ceiling: even an answer that lifts nothing tells two plans apart */

typedef struct candidate {
    sb_question question;
    double doubt; /* how far from a clear answer, at most 1/2 */
} candidate;

typedef struct candidates {
    candidate *items;
    size_t count, capacity;
} candidates;

typedef struct asking {
    sb_prover *s;
    int levels;
    double *machine; /* machines x n: how much of a field each kind cuts */
    double *move;    /* (n + 1) x n: how much of each move is made */
    double *level;   /* n x levels */
    uint64_t *set;   /* words: scratch */
    bool *closed;    /* columns: those that a trial takes out */
    candidates found;
} asking;

bool sb_question_allows(const sb_question *q, bool yes, int kind, int from, int to, int level)
{
    bool here = to == q->field;
    switch (q->ask) {
    case SB_ASK_MACHINE:
        return !here || (kind == q->what) == yes;
    case SB_ASK_MOVE:
        if (here || !yes)
            return !here || (from == q->what) == yes;
        return from < 0 || from != q->what; /* many leave the yard */
    case SB_ASK_NEXT:
        return yes || !((here && from == q->what) || (to == q->what && from == q->field));
    case SB_ASK_LEVEL:
        return !here || (level == q->what) == yes;
    default:
        return true;
    }
}

bool sb_prover_set(sb_prover *s, const uint64_t *set, size_t *cut)
{
    size_t words = (size_t)s->fleet->problems[0].words;
    for (*cut = 0; *cut < s->cuts.count; ++*cut)
        if (memcmp(s->cuts.items[*cut].set, set, words * sizeof *set) == 0)
            return true;
    sb_entries entries = {.set = sb_alloc(words, sizeof *set), .most = INFINITY};
    if (entries.set == NULL || !SB_PUSH(&s->cuts, entries)) {
        sb_free(entries.set);
        s->status = SB_ERR_NOMEM;
        return false;
    }
    memcpy(s->cuts.items[*cut].set, set, words * sizeof *set);
    sb_duals *duals[] = {&s->best, &s->center, &s->lp, &s->at};
    for (size_t d = 0; d < 4 && s->status == SB_OK; d++)
        s->status = sb_duals_grow(duals[d], s->cuts.count);
    return s->status == SB_OK;
}

/* ---- What the solution answers -------------------------------------------------------------- */

static bool asking_init(asking *a, sb_prover *s)
{
    const sb_fleet *f = s->fleet;
    size_t n = (size_t)f->n;
    *a = (asking){.s = s};
    for (int m = 0; m < f->machines; m++)
        a->levels = f->problems[m].levels > a->levels ? f->problems[m].levels : a->levels;
    a->machine = sb_alloc((size_t)f->machines * n, sizeof *a->machine);
    a->move = sb_alloc((n + 1) * n, sizeof *a->move);
    a->level = sb_alloc(n * (size_t)a->levels, sizeof *a->level);
    a->set = sb_alloc((size_t)f->problems[0].words, sizeof *a->set);
    a->closed = sb_alloc(s->master.n_columns + 1, sizeof *a->closed);
    return a->machine && a->move && a->level && a->set && a->closed;
}

static void asking_release(asking *a)
{
    void *owned[] = {a->machine, a->move, a->level, a->set, a->closed, a->found.items};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
}

static void add_up_shares(asking *a)
{
    const sb_prover *s = a->s;
    int n = s->fleet->n;
    for (size_t c = 0; c < s->master.n_columns; c++) {
        double share = sb_master_share(&s->master, c);
        const sb_route_column *column = &s->columns.items[c];
        int from = n;
        for (int t = 0; t < column->stops && share > 1e-9; t++) {
            int to = column->field[t];
            a->machine[column->machine * n + to] += share;
            a->move[from * n + to] += share;
            a->level[to * a->levels + column->level[t]] += share;
            from = to;
        }
    }
}

static double entries_now(const sb_prover *s, const sb_entries *cut)
{
    double entries = 0;
    for (size_t c = 0; c < s->master.n_columns; c++) {
        double share = sb_master_share(&s->master, c);
        if (share > 1e-9)
            entries += share * sb_entries_of(cut, &s->columns.items[c]);
    }
    return entries;
}

/* ---- Candidates ----------------------------------------------------------------------------- */

static int more_doubtful(const void *x, const void *y)
{
    const candidate *a = x, *b = y;
    if (a->doubt != b->doubt)
        return a->doubt > b->doubt ? -1 : 1;
    if (a->question.field != b->question.field)
        return a->question.field - b->question.field;
    return a->question.what - b->question.what;
}

static void consider(asking *a, sb_ask ask, int field, int what, size_t cut, double answer)
{
    candidate c = {{ask, field, what, cut}, fabs(answer - round(answer))};
    if (c.doubt > WHOLE && !SB_PUSH(&a->found, c))
        a->s->status = SB_ERR_NOMEM;
}

/* Of the candidates from `first` on, keeps the most doubtful. */
static void keep_doubtful(asking *a, size_t first)
{
    candidates *found = &a->found;
    if (found->count > first)
        qsort(found->items + first, found->count - first, sizeof *found->items, more_doubtful);
    if (found->count > first + TRIED_OF_EACH)
        found->count = first + TRIED_OF_EACH;
}

/* Does every route cost the same the other way round? Then a move that is closed is made from the
 * other side, and only who is next to whom matters. */
static bool both_ways_alike(const sb_fleet *f)
{
    for (int m = 0; m < f->machines; m++) {
        const sb_problem *p = &f->problems[m];
        if (p->dims > 0 || p->delayed || p->ordered)
            return false;
        for (int i = 0; i < f->n; i++) {
            if (p->ready_h[i] > p->start_h + SB_SAME_TIME_H || isfinite(p->latest_h[i]))
                return false;
            for (int j = 0; j < i; j++)
                if (p->allowed[sb_arc(p, i, j)] != p->allowed[sb_arc(p, j, i)] ||
                    sb_fixed(p, i, j, 0) != sb_fixed(p, j, i, 0))
                    return false;
        }
    }
    return true;
}

static void find_candidates(asking *a)
{
    sb_prover *s = a->s;
    int n = s->fleet->n;
    for (int m = 0; m < s->fleet->machines; m++)
        for (int j = 0; j < n && s->fleet->kind[m] == m; j++)
            consider(a, SB_ASK_MACHINE, j, m, 0, a->machine[m * n + j]);
    keep_doubtful(a, 0);
    size_t first = a->found.count;
    for (int i = 0; i < n; i++)
        for (int j = 0; j < i; j++)
            consider(a, SB_ASK_NEXT, i, j, 0, a->move[i * n + j] + a->move[j * n + i]);
    keep_doubtful(a, first);
    first = a->found.count;
    for (size_t c = 0; c < s->cuts.count; c++) {
        double entries = entries_now(s, &s->cuts.items[c]);
        consider(a, SB_ASK_ENTRIES, -1, (int)floor(entries), c, entries);
    }
    keep_doubtful(a, first);
    first = a->found.count;
    if (first > 0 && both_ways_alike(s->fleet))
        return;
    for (int i = 0; i <= n; i++)
        for (int j = 0; j < n; j++)
            consider(a, SB_ASK_MOVE, j, i < n ? i : -1, 0, a->move[i * n + j]);
    keep_doubtful(a, first);
    first = a->found.count;
    for (int j = 0; j < n && first == 0; j++)
        for (int l = 0; l < a->levels; l++)
            consider(a, SB_ASK_LEVEL, j, l, 0, a->level[j * a->levels + l]);
    keep_doubtful(a, first);
}

/* ---- Trials --------------------------------------------------------------------------------- */

static bool column_answers(const sb_route_column *column, const sb_question *q, bool yes)
{
    int from = -1;
    for (int t = 0; t < column->stops; t++) {
        if (!sb_question_allows(q, yes, column->machine, from, column->field[t], column->level[t]))
            return false;
        from = column->field[t];
    }
    return true;
}

/* By how much the answer lifts the master's value. */
static double try_answer(asking *a, const sb_question *q, bool yes, double value)
{
    sb_prover *s = a->s;
    sb_entries cut = {.set = a->set, .most = INFINITY};
    bool has_row = q->ask == SB_ASK_ENTRIES || (q->ask == SB_ASK_NEXT && yes);
    if (q->ask == SB_ASK_ENTRIES)
        cut.set = s->cuts.items[q->cut].set;
    if (q->ask == SB_ASK_NEXT) {
        memset(a->set, 0, (size_t)s->fleet->problems[0].words * sizeof *a->set);
        sb_include(a->set, q->field);
        sb_include(a->set, q->what);
    }
    if (yes)
        cut.most = q->ask == SB_ASK_NEXT ? 1 : q->what;
    else
        cut.least = q->what + 1;
    for (size_t c = 0; c < s->master.n_columns; c++) {
        a->closed[c] =
            !sb_master_forbidden(&s->master, c) && !column_answers(&s->columns.items[c], q, yes);
        if (a->closed[c])
            sb_master_forbid(&s->master, c);
    }
    double then = sb_master_try(&s->master, &s->columns, has_row ? &cut : NULL);
    for (size_t c = 0; c < s->master.n_columns; c++)
        if (a->closed[c])
            sb_master_admit(&s->master, c);
    double most = fmax(s->ceiling - value, 0);
    return fmin(fmax(then - value, 0), most) + LEAST_GAIN * s->ceiling;
}

static bool best_candidate(asking *a, sb_question *question)
{
    sb_prover *s = a->s;
    double value = sb_master_value(&s->master), best = -1;
    s->status = sb_master_keep_basis(&s->master);
    for (size_t c = 0; c < a->found.count && s->status == SB_OK; c++) {
        const sb_question *q = &a->found.items[c].question;
        double gain = try_answer(a, q, true, value) * try_answer(a, q, false, value);
        if (gain > best) {
            best = gain;
            *question = *q;
        }
    }
    return best >= 0;
}

bool sb_prover_ask(sb_prover *s, sb_question *question)
{
    asking a;
    bool asked = false;
    if (!asking_init(&a, s))
        s->status = SB_ERR_NOMEM;
    if (s->status == SB_OK) {
        add_up_shares(&a);
        find_candidates(&a);
    }
    if (s->status == SB_OK)
        asked = best_candidate(&a, question);
    if (asked && question->ask == SB_ASK_NEXT) {
        memset(a.set, 0, (size_t)s->fleet->problems[0].words * sizeof *a.set);
        sb_include(a.set, question->field);
        sb_include(a.set, question->what);
        sb_prover_set(s, a.set, &question->cut);
    }
    asking_release(&a);
    return asked && s->status == SB_OK;
}

/* ---- What is open --------------------------------------------------------------------------- */

/* A way into a field: whose, from where, after which level. */
typedef struct way {
    int kind, from, level;
} way;

/* How the plan comes into the field. */
static bool way_of(const sb_fleet *f, const sb_routes *plan, int j, way *in)
{
    for (int m = 0; m < f->machines; m++)
        for (int t = 0; t < plan->count[m]; t++) {
            const int *field = plan->field + m * f->n, *level = plan->level + m * f->n;
            if (field[t] != j)
                continue;
            *in = (way){f->kind[m], t > 0 ? field[t - 1] : f->n, level[t]};
            return true;
        }
    return false;
}

/* Looks for an open way into the field: the cheapest without `not`; with it, any that is not that
 * one. */
static bool open_way(const sb_prover *s, int j, const way * not, way *found)
{
    const sb_fleet *f = s->fleet;
    double best = INFINITY;
    bool any = false;
    for (int m = 0; m < f->machines; m++)
        for (int i = 0; i <= f->n && f->kind[m] == m; i++)
            for (int l = 0; l < f->problems[m].levels; l++) {
                if (!(s->pricers[m].open[sb_arc(&f->problems[m], i, j)] >> l & 1) ||
                    (not != NULL && not ->kind == m && not ->from == i && not ->level == l))
                    continue;
                double cost = sb_first_order_cost(&f->problems[m], i, j, l);
                if (any && cost >= best)
                    continue;
                best = cost;
                *found = (way){m, i, l};
                any = true;
            }
    return any;
}

bool sb_prover_ask_open(const sb_prover *s, const sb_routes *plan, sb_question *q)
{
    for (int j = 0; j < s->fleet->n; j++) {
        way in, other;
        if (plan != NULL ? !way_of(s->fleet, plan, j, &in) : !open_way(s, j, NULL, &in))
            continue;
        if (!open_way(s, j, &in, &other))
            continue;
        if (other.kind != in.kind)
            *q = (sb_question){SB_ASK_MACHINE, j, in.kind, 0};
        else if (other.from != in.from)
            *q = (sb_question){SB_ASK_MOVE, j, in.from < s->fleet->n ? in.from : -1, 0};
        else
            *q = (sb_question){SB_ASK_LEVEL, j, in.level, 0};
        return true;
    }
    return false;
}
