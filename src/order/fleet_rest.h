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
 * and what follows for the rest of a walk. Looks then what the cheapest walk is, by the bounds
 * (walk_least: INFINITY when there is none or the run is over). The next filling remembers what
 * this one should have, and tells apart what it took for alike. */
void sb_rest_fill(sb_pricer *w, const sb_pricing *pass, sb_pass_run *run);

/** The same for no pass, and what that walk is. Clocks round down what moves take, so walks may be
 * longer than the season: hours that have a price are counted as they are.
 * @param clock  0, the coarsest, to SB_REST_CLOCKS - 1
 * @param hour   at least 0, money for each hour of the machine, which is added to the caller's
 * tolls; 0 without an end to its hours
 * @param run    its threads are not used: others may fill other machines' tables at the same time
 * @param visits [out] n: how often it cuts each field
 * @param over_h [out] hours that it takes beyond those there are; less than 0: that are left
 * @return at the caller's rewards and tolls no route costs less */
double sb_rest_walk(sb_pricer *w, int clock, double hour, sb_pass_run *run, int *visits,
                    double *over_h);

/** Of how many walks the next filling learns. */
#define SB_REST_WALKS 30

/* ---- Its parts ----------------------------------------------------------------------------- */

/** The rows, and what moves on cost in each (order/fleet_rest_rows.c). */
sb_status sb_rest_choose_rows(sb_pricer *w);
/** Gives a move a row of its own: the one that walks have not used for longest. */
void sb_rest_tell_apart(sb_pricer *w, const sb_rest_step *step);
/** Which members a field remembers after a move, worked out anew. */
void sb_rest_fill_carried(sb_pricer *w);
/** The cheapest walks of the last filling (order/fleet_rest_walk.c). */
void sb_rest_look_at_walks(sb_pricer *w, sb_pass_run *run);
/** Has the next filling know what they should have known. */
void sb_rest_learn_from_walks(sb_pricer *w);

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

/** How many members of a field the last filling looked at. */
static inline int sb_rest_members(const sb_rest *rest, int j)
{
    return rest->members[j] < rest->bits ? rest->members[j] : rest->bits;
}

static inline bool sb_rest_has_seen(const sb_rest *rest, int j, unsigned set, int k)
{
    for (int b = 0; set >> b != 0; b++)
        if ((set >> b & 1) && rest->member[j * rest->most_bits + b] == k)
            return true;
    return false;
}

/** The members of j that are seen after i -> j. */
static inline unsigned sb_rest_carried(const sb_rest *rest, size_t arc, unsigned set)
{
    return rest->carried[(arc << rest->most_bits) + set] & ((1u << rest->bits) - 1);
}

/** The way home from j with so much on the clock; INFINITY: too late. */
static inline double sb_rest_home(const sb_pricer *w, int left, int j)
{
    const sb_rest *rest = &w->rest;
    bool in_time = !rest->by_hours ||
                   w->p->home_h[j] <= left * sb_rest_clock_of(rest)->tick_h + SB_SAME_TIME_H;
    return in_time ? sb_pricer_home(w, j) : INFINITY;
}

/** What is paid for the move j -> k after a level, beyond what it costs, and behind it. */
static inline double sb_rest_beyond(const sb_pricer *w, int left, int j, unsigned set, int k,
                                    int level)
{
    const sb_rest *rest = &w->rest;
    size_t arc = sb_arc(w->p, j, k);
    int after = left - sb_rest_clock_of(rest)->ticks[arc * (size_t)w->p->levels + (size_t)level];
    if (after < 0)
        return INFINITY;
    const float *rows = sb_rest_at(rest, w->p->n, after, k, sb_rest_carried(rest, arc, set));
    return (double)rows[sb_rest_row(w, j, k, level)] + sb_pricer_surcharge(w, j, k, level);
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
    unsigned set = 0;
    for (int b = 0; b < sb_rest_members(rest, j); b++)
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
