/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What the rest of a walk comes to at least, by the stops and hours it may still have: labels that
 * cannot come under the limit are then never made. */
#ifndef SB_ORDER_FLEET_REST_H
#define SB_ORDER_FLEET_REST_H

#include "order/fleet_pricer.h"

/** Least costs of moves at the caller's rewards and tolls; for a sparse pass, which moves are near;
 * and what follows for the rest of a walk. */
void sb_rest_fill(sb_pricer *w, const sb_pricing *pass, sb_pass_run *run);

static inline struct sb_rest *sb_rest_at(const sb_pricer *w, int stops, int slice, int j)
{
    return &w->rest[((size_t)stops * SB_REST_SLICES + (size_t)slice) * (size_t)w->p->n + (size_t)j];
}

/** The slice that holds so many hours; -1: none left. */
static inline int sb_rest_slice(const sb_pricer *w, double hours)
{
    if (isinf(w->slice_h))
        return 0;
    int slice = (int)ceil(hours / w->slice_h - 1e-9) - 1;
    return hours < -SB_SAME_TIME_H  ? -1
           : slice < 0              ? 0
           : slice < SB_REST_SLICES ? slice
                                    : SB_REST_SLICES - 1;
}

static inline int sb_rest_last_slice(const sb_pricer *w)
{
    return isinf(w->slice_h) ? 0 : SB_REST_SLICES - 1;
}

/** What a label that has just cut j, with `stops` more to come at most, may still come to. */
static inline double sb_rest_least(const sb_pricer *w, int stops, int j, double finish_h,
                                   const uint64_t *seen)
{
    int slice = sb_rest_slice(w, w->p->end_h - finish_h);
    if (slice < 0)
        return INFINITY;
    const struct sb_rest *rest = sb_rest_at(w, stops, slice, j);
    return rest->next >= 0 && sb_has(seen, rest->next) ? rest->second : rest->best;
}

#endif
