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
#include "order/fleet.h"

typedef struct sb_scenarios {
    const sb_season *season; /**< the central case */
    int machine;             /**< the one that cuts everything; -1: all of the season */
    sb_fleet central;
    sb_problem *sampled; /**< n x central.machines */
    size_t n;
} sb_scenarios;

/** Random numbers of scenarios that plans are made for: others than those of src/doubt/study.h, so
 * that a plan is never judged by the seasons it was made for. */
#define SB_SCENARIO_STREAM 1u

/** The machines of a season that are ordered together, or one alone. @return as sb_fleet_init */
sb_status sb_scenario_fleet(sb_fleet *fleet, const sb_season *season, int machine);

/** A drawn season as the problem of the fleet's machine m, for pricing alone: without rules.
 * @param shared the fleet is of all the season's machines
 * @return SB_OK; SB_ERR_NOMEM. Release in any case. */
sb_status sb_scenario_sample(const sb_fleet *fleet, bool shared, const sb_season *drawn, int m,
                             sb_problem *problem);

/** Samples first .. first + n - 1 of the season. Release in any case.
 * @param machine the one that cuts everything; -1: all of the season
 * @param known by spread: the multiplier where it is known, NAN where it is drawn; NULL: all drawn
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_scenarios_init(sb_scenarios *scenarios, const sb_season *season, int machine,
                            const sb_spreads *spreads, uint64_t seed, uint32_t stream,
                            uint64_t first, size_t n, const double *known);
void sb_scenarios_release(sb_scenarios *scenarios);

/** What routes cost in each scenario. Waits of machines for each other are those of the central
 * case: no number that is drawn takes time.
 * @param cost [out] n; INFINITY where they break a rule of the central case, which counts in all
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_scenario_costs(const sb_scenarios *scenarios, const sb_routes *routes, double *cost);

/** What all routes cost in one sample, rules and waits aside.
 * @param sampled by machine of the fleet */
double sb_scenario_routes_cost(const sb_fleet *fleet, const sb_problem *sampled,
                               const sb_routes *routes);
/** What waiting for each other costs the machines; INFINITY where the routes break a rule.
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_scenario_waits(const sb_fleet *fleet, const sb_routes *routes, double *waits);

/** The fleet whose cost is a weighted mean over the scenarios. Rules are those of the central case.
 * Release with sb_fleet_release, before the scenarios and also on failure.
 * @param weight n, each at least 0; those of 0 are left out
 * @return SB_OK; SB_ERR_ARG (the loads together would exceed SB_MAX_DIMS); SB_ERR_NOMEM */
sb_status sb_scenarios_mean(const sb_scenarios *scenarios, const double *weight, sb_fleet *mean);

#endif
