/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Sampled seasons as problems, and their mean as one problem.
 *
 * What a season costs is linear in the load, with coefficients that depend on the sample. So the
 * mean over samples is again such a problem: the machine carries the loads of all samples side by
 * side, each kept, shed and left by its own sample's shares, and pays for each a share of its
 * price. All of src/order works on it as on any other, its proofs too. */
#ifndef SB_DOUBT_SCENARIOS_H
#define SB_DOUBT_SCENARIOS_H

#include "doubt/spreads.h"
#include "order/problem.h"

typedef struct sb_scenarios {
    const sb_season *season; /**< the central case */
    int machine;
    sb_problem central;
    sb_problem *sampled; /**< n */
    size_t n;
} sb_scenarios;

/** Random numbers of scenarios that plans are made for: others than those of src/doubt/study.h, so
 * that a plan is never judged by the seasons it was made for. */
#define SB_SCENARIO_STREAM 1u

/** Samples first .. first + n - 1 of the season for one machine. Release in any case.
 * @param known by spread: the multiplier where it is known, NAN where it is drawn; NULL: all drawn
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_scenarios_init(sb_scenarios *scenarios, const sb_season *season, int machine,
                            const sb_spreads *spreads, uint64_t seed, uint32_t stream,
                            uint64_t first, size_t n, const double *known);
void sb_scenarios_release(sb_scenarios *scenarios);

/** What a sequence costs in each scenario. @param cost [out] n; INFINITY where it breaks a rule of
 * the central case, which counts in all of them */
void sb_scenario_costs(const sb_scenarios *scenarios, const int *field, const int *level,
                       double *cost);

/** The problem whose cost is a weighted mean over the scenarios. Rules are those of the central
 * case. Release with sb_problem_release, before the scenarios and also on failure.
 * @param weight n, each at least 0; those of 0 are left out
 * @return SB_OK; SB_ERR_ARG (the loads together would exceed SB_MAX_DIMS); SB_ERR_NOMEM */
sb_status sb_scenarios_mean(const sb_scenarios *scenarios, const double *weight, sb_problem *mean);

#endif
