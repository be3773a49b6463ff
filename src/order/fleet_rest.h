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

/** Least costs of moves at the caller's rewards and tolls; for a sparse pass, which moves are near;
 * and what follows for the rest of a walk. */
void sb_rest_fill(sb_pricer *w, const sb_pricing *pass, sb_pass_run *run);

/** What the walk costs that these bounds take for the cheapest: no route costs less. They are
 * filled anew.
 * @param fine   with all they can tell apart; else with nothing, in no time
 * @param visits [out] n: how often it cuts each field. @return INFINITY: there is no walk, or the
 * run is over */
double sb_rest_walk(sb_pricer *w, bool fine, sb_pass_run *run, int *visits);

/** One row of a field at a clock: by the set of near fields seen. */
static inline double *sb_rest_at(const sb_rest *rest, int n, int clock, int j, int row)
{
    size_t cell = (size_t)clock * (size_t)n + (size_t)j;
    return rest->least + ((cell * (size_t)rest->filled_rows + (size_t)row) << rest->bits);
}

/** The row of a field that was entered from i (the yard: n) after a level. */
static inline int sb_rest_row(const sb_pricer *w, int i, int j, int level)
{
    int slot = i < w->p->n ? w->rest.slot[sb_arc(w->p, i, j)] : 0;
    return slot == 0 || slot > w->rest.told ? 0 : 1 + (slot - 1) * w->p->levels + level;
}

/** What is left on the clock of a walk with so many more stops and hours at most; -1: no time. */
static inline int sb_rest_clock(const sb_rest *rest, int stops, double hours)
{
    if (!rest->by_hours)
        return stops;
    if (hours < -SB_SAME_TIME_H)
        return -1;
    int ticks = (int)ceil(hours / rest->tick_h - 1e-9) + rest->spare;
    return ticks < rest->most ? ticks : rest->most;
}

/** What a walk that has just gone i -> j after a level, with `stops` more to come at most, may
 * still come to. */
static inline double sb_rest_least(const sb_pricer *w, int stops, int i, int j, int level,
                                   double finish_h, const uint64_t *seen)
{
    const sb_rest *rest = &w->rest;
    int clock = sb_rest_clock(rest, stops, w->p->end_h - finish_h);
    if (clock < 0)
        return INFINITY;
    const int *member = rest->member + j * rest->most_bits;
    unsigned set = 0;
    for (int b = 0; b < rest->bits; b++)
        set |= (unsigned)(member[b] >= 0 && sb_has(seen, member[b])) << b;
    return sb_rest_at(rest, w->p->n, clock, j, sb_rest_row(w, i, j, level))[set];
}

/** The same whatever came before. */
static inline double sb_rest_anyhow(const sb_pricer *w, int stops, int j)
{
    int clock = w->rest.by_hours ? w->rest.most : stops;
    return *sb_rest_at(&w->rest, w->p->n, clock, j, 0);
}

#endif
