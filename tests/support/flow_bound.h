/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A second lower bound on the cost of a season, to hold the first one against: slow, simple, with
 * arithmetic straight from the season. Shares no code with src/order, src/carry or src/plan. */
#ifndef SUPPORT_FLOW_BOUND_H
#define SUPPORT_FLOW_BOUND_H

#include "season/season.h"

/** The carry-flow linear program for machine 0, solved by GLPK. Seeds of each pool and weed flow
 * along (move, level) arcs; a cleanout and a field each pass on a share of them; a field adds its
 * own and pays for what is shed. Arcs are fractional and keep degree and the sub-tour rule by a
 * flow of fields still to be cut, so what it finds is at most the cost of the cheapest plan.
 * Entry rules, missing ways and direct precedences close arcs; limits on cleanouts and seeds are
 * rows; dates are left out and delay is taken for zero, all of which only lowers it.
 * @return the bound; INFINITY when the program has no solution, so that no plan exists; NAN when
 *         GLPK failed */
double flow_bound(const sb_season *season);

#endif
