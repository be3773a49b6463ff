/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What findings say about a season's uncertain numbers: Bayes' rule by importance sampling over
 * the ranges of src/doubt/spreads.h (docs/doubt.md).
 *
 * Each number is told by z, standard normal before anything was found, with u = Phi(z) as in
 * sb_spread_multiplier. */
#ifndef SB_DOUBT_POSTERIOR_H
#define SB_DOUBT_POSTERIOR_H

#include "doubt/spreads.h"

/** How one lot of seeds differs from what the model expects on the average: a gamma distribution of
 * this shape, so with 50 % as its coefficient of variation (assumed: nobody measured how seeds
 * clump in a combine). What is counted of the lot is Poisson, so that counts are negative binomial.
 */
#define SB_CLUMP_SHAPE 4.0
/** Standard deviation of the logarithm of what a tarp weighs around what the model expects
 * (assumed). */
#define SB_WEIGHT_SIGMA 0.3

#define SB_ENOUGH_SAMPLES 100.0

/** Something that was counted or weighed. */
typedef struct sb_found {
    double amount; /**< seeds, seedlings or kg, >= 0; kg > 0 */
    bool weighed;  /**< lognormal about what is expected, with SB_WEIGHT_SIGMA; else counted */
} sb_found;

/** What a season expects of each thing found. Each must rise or fall with every multiplier.
 * @param expected [out] one for each; > 0 in every season or in none */
typedef void sb_expect(const void *context, const sb_season *season, double *expected);

typedef struct sb_evidence {
    const sb_season *season; /**< before anything was found */
    const sb_spreads *spreads;
    const sb_found *found;
    size_t n_found;
    sb_expect *expect;
    const void *context;
} sb_evidence;

/** Where a number lies, as u: 5, 50 and 95 %. */
typedef struct sb_learned {
    double u[3];  /**< 0.05, 0.5, 0.95: nothing was learned about it */
    bool touched; /**< some finding depends on it */
    double times; /**< what its multiplier becomes; 1 where the middle did not move by more than
                       twice its sampling error */
} sb_learned;

typedef struct sb_posterior {
    size_t samples;
    double effective;   /**< samples that weigh as much together (Kish) */
    double share;       /**< of their worth that the findings count for: 1, or what leaves
                             SB_ENOUGH_SAMPLES (of few samples a twentieth) */
    sb_learned *spread; /**< by spread */
    double *before,
        *after; /**< by thing found: expected as planned, and with the middles learned */
} sb_posterior;

/** The same for the same seed, whatever the threads. Release in any case.
 * @param threads 0: one per core
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_posterior_of(const sb_evidence *evidence, size_t samples, uint64_t seed, int threads,
                          sb_posterior *posterior);
void sb_posterior_release(sb_posterior *posterior);

/** Logarithm of how likely a finding is where so much is expected, without what does not depend on
 * that. */
double sb_found_log_likelihood(const sb_found *found, double expected);

#endif
