/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "settle/shapley.h"

#include <math.h>

#include "base/random.h"

void sb_shapley(int n, const double *cost, double *share)
{
    /* Of all orders, the share in which exactly these s players come before this one:
     * s! (n - 1 - s)! / n!. */
    double weight[SB_MAX_EXACT_PLAYERS];
    for (int before = 0; before < n; before++) {
        weight[before] = 1.0 / n;
        for (int i = 1; i <= before; i++)
            weight[before] *= (double)i / (n - i);
    }
    for (int player = 0; player < n; player++) {
        uint32_t self = UINT32_C(1) << player;
        share[player] = 0;
        for (uint32_t others = 0; others < UINT32_C(1) << n; others++)
            if (!(others & self))
                share[player] +=
                    weight[__builtin_popcount(others)] * (cost[others | self] - cost[others]);
    }
}

void sb_shapley_order(int n, uint64_t seed, long k, int *order)
{
    sb_random random = sb_random_init(seed, (uint64_t)(k / 2));
    for (int i = 0; i < n; i++)
        order[i] = i;
    for (int i = n - 1; i > 0; i--) {
        int other = sb_random_below(&random, i + 1), player = order[i];
        order[i] = order[other];
        order[other] = player;
    }
    for (int i = 0; k % 2 == 1 && i < n / 2; i++) {
        int player = order[i];
        order[i] = order[n - 1 - i];
        order[n - 1 - i] = player;
    }
}

/* What each player adds in the k-th order, added to `added`. */
static void add_order(int n, uint64_t seed, long k, sb_coalition_cost *cost, const void *context,
                      double *added)
{
    int order[SB_MAX_PLAYERS];
    sb_shapley_order(n, seed, k, order);
    uint64_t members = 0;
    double before = cost(context, 0);
    for (int i = 0; i < n; i++) {
        members |= UINT64_C(1) << order[i];
        double with = cost(context, members);
        added[order[i]] += with - before;
        before = with;
    }
}

void sb_shapley_sampled(int n, uint64_t seed, long n_orders, sb_coalition_cost *cost,
                        const void *context, double *share, double *deviation)
{
    long pairs = n_orders / 2;
    double squares[SB_MAX_PLAYERS] = {0};
    for (int i = 0; i < n; i++)
        share[i] = 0;
    /* Mean and squared deviations as they come (Welford 1962): no large sums are subtracted. */
    for (long pair = 0; pair < pairs; pair++) {
        double added[SB_MAX_PLAYERS] = {0};
        add_order(n, seed, 2 * pair, cost, context, added);
        add_order(n, seed, 2 * pair + 1, cost, context, added);
        for (int i = 0; i < n; i++) {
            double off = added[i] / 2 - share[i];
            share[i] += off / (double)(pair + 1);
            squares[i] += off * (added[i] / 2 - share[i]);
        }
    }
    for (int i = 0; i < n; i++)
        deviation[i] = sqrt(squares[i] / (double)(pairs - 1) / (double)pairs);
}
