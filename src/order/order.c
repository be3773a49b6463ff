/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The public door of src/order: from a season to a checked plan. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "order/asked.h"
#include "order/chain.h"
#include "order/conflict.h"
#include "order/fair.h"
#include "order/fleet_order.h"
#include "order/rivals.h"
#include "order/solve.h"
#include "plan/plan.h"
#include "season/service.h"

typedef struct job {
    const sb_season *season;
    const sb_order_options *options;
    sb_report *report;
    int machine;
    sb_crew *crew;
    sb_problem problem;
    sb_outcome outcome;
} job;

void sb_order_options_init(sb_order_options *options)
{
    *options = (sb_order_options){.by = SB_BY_COST,
                                  .time_limit_s = 600,
                                  .seed = 1,
                                  .spread_weight = 1,
                                  .spend_limit = INFINITY,
                                  .full_limit = INFINITY,
                                  .loss_per_grower = INFINITY};
}

static void tell_progress(void *context, const sb_outcome *outcome)
{
    const job *j = context;
    sb_progress now = {sb_crew_elapsed_s(j->crew), outcome->cost, outcome->bound, 0};
    if (j->options->progress != NULL)
        j->options->progress(&now, j->options->context);
}

/* The plan to begin with, given the levels that suit it under these prices and limits. */
static sb_status begin_with_plan(job *j)
{
    const sb_plan *plan = j->options->begin_with;
    if (plan == NULL)
        return SB_OK;
    if (plan->n_routes != 1 || plan->routes[0].n_stops != j->season->n_fields)
        return SB_ERR_ARG;
    for (size_t t = 0; t < plan->routes[0].n_stops; t++)
        j->outcome.field[t] = plan->routes[0].stops[t].field;
    return sb_chain_levels(&j->problem, j->outcome.field, j->outcome.level, &j->outcome.cost);
}

static sb_status keep_plan_order(job *j)
{
    const sb_plan *plan = j->options->keep_order;
    if (plan == NULL || plan->n_routes != 1 || plan->routes[0].n_stops != j->season->n_fields)
        return SB_ERR_ARG;
    for (size_t t = 0; t < plan->routes[0].n_stops; t++)
        j->outcome.field[t] = plan->routes[0].stops[t].field;
    return SB_OK;
}

/* A fixed order with its best cleanouts. */
static sb_status place_cleanouts(job *j)
{
    sb_outcome *o = &j->outcome;
    sb_status status =
        j->options->by == SB_BY_PLAN ? keep_plan_order(j)
        : j->options->by == SB_BY_CLEANEST_FIRST
            ? sb_rival_cleanest_first(&j->problem, o->field)
            : sb_rival_shortest_road(&j->problem, j->crew, j->options->seed, o->field);
    if (status != SB_OK)
        return status;
    if (o->field[0] < 0 ||
        (status = sb_chain_levels(&j->problem, o->field, o->level, &o->cost)) != SB_OK ||
        isinf(o->cost)) {
        if (status != SB_OK)
            return status;
        sb_say(j->report, SB_ERROR, NULL, 0, "no cleanouts let this order keep every rule");
        return SB_ERR_INFEASIBLE;
    }
    o->method = SB_METHOD_ORDER_GIVEN;
    return SB_OK;
}

static sb_status find_order(job *j)
{
    if (j->options->by != SB_BY_COST)
        return place_cleanouts(j);
    sb_solve_options options = sb_solve_options_default();
    options.seed = j->options->seed;
    options.tell = tell_progress;
    options.context = j;
    sb_status status = begin_with_plan(j);
    if (status == SB_OK)
        status = sb_solve(&j->problem, j->crew, &options, &j->outcome);
    if (status == SB_OK && isinf(j->outcome.cost))
        status = sb_conflict_explain(j->season, j->machine, j->crew, j->outcome.closed, j->report);
    return status;
}

static sb_status write_down(job *j, sb_plan **plan)
{
    const sb_outcome *o = &j->outcome;
    sb_status status = sb_plan_new_single(j->season, j->machine, j->season->n_fields, plan);
    if (status != SB_OK)
        return status;
    sb_route *route = &(*plan)->routes[0];
    for (size_t t = 0; t < route->n_stops; t++) {
        route->stops[t].field = o->field[t];
        route->stops[t].cleanout = o->level[t];
    }
    status = sb_plan_price(j->season, *plan);
    if (status != SB_OK)
        return status;
    sb_proof *proof = &(*plan)->proof;
    proof->optimal = o->closed;
    proof->spread_weight = j->options->spread_weight;
    /* The model's forgotten pools and the plan's exact ones may differ in the last digits. */
    double cost = sb_plan_weighed_cost(*plan);
    proof->bound = o->closed ? cost : fmin(o->bound, cost);
    proof->seconds = sb_crew_elapsed_s(j->crew);
    proof->labels = o->labels;
    strncpy(proof->method, o->method, sizeof proof->method - 1);
    return SB_OK;
}

/* The solver's cost and the plan's price come from different code: they must agree. */
#define SAME_PRICE 1e-6

static sb_status check(job *j, const sb_plan *plan, double search_cost)
{
    size_t broken = 0;
    sb_status status = sb_plan_check(j->season, plan, SB_ERROR, j->report, &broken);
    if (status != SB_OK)
        return status;
    double cost = sb_plan_weighed_cost(plan);
    if (broken > 0 || fabs(cost - search_cost) > SAME_PRICE * (1 + fabs(cost))) {
        sb_say(j->report, SB_ERROR, NULL, 0,
               "the plan failed its check: %zu rules broken, priced %.9g by the search and %.9g "
               "by the model",
               broken, search_cost, cost);
        return SB_ERR_INTERNAL;
    }
    return SB_OK;
}

/* Share of the time for the cheapest plan when the growers' losses are limited. */
#define FREE_TIME 0.4

/* One machine cuts everything. */
static sb_status order_alone(job *j, sb_plan **plan, double *cost)
{
    sb_status status = sb_problem_init(&j->problem, j->season, j->machine);
    if (status == SB_OK)
        sb_problem_price(&j->problem, j->options->spread_weight, 0);
    if (status == SB_OK)
        status = sb_outcome_init(&j->outcome, &j->problem);
    if (status == SB_OK)
        status = find_order(j);
    if (status == SB_OK)
        status = write_down(j, plan);
    *cost = j->outcome.cost;
    sb_outcome_release(&j->outcome);
    sb_problem_release(&j->problem);
    return status;
}

/* Puts a plan that keeps the rule on the growers' losses in the place of the cheapest one. */
static sb_status keep_growers_rule(job *j, int machine, double most, const double *grower_most,
                                   sb_plan **plan, double *cost)
{
    sb_plan *kept = NULL;
    sb_fair_options fair = {
        .order = j->options, .machine = machine, .most = most, .grower_most = grower_most};
    fair.seconds = j->options->time_limit_s - sb_crew_elapsed_s(j->crew);
    sb_status status = sb_fair_order(j->season, &fair, *plan, j->report, &kept, cost);
    sb_plan_free(*plan);
    *plan = kept;
    return status;
}

/* A rival may give growers more than they are to receive: that is worth knowing. */
static sb_status warn_of_growers(const sb_season *ruled, const sb_plan *plan, sb_report *report)
{
    size_t broken;
    return sb_plan_check(ruled, plan, SB_WARNING, report, &broken);
}

sb_status sb_order(const sb_season *season, const sb_order_options *options, sb_report *report,
                   sb_plan **plan)
{
    if (plan == NULL)
        return SB_ERR_ARG;
    *plan = NULL;
    if (season == NULL || !sb_order_options_good(season, options))
        return SB_ERR_ARG;
    sb_season limited = sb_season_limited(season, options), with_growers = limited;
    double most = sb_growers_limit(season, options);
    with_growers.setup.limits.loss_per_grower = most;
    bool capped = isfinite(most) || sb_growers_named(season, options);
    bool ruled = options->by == SB_BY_COST && (capped || options->least_worst);
    sb_order_options first = *options; /* the cheapest plan without that rule */
    if (ruled)
        first.time_limit_s *= FREE_TIME;
    job j = {.season = &limited, .options = options, .report = report};
    sb_plan *made = NULL;
    bool shared =
        options->machine == NULL && options->spread_weight == 1 && season->setup.n_machines > 1;
    sb_status status =
        shared ? SB_OK
               : sb_machine_meant(season, options->machine, "money is weighed against spread",
                                  report, &j.machine);
    if (status != SB_OK)
        return status;
    status = sb_growers_most(season, options, report, &with_growers.grower_most);
    if (status == SB_OK)
        status = sb_season_unservable(season, shared ? -1 : j.machine, report);
    if (status == SB_OK)
        status = sb_crew_new(&first, &j.crew);
    if (status == SB_OK)
        status = sb_conflict_foreseen(&limited, shared ? -1 : j.machine, j.crew, report);
    double cost = INFINITY;
    if (status == SB_OK)
        status = shared ? sb_fleet_order(&limited, options, j.crew, report, &made, &cost)
                        : order_alone(&j, &made, &cost);
    if (status == SB_OK && ruled) {
        status = keep_growers_rule(&j, shared ? -1 : j.machine, most, with_growers.grower_most,
                                   &made, &cost);
        limited = with_growers;
    }
    if (status == SB_OK)
        status = check(&j, made, cost);
    if (status == SB_OK)
        status = sb_plan_explain(&limited, made);
    if (status == SB_OK && !ruled && capped)
        status = warn_of_growers(&with_growers, made, report);
    status = sb_report_settle(report, status);
    if (status == SB_OK) {
        *plan = made;
        made = NULL;
    }
    sb_plan_free(made);
    sb_crew_free(j.crew);
    sb_free(with_growers.grower_most);
    return status;
}
