/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_moves.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

#define NEAR_WIDTH 16
/* Pieces longer than this are rarely worth moving. */
#define LONGEST_PIECE 10
/* Stretches of one route longer than this are not turned or shifted. */
#define LONGEST_STRETCH 25
/* How often a partner is drawn from all fields and not from the near ones. */
#define FAR_SHARE 0.1

/* ---- Near fields --------------------------------------------------------------------------- */

typedef struct candidate {
    double cost;
    int field;
} candidate;

static int cheaper(const void *a, const void *b)
{
    const candidate *x = a, *y = b;
    if (x->cost != y->cost)
        return x->cost < y->cost ? -1 : 1;
    return (x->field > y->field) - (x->field < y->field);
}

/* INFINITY: the move is not open. */
static double cost_of_way(const sb_ways *ways, int from, int to)
{
    return sb_way_open(ways, from, to) ? sb_way_least(ways, from, to) : INFINITY;
}

/* The least over the machines; a yard belongs to one machine. */
static double cost_between(const sb_fleet *f, const sb_ways *ways, int from, int to)
{
    if (from >= f->n)
        return cost_of_way(&ways[f->kind[from - f->n]], f->n, to);
    double least = INFINITY;
    for (int m = 0; m < f->machines; m++)
        if (f->kind[m] == m)
            least = fmin(least, cost_of_way(&ways[m], from, to));
    return least;
}

sb_status sb_near_init(sb_near *near, const sb_fleet *f, const sb_ways *ways)
{
    int nodes = f->n + f->machines;
    *near = (sb_near){.width = f->n < NEAR_WIDTH ? f->n : NEAR_WIDTH};
    near->to = sb_alloc((size_t)nodes * (size_t)near->width, sizeof *near->to);
    candidate *all = sb_alloc((size_t)f->n, sizeof *all);
    if (near->to == NULL || all == NULL) {
        sb_free(all);
        return SB_ERR_NOMEM;
    }
    for (int i = 0; i < nodes; i++) {
        for (int j = 0; j < f->n; j++)
            all[j] = (candidate){cost_between(f, ways, i, j), j};
        qsort(all, (size_t)f->n, sizeof *all, cheaper);
        for (int k = 0; k < near->width; k++)
            near->to[i * near->width + k] = isinf(all[k].cost) ? -1 : all[k].field;
    }
    sb_free(all);
    return SB_OK;
}

void sb_near_release(sb_near *near)
{
    sb_free(near->to);
    *near = (sb_near){0};
}

/* ---- Writing a change down ----------------------------------------------------------------- */

/* Puts stops [from, from + count) of a route behind the pieces so far. */
static void append(sb_change *c, const sb_route_state *r, int from, int count, bool turned)
{
    if (count > 0)
        c->piece[c->n_pieces++] = (sb_piece){r, from, count, turned};
}

static sb_change *begin_change(sb_fleet_move *move, int machine, int begin, int end)
{
    sb_change *c = &move->change[move->n_changes];
    move->machine[move->n_changes++] = machine;
    c->begin = begin;
    c->end = end;
    c->n_pieces = 0;
    c->new_level = -1;
    return c;
}

static bool machine_cuts(const sb_routes_state *s, int machine, const sb_route_state *r, int from,
                         int count)
{
    const bool *may = s->fleet->may_cut + (size_t)machine * (size_t)s->fleet->n;
    for (int k = 0; k < count; k++)
        if (!may[r->field[from + k]])
            return false;
    return true;
}

/* ---- The moves ----------------------------------------------------------------------------- */

/* Takes `count` stops from place `from` of a machine to behind place `behind` (-1: the yard) of
 * another, or of the same one. */
static bool shift(sb_routes_state *s, sb_fleet_move *move, int machine, int from, int count,
                  int other, int behind, bool turned)
{
    const sb_route_state *a = &s->routes[machine];
    if (machine != other) {
        if (!machine_cuts(s, other, a, from, count))
            return false;
        begin_change(move, machine, from, from + count);
        append(begin_change(move, other, behind + 1, behind + 1), a, from, count, turned);
        return true;
    }
    if (behind >= from - 1 && behind < from + count)
        return false; /* it stands there already */
    bool ahead = behind >= from + count;
    int begin = ahead ? from : behind + 1, end = ahead ? behind + 1 : from + count;
    if (end - begin > LONGEST_STRETCH)
        return false;
    sb_change *c = begin_change(move, machine, begin, end);
    if (ahead)
        append(c, a, from + count, behind + 1 - from - count, false);
    append(c, a, from, count, turned);
    if (!ahead)
        append(c, a, behind + 1, from - behind - 1, false);
    return true;
}

/* Exchanges two pieces, of one route or of two. */
static bool swap(sb_routes_state *s, sb_fleet_move *move, int machine, int from, int count,
                 int other, int other_from, int other_count)
{
    const sb_route_state *a = &s->routes[machine], *b = &s->routes[other];
    if (machine != other) {
        if (!machine_cuts(s, other, a, from, count) ||
            !machine_cuts(s, machine, b, other_from, other_count))
            return false;
        sb_change *c = begin_change(move, machine, from, from + count);
        append(c, b, other_from, other_count, false);
        c = begin_change(move, other, other_from, other_from + other_count);
        append(c, a, from, count, false);
        return true;
    }
    if (from > other_from)
        return swap(s, move, machine, other_from, other_count, machine, from, count);
    int between = other_from - from - count;
    if (between < 0 || other_from + other_count - from > LONGEST_STRETCH)
        return false;
    sb_change *c = begin_change(move, machine, from, other_from + other_count);
    append(c, a, other_from, other_count, false);
    append(c, a, from + count, between, false);
    append(c, a, from, count, false);
    return true;
}

/* Turns stops begin .. end-1 round. */
static bool turn(sb_routes_state *s, sb_fleet_move *move, int machine, int begin, int end)
{
    if (end - begin < 2 || end - begin > LONGEST_STRETCH)
        return false;
    sb_change *c = begin_change(move, machine, begin, end);
    append(c, &s->routes[machine], begin, end - begin, true);
    return true;
}

/* Machines go on with each other's stops from places a and b on. */
static bool cross(sb_routes_state *s, sb_fleet_move *move, int machine, int a, int other, int b)
{
    const sb_route_state *one = &s->routes[machine], *two = &s->routes[other];
    /* Both tails are walked, so long ones are tried the less often the longer they are. */
    int walked = one->count - a + two->count - b;
    if (sb_random_unit(&s->random) * walked > LONGEST_STRETCH)
        return false;
    if (!machine_cuts(s, other, one, a, one->count - a) ||
        !machine_cuts(s, machine, two, b, two->count - b))
        return false;
    sb_change *c = begin_change(move, machine, a, one->count);
    append(c, two, b, two->count - b, false);
    c = begin_change(move, other, b, two->count);
    append(c, one, a, one->count - a, false);
    return true;
}

static bool change_level(sb_routes_state *s, sb_fleet_move *move)
{
    int j = sb_random_below(&s->random, s->fleet->n), machine = s->machine_of[j];
    const sb_route_state *r = &s->routes[machine];
    int t = s->place_of[j], levels = r->p->levels;
    if (levels < 2)
        return false;
    sb_change *c = begin_change(move, machine, t, t + 1);
    append(c, r, t, 1, false);
    c->new_level = (r->level[t] + 1 + sb_random_below(&s->random, levels - 1)) % levels;
    return true;
}

static int draw_piece(sb_routes_state *s)
{
    return 1 + sb_random_below(&s->random, 1 + sb_random_below(&s->random, LONGEST_PIECE));
}

static int smaller(int a, int b)
{
    return a < b ? a : b;
}

/* A field worth going on to from node i; -1: none drawn. */
static int draw_next(sb_routes_state *s, int i)
{
    if (sb_random_unit(&s->random) < FAR_SHARE)
        return sb_random_below(&s->random, s->fleet->n);
    int width = s->near->width;
    int k = sb_random_below(&s->random, 1 + sb_random_below(&s->random, width));
    return s->near->to[i * width + k];
}

/* Brings j's piece behind node i, or i's piece in front of j. */
static bool propose_shift(sb_routes_state *s, sb_fleet_move *move, int machine, int place, int j)
{
    int other = s->machine_of[j], at = s->place_of[j], piece = draw_piece(s);
    bool turned = sb_random_unit(&s->random) < 0.3;
    if (place < 0 || sb_random_unit(&s->random) < 0.5) {
        int count = smaller(piece, turned ? at + 1 : s->routes[other].count - at);
        return shift(s, move, other, turned ? at + 1 - count : at, count, machine, place, turned);
    }
    int count = smaller(piece, turned ? s->routes[machine].count - place : place + 1);
    return shift(s, move, machine, turned ? place : place + 1 - count, count, other, at - 1,
                 turned);
}

bool sb_fleet_move_propose(sb_routes_state *s, sb_fleet_move *move)
{
    const sb_fleet *f = s->fleet;
    move->n_changes = 0;
    double kind = sb_random_unit(&s->random);
    if (kind < 0.15)
        return change_level(s, move);
    int i = sb_random_below(&s->random, f->n + f->machines), j = draw_next(s, i);
    if (j < 0 || i == j)
        return false;
    int machine = i < f->n ? s->machine_of[i] : i - f->n;
    int place = i < f->n ? s->place_of[i] : -1;
    int other = s->machine_of[j], at = s->place_of[j];
    if (kind < 0.6)
        return propose_shift(s, move, machine, place, j);
    if (kind < 0.8) {
        int count = smaller(draw_piece(s), s->routes[machine].count - place - 1);
        int other_count = smaller(draw_piece(s), s->routes[other].count - at);
        return count > 0 && swap(s, move, machine, place + 1, count, other, at, other_count);
    }
    if (machine == other)
        return at > place ? turn(s, move, machine, place + 1, at + 1)
                          : turn(s, move, machine, at, place);
    return cross(s, move, machine, place + 1, other, at);
}
