/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The Shapley value: what each of n players adds to the cost of those who came before, averaged
 * over all orders in which they may come (L. S. Shapley, "A value for n-person games", 1953). The
 * only split in which all pay the whole, equals pay the same, who adds nothing pays nothing, and
 * the shares of two sums are the sums of the shares. Pure functions: no season is known here. */
#ifndef SB_SETTLE_SHAPLEY_H
#define SB_SETTLE_SHAPLEY_H

#include <stdint.h>

/** Players are the bits of a set. */
#define SB_MAX_PLAYERS 64
/** Most players of an exact value: 2^20 coalitions. */
#define SB_MAX_EXACT_PLAYERS 20

/** The exact value.
 * @param n     1..SB_MAX_EXACT_PLAYERS
 * @param cost  2^n: of the coalition whose members are the bits of the index; cost[0] is the empty
 *              one's
 * @param share [out] n */
void sb_shapley(int n, const double *cost, double *share);

/** The k-th of the orders drawn with a seed. Every second one is the one before it turned round, so
 * that a pair of them scatters less than two drawn apart.
 * @param order [out] n players, as they come */
void sb_shapley_order(int n, uint64_t seed, long k, int *order);

typedef double sb_coalition_cost(const void *context, uint64_t members);

/** The mean over the first n_orders orders of a seed.
 * @param n         1..SB_MAX_PLAYERS
 * @param n_orders  even, at least 4
 * @param share     [out] n; they add up to the cost of all less that of none
 * @param deviation [out] n: standard error of each share, from how the pairs scatter */
void sb_shapley_sampled(int n, uint64_t seed, long n_orders, sb_coalition_cost *cost,
                        const void *context, double *share, double *deviation);

#endif
