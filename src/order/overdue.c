/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every moment worked out here is one that no season comes before: fields take their turn behind
 * all that must precede them, roads are the quickest, other places are passed without cutting, and
 * a machine that comes too late for a field even so is out of the question for it. */
#include "order/overdue.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

/* Moments may be off by SB_SAME_TIME_H each, and a chain has many. */
#define SURELY_H 1e-3

typedef struct outlook {
    const sb_problem *problems; /* of the machines */
    int machines, n;
    double *road_h;   /* machines x (n + 1) x (n + 1): with the cleanouts that entry demands */
    double *finish_h; /* machines x n: earliest; INFINITY: this machine cannot cut it in time */
    int *turn;        /* n: the fields, each behind those that must precede it */
    sb_overdue *found;
} outlook;

static double *road_of(const outlook *o, int machine, int from, int to)
{
    size_t nodes = (size_t)(o->n + 1);
    return &o->road_h[((size_t)machine * nodes + (size_t)from) * nodes + (size_t)to];
}

static double *finish_of(const outlook *o, int machine, int field)
{
    return &o->finish_h[(size_t)machine * (size_t)o->n + (size_t)field];
}

/* A move with the shortest cleanout that no rule forbids before it. */
static double move_hours(const sb_problem *p, int from, int to)
{
    double least_h = INFINITY;
    if (isinf(p->move_cost[(size_t)from * (size_t)(p->n + 1) + (size_t)to]))
        return INFINITY;
    for (int l = 0; l < p->levels; l++)
        if (to == p->n || (p->permitted[sb_arc(p, from, to)] >> l & 1))
            least_h = fmin(least_h, p->level_h[l]);
    return least_h + sb_move_h(p, from, to);
}

static void find_roads(const outlook *o, int machine)
{
    const sb_problem *p = &o->problems[machine];
    for (int i = 0; i <= o->n; i++)
        for (int j = 0; j <= o->n; j++)
            *road_of(o, machine, i, j) = move_hours(p, i, j);
    for (int k = 0; k < o->n; k++) /* Floyd; the yard is passed by nobody */
        for (int i = 0; i <= o->n; i++)
            for (int j = 0; j <= o->n; j++)
                *road_of(o, machine, i, j) =
                    fmin(*road_of(o, machine, i, j),
                         *road_of(o, machine, i, k) + *road_of(o, machine, k, j));
}

/* When a machine that has cut a field is back and clean if it takes the quickest way. */
static double home_hours(const outlook *o, int machine, int field)
{
    const sb_problem *p = &o->problems[machine];
    double least_h = isinf(p->home_cost[field]) ? INFINITY : p->home_h[field];
    for (int i = 0; i < o->n; i++)
        if (!isinf(p->home_cost[i]))
            least_h = fmin(least_h, *road_of(o, machine, field, i) + p->home_h[i]);
    return least_h;
}

static bool comes_before(const outlook *o, int earlier, int later)
{
    return sb_has(o->found->before + (size_t)later * (size_t)o->found->words, earlier);
}

/* ---- One field ------------------------------------------------------------------------------- */

/* The moment before which one machine (-1: all together) cannot have cut what nobody else can cut
 * of the fields that must come before: work shared evenly, from when the first of it can begin. */
static double work_done_h(const outlook *o, int machine, int field)
{
    double work_h = 0, begin_h = INFINITY;
    for (int i = 0; i < o->n; i++) {
        bool others = false;
        double cut_h = INFINITY, begin_here_h = INFINITY;
        for (int m = 0; m < o->machines && comes_before(o, i, field); m++) {
            if (isinf(*finish_of(o, m, i)))
                continue;
            others |= machine >= 0 && m != machine;
            cut_h = fmin(cut_h, o->problems[m].cut_h[i]);
            begin_here_h = fmin(begin_here_h, *finish_of(o, m, i) - o->problems[m].cut_h[i]);
        }
        if (others || isinf(cut_h))
            continue;
        work_h += cut_h;
        begin_h = fmin(begin_h, begin_here_h);
    }
    return work_h > 0 ? begin_h + work_h / (machine < 0 ? o->machines : 1) : 0;
}

/* When all that must come before is cut, whoever comes next. */
static double all_cut_h(const outlook *o, int field)
{
    double all_h = work_done_h(o, -1, field);
    for (int m = 0; m < o->machines; m++)
        all_h = fmax(all_h, work_done_h(o, m, field));
    return all_h;
}

/* When a machine can begin: come from where it starts, or from the last field that had to be cut
 * before, unless somebody else cut that. */
static double begin_hours(const outlook *o, int machine, int field)
{
    double begin_h = fmax(o->problems[machine].ready_h[field], *road_of(o, machine, o->n, field));
    for (int i = 0; i < o->n; i++) {
        if (!comes_before(o, i, field))
            continue;
        double cut_h = *finish_of(o, machine, i) + *road_of(o, machine, i, field);
        for (int m = 0; m < o->machines; m++)
            if (m != machine)
                cut_h = fmin(cut_h, *finish_of(o, m, i));
        begin_h = fmax(begin_h, cut_h);
    }
    return begin_h;
}

/* @return can any machine finish it in time? */
static bool look_at(const outlook *o, int field)
{
    bool in_time = false;
    double all_h = all_cut_h(o, field), *earliest_h = &o->found->finish_h[field];
    for (int m = 0; m < o->machines; m++) {
        const sb_problem *p = &o->problems[m];
        double finish_h = fmax(begin_hours(o, m, field), all_h) + p->cut_h[field];
        double latest_h = fmin(p->latest_h[field], p->end_h - home_hours(o, m, field));
        *earliest_h = p->may_cut[field] ? fmin(*earliest_h, finish_h) : *earliest_h;
        bool can = p->may_cut[field] && isfinite(finish_h) && finish_h <= latest_h + SURELY_H;
        *finish_of(o, m, field) = can ? finish_h : INFINITY;
        in_time |= can;
    }
    return in_time;
}

/* ---- All fields ------------------------------------------------------------------------------ */

/* Behind all that must come before a field there are fewer that must: sets are closed. */
static void take_turns(const outlook *o)
{
    int next = 0;
    for (int size = 0; size <= o->n && next < o->n; size++)
        for (int j = 0; j < o->n; j++)
            if (sb_set_size(o->found->before + (size_t)j * (size_t)o->found->words,
                            o->found->words) == size)
                o->turn[next++] = j;
}

static void look(const outlook *o)
{
    for (int j = 0; j < o->n; j++)
        o->found->finish_h[j] = INFINITY;
    for (int m = 0; m < o->machines; m++)
        find_roads(o, m);
    take_turns(o);
    for (int t = 0; t < o->n && o->found->field < 0; t++)
        if (!look_at(o, o->turn[t]))
            o->found->field = o->turn[t];
}

sb_status sb_overdue_find(const sb_problem *problems, int machines, sb_overdue *found)
{
    size_t n = (size_t)problems->n, words = (size_t)problems->words;
    outlook o = {.problems = problems, .machines = machines, .n = problems->n, .found = found};
    *found = (sb_overdue){.field = -1, .words = problems->words};
    found->finish_h = sb_alloc(n, sizeof *found->finish_h);
    found->before = sb_alloc(n * words, sizeof *found->before);
    o.road_h = sb_alloc((size_t)machines * (n + 1) * (n + 1), sizeof *o.road_h);
    o.finish_h = sb_alloc((size_t)machines * n, sizeof *o.finish_h);
    o.turn = sb_alloc(n, sizeof *o.turn);
    sb_status status = SB_ERR_NOMEM;
    if (found->finish_h && found->before && o.road_h && o.finish_h && o.turn) {
        memcpy(found->before, problems->before, n * words * sizeof *found->before);
        look(&o);
        status = SB_OK;
    }
    sb_free(o.road_h);
    sb_free(o.finish_h);
    sb_free(o.turn);
    return status;
}

void sb_overdue_release(sb_overdue *found)
{
    sb_free(found->finish_h);
    sb_free(found->before);
    *found = (sb_overdue){.field = -1};
}
