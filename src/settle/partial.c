/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One machine's season for the fields of some growers: begun with the plan's own order, improved,
 * and proven where that takes little. */
#include <math.h>

#include "base/mem.h"
#include "order/chain.h"
#include "order/search.h"
#include "order/solve.h"
#include "settle/coalition.h"

/* Seasons of more fields are only improved a little from the plan's order; proofs would take too
 * long for the hundreds there are. */
#define SEARCHED_FIELDS 24
#define EFFORT 0.05        /* of annealing: the proof needs a good season, not the best */
#define MOST_LABELS 400000 /* of one proof: about half a second */
#define STARTS 2           /* of it, beside the plan's own order */
#define POLISH_MOVES 20000
#define POLISH_HEAT 0.1
/* The search's cost and the plan's price come from different code: they must agree. */
#define SAME_PRICE 1e-6

/* Asked by the search whether to stop: the whole settlement has to, or this proof grew too large.
 */
typedef struct budget {
    sb_crew *whole;
    bool spent; /* set between passes, in the thread that searches */
} budget;

typedef struct solver {
    const sb_partials *partials;
    sb_partial *partial;
    sb_season *season;
    int *from_whole; /* by field of the whole season: its number here; -1: not here */
    budget budget;
    sb_crew *crew; /* of this thread alone */
    sb_problem problem;
    sb_outcome outcome;
} solver;

static bool must_stop(void *context)
{
    const budget *b = context;
    return b->spent || sb_crew_stopped(b->whole);
}

static void count_labels(void *context, const sb_outcome *outcome)
{
    budget *b = context;
    b->spent |= outcome->labels > MOST_LABELS;
}

/* The season of the partial's own fields. Leaves s->season NULL when it has none. */
static sb_status copy_season(solver *s)
{
    const sb_partials *partials = s->partials;
    const sb_season *whole = partials->season;
    bool *keep_field = sb_alloc(whole->n_fields, sizeof *keep_field);
    bool *keep_machine = sb_alloc(whole->setup.n_machines, sizeof *keep_machine);
    s->from_whole = sb_alloc(whole->n_fields, sizeof *s->from_whole);
    sb_status status = SB_ERR_NOMEM;
    if (keep_field == NULL || keep_machine == NULL || s->from_whole == NULL)
        goto out;
    int n = 0;
    for (size_t i = 0; i < whole->n_fields; i++) {
        bool member = s->partial->members >> partials->settlement->party_of[i] & 1;
        keep_field[i] =
            member && (s->partial->all || partials->machine_of[i] == s->partial->machine);
        s->from_whole[i] = keep_field[i] ? n++ : -1;
    }
    keep_machine[s->partial->machine] = true;
    status = n > 0 ? sb_season_copy(whole, keep_field, keep_machine, &s->season) : SB_OK;
    if (s->season != NULL) { /* a rule among all members, not among these */
        s->season->setup.limits.loss_per_grower = INFINITY;
        sb_free(s->season->grower_most);
        s->season->grower_most = NULL;
    }
out:
    sb_free(keep_field);
    sb_free(keep_machine);
    return status;
}

/* The order that the plan cuts these fields in, with the best cleanouts for it. */
static sb_status begin_with_plan(solver *s)
{
    sb_outcome *o = &s->outcome;
    for (size_t i = 0, t = 0; i < s->partials->season->n_fields; i++) {
        int field = s->from_whole[s->partials->field_order[i]];
        if (field >= 0)
            o->field[t++] = field;
    }
    return sb_chain_levels(&s->problem, o->field, o->level, &o->cost);
}

static sb_status improve(solver *s, uint64_t seed)
{
    sb_outcome *o = &s->outcome;
    if (s->problem.n <= SEARCHED_FIELDS) {
        sb_solve_options options = sb_solve_options_default();
        options.seed = seed;
        options.effort = EFFORT;
        options.method.polish = false; /* dearer than the proof of so small a season */
        options.method.starts = STARTS;
        options.tell = count_labels;
        options.context = &s->budget;
        return sb_solve(&s->problem, s->crew, &options, o);
    }
    bool known = isfinite(o->cost);
    sb_search_options options = {.seed = seed,
                                 .starts = STARTS,
                                 .moves = POLISH_MOVES,
                                 .field = known ? o->field : NULL,
                                 .level = known ? o->level : NULL,
                                 .heat = known ? POLISH_HEAT : 1};
    return sb_search(&s->problem, &options, s->crew, o->field, o->level, &o->cost);
}

/* The season found, priced and checked by the code that every plan goes through. */
static sb_status take_price(solver *s)
{
    const sb_outcome *o = &s->outcome;
    sb_plan *plan = NULL;
    size_t broken = 0;
    s->partial->cost = INFINITY;
    s->partial->proven = o->closed;
    s->partial->cut = !o->closed && sb_crew_stopped(s->budget.whole);
    if (isinf(o->cost))
        return SB_OK;
    sb_status status = sb_plan_new_single(s->season, 0, s->season->n_fields, &plan);
    if (status != SB_OK)
        return status;
    for (size_t t = 0; t < s->season->n_fields; t++) {
        plan->routes[0].stops[t].field = o->field[t];
        plan->routes[0].stops[t].cleanout = o->level[t];
    }
    status = sb_plan_price_only(s->season, plan);
    if (status == SB_OK)
        status = sb_plan_check(s->season, plan, SB_NOTE, NULL, &broken);
    s->partial->cost = plan->cost.total;
    if (status == SB_OK &&
        (broken > 0 || fabs(plan->cost.total - o->cost) > SAME_PRICE * (1 + fabs(o->cost))))
        status = SB_ERR_INTERNAL;
    sb_plan_free(plan);
    return status;
}

static sb_status solve(solver *s, uint64_t seed)
{
    sb_status status = copy_season(s);
    if (status != SB_OK || s->season == NULL) {
        s->partial->proven = true;
        return status;
    }
    sb_order_options alone = {.threads = 1, .time_limit_s = INFINITY, .stop = must_stop};
    alone.context = &s->budget;
    if ((status = sb_crew_new(&alone, &s->crew)) != SB_OK ||
        (status = sb_problem_init(&s->problem, s->season, 0)) != SB_OK ||
        (status = sb_outcome_init(&s->outcome, &s->problem)) != SB_OK ||
        (status = begin_with_plan(s)) != SB_OK ||
        (!must_stop(&s->budget) && (status = improve(s, seed)) != SB_OK))
        return status;
    return take_price(s);
}

void sb_partial_solve(const sb_partials *partials, sb_crew *crew, uint64_t seed,
                      sb_partial *partial)
{
    solver s = {.partials = partials, .partial = partial, .budget = {.whole = crew}};
    partial->cost = 0;
    partial->status = solve(&s, seed);
    sb_outcome_release(&s.outcome);
    sb_problem_release(&s.problem);
    sb_crew_free(s.crew);
    sb_season_free(s.season);
    sb_free(s.from_whole);
}
