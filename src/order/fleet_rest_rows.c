/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What may have come before a field is told apart by rows: some moves one by one, the others in
 * groups that leave much the same seeds in the machine. At first those have a row of their own that
 * go there rather than elsewhere, then those that the cheapest walks go. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "order/fleet_rest.h"

/* Rows of a field at most. More take longer to fill than they tell. */
#define MOST_ROWS 40
/* Of the rows that do not suffice for every move, this share is for groups. */
#define GROUPS_SHARE 0.35

/* ---- Groups -------------------------------------------------------------------------------- */

typedef struct holding {
    double amount;
    int item;
} holding;

/* Moves by what the machine still holds of the field before, once it is cleaned: n x levels. */
typedef struct sorting {
    const sb_problem *p;
    int items, groups;
    double *held;   /* items x dims */
    double *weight; /* dims: what one more costs at the next field, on average */
    int *group;     /* items */
    double *low;    /* wanted x dims: the least that any of the group holds */
    holding *order; /* items: scratch */
} sorting;

/* Where a group is best parted: items that hold more of one number than the others. */
typedef struct parting {
    double gain, from;
    int group, number;
} parting;

static int holds_less(const void *a, const void *b)
{
    const holding *x = a, *y = b;
    if (x->amount != y->amount)
        return x->amount < y->amount ? -1 : 1;
    return x->item - y->item;
}

static parting best_parting(sorting *s, int group)
{
    int dims = s->p->dims;
    parting best = {.group = group};
    for (int d = 0; d < dims; d++) {
        int count = 0;
        for (int i = 0; i < s->items; i++)
            if (s->group[i] == group)
                s->order[count++] = (holding){s->held[i * dims + d], i};
        qsort(s->order, (size_t)count, sizeof *s->order, holds_less);
        for (int q = 1; q < count; q++) {
            double from = s->order[q].amount;
            double gain = (count - q) * s->weight[d] * (from - s->low[group * dims + d]);
            if (gain > best.gain)
                best = (parting){gain, from, group, d};
        }
    }
    return best;
}

static void find_low(sorting *s, int group)
{
    int dims = s->p->dims;
    double *low = s->low + group * dims;
    for (int d = 0; d < dims; d++)
        low[d] = INFINITY;
    for (int i = 0; i < s->items; i++)
        for (int d = 0; d < dims && s->group[i] == group; d++)
            low[d] = fmin(low[d], s->held[i * dims + d]);
}

/* Parts the group that gains most by it, until there are so many. */
static bool sort_moves(sorting *s, int wanted)
{
    parting *best = sb_alloc((size_t)wanted, sizeof *best);
    if (best == NULL)
        return false;
    memset(s->group, 0, (size_t)s->items * sizeof *s->group);
    find_low(s, 0);
    best[0] = best_parting(s, 0);
    for (s->groups = 1; s->groups < wanted; s->groups++) {
        parting *most = best;
        for (int g = 1; g < s->groups; g++)
            if (best[g].gain > most->gain)
                most = &best[g];
        if (!(most->gain > 0))
            break;
        int parted = most->group;
        for (int i = 0; i < s->items; i++)
            if (s->group[i] == parted && s->held[i * s->p->dims + most->number] >= most->from)
                s->group[i] = s->groups;
        find_low(s, parted);
        find_low(s, s->groups);
        best[parted] = best_parting(s, parted);
        best[s->groups] = best_parting(s, s->groups);
    }
    sb_free(best);
    return true;
}

static bool begin_sorting(sorting *s, const sb_problem *p, int wanted)
{
    size_t dims = (size_t)p->dims, items = (size_t)(p->n * p->levels);
    *s = (sorting){.p = p, .items = (int)items};
    s->held = sb_alloc(items * dims, sizeof *s->held);
    s->weight = sb_alloc(dims, sizeof *s->weight);
    s->group = sb_alloc(items, sizeof *s->group);
    s->low = sb_alloc((size_t)wanted * dims, sizeof *s->low);
    s->order = sb_alloc(items, sizeof *s->order);
    if (!s->held || !s->weight || !s->group || !s->low || !s->order)
        return false;
    for (int i = 0; i < p->n; i++)
        for (size_t d = 0; d < dims; d++) {
            s->weight[d] += p->shed[(size_t)i * dims + d] / p->n;
            for (int l = 0; l < p->levels; l++)
                s->held[(size_t)(i * p->levels + l) * dims + d] =
                    p->own[(size_t)i * dims + d] * p->keep[(size_t)l * dims + d];
        }
    return true;
}

static void end_sorting(sorting *s)
{
    void *owned[] = {s->held, s->weight, s->group, s->low, s->order};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        sb_free(owned[i]);
}

/* ---- Rows ---------------------------------------------------------------------------------- */

/* What the first so many moves on from j cost with this load, when the machine came from i (-1:
 * from anywhere). They stand `stride` apart. */
static void fill_row(const sb_pricer *w, int i, int j, const double *load, int count, int stride,
                     double *onward)
{
    const sb_problem *p = w->p;
    size_t dims = (size_t)p->dims;
    for (int t = 0; t < count; t++)
        for (int m = 0; m < p->levels; m++) {
            int k = w->rest.next[j * p->n + t];
            double *money = &onward[(t * p->levels + m) * stride];
            *money = INFINITY;
            if (k == j || k == i || !(w->open[sb_arc(p, j, k)] >> m & 1))
                continue;
            *money = sb_fixed(p, j, k, m);
            for (size_t d = 0; d < dims; d++)
                *money += load[d] * p->keep[(size_t)m * dims + d] * p->shed[(size_t)k * dims + d];
        }
}

/* The load on leaving j, which was entered with so much. */
static void leave(const sb_problem *p, int j, const double *held, double *load)
{
    size_t dims = (size_t)p->dims;
    for (size_t d = 0; d < dims; d++)
        load[d] = (held == NULL ? 0 : held[d] * p->left[(size_t)j * dims + d]) +
                  p->own[(size_t)j * dims + d];
}

/* A row of j for the move from i after a level. */
static void fill_own_row(const sb_pricer *w, int i, int j, int level, int row)
{
    const sb_problem *p = w->p;
    const sb_rest *rest = &w->rest;
    size_t dims = (size_t)p->dims, moves = (size_t)(rest->onto * p->levels),
           rows = (size_t)rest->rows;
    double *load = w->workers[0].load;
    for (size_t d = 0; d < dims; d++)
        load[d] = p->own[(size_t)i * dims + d] * p->keep[(size_t)level * dims + d];
    leave(p, j, load, load);
    fill_row(w, i, j, load, rest->onto, rest->rows, rest->onward + (size_t)j * moves * rows + row);
    *sb_rest_row_at(w, i, j, level) = (short)row;
    rest->owner[(size_t)j * rows + (size_t)row] = i * p->levels + level;
}

/* The moves into j, in `order`: first those that cost little more than others on from where they
 * come from. @return how many */
static int sort_ways(const sb_pricer *w, int j, holding *order)
{
    const sb_problem *p = w->p;
    int count = 0;
    for (int i = 0; i < p->n; i++)
        for (int l = 0; l < p->levels; l++)
            if (i != j && (p->allowed[sb_arc(p, i, j)] >> l & 1)) {
                double least = sb_first_order_least(p, i, w->rest.next[i * p->n]);
                order[count++] =
                    (holding){sb_first_order_cost(p, i, j, l) - least, i * p->levels + l};
            }
    qsort(order, (size_t)count, sizeof *order, holds_less);
    return count;
}

/* The rows of one field: 0, nothing is known; groups; single moves. */
static void fill_rows(sb_pricer *w, const sorting *s, int j)
{
    const sb_problem *p = w->p;
    sb_rest *rest = &w->rest;
    int rows = rest->rows, moves = rest->onto * p->levels, row = 1;
    double *onward = rest->onward + (size_t)j * (size_t)moves * (size_t)rows,
           *load = w->workers[0].load;
    leave(p, j, NULL, load);
    fill_row(w, -1, j, load, rest->onto, rows, onward);
    fill_row(w, -1, j, load, p->n, 1, rest->plain + (size_t)(j * p->n * p->levels));
    for (int g = 0; g < s->groups; g++, row++) {
        leave(p, j, s->low + g * p->dims, load);
        fill_row(w, -1, j, load, rest->onto, rows, onward + row);
    }
    for (int i = 0; i < p->n; i++)
        for (int l = 0; l < p->levels; l++)
            *sb_rest_row_at(w, i, j, l) = rest->group[i * p->levels + l];
    int ways = p->dims > 0 ? sort_ways(w, j, s->order) : 0;
    for (int k = 0; k < ways && row < rows; k++, row++)
        fill_own_row(w, s->order[k].item / p->levels, j, s->order[k].item % p->levels, row);
    for (; row < rows; row++) { /* left over */
        rest->owner[j * rows + row] = -1;
        for (int m = 0; m < moves; m++)
            onward[m * rows + row] = onward[m * rows];
    }
}

void sb_rest_tell_apart(sb_pricer *w, const sb_rest_step *step)
{
    sb_rest *rest = &w->rest;
    int rows = rest->rows, levels = w->p->levels, j = step->to, row = rest->own_from,
        *owner = rest->owner + j * rows, *used = rest->used + j * rows;
    if (rest->own_from == 1) /* all are told apart, or there are no seeds */
        return;
    short *now = sb_rest_row_at(w, step->from, j, step->level);
    if (*now < rest->own_from) {
        for (int r = row + 1; r < rows; r++)
            if (used[r] <= used[row])
                row = r;
        if (owner[row] >= 0)
            *sb_rest_row_at(w, owner[row] / levels, j, owner[row] % levels) =
                rest->group[owner[row]];
        fill_own_row(w, step->from, j, step->level, row);
    }
    used[*now] = rest->fillings;
}

sb_status sb_rest_choose_rows(sb_pricer *w)
{
    const sb_problem *p = w->p;
    sb_rest *rest = &w->rest;
    size_t n = (size_t)p->n, levels = (size_t)p->levels, moves = (size_t)rest->onto * levels;
    int rows = 1, groups = 0;
    if (p->dims > 0) { /* without seeds it makes no difference where the machine was before */
        rows = 1 + p->n * p->levels;
        if (rows > MOST_ROWS) {
            rows = MOST_ROWS;
            groups = (int)(GROUPS_SHARE * MOST_ROWS);
        }
    }
    rest->rows = (rows + 3) / 4 * 4;
    rest->row = sb_alloc(n * n * levels, sizeof *rest->row);
    rest->group = sb_alloc(n * levels, sizeof *rest->group);
    rest->owner = sb_alloc(n * (size_t)rest->rows, sizeof *rest->owner);
    rest->used = sb_alloc(n * (size_t)rest->rows, sizeof *rest->used);
    rest->onward = sb_alloc(n * moves * (size_t)rest->rows, sizeof *rest->onward);
    rest->plain = sb_alloc(n * n * levels, sizeof *rest->plain);
    sorting s;
    bool made = begin_sorting(&s, p, groups + 1) && rest->row && rest->group && rest->owner &&
                rest->used && rest->onward && rest->plain;
    if (made && groups > 0)
        made = sort_moves(&s, groups);
    for (int item = 0; item < s.items && s.groups > 0 && made; item++)
        rest->group[item] = (short)(1 + s.group[item]);
    rest->own_from = 1 + s.groups;
    for (int j = 0; j < p->n && made; j++)
        fill_rows(w, &s, j);
    end_sorting(&s);
    return made ? SB_OK : SB_ERR_NOMEM;
}
