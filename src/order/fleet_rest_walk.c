/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The walks that the table takes for the cheapest, and what they teach the next filling: fields to
 * remember along their circles, and moves to tell apart from others. */
#include <math.h>
#include <stdlib.h>

#include "order/fleet_rest.h"

/* The best walk that begins with j. */
static sb_rest_place begin_walk(const sb_pricer *w, int j)
{
    const sb_problem *p = w->p;
    const double *load = p->own + (size_t)p->n * (size_t)p->dims;
    sb_rest_place best = {.cost = INFINITY, .field = j};
    for (int l = 0; l < p->levels; l++) {
        if (!(w->open[sb_arc(p, p->n, j)] >> l & 1))
            continue;
        double finish_h = sb_finish_h(p, p->n, j, l, 0);
        int left = sb_rest_ticks(&w->rest, w->most_stops - 1, p->end_h - finish_h);
        if (left < 0)
            continue;
        double cost = sb_pricer_surcharge(w, p->n, j, l) +
                      sb_move_load(p, p->n, j, l, load, w->workers[0].load) +
                      (double)sb_rest_at(&w->rest, p->n, left, j, 0)[0];
        if (cost < best.cost) {
            best.cost = cost;
            best.level = l;
            best.left = left;
        }
    }
    return best;
}

/* The best move on. @return false: home */
static bool next_move(const sb_pricer *w, sb_rest_place *at)
{
    const sb_problem *p = w->p;
    const sb_rest *rest = &w->rest;
    int n = p->n, j = at->field, to = -1, level = 0;
    double least = sb_rest_home(w, at->left, j);
    for (int t = 0; t < n; t++) {
        int k = rest->next[j * n + t];
        if (k == j || isinf(w->arc[sb_arc(p, j, k)]) || sb_rest_has_seen(rest, j, at->set, k))
            continue;
        for (int m = 0; m < p->levels; m++) {
            size_t near = (size_t)((j * rest->onto + t) * p->levels + m);
            double cost =
                sb_rest_beyond(w, at->left, j, at->set, k, m) +
                (t < rest->onto ? rest->onward[near * (size_t)rest->rows + (size_t)at->row]
                                : rest->plain[(j * n + t) * p->levels + m]);
            if (cost < least) {
                least = cost;
                to = k;
                level = m;
            }
        }
    }
    if (to < 0)
        return false;
    size_t arc = sb_arc(p, j, to);
    at->left -= sb_rest_clock_of(rest)->ticks[arc * (size_t)p->levels + (size_t)level];
    at->row = sb_rest_row(w, j, to, level);
    at->set = sb_rest_carried(rest, arc, at->set);
    at->field = to;
    at->level = level;
    return true;
}

static int cheaper(const void *a, const void *b)
{
    const sb_rest_place *x = a, *y = b;
    if (x->cost != y->cost)
        return x->cost < y->cost ? -1 : 1;
    return x->field - y->field;
}

/* Where all moves are told apart there is nothing to learn of them. */
static int walks_to_look_at(const sb_rest *rest, int n)
{
    if (rest->own_from == 1)
        return 0;
    return n < SB_REST_WALKS ? n : SB_REST_WALKS;
}

/* Hours of a move and what is done there. */
static double hours_of(const sb_problem *p, int from, const sb_rest_place *at)
{
    return p->level_h[at->level] + sb_move_h(p, from, at->field) + p->cut_h[at->field];
}

static void follow_cheapest(sb_pricer *w)
{
    sb_rest *rest = &w->rest;
    sb_rest_place at = rest->starts[0];
    rest->walk_h = 0;
    int from = w->p->n;
    do {
        rest->walk_h += hours_of(w->p, from, &at);
        rest->walk[rest->stops++] = from = at.field;
    } while (next_move(w, &at));
    rest->walk_h += w->p->home_h[from];
}

void sb_rest_look_at_walks(sb_pricer *w, sb_pass_run *run)
{
    sb_rest *rest = &w->rest;
    int n = w->p->n;
    rest->walk_least = INFINITY;
    rest->walk_h = 0;
    if (sb_pass_is_over(run))
        return;
    for (int j = 0; j < n; j++)
        rest->starts[j] = begin_walk(w, j);
    qsort(rest->starts, (size_t)n, sizeof *rest->starts, cheaper);
    rest->walk_least = rest->starts[0].cost;
    if (isfinite(rest->walk_least))
        follow_cheapest(w);
    for (int s = 0; s < walks_to_look_at(rest, n) && isfinite(rest->starts[s].cost); s++) {
        sb_rest_place at = rest->starts[s];
        for (int from = at.field; next_move(w, &at); from = at.field)
            rest->steps[rest->n_steps++] = (sb_rest_step){from, at.field, at.level};
    }
}

/* ---- What they teach ----------------------------------------------------------------------- */

/* Which of there's members a field is; -1: none. */
static int member_at(const sb_rest *rest, int there, int field)
{
    const int *member = rest->member + there * rest->most_bits;
    for (int b = 0; b < rest->members[there]; b++)
        if (member[b] == field)
            return b;
    return -1;
}

/* Has there remember a field, instead of the one that was of use least recently when need be. */
static void remember(sb_rest *rest, int there, int field)
{
    int *member = rest->member + there * rest->most_bits,
        *kept = rest->kept + there * rest->most_bits, b = member_at(rest, there, field);
    if (b < 0 && rest->members[there] < rest->most_bits)
        b = rest->members[there]++;
    if (b < 0) {
        b = 0;
        for (int a = 1; a < rest->most_bits; a++)
            if (kept[a] < kept[b])
                b = a;
    }
    member[b] = field;
    kept[b] = rest->fillings;
}

/* Members that the cheapest walk had with it, from where they were cut, are of use. */
static void keep_carried(sb_rest *rest, int a)
{
    for (int b = a + 1; b < rest->stops; b++) {
        int there = rest->walk[b], at = member_at(rest, there, rest->walk[a]);
        if (at < 0)
            return;
        rest->kept[there * rest->most_bits + at] = rest->fillings;
    }
}

/* Remembers, along each cycle of the cheapest walk, the field it came back to. @return are there
 * any? */
static bool remember_cycles(sb_rest *rest)
{
    bool grown = false;
    for (int a = 0; a < rest->stops; a++)
        keep_carried(rest, a);
    for (int a = 0; a < rest->stops; a++) {
        int b = a + 1;
        while (b < rest->stops && rest->walk[b] != rest->walk[a])
            b++;
        for (int t = a + 1; t < b && b < rest->stops; t++)
            remember(rest, rest->walk[t], rest->walk[a]);
        grown |= b < rest->stops;
    }
    return grown;
}

void sb_rest_learn_from_walks(sb_pricer *w)
{
    sb_rest *rest = &w->rest;
    sb_remember_cycles(w->p, w->memory, rest->walk, rest->stops, SB_PRICER_MEMORY, rest->stops);
    if (rest->most_bits > 0 && remember_cycles(rest))
        sb_rest_fill_carried(w);
    rest->fillings++;
    for (int t = 0; t < rest->n_steps; t++)
        sb_rest_tell_apart(w, &rest->steps[t]);
    rest->stops = rest->n_steps = 0;
}
