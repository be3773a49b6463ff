/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A plan for many seasons.
 *
 * The mean over scenarios is one problem (doubt/scenarios.h), solved and proved like any other. The
 * mean of the worst fifth is the dearest of all weighted means whose weights are at most 5/n: so
 * each weighted mean is a bound from below, and so is what its cheapest plan costs in it. Round by
 * round the weights move towards the scenarios that are worst for the plan at hand (fictitious
 * play, Brown 1951, from memory); the best plan met is kept, the highest bound stands. */
#include "doubt/robust.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "doubt/scenarios.h"
#include "order/asked.h"
#include "order/solve.h"
#include "plan/plan.h"

#define MOST_ROUNDS 8
/* Seasons, others than the scenarios, that the plan is judged by: so many for each scenario, but
 * no more than is worth waiting for; so many at a time. */
#define JUDGED_EACH 32
#define JUDGED_MOST 2000
#define JUDGED_AT_ONCE 100

typedef struct aiming {
    const sb_season *season;
    const sb_order_options *options;
    sb_aim aim;
    sb_crew *crew;
    sb_spreads spreads;
    sb_scenarios scenarios;
    double *cost, *weight, *mixed; /* by scenario */
    sb_outcome best;               /* cost and bound are those of the aim */
    double cheapest_value;         /* of the plan that is cheapest in the central case */
} aiming;

typedef struct ranked {
    double cost;
    size_t scenario;
} ranked;

static int dearest_first(const void *a, const void *b)
{
    const ranked *x = a, *y = b;
    if (x->cost != y->cost)
        return x->cost < y->cost ? 1 : -1;
    return (x->scenario > y->scenario) - (x->scenario < y->scenario);
}

sb_status sb_aim_value(sb_aim aim, const double *cost, size_t n, double *weight, double *value)
{
    ranked *order = sb_alloc(n, sizeof *order);
    if (order == NULL)
        return SB_ERR_NOMEM;
    for (size_t s = 0; s < n; s++)
        order[s] = (ranked){cost[s], s};
    qsort(order, n, sizeof *order, dearest_first);
    double share = aim == SB_AIM_MEAN ? 1 : SB_WORST_SHARE, left = share * (double)n, sum = 0;
    for (size_t i = 0; i < n; i++) {
        double counts = fmin(fmax(left, 0), 1);
        left -= 1;
        if (counts > 0)
            sum += counts * order[i].cost;
        if (weight != NULL)
            weight[order[i].scenario] = counts / (share * (double)n);
    }
    *value = sum / (share * (double)n);
    sb_free(order);
    return SB_OK;
}

/* Prices a sequence in every scenario; leaves the weights of the aim in `weight`. */
static sb_status value_of(aiming *a, const int *field, const int *level, double *value)
{
    sb_scenario_costs(&a->scenarios, field, level, a->cost);
    if (isinf(a->cost[0])) {
        *value = INFINITY;
        return SB_OK;
    }
    return sb_aim_value(a->aim, a->cost, a->scenarios.n, a->weight, value);
}

static sb_status aim_init(aiming *a, int machine, size_t n)
{
    sb_status status = sb_crew_new(a->options, &a->crew);
    if (status == SB_OK)
        status = sb_spreads_of(a->season, &a->spreads);
    if (status == SB_OK)
        status = sb_scenarios_init(&a->scenarios, a->season, machine, &a->spreads, a->options->seed,
                                   SB_SCENARIO_STREAM, 1, n, NULL);
    if (status == SB_OK)
        status = sb_outcome_init(&a->best, &a->scenarios.central);
    a->cost = sb_alloc(n, sizeof *a->cost);
    a->weight = sb_alloc(n, sizeof *a->weight);
    a->mixed = sb_alloc(n, sizeof *a->mixed);
    bool ok = a->cost != NULL && a->weight != NULL && a->mixed != NULL;
    return status == SB_OK && !ok ? SB_ERR_NOMEM : status;
}

static void aim_release(aiming *a)
{
    sb_outcome_release(&a->best);
    sb_scenarios_release(&a->scenarios);
    sb_free(a->spreads.items);
    sb_free(a->cost);
    sb_free(a->weight);
    sb_free(a->mixed);
    sb_crew_free(a->crew);
}

/* The cheapest plan of the weighted mean, from the best plan so far on. */
static sb_status solve_mean(aiming *a, const double *weight, sb_outcome *found)
{
    sb_problem mean = {0};
    sb_status status = sb_scenarios_mean(&a->scenarios, weight, &mean);
    if (status == SB_OK)
        status = sb_outcome_init(found, &mean);
    if (status == SB_OK) {
        size_t bytes = (size_t)mean.n * sizeof *found->field;
        memcpy(found->field, a->best.field, bytes);
        memcpy(found->level, a->best.level, bytes);
        found->cost = sb_sequence_cost(&mean, found->field, found->level);
        sb_solve_options how = sb_solve_options_default();
        how.seed = a->options->seed;
        status = sb_solve(&mean, a->crew, &how, found);
    }
    sb_problem_release(&mean);
    return status;
}

/* One round: a plan and a bound from the mixed weights. On return `weight` is what the plan found
 * would have counted. */
static sb_status play(aiming *a)
{
    sb_outcome found = {0};
    double value = INFINITY;
    sb_status status = solve_mean(a, a->mixed, &found);
    if (status == SB_OK)
        status = value_of(a, found.field, found.level, &value);
    if (status == SB_OK) {
        size_t bytes = (size_t)a->scenarios.central.n * sizeof *found.field;
        a->best.bound = fmax(a->best.bound, fmin(found.bound, found.cost));
        a->best.labels += found.labels;
        if (value < a->best.cost) {
            a->best.cost = value;
            memcpy(a->best.field, found.field, bytes);
            memcpy(a->best.level, found.level, bytes);
        }
    }
    sb_outcome_release(&found);
    return status;
}

static bool closed(const aiming *a)
{
    return a->best.bound >= a->best.cost - SB_PROOF_SHARE * fabs(a->best.cost);
}

/* From the plan that is cheapest in the central case on. */
static sb_status search(aiming *a, const sb_plan *cheapest)
{
    size_t n = a->scenarios.n;
    for (int t = 0; t < a->scenarios.central.n; t++) {
        a->best.field[t] = cheapest->routes[0].stops[t].field;
        a->best.level[t] = cheapest->routes[0].stops[t].cleanout;
    }
    sb_status status = value_of(a, a->best.field, a->best.level, &a->best.cost);
    a->cheapest_value = a->best.cost;
    int rounds = a->aim == SB_AIM_MEAN ? 1 : MOST_ROUNDS;
    for (int round = 0; status == SB_OK && round < rounds && !closed(a); round++) {
        for (size_t s = 0; s < n; s++)
            a->mixed[s] += (a->weight[s] - a->mixed[s]) / (round + 1);
        status = play(a);
        if (sb_crew_stopped(a->crew))
            break;
    }
    a->best.closed = closed(a);
    a->best.bound = fmin(a->best.bound, a->best.cost);
    return status;
}

/* What two plans come to in other seasons than those they were made for. */
static sb_status judge(const aiming *a, const sb_plan *cheapest, sb_insurance *insurance)
{
    int machine = a->scenarios.machine, n = a->scenarios.central.n;
    size_t judged = a->scenarios.n * JUDGED_EACH;
    judged = judged < JUDGED_MOST ? judged : JUDGED_MOST;
    double *cost[2] = {sb_alloc(judged, sizeof **cost), sb_alloc(judged, sizeof **cost)};
    int *field = sb_alloc((size_t)n, sizeof *field), *level = sb_alloc((size_t)n, sizeof *level);
    sb_status status = SB_ERR_NOMEM;
    if (cost[0] == NULL || cost[1] == NULL || field == NULL || level == NULL)
        goto out;
    for (int t = 0; t < n; t++) {
        field[t] = cheapest->routes[0].stops[t].field;
        level[t] = cheapest->routes[0].stops[t].cleanout;
    }
    status = SB_OK;
    for (size_t at = 0; status == SB_OK && at < judged; at += JUDGED_AT_ONCE) {
        size_t more = judged - at < JUDGED_AT_ONCE ? judged - at : JUDGED_AT_ONCE;
        sb_scenarios others = {0};
        status = sb_scenarios_init(&others, a->season, machine, &a->spreads, a->options->seed,
                                   SB_SCENARIO_STREAM, 1 + a->scenarios.n + at, more, NULL);
        if (status == SB_OK) {
            sb_scenario_costs(&others, a->best.field, a->best.level, cost[0] + at);
            sb_scenario_costs(&others, field, level, cost[1] + at);
        }
        sb_scenarios_release(&others);
    }
    insurance->judged = judged;
    if (status == SB_OK)
        status = sb_aim_value(a->aim, cost[0], judged, NULL, &insurance->judged_value);
    if (status == SB_OK)
        status = sb_aim_value(a->aim, cost[1], judged, NULL, &insurance->judged_cheapest);
out:
    sb_free(cost[0]);
    sb_free(cost[1]);
    sb_free(field);
    sb_free(level);
    return status;
}

/* The plan, priced and checked in the central case. */
static sb_status write_down(const aiming *a, const sb_plan *cheapest, sb_report *report,
                            sb_plan **plan)
{
    size_t broken = 0;
    sb_plan *made;
    sb_status status =
        sb_plan_new_single(a->season, a->scenarios.machine, a->season->n_fields, &made);
    if (status != SB_OK)
        return status;
    for (size_t t = 0; t < made->routes[0].n_stops; t++) {
        made->routes[0].stops[t].field = a->best.field[t];
        made->routes[0].stops[t].cleanout = a->best.level[t];
    }
    status = sb_plan_price(a->season, made);
    if (status == SB_OK)
        status = sb_plan_check(a->season, made, SB_ERROR, report, &broken);
    if (status == SB_OK && broken > 0)
        status = SB_ERR_INTERNAL;
    if (status == SB_OK)
        status = sb_plan_explain(a->season, made);
    made->proof = cheapest->proof;
    made->proof.optimal = cheapest->proof.optimal && made->cost.total <= cheapest->cost.total;
    made->proof.seconds += sb_crew_elapsed_s(a->crew);
    made->proof.labels += a->best.labels;
    made->insurance = (sb_insurance){
        .aim = a->aim,
        .scenarios = a->scenarios.n,
        .seed = a->options->seed,
        .value = a->best.cost,
        .bound = a->best.bound,
        .proven = a->best.closed,
        .cheapest_value = a->cheapest_value,
        .cheapest_cost = cheapest->cost.total,
    };
    if (status == SB_OK)
        status = judge(a, cheapest, &made->insurance);
    if (status == SB_OK)
        *plan = made;
    else
        sb_plan_free(made);
    return status;
}

sb_status sb_order_robust(const sb_season *season, const sb_order_options *options, sb_aim aim,
                          size_t scenarios, sb_report *report, sb_plan **plan)
{
    if (plan == NULL)
        return SB_ERR_ARG;
    *plan = NULL;
    if (season == NULL || options == NULL || options->by != SB_BY_COST ||
        options->spread_weight != 1 || scenarios == 0 || scenarios > SB_MOST_SCENARIOS ||
        (aim != SB_AIM_MEAN && aim != SB_AIM_WORST_FIFTH))
        return SB_ERR_ARG;
    sb_season limited = sb_season_limited(season, options);
    sb_order_options free_of_growers = *options;
    free_of_growers.loss_per_grower = INFINITY;
    free_of_growers.least_worst = false;
    sb_say_growers_unkept(season, options, report);
    aiming a = {.season = &limited, .options = options, .aim = aim};
    sb_plan *cheapest = NULL;
    int machine;
    /* Asked first: a fleet is not ordered in vain. */
    sb_status status =
        sb_machine_meant(season, options->machine, "a robust plan is made", report, &machine);
    if (status == SB_OK)
        status = sb_order(&limited, &free_of_growers, report, &cheapest);
    if (status != SB_OK)
        return sb_report_settle(report, status);
    if (status == SB_OK)
        status = aim_init(&a, cheapest->routes[0].machine, scenarios);
    if (status == SB_OK)
        status = search(&a, cheapest);
    if (status == SB_ERR_ARG)
        status = sb_bad(report, NULL, 0,
                        "%zu scenarios are too many for this season: expected fewer", scenarios);
    if (status == SB_OK)
        status = write_down(&a, cheapest, report, plan);
    aim_release(&a);
    sb_plan_free(cheapest);
    return sb_report_settle(report, status);
}
