/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What a table of samples says: bands, chances, and which number drives the answer. */
#ifndef SB_DOUBT_BANDS_H
#define SB_DOUBT_BANDS_H

#include "doubt/study.h"

/** Where a number lies: nine samples in ten between p5 and p95. */
typedef struct sb_band {
    double central; /**< in the central case: as planned */
    double p5, p50, p95, mean;
} sb_band;

/** The q-quantile of n >= 1 values, 0 <= q <= 1: linear between order statistics (definition 7 of
 * Hyndman & Fan 1996, "Sample quantiles in statistical packages").
 * @param ascending sorted */
double sb_quantile(const double *ascending, size_t n, double q);

/** The band of n values, which are sorted. */
sb_band sb_band_of(double central, double *values, size_t n);

typedef struct sb_chance {
    double beats;   /**< share of the samples in which the plan costs less than the rival */
    sb_band dearer; /**< money: what the rival costs more */
} sb_chance;

/** How much of the variance of an answer one number explains alone. */
typedef struct sb_driver {
    size_t spread;      /**< which number */
    double first_order; /**< its first-order index S1, 0..1 */
    double rank;        /**< Spearman's rank correlation, -1..1 */
} sb_driver;

/** All that is told of a study. */
typedef struct sb_findings {
    size_t n_fields, n_weeds, n_rivals, n_drivers;
    sb_band total[SB_SAMPLED_KINDS]; /**< over all fields */
    sb_band cost;                    /**< the plan's total */
    sb_band *field;                  /**< n_fields x SB_SAMPLED_KINDS */
    sb_band *weed;                   /**< n_weeds x SB_SAMPLED_KINDS */
    sb_chance *chance;               /**< by rival */
    double *cheapest;  /**< 1 + n_rivals: share of the samples in which the plan is the cheapest of
                            all, then each rival; of equals the earlier one */
    sb_driver *driver; /**< of the plan's expected loss, the strongest first */
} sb_findings;

/** @return SB_OK; SB_ERR_NOMEM */
sb_status sb_findings_of(const sb_doubt *doubt, sb_findings *findings);
void sb_findings_release(sb_findings *findings);

/** First-order indices S_i = Var(E[y | x_i]) / Var(y) (Sobol' 1993) and rank correlations, from any
 * n samples: they are parted by x_i into classes of equal size, and the variance between the
 * classes, less what chance alone would put there, is set beside the whole (Plischke, Borgonovo &
 * Smith 2013, "Global sensitivity measures from given data"; epsilon-squared of one-way analysis of
 * variance). Both 0 when y or x_i never changes.
 * @param x n numbers of the input; y n of the answer
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_driver_of(const double *x, const double *y, size_t n, sb_driver *driver);

#endif
