/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A season as one linear program over moves and the seeds that flow along them: a second lower
 * bound, to hold the first one against, and as a mixed-integer program what other solvers are
 * measured on. Slow, simple, with arithmetic straight from the season: shares no code with
 * src/order, src/carry or src/plan. */
#ifndef SUPPORT_FLOW_BOUND_H
#define SUPPORT_FLOW_BOUND_H

#include <glpk.h>

#include "season/season.h"

/** The program for machine 0. A move after a level is a binary column; seeds of each pool and weed
 * flow along moves, levels and fields pass on a share of them, a field adds its own and pays for
 * what is brought; a flow of fields still to be cut keeps the tour in one piece. Entry rules,
 * missing ways and direct precedences leave moves out; limits on cleanouts and on seeds to the
 * ground are rows. Dates, delay, tank limits and longer precedences are left out: in a season
 * without them its optimum is the least cost, with them it is at most that.
 * @return the caller's, delete with glp_delete_prob; NULL when out of memory */
glp_prob *flow_program(const sb_season *season);

/** The program with its moves divisible, solved by GLPK: no plan costs less.
 * @return the bound; INFINITY: no solution, so that there is no plan; NAN: GLPK failed */
double flow_bound(const sb_season *season);

#endif
