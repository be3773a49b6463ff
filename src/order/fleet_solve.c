/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/fleet_solve.h"

#include <math.h>

#include "base/mem.h"
#include "order/fleet_prove.h"
#include "order/fleet_search.h"

/* Independent annealing runs, and their shares of the full number of moves: a quick look first, so
 * that a short time limit finds something to stop at. */
#define STARTS 8
/* With more fields than this they end further apart, and more are made. */
#define FEW_FIELDS 30
#define STARTS_OF_MANY 32
static const double EFFORTS[] = {0.06, 1.0};

sb_status sb_fleet_outcome_init(sb_fleet_outcome *outcome, const sb_fleet *fleet)
{
    *outcome = (sb_fleet_outcome){.bound = -INFINITY, .method = "nothing was run"};
    return sb_routes_init(&outcome->routes, fleet);
}

void sb_fleet_outcome_release(sb_fleet_outcome *outcome)
{
    sb_routes_release(&outcome->routes);
}

sb_status sb_fleet_solve(const sb_fleet *f, sb_crew *crew, const sb_fleet_options *options,
                         sb_fleet_outcome *outcome)
{
    for (size_t round = 0; round < sizeof EFFORTS / sizeof *EFFORTS; round++) {
        sb_fleet_search_options search = {
            .seed = options->seed + round,
            .starts = f->n > FEW_FIELDS ? STARTS_OF_MANY : STARTS,
            .moves = (long)(EFFORTS[round] * (double)sb_fleet_search_moves(f->n)) + 1,
            .heat = 1,
        };
        sb_status status = sb_fleet_search(f, &search, crew, NULL, NULL, &outcome->routes);
        if (status != SB_OK)
            return status;
        if (options->tell != NULL)
            options->tell(options->context, outcome);
    }
    return sb_fleet_prove(f, crew, options, outcome);
}
