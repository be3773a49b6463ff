/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/solve.h"

#include <math.h>

#include "base/mem.h"
#include "order/chain.h"
#include "order/search.h"
#include "order/tour_search.h"

/* Annealing moves of one start: a floor and a share that grows with the square of the season. */
#define MOVES_FLOOR 20000
#define MOVES_PER_PAIR 120
#define MOVES_MOST 500000 /* the bound wants its share of the time */
#define MOVES_MOST_SECOND 1500000

sb_solve_options sb_solve_options_default(void)
{
    return (sb_solve_options){.seed = 1, .effort = 1, .method = sb_method_default};
}

sb_status sb_outcome_init(sb_outcome *outcome, const sb_problem *p)
{
    *outcome = (sb_outcome){.cost = INFINITY, .bound = -INFINITY, .method = "nothing was run"};
    outcome->field = sb_alloc((size_t)p->n, sizeof *outcome->field);
    outcome->level = sb_alloc((size_t)p->n, sizeof *outcome->level);
    outcome->reward = sb_alloc((size_t)p->n, sizeof *outcome->reward);
    return outcome->field != NULL && outcome->level != NULL && outcome->reward != NULL
               ? SB_OK
               : SB_ERR_NOMEM;
}

void sb_outcome_release(sb_outcome *outcome)
{
    sb_free(outcome->field);
    sb_free(outcome->level);
    sb_free(outcome->reward);
    outcome->field = outcome->level = NULL;
    outcome->reward = NULL;
}

/* Tours have a better search of their own; annealing only finds it a start. */
#define TOUR_EFFORT 0.05
/* Once a first bound is known: a season cheaper by a hundredth halves what is left to prove. */
#define SECOND_EFFORT 3.0
#define SECOND_FIELDS 36 /* smaller seasons are sooner proven than searched again */
/* Larger seasons, and those with dates, take long to prove and are searched for longer. */
#define SECOND_EFFORT_DATED 9.0
#define SECOND_EFFORT_WIDE 8.0
/* Smaller seasons are searched exactly before a tree has grown. */
#define TREE_FIELDS 17

/* A season is a plain tour when the move alone decides its cost and nothing else counts. Branch and
 * cut is at home there; precedences it bounds badly, and the walks' exact search well. */
static bool plain_tour(const sb_problem *p)
{
    return p->n >= TREE_FIELDS && !p->ordered && p->dims == 0 && !p->timed && p->n_limits == 0 &&
           !p->counted[SB_RES_SPEND] && !p->counted[SB_RES_FULL] && !p->counted[SB_RES_MONEY];
}

static sb_status search(const sb_problem *p, sb_crew *crew, const sb_solve_options *options,
                        double effort, double most_moves, sb_outcome *outcome)
{
    effort *= options->effort;
    sb_search_options search = {
        .seed = options->seed + (uint64_t)effort,
        /* Where there are dates starts differ more, and what they find decides more. */
        .starts = options->method.starts * (p->timed ? 2 : 1),
        .moves =
            (long)(effort * fmin(MOVES_FLOOR + MOVES_PER_PAIR * (double)p->n * p->n, most_moves)),
        .heat = 1,
    };
    return sb_search(p, &search, crew, outcome->field, outcome->level, &outcome->cost);
}

static double second_effort(const sb_problem *p)
{
    bool small = p->n < SECOND_FIELDS;
    if (p->timed)
        return small ? SECOND_EFFORT : SECOND_EFFORT_DATED;
    if (small)
        return 0;
    return p->n < SB_WIDE_FIELDS ? SECOND_EFFORT : SECOND_EFFORT_WIDE;
}

/* Branch and cut knows tours; their cheapest levels follow from the order. */
static sb_status close_tour(const sb_problem *p, sb_crew *crew, const sb_root *root, uint64_t seed,
                            sb_outcome *outcome)
{
    double tour_cost = outcome->cost, bound;
    for (int j = 0; j < p->n && isinf(tour_cost); j++)
        outcome->field[j] = j; /* somewhere to begin */
    sb_status status = sb_tour_search(p, crew, root->cost, seed, outcome->field, &tour_cost);
    if (status == SB_OK)
        status = sb_chain_levels(p, outcome->field, outcome->level, &outcome->cost);
    if (status != SB_OK)
        return status;
    tour_cost = outcome->cost;
    status = sb_root_branch(p, crew, root, outcome->field, &tour_cost, &bound);
    if (status == SB_OK && tour_cost < outcome->cost)
        status = sb_chain_levels(p, outcome->field, outcome->level, &outcome->cost);
    if (status != SB_OK)
        return status;
    outcome->bound = fmax(outcome->bound, fmin(bound, outcome->cost));
    outcome->closed = outcome->bound >= outcome->cost - SB_PROOF_SHARE * fabs(outcome->cost);
    outcome->method = outcome->closed ? "branch and cut closed the tour"
                                      : "stopped before branch and cut closed the tour";
    return SB_OK;
}

sb_status sb_solve(const sb_problem *p, sb_crew *crew, const sb_solve_options *options,
                   sb_outcome *outcome)
{
    sb_root root = {0};
    if (sb_problem_overspent(p)) {
        outcome->bound = INFINITY;
        outcome->closed = true;
        outcome->method = "entry rules demand more cleaning than the limits allow";
        return SB_OK;
    }
    sb_status status =
        search(p, crew, options, plain_tour(p) ? TOUR_EFFORT : 1, MOVES_MOST, outcome);
    if (status != SB_OK)
        return status;
    if (options->tell != NULL)
        options->tell(options->context, outcome);
    if (options->first_season_is_enough && isfinite(outcome->cost))
        return SB_OK;
    status = sb_root_solve(p, crew, isfinite(outcome->cost) ? outcome->field : NULL, &root);
    if (status != SB_OK)
        goto out;
    if (root.bound == INFINITY) {
        outcome->bound = INFINITY;
        outcome->closed = true;
        outcome->method = "ways and precedences leave no season";
    } else if (plain_tour(p)) {
        status = close_tour(p, crew, &root, options->seed, outcome);
    } else {
        double effort = second_effort(p);
        if (effort > 0)
            status = search(p, crew, options, effort, MOVES_MOST_SECOND, outcome);
        if (status != SB_OK)
            goto out;
        status =
            sb_prove(p, crew, &root, &options->method, options->tell, options->context, outcome);
    }
out:
    sb_root_release(&root);
    return status;
}
