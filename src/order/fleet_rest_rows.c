/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What may have come before a field is told apart by rows: the nearest fields one by one and level
 * by level, the others in groups of moves that leave much the same seeds in the machine. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "order/fleet_rest.h"

/* Costs of moves on are kept for at most so many triples of row, field and next field. */
#define MOST_ONWARD 4e6
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

/* The rows of one field: 0, nothing is known; the nearest fields; groups. */
static void fill_rows(sb_pricer *w, const sorting *s, int j, int width, sb_near_field *all)
{
    const sb_problem *p = w->p;
    sb_rest *rest = &w->rest;
    int rows = rest->rows, moves = rest->onto * p->levels;
    double *onward = rest->onward + (size_t)j * (size_t)moves * (size_t)rows,
           *load = w->workers[0].load;
    leave(p, j, NULL, load);
    fill_row(w, -1, j, load, rest->onto, rows, onward);
    fill_row(w, -1, j, load, p->n, 1, rest->plain + (size_t)(j * p->n * p->levels));
    int row = 1;
    for (int g = 0; g < s->groups; g++, row++) {
        leave(p, j, s->low + g * p->dims, load);
        fill_row(w, -1, j, load, rest->onto, rows, onward + row);
    }
    for (int i = 0; i < p->n; i++)
        for (int l = 0; l < p->levels && s->groups > 0; l++)
            *sb_rest_row_at(w, i, j, l) = (short)(1 + s->group[i * p->levels + l]);
    sb_order_near_fields(p, j, false, all);
    for (int k = 0; k < width && isfinite(all[k].cost); k++)
        for (int l = 0; l < p->levels; l++, row++) {
            int i = all[k].field;
            leave(p, j, s->held + (i * p->levels + l) * p->dims, load);
            fill_row(w, i, j, load, rest->onto, rows, onward + row);
            *sb_rest_row_at(w, i, j, l) = (short)row;
        }
    for (; row < rows; row++) /* left over, never looked at */
        for (int m = 0; m < moves; m++)
            onward[m * rows + row] = INFINITY;
}

/* Of each move on the dearest row that has it. */
static void find_dearest(sb_pricer *w)
{
    sb_rest *rest = &w->rest;
    size_t moves = (size_t)w->p->n * (size_t)(rest->onto * w->p->levels), rows = (size_t)rest->rows;
    for (size_t m = 0; m < moves; m++) {
        double dearest = -INFINITY;
        for (size_t r = 0; r < rows; r++)
            if (isfinite(rest->onward[m * rows + r]))
                dearest = fmax(dearest, rest->onward[m * rows + r]);
        rest->dearest[m] = dearest > -INFINITY ? dearest : INFINITY;
    }
}

sb_status sb_rest_choose_rows(sb_pricer *w)
{
    const sb_problem *p = w->p;
    sb_rest *rest = &w->rest;
    size_t n = (size_t)p->n, levels = (size_t)p->levels, moves = (size_t)rest->onto * levels;
    int most = (int)(MOST_ONWARD / (double)(n * moves)), width = 0, groups = 0;
    if (p->dims > 0) { /* without seeds it makes no difference where the machine was before */
        width = p->n;
        if (1 + p->n * p->levels > most) {
            groups = (int)fmax(GROUPS_SHARE * most, 1);
            width = (most - 1 - groups) / p->levels;
            width = width > 0 ? width : 0;
        }
    }
    rest->rows = (1 + groups + width * p->levels + 3) / 4 * 4;
    rest->row = sb_alloc(n * n * levels, sizeof *rest->row);
    rest->onward = sb_alloc(n * moves * (size_t)rest->rows, sizeof *rest->onward);
    rest->dearest = sb_alloc(n * moves, sizeof *rest->dearest);
    rest->plain = sb_alloc(n * n * levels, sizeof *rest->plain);
    sb_near_field *all = sb_alloc(n, sizeof *all);
    sorting s;
    bool made = begin_sorting(&s, p, groups + 1) && rest->row && rest->onward && rest->dearest &&
                rest->plain && all;
    if (made && groups > 0)
        made = sort_moves(&s, groups);
    for (int j = 0; j < p->n && made; j++)
        fill_rows(w, &s, j, width, all);
    if (made)
        find_dearest(w);
    end_sorting(&s);
    sb_free(all);
    return made ? SB_OK : SB_ERR_NOMEM;
}
