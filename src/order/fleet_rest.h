/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What the rest of a walk comes to at least: labels that cannot come under the limit are then
 * never made. A further move is priced with the seeds of the field just left and of the one before
 * that, where it is told apart, and no others. */
#ifndef SB_ORDER_FLEET_REST_H
#define SB_ORDER_FLEET_REST_H

#include "order/fleet_pricer.h"

/** Chooses what the bounds look at; the pricer's boxes, times and nearest fields are known.
 * @return SB_OK; SB_ERR_NOMEM. Release in any case. */
sb_status sb_rest_init(sb_pricer *pricer);
void sb_rest_release(sb_rest *rest);
/** A part of it (order/fleet_rest_rows.c): the rows, and what moves on cost in each. */
sb_status sb_rest_choose_rows(sb_pricer *w);

/** Least costs of moves at the caller's rewards and tolls; for a sparse pass, which moves are near;
 * and what follows for the rest of a walk. Looks then what the cheapest walk is, by the bounds
 * (walk_least: INFINITY when there is none or the run is over). The next filling remembers what
 * this one should have. */
void sb_rest_fill(sb_pricer *w, const sb_pricing *pass, sb_pass_run *run);

/** The same for no pass, and what that walk is.
 * @param clock  0: the coarse one; 1
 * @param run    its threads are not used: others may fill other machines' tables at the same time
 * @param visits [out] n: how often it cuts each field. @return walk_least */
double sb_rest_walk(sb_pricer *w, int clock, sb_pass_run *run, int *visits);

/** The rows of a field with so much on the clock and a set of near fields seen. */
static inline float *sb_rest_at(const sb_rest *rest, int n, int ticks, int j, unsigned set)
{
    size_t cell = (size_t)ticks * (size_t)n + (size_t)j;
    return rest->least + ((cell << rest->bits) + set) * (size_t)rest->rows;
}

static inline short *sb_rest_row_at(const sb_pricer *w, int i, int j, int level)
{
    return &w->rest.row[sb_arc(w->p, i, j) * (size_t)w->p->levels + (size_t)level];
}

/** The row of a field that was entered from i (the yard: n) after a level. */
static inline int sb_rest_row(const sb_pricer *w, int i, int j, int level)
{
    return i < w->p->n ? *sb_rest_row_at(w, i, j, level) : 0;
}

/** The clock in use. */
static inline const sb_rest_clock *sb_rest_clock_of(const sb_rest *rest)
{
    return &rest->clocks[rest->clock];
}

/** What is left on the clock of a walk with so many more stops and hours at most; -1: no time. */
static inline int sb_rest_ticks(const sb_rest *rest, int stops, double hours)
{
    const sb_rest_clock *clock = sb_rest_clock_of(rest);
    if (!rest->by_hours)
        return stops;
    if (hours < -SB_SAME_TIME_H)
        return -1;
    int ticks = (int)ceil(hours / clock->tick_h - 1e-9) + clock->spare;
    return ticks < clock->most ? ticks : clock->most;
}

/** What a walk that has just gone i -> j after a level, with `stops` more to come at most, may
 * still come to. */
static inline double sb_rest_least(const sb_pricer *w, int stops, int i, int j, int level,
                                   double finish_h, const uint64_t *seen)
{
    const sb_rest *rest = &w->rest;
    int ticks = sb_rest_ticks(rest, stops, w->p->end_h - finish_h);
    if (ticks < 0)
        return INFINITY;
    const int *member = rest->member + j * rest->most_bits;
    int members = rest->members[j] < rest->bits ? rest->members[j] : rest->bits;
    unsigned set = 0;
    for (int b = 0; b < members; b++)
        set |= (unsigned)sb_has(seen, member[b]) << b;
    return (double)sb_rest_at(rest, w->p->n, ticks, j, set)[sb_rest_row(w, i, j, level)];
}

/** The same whatever came before, of a walk that stands in i and goes on to j. */
static inline double sb_rest_anyhow(const sb_pricer *w, int stops, int i, int j, double free_h)
{
    const sb_rest *rest = &w->rest;
    int ticks = sb_rest_ticks(rest, stops + 1, w->p->end_h - free_h);
    if (ticks >= 0 && i < w->p->n)
        ticks -= sb_rest_clock_of(rest)->fewest[sb_arc(w->p, i, j)];
    return ticks < 0 ? INFINITY : rest->anyhow[(size_t)ticks * (size_t)w->p->n + (size_t)j];
}

#endif
