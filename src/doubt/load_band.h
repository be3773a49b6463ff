/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What a machine holds all along its way, over sampled seasons. */
#ifndef SB_DOUBT_LOAD_BAND_H
#define SB_DOUBT_LOAD_BAND_H

#include "doubt/bands.h"
#include "plan/load_curve.h"

/** Seasons that are followed, or fewer when a study has fewer: the first of its samples, drawn
 * again from their numbers, so that a study put together from parts has the band of one drawn at
 * once. */
#define SB_BAND_SEASONS 2000

typedef struct sb_load_band {
    size_t seasons;
    uint64_t seed;
    size_t n_weeds; /**< of the season */
    sb_band *bands; /**< stop after stop of all routes, SB_DRAWN_POINTS x n_weeds each: seeds held,
                       loose and lodged together */
} sb_load_band;

/** Follows a plan through the first seasons of a study of it. Release in any case.
 * @param threads 0: one per core; nothing depends on it
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_load_band_of(const sb_season *season, const sb_plan *plan, const sb_doubt *doubt,
                          int threads, sb_load_band *band);
void sb_load_band_release(sb_load_band *band);

/** The band of a weed at one of the SB_DRAWN_POINTS points in a stop.
 * @param stop counted through all routes of the plan */
static inline const sb_band *sb_load_band_at(const sb_load_band *band, size_t stop, int point,
                                             int weed)
{
    return &band->bands[(stop * SB_DRAWN_POINTS + (size_t)point) * band->n_weeds + (size_t)weed];
}

#endif
