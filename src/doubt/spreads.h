/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What is uncertain in a season, and how far: one spread for each rating and each constant.
 *
 * A spread is a multiplier around the number that the central case uses: of the number itself, or
 * of the odds share / (1 - share) where it is a share and must stay below one. The number used is
 * the middle: half of the samples lie below it, half above, evenly by order of magnitude out to the
 * ends (docs/doubt.md). */
#ifndef SB_DOUBT_SPREADS_H
#define SB_DOUBT_SPREADS_H

#include "season/season.h"

typedef enum sb_spread_shape {
    SB_SPREAD_FACTOR, /**< multiplies the number: low at the one end, high at the other */
    SB_SPREAD_ODDS,   /**< multiplies its odds */
    SB_SPREAD_EVEN,   /**< multiplies the number: evenly from 0 to it, and from it to high */
    SB_SPREAD_MEAN,   /**< multiplies the number: lognormal of mean 1 */
} sb_spread_shape;

typedef struct sb_spread {
    sb_doubtful what;
    int field, weed, level; /**< which one it is about; -1 where that says nothing */
    sb_spread_shape shape;
    double low, high;   /**< multipliers at the ends; SB_SPREAD_MEAN: with 5 and 95 % below */
    double sigma;       /**< SB_SPREAD_MEAN: standard deviation of the logarithm */
    const char *source; /**< who says so; a literal */
} sb_spread;

typedef struct sb_spreads {
    sb_spread *items;
    size_t count, capacity;
} sb_spreads;

/** Every spread of a season, in an order that depends on the season alone; weeds that are nowhere
 * have none. Release with sb_free of items. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_spreads_of(const sb_season *season, sb_spreads *spreads);

/** The multiplier below which a share u of the samples lies, 0 < u < 1. Rises with u. */
double sb_spread_multiplier(const sb_spread *spread, double u);
/** A number of the central case under a multiplier of this spread. */
double sb_spread_value(const sb_spread *spread, double central, double multiplier);
/** The central case's number: of a rating the density, of a section's or a cleanout's constant the
 * multiplier 1. */
double sb_spread_central(const sb_spread *spread, const sb_season *season);

/** The multipliers of one sample. @param multiplier [out] by spread */
void sb_spreads_draw(const sb_spreads *spreads, uint64_t seed, uint32_t stream, uint64_t sample,
                     double *multiplier);

/** Puts the sampled numbers into a copy of the season, and what follows from them.
 * @param sampled made by sb_season_copy of the season; may have been used for other samples */
void sb_spreads_apply(const sb_spreads *spreads, const double *multiplier, const sb_season *season,
                      sb_season *sampled);

/** The p-quantile of the standard normal distribution, 0 < p < 1 (Acklam's rational functions, from
 * memory; relative error below 1.2e-9, held by a test against erfc). */
double sb_normal_quantile(double p);

#endif
