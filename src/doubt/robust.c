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
#include "order/fleet_search.h"
#include "order/solve.h"
#include "plan/plan.h"

#define MOST_ROUNDS 8
/* Seasons, others than the scenarios, that the plan is judged by: so many for each scenario, but
 * no more than is worth waiting for; so many at a time. */
#define JUDGED_EACH 32
#define JUDGED_MOST 2000
#define JUDGED_AT_ONCE 100

/* Annealing of a mean of several machines: from anywhere, then near the best routes known. */
#define FLEET_STARTS 4
#define FRESH_EFFORT 0.15
#define NEAR_EFFORT 0.3
#define NEAR_HEAT 0.1

typedef struct aiming {
    const sb_season *season;
    const sb_order_options *options;
    sb_aim aim;
    sb_crew *crew;
    sb_spreads spreads;
    sb_scenarios scenarios;
    double *cost, *weight, *mixed; /* by scenario */
    sb_routes cheapest;            /* cheapest in the central case */
    double cheapest_value;
    sb_routes best; /* its cost is the value of the aim */
    double bound;   /* no routes have less */
    long labels;
    double before_s; /* what ordering the central case took */
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

/* Prices routes in every scenario; leaves the weights of the aim in `weight`. */
static sb_status value_of(aiming *a, const sb_routes *routes, double *value)
{
    sb_status status = sb_scenario_costs(&a->scenarios, routes, a->cost);
    *value = INFINITY;
    if (status != SB_OK || isinf(a->cost[0]))
        return status;
    return sb_aim_value(a->aim, a->cost, a->scenarios.n, a->weight, value);
}

static sb_status aim_init(aiming *a, int machine, const sb_plan *cheapest, size_t n)
{
    sb_status status = sb_crew_new(a->options, &a->crew);
    if (status == SB_OK)
        status = sb_spreads_of(a->season, &a->spreads);
    if (status == SB_OK)
        status = sb_scenarios_init(&a->scenarios, a->season, machine, &a->spreads, a->options->seed,
                                   SB_SCENARIO_STREAM, 1, n, NULL);
    if (status == SB_OK)
        status = sb_routes_of_plan(&a->cheapest, &a->scenarios.central, cheapest);
    if (status == SB_OK)
        status = sb_routes_of_plan(&a->best, &a->scenarios.central, cheapest);
    a->bound = -INFINITY;
    a->cost = sb_alloc(n, sizeof *a->cost);
    a->weight = sb_alloc(n, sizeof *a->weight);
    a->mixed = sb_alloc(n, sizeof *a->mixed);
    bool ok = a->cost != NULL && a->weight != NULL && a->mixed != NULL;
    return status == SB_OK && !ok ? SB_ERR_NOMEM : status;
}

static void aim_release(aiming *a)
{
    sb_routes_release(&a->best);
    sb_routes_release(&a->cheapest);
    sb_scenarios_release(&a->scenarios);
    sb_free(a->spreads.items);
    sb_free(a->cost);
    sb_free(a->weight);
    sb_free(a->mixed);
    sb_crew_free(a->crew);
}

/* Takes routes that have less of what is aimed at than the best ones. On return `weight` is what
 * they would have counted. */
static sb_status take(void *context, const sb_routes *routes)
{
    aiming *a = context;
    double value;
    sb_status status = value_of(a, routes, &value);
    if (status != SB_OK || value >= a->best.cost)
        return status;
    sb_routes_copy(&a->scenarios.central, routes, &a->best);
    a->best.cost = value;
    return SB_OK;
}

static void tell(const aiming *a, double done)
{
    sb_progress now = {a->before_s + sb_crew_elapsed_s(a->crew), a->best.cost, a->bound, done};
    if (a->options->progress != NULL)
        a->options->progress(&now, a->options->context);
}

static void tell_outcome(void *context, const sb_outcome *outcome)
{
    (void)outcome; /* it is of one weighted mean */
    tell(context, 0);
}

/* One machine: the cheapest plan of the mean, from the best one so far on, and what it proves. */
static sb_status solve_alone(aiming *a, const sb_problem *mean)
{
    sb_outcome found = {0};
    size_t bytes = (size_t)mean->n * sizeof *found.field;
    sb_status status = sb_outcome_init(&found, mean);
    if (status == SB_OK) {
        memcpy(found.field, a->best.field, bytes);
        memcpy(found.level, a->best.level, bytes);
        found.cost = sb_sequence_cost(mean, found.field, found.level);
        sb_solve_options how = sb_solve_options_default();
        how.seed = a->options->seed;
        how.tell = tell_outcome;
        how.context = a;
        status = sb_solve(mean, a->crew, &how, &found);
    }
    if (status == SB_OK) {
        sb_routes routes = {.count = (int[]){mean->n}, .field = found.field, .level = found.level};
        a->bound = fmax(a->bound, fmin(found.bound, found.cost));
        a->labels += found.labels;
        status = take(a, &routes);
    }
    sb_outcome_release(&found);
    return status;
}

/* Several: annealing of the mean, without a proof. What each run found is looked at. */
static sb_status solve_fleet(aiming *a, const sb_fleet *mean, int round)
{
    sb_routes found = {0};
    long moves = sb_fleet_search_moves(mean->n);
    sb_fleet_search_options search = {.seed = a->options->seed + 2 * (uint64_t)round,
                                      .starts = FLEET_STARTS,
                                      .moves = (long)(FRESH_EFFORT * (double)moves) + 1,
                                      .heat = 1};
    sb_status status = sb_routes_init(&found, mean);
    if (status == SB_OK)
        sb_routes_copy(mean, &a->best, &found);
    if (status == SB_OK)
        status = sb_fleet_cost(mean, &found, &found.cost);
    if (status == SB_OK)
        status = sb_fleet_search(mean, &search, a->crew, take, a, &found);
    search.seed++;
    search.moves = (long)(NEAR_EFFORT * (double)moves) + 1;
    search.heat = NEAR_HEAT;
    if (status == SB_OK)
        status = sb_fleet_search(mean, &search, a->crew, take, a, &found);
    double value;
    if (status == SB_OK) /* its weights are those that count */
        status = value_of(a, &found, &value);
    sb_routes_release(&found);
    return status;
}

/* One round: routes, and of one machine a bound, from the mixed weights. */
static sb_status play(aiming *a, int round)
{
    sb_fleet mean = {0};
    sb_status status = sb_scenarios_mean(&a->scenarios, a->mixed, &mean);
    if (status == SB_OK)
        status = a->scenarios.machine < 0 ? solve_fleet(a, &mean, round)
                                          : solve_alone(a, &mean.problems[0]);
    sb_fleet_release(&mean);
    return status;
}

static bool closed(const aiming *a)
{
    return a->bound >= a->best.cost - SB_PROOF_SHARE * fabs(a->best.cost);
}

/* From the plan that is cheapest in the central case on. */
static sb_status search(aiming *a)
{
    size_t n = a->scenarios.n;
    sb_status status = value_of(a, &a->best, &a->best.cost);
    a->cheapest_value = a->best.cost;
    int rounds = a->aim == SB_AIM_MEAN ? 1 : MOST_ROUNDS;
    for (int round = 0; status == SB_OK && round < rounds && !closed(a); round++) {
        for (size_t s = 0; s < n; s++)
            a->mixed[s] += (a->weight[s] - a->mixed[s]) / (round + 1);
        status = play(a, round);
        tell(a, (round + 1.0) / rounds);
        if (sb_crew_stopped(a->crew))
            break;
    }
    return status;
}

/* What two plans come to in other seasons than those they were made for. */
static sb_status judge(const aiming *a, sb_insurance *insurance)
{
    size_t judged = a->scenarios.n * JUDGED_EACH;
    judged = judged < JUDGED_MOST ? judged : JUDGED_MOST;
    double *cost[2] = {sb_alloc(judged, sizeof **cost), sb_alloc(judged, sizeof **cost)};
    sb_status status = cost[0] != NULL && cost[1] != NULL ? SB_OK : SB_ERR_NOMEM;
    for (size_t at = 0; status == SB_OK && at < judged; at += JUDGED_AT_ONCE) {
        size_t more = judged - at < JUDGED_AT_ONCE ? judged - at : JUDGED_AT_ONCE;
        sb_scenarios others = {0};
        status = sb_scenarios_init(&others, a->season, a->scenarios.machine, &a->spreads,
                                   a->options->seed, SB_SCENARIO_STREAM, 1 + a->scenarios.n + at,
                                   more, NULL);
        if (status == SB_OK)
            status = sb_scenario_costs(&others, &a->best, cost[0] + at);
        if (status == SB_OK)
            status = sb_scenario_costs(&others, &a->cheapest, cost[1] + at);
        sb_scenarios_release(&others);
    }
    insurance->judged = judged;
    if (status == SB_OK)
        status = sb_aim_value(a->aim, cost[0], judged, NULL, &insurance->judged_value);
    if (status == SB_OK)
        status = sb_aim_value(a->aim, cost[1], judged, NULL, &insurance->judged_cheapest);
    sb_free(cost[0]);
    sb_free(cost[1]);
    return status;
}

/* What is known of the robust plan. */
static sb_status insure(const aiming *a, const sb_plan *cheapest, sb_plan *made)
{
    made->proof = cheapest->proof;
    made->proof.optimal = cheapest->proof.optimal && made->cost.total <= cheapest->cost.total;
    made->proof.seconds += sb_crew_elapsed_s(a->crew);
    made->proof.labels += a->labels;
    made->insurance = (sb_insurance){
        .aim = a->aim,
        .scenarios = a->scenarios.n,
        .seed = a->options->seed,
        .value = a->best.cost,
        .bound = fmin(a->bound, a->best.cost),
        .proven = closed(a),
        .searched = a->scenarios.machine < 0,
        .cheapest_value = a->cheapest_value,
        .cheapest_cost = cheapest->cost.total,
    };
    return judge(a, &made->insurance);
}

/* The plan, priced and checked in the central case. */
static sb_status write_down(const aiming *a, const sb_plan *cheapest, sb_report *report,
                            sb_plan **plan)
{
    size_t broken = 0;
    sb_plan *made;
    sb_status status = sb_fleet_write_plan(&a->scenarios.central, &a->best, &made);
    if (status == SB_OK)
        status = sb_plan_price(a->season, made);
    if (status == SB_OK)
        status = sb_plan_check(a->season, made, SB_ERROR, report, &broken);
    if (status == SB_OK && broken > 0)
        status = SB_ERR_INTERNAL;
    if (status == SB_OK)
        status = sb_plan_explain(a->season, made);
    if (status == SB_OK)
        status = insure(a, cheapest, made);
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
    sb_order_options free_of_growers = sb_options_without_growers(options);
    sb_say_growers_unkept(season, options, report);
    aiming a = {.season = &limited, .options = options, .aim = aim};
    sb_plan *cheapest = NULL;
    sb_status status = sb_order(&limited, &free_of_growers, report, &cheapest);
    if (status != SB_OK)
        return sb_report_settle(report, status);
    a.before_s = cheapest->proof.seconds;
    bool alone = season->setup.n_machines == 1 || options->machine != NULL;
    status = aim_init(&a, alone ? cheapest->routes[0].machine : -1, cheapest, scenarios);
    if (status == SB_OK)
        status = search(&a);
    if (status == SB_ERR_ARG)
        status = sb_bad(report, NULL, 0,
                        "%zu scenarios are too many for this season: expected fewer", scenarios);
    if (status == SB_OK)
        status = write_down(&a, cheapest, report, plan);
    aim_release(&a);
    sb_plan_free(cheapest);
    return sb_report_settle(report, status);
}
