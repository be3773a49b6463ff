/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Expected value of perfect information on ratings (Raiffa & Schlaifer 1961, from memory).
 *
 * A walk makes some ratings known. For each of its outcomes the season is ordered anew, which gives
 * a pool of plans; then every plan of the pool is priced for every outcome in the same drawn
 * seasons (common random numbers: what the rest does cancels out). The worth of the walk is
 *
 *     min over plans of mean over outcomes  -  mean over outcomes of min over plans.
 */
#include "doubt/scouting.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "doubt/philox.h"
#include "doubt/scenarios.h"
#include "order/asked.h"
#include "order/fleet_search.h"
#include "order/solve.h"
#include "plan/plan.h"

#define STREAM 2u       /* of the random numbers: what stays unknown */
#define ORDER_STREAM 3u /* and how outcomes of several ratings are put together */
#define OUTCOMES 6      /* of each rating, evenly over its range by probability */
#define SEASONS 50      /* drawn for each outcome: to find plans for it and to price them */
/* Annealing of an outcome: short, because the pool holds the plans of all the others, too. */
#define EFFORT 0.1
/* The same for several machines, from the cheapest plan of the pool on. */
#define FLEET_STARTS 2
#define FLEET_EFFORT 0.03
#define FLEET_HEAT 0.1
/* Numbers of a load in the mean over seasons: keeps that search short. */
#define MOST_MEAN_DIMS 4000
#define MOST_FLEET_DIMS 500
/* A field is walked first when it is worth at least this share of what the best is worth. */
#define FIRST_SHARE 0.1

/* Ratings that become known together, and what may be found. */
typedef struct target {
    size_t *spreads;
    size_t n;
    double worth;
    size_t orders;
    double mean_cost; /* of the best plan without the walk */
} target;

/* A plan of the pool, and what its machines' waits for each other cost in every season. */
typedef struct candidate {
    sb_routes routes;
    double waits;
} candidate;

typedef struct scout {
    const sb_season *season;
    const sb_order_options *options;
    int machine; /* -1: all */
    sb_crew *crew;
    sb_spreads spreads;
    sb_fleet central;
    struct {
        candidate *items;
        size_t count, capacity;
    } pool;
    struct scout_worker {
        sb_season *season;
        double *multiplier;
        sb_problem *sampled; /* by machine */
    } * workers;
    double before_s;     /* what ordering the season took */
    size_t walks, done;  /* each walk is looked at twice */
    const target *at;    /* being priced */
    double *cost;        /* OUTCOMES x pool: mean over seasons */
    sb_status *statuses; /* by outcome */
} scout;

static bool same_routes(const sb_fleet *f, const sb_routes *a, const sb_routes *b)
{
    for (int m = 0; m < f->machines; m++) {
        size_t at = (size_t)m * (size_t)f->n, bytes = (size_t)a->count[m] * sizeof(int);
        if (a->count[m] != b->count[m] || memcmp(a->field + at, b->field + at, bytes) != 0 ||
            memcmp(a->level + at, b->level + at, bytes) != 0)
            return false;
    }
    return true;
}

/* Adds routes to the pool, unless they are there or break a rule. */
static sb_status add_candidate(void *context, const sb_routes *routes)
{
    scout *s = context;
    for (size_t p = 0; p < s->pool.count; p++)
        if (same_routes(&s->central, &s->pool.items[p].routes, routes))
            return SB_OK;
    candidate next = {0};
    sb_status status = sb_routes_init(&next.routes, &s->central);
    if (status == SB_OK) {
        sb_routes_copy(&s->central, routes, &next.routes);
        status = sb_scenario_waits(&s->central, routes, &next.waits);
    }
    if (status == SB_OK && isfinite(next.waits)) {
        if (SB_PUSH(&s->pool, next))
            return SB_OK;
        status = SB_ERR_NOMEM;
    }
    sb_routes_release(&next.routes);
    return status;
}

/* Outcome o of a target: each of its ratings goes once through its strata, several in shuffled
 * orders of their own (Latin hypercube, McKay, Beckman & Conover 1979, from memory). */
static void find_outcome(const scout *s, const target *t, int outcome, double *multiplier)
{
    for (size_t i = 0; i < t->n; i++) {
        size_t spread = t->spreads[i];
        int stratum = outcome;
        if (i > 0) {
            double mine =
                sb_philox_unit(s->options->seed, ORDER_STREAM, (uint64_t)outcome, (uint32_t)spread);
            stratum = 0;
            for (int other = 0; other < OUTCOMES; other++)
                stratum += sb_philox_unit(s->options->seed, ORDER_STREAM, (uint64_t)other,
                                          (uint32_t)spread) < mine;
        }
        multiplier[spread] =
            sb_spread_multiplier(&s->spreads.items[spread], (stratum + 0.5) / OUTCOMES);
    }
}

/* One machine: the cheapest plan of a mean joins the pool. */
static sb_status solve_alone(scout *s, const sb_problem *mean)
{
    sb_outcome found = {0};
    const sb_routes *begin = &s->pool.items[0].routes;
    sb_status status = sb_outcome_init(&found, mean);
    if (status == SB_OK) {
        sb_solve_options how = sb_solve_options_default();
        how.seed = s->options->seed;
        how.effort = EFFORT;
        how.first_season_is_enough = true;
        memcpy(found.field, begin->field, (size_t)mean->n * sizeof(int));
        memcpy(found.level, begin->level, (size_t)mean->n * sizeof(int));
        found.cost = sb_sequence_cost(mean, found.field, found.level);
        status = sb_solve(mean, s->crew, &how, &found);
    }
    if (status == SB_OK && isfinite(found.cost)) {
        sb_routes routes = {.count = (int[]){mean->n}, .field = found.field, .level = found.level};
        status = add_candidate(s, &routes);
    }
    sb_outcome_release(&found);
    return status;
}

/* Several machines: what annealing from the pool's cheapest plan of a mean on finds joins it. */
static sb_status solve_fleet(scout *s, const sb_fleet *mean)
{
    sb_routes found = {0};
    double cost;
    sb_status status = sb_routes_init(&found, mean);
    for (size_t p = 0; p < s->pool.count && status == SB_OK; p++) {
        status = sb_fleet_cost(mean, &s->pool.items[p].routes, &cost);
        if (status == SB_OK && cost < found.cost) {
            sb_routes_copy(mean, &s->pool.items[p].routes, &found);
            found.cost = cost;
        }
    }
    sb_fleet_search_options search = {
        .seed = s->options->seed,
        .starts = FLEET_STARTS,
        .moves = (long)(FLEET_EFFORT * (double)sb_fleet_search_moves(mean->n)) + 1,
        .heat = FLEET_HEAT};
    if (status == SB_OK)
        status = sb_fleet_search(mean, &search, s->crew, add_candidate, s, &found);
    sb_routes_release(&found);
    return status;
}

/* Seasons of which the mean is taken: as many as keep the search in it short. */
static size_t seasons_at_once(const scout *s)
{
    size_t dims = 1, most = s->machine < 0 ? MOST_FLEET_DIMS : MOST_MEAN_DIMS;
    for (int m = 0; m < s->central.machines; m++)
        if ((size_t)s->central.problems[m].dims >= dims)
            dims = (size_t)s->central.problems[m].dims + 1;
    return most / dims < 1 ? 1 : most / dims < SEASONS ? most / dims : SEASONS;
}

/* Adds what is cheap on average over drawn seasons in which some multipliers are known. */
static sb_status solve(scout *s, const double *known)
{
    sb_scenarios scenarios = {0};
    sb_fleet mean = {0};
    double weight[SEASONS];
    size_t seasons = seasons_at_once(s);
    for (size_t k = 0; k < seasons; k++)
        weight[k] = 1;
    sb_status status = sb_scenarios_init(&scenarios, s->season, s->machine, &s->spreads,
                                         s->options->seed, STREAM, 1, seasons, known);
    if (status == SB_OK)
        status = sb_scenarios_mean(&scenarios, weight, &mean);
    if (status == SB_OK)
        status = s->machine < 0 ? solve_fleet(s, &mean) : solve_alone(s, &mean.problems[0]);
    sb_fleet_release(&mean);
    sb_scenarios_release(&scenarios);
    return status;
}

/* Orders the season anew for every outcome. */
static sb_status solve_outcomes(scout *s, const target *t)
{
    sb_status status = SB_OK;
    double *known = s->workers[0].multiplier;
    for (int o = 0; status == SB_OK && o < OUTCOMES && !sb_crew_stopped(s->crew); o++) {
        for (size_t i = 0; i < s->spreads.count; i++)
            known[i] = NAN;
        find_outcome(s, t, o, known);
        status = solve(s, known);
    }
    return status;
}

/* One drawn season, in which every plan of the pool is priced. Rules were looked at when the plan
 * came into the pool; here money alone counts. */
static sb_status price_season(scout *s, struct scout_worker *w, double *cost)
{
    const sb_fleet *f = &s->central;
    sb_status status = SB_OK;
    for (int m = 0; m < f->machines && status == SB_OK; m++)
        status = sb_scenario_sample(f, s->machine < 0, w->season, m, &w->sampled[m]);
    for (size_t p = 0; p < s->pool.count && status == SB_OK; p++) {
        const candidate *plan = &s->pool.items[p];
        cost[p] += (sb_scenario_routes_cost(f, w->sampled, &plan->routes) + plan->waits) / SEASONS;
    }
    for (int m = 0; m < f->machines; m++) {
        sb_problem_release(&w->sampled[m]);
        w->sampled[m] = (sb_problem){0};
    }
    return status;
}

static void price_outcome(void *context, int outcome, int worker)
{
    scout *s = context;
    struct scout_worker *w = &s->workers[worker];
    double *cost = s->cost + (size_t)outcome * s->pool.count;
    memset(cost, 0, s->pool.count * sizeof *cost);
    for (uint64_t k = 1; k <= SEASONS; k++) {
        sb_spreads_draw(&s->spreads, s->options->seed, STREAM, k, w->multiplier);
        find_outcome(s, s->at, outcome, w->multiplier);
        sb_spreads_apply(&s->spreads, w->multiplier, s->season, w->season);
        sb_status status = price_season(s, w, cost);
        if (status != SB_OK)
            s->statuses[outcome] = status;
    }
}

static sb_status price_target(scout *s, target *t)
{
    size_t plans = s->pool.count;
    s->at = t;
    s->cost = sb_alloc(OUTCOMES * plans, sizeof *s->cost);
    s->statuses = sb_alloc(OUTCOMES, sizeof *s->statuses);
    bool *best_somewhere = sb_alloc(plans, sizeof *best_somewhere);
    sb_status status = SB_ERR_NOMEM;
    if (s->cost == NULL || s->statuses == NULL || best_somewhere == NULL)
        goto out;
    sb_crew_share(s->crew, OUTCOMES, price_outcome, s);
    status = SB_OK;
    double informed = 0;
    size_t uninformed_plan = 0;
    t->mean_cost = INFINITY;
    for (size_t p = 0; p < plans; p++) {
        double mean = 0;
        for (size_t o = 0; o < OUTCOMES; o++)
            mean += s->cost[o * plans + p] / OUTCOMES;
        if (mean < t->mean_cost) {
            t->mean_cost = mean;
            uninformed_plan = p;
        }
    }
    t->worth = 0;
    for (size_t o = 0; o < OUTCOMES; o++) {
        if (s->statuses[o] != SB_OK)
            status = s->statuses[o];
        /* Of equally cheap plans the one that is best anyway. */
        size_t best = uninformed_plan;
        for (size_t p = 0; p < plans; p++)
            if (s->cost[o * plans + p] < s->cost[o * plans + best])
                best = p;
        informed = s->cost[o * plans + best];
        t->worth += (s->cost[o * plans + uninformed_plan] - informed) / OUTCOMES;
        t->orders += !best_somewhere[best];
        best_somewhere[best] = true;
    }
out:
    sb_free(s->cost);
    sb_free(s->statuses);
    sb_free(best_somewhere);
    s->cost = NULL;
    s->statuses = NULL;
    return status;
}

static sb_status scout_init(scout *s, const sb_plan *cheapest)
{
    sb_status status = sb_crew_new(s->options, &s->crew);
    if (status == SB_OK)
        status = sb_spreads_of(s->season, &s->spreads);
    if (status == SB_OK)
        status = sb_scenario_fleet(&s->central, s->season, s->machine);
    if (status != SB_OK)
        return status;
    size_t size = (size_t)sb_crew_size(s->crew), machines = (size_t)s->central.machines;
    s->workers = sb_alloc(size, sizeof *s->workers);
    for (size_t w = 0; s->workers != NULL && w < size; w++) {
        s->workers[w].multiplier = sb_alloc(s->spreads.count, sizeof *s->workers[w].multiplier);
        s->workers[w].sampled = sb_alloc(machines, sizeof *s->workers[w].sampled);
        if (s->workers[w].multiplier == NULL || s->workers[w].sampled == NULL)
            return SB_ERR_NOMEM;
        status = sb_season_copy(s->season, NULL, NULL, &s->workers[w].season);
        if (status != SB_OK)
            return status;
    }
    sb_routes routes = {0};
    status = s->workers != NULL ? sb_routes_of_plan(&routes, &s->central, cheapest) : SB_ERR_NOMEM;
    if (status == SB_OK)
        status = add_candidate(s, &routes);
    sb_routes_release(&routes);
    return status;
}

static void scout_release(scout *s)
{
    size_t size = s->crew != NULL ? (size_t)sb_crew_size(s->crew) : 0;
    for (size_t w = 0; s->workers != NULL && w < size; w++) {
        sb_free(s->workers[w].multiplier);
        sb_free(s->workers[w].sampled);
        sb_season_free(s->workers[w].season);
    }
    sb_free(s->workers);
    for (size_t p = 0; p < s->pool.count; p++)
        sb_routes_release(&s->pool.items[p].routes);
    sb_free(s->pool.items);
    sb_fleet_release(&s->central);
    sb_free(s->spreads.items);
    sb_crew_free(s->crew);
}

static int most_worth_first(const void *a, const void *b)
{
    const sb_walk_worth *x = a, *y = b;
    if (x->worth != y->worth)
        return x->worth < y->worth ? 1 : -1;
    if (x->field != y->field)
        return x->field < y->field ? -1 : 1;
    return (x->weed > y->weed) - (x->weed < y->weed);
}

static int by_field(const void *a, const void *b)
{
    const sb_walk_worth *x = a, *y = b;
    return x->field != y->field ? (x->field > y->field) - (x->field < y->field)
                                : (x->weed > y->weed) - (x->weed < y->weed);
}

/* The spreads of a walk: one rating, or all of some fields. @return how many */
static size_t choose(const scout *s, const sb_walk_worth *walks, size_t n, size_t *spreads)
{
    size_t count = 0;
    for (size_t i = 0; i < s->spreads.count; i++)
        for (size_t w = 0; w < n; w++)
            if (s->spreads.items[i].what == SB_DOUBT_RATING &&
                s->spreads.items[i].field == walks[w].field &&
                (walks[w].weed < 0 || s->spreads.items[i].weed == walks[w].weed))
                spreads[count++] = i;
    return count;
}

/* Step 0: plans for what it may find go into the pool; step 1: its worth. */
static sb_status worth_of(scout *s, sb_walk_worth *walk, size_t *room, int step, double *mean_cost)
{
    target t = {.spreads = room, .n = choose(s, walk, 1, room)};
    if (step == 0)
        return solve_outcomes(s, &t);
    sb_status status = price_target(s, &t);
    walk->worth = t.worth;
    walk->orders = t.orders;
    *mean_cost = t.mean_cost;
    return status;
}

/* A field is worth no less than each of its ratings, since knowing more cannot make the best plan
 * dearer; a few outcomes of all of them together may say otherwise, and then a rating's own worth
 * is nearer the truth. With one uncertain rating that is all there is. */
static sb_status worth_of_field(scout *s, const sb_scouting *found, sb_walk_worth *walk,
                                size_t *room, int step)
{
    double mean_cost;
    sb_status status = SB_OK;
    if (choose(s, walk, 1, room) > 1)
        status = worth_of(s, walk, room, step, &mean_cost);
    for (size_t i = 0; i < found->n_ratings; i++)
        if (found->ratings[i].field == walk->field) {
            walk->worth = fmax(walk->worth, found->ratings[i].worth);
            walk->orders =
                walk->orders > found->ratings[i].orders ? walk->orders : found->ratings[i].orders;
        }
    return status;
}

/* What the walks that come first are worth together. */
static sb_status worth_of_first(scout *s, sb_scouting *found, size_t *room)
{
    double best = found->n_fields > 0 ? found->fields[0].worth : 0;
    while (best > 0 && found->n_first < found->n_fields &&
           found->fields[found->n_first].worth >= FIRST_SHARE * best)
        found->n_first++;
    if (found->n_first == 0)
        return SB_OK;
    target t = {.spreads = room, .n = choose(s, found->fields, found->n_first, room)};
    sb_status status = solve_outcomes(s, &t);
    if (status == SB_OK)
        status = price_target(s, &t);
    found->first_worth = fmax(t.worth, best);
    return status;
}

static bool list_walks(const scout *s, sb_scouting *found)
{
    size_t n = s->spreads.count;
    found->ratings = sb_alloc(n, sizeof *found->ratings);
    found->fields = sb_alloc(n, sizeof *found->fields);
    if (found->ratings == NULL || found->fields == NULL)
        return false;
    for (size_t i = 0; i < n; i++)
        if (s->spreads.items[i].what == SB_DOUBT_RATING)
            found->ratings[found->n_ratings++] = (sb_walk_worth){.field = s->spreads.items[i].field,
                                                                 .weed = s->spreads.items[i].weed};
    qsort(found->ratings, found->n_ratings, sizeof *found->ratings, by_field);
    for (size_t i = 0; i < found->n_ratings; i++)
        if (i == 0 || found->ratings[i].field != found->ratings[i - 1].field)
            found->fields[found->n_fields++] =
                (sb_walk_worth){.field = found->ratings[i].field, .weed = -1};
    return true;
}

static void tell_progress(scout *s)
{
    s->done++;
    sb_progress now = {s->before_s + sb_crew_elapsed_s(s->crew), INFINITY, -INFINITY,
                       (double)s->done / (2 * (double)s->walks)};
    if (s->options->progress != NULL)
        s->options->progress(&now, s->options->context);
}

static sb_status weigh_walks(scout *s, sb_scouting *found)
{
    size_t *room = sb_alloc(s->spreads.count, sizeof *room);
    if (room == NULL || !list_walks(s, found)) {
        sb_free(room);
        return SB_ERR_NOMEM;
    }
    /* Without the plan that is best while nothing is known, knowing would look better than it is.
     */
    sb_status status = found->n_ratings > 0 ? solve(s, NULL) : SB_OK;
    found->mean_cost = NAN;
    s->walks = found->n_ratings + found->n_fields;
    for (int step = 0; step <= 1; step++) {
        for (size_t i = 0; status == SB_OK && i < found->n_ratings; i++, tell_progress(s))
            status = worth_of(s, &found->ratings[i], room, step, &found->mean_cost);
        for (size_t i = 0; status == SB_OK && i < found->n_fields; i++, tell_progress(s))
            status = worth_of_field(s, found, &found->fields[i], room, step);
    }
    qsort(found->ratings, found->n_ratings, sizeof *found->ratings, most_worth_first);
    qsort(found->fields, found->n_fields, sizeof *found->fields, most_worth_first);
    if (status == SB_OK)
        status = worth_of_first(s, found, room);
    found->plans = s->pool.count;
    found->seasons = SEASONS;
    found->machines = (size_t)s->central.machines;
    found->seed = s->options->seed;
    found->stopped = sb_crew_stopped(s->crew);
    sb_free(room);
    return status;
}

void sb_scouting_free(sb_scouting *scouting)
{
    if (scouting == NULL)
        return;
    sb_free(scouting->ratings);
    sb_free(scouting->fields);
    sb_free(scouting);
}

sb_status sb_scout(const sb_season *season, const sb_order_options *options, sb_report *report,
                   sb_scouting **scouting)
{
    if (scouting == NULL)
        return SB_ERR_ARG;
    *scouting = NULL;
    if (season == NULL || options == NULL || options->by != SB_BY_COST ||
        options->spread_weight != 1)
        return SB_ERR_ARG;
    sb_season limited = sb_season_limited(season, options);
    sb_order_options free_of_growers = sb_options_without_growers(options);
    sb_say_growers_unkept(season, options, report);
    scout s = {.season = &limited, .options = options};
    sb_plan *cheapest = NULL;
    sb_scouting *found = NULL;
    sb_status status = sb_order(&limited, &free_of_growers, report, &cheapest);
    if (status != SB_OK)
        return sb_report_settle(report, status);
    if (status == SB_OK && (found = sb_alloc(1, sizeof *found)) == NULL)
        status = SB_ERR_NOMEM;
    bool alone = season->setup.n_machines == 1 || options->machine != NULL;
    s.machine = alone ? cheapest->routes[0].machine : -1;
    if (status == SB_OK)
        status = scout_init(&s, cheapest);
    s.before_s = cheapest->proof.seconds;
    if (status == SB_OK)
        status = weigh_walks(&s, found);
    if (status == SB_OK)
        *scouting = found;
    else
        sb_scouting_free(found);
    scout_release(&s);
    sb_plan_free(cheapest);
    return sb_report_settle(report, status);
}
