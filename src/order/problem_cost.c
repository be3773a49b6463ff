/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What moves and whole seasons cost, and which limits they keep. */
#include <math.h>
#include <string.h>

#include "order/problem.h"

bool sb_limits_kept(const sb_problem *p, int from, int to, int level, const double *load)
{
    for (int r = 0; r < p->n_limits; r++) {
        const sb_load_limit *limit = &p->limits[r];
        if (limit->field == to && sb_limit_sum(p, limit, from, level, load) > limit->most)
            return false;
    }
    return true;
}

bool sb_limits_safe(const sb_problem *p, const double *load)
{
    for (int r = 0; r < p->n_limits; r++) {
        const sb_load_limit *limit = &p->limits[r];
        double most = limit->most_fixed + limit->most_picked;
        for (int d = 0; d < p->dims; d++)
            most += limit->weight[d] * load[d];
        if (most > limit->most)
            return false;
    }
    return true;
}

bool sb_problem_overspent(const sb_problem *p)
{
    double spend = 0, full = 0;
    for (int j = 0; j < p->n; j++) {
        double least_spend = INFINITY, least_full = INFINITY;
        for (int i = 0; i <= p->n; i++)
            for (int l = 0; l < p->levels; l++)
                if (p->allowed[sb_arc(p, i, j)] >> l & 1) {
                    least_spend = fmin(least_spend, p->level_cost[l]);
                    least_full = fmin(least_full, p->level_full[l]);
                }
        if (isinf(least_spend)) /* no way in at all: another matter */
            return false;
        spend += least_spend;
        full += least_full;
    }
    return spend > sb_spend_most(p->most[SB_RES_SPEND]) || full > p->most[SB_RES_FULL];
}

double sb_sequence_cost(const sb_problem *p, const int *field, const int *level)
{
    double load[SB_MAX_DIMS];
    memcpy(load, p->own + (size_t)p->n * (size_t)p->dims, (size_t)p->dims * sizeof *load);
    double cost = 0, free_h = 0, spend = 0, full = 0, money = 0;
    int from = p->n;
    for (int t = 0; t < p->n; t++) {
        int to = field[t], l = level[t];
        if (!(p->allowed[sb_arc(p, from, to)] >> l & 1) || !sb_limits_kept(p, from, to, l, load))
            return INFINITY;
        for (int u = 0; u < t && p->ordered; u++)
            if (sb_has(p->behind + (size_t)to * (size_t)p->words, field[u]))
                return INFINITY;
        cost += sb_move_load(p, from, to, l, load, load);
        free_h = sb_finish_h(p, from, to, l, free_h);
        double delay = sb_delay(p, to, free_h);
        cost += delay;
        money += sb_move_money(p, from, to, l) + delay;
        spend += p->level_cost[l];
        full += p->level_full[l];
        if (free_h > p->latest_h[to] + SB_SAME_TIME_H)
            return INFINITY;
        from = to;
    }
    if (free_h + p->home_h[from] > p->end_h + SB_SAME_TIME_H ||
        spend > sb_spend_most(p->most[SB_RES_SPEND]) || full > p->most[SB_RES_FULL] ||
        money + p->home_cost[from] > sb_spend_most(p->most[SB_RES_MONEY]))
        return INFINITY;
    return cost + p->home_cost[from];
}

double sb_first_order_least(const sb_problem *p, int from, int to)
{
    double least = INFINITY;
    for (int l = 0; l < p->levels; l++)
        if (p->allowed[sb_arc(p, from, to)] >> l & 1)
            least = fmin(least, sb_first_order_cost(p, from, to, l));
    return least;
}

SB_VECTORISED
int sb_greedy_level_of(const sb_problem *p, unsigned allowed, const double *fixed, int to,
                       const double *load, const double *later)
{
    size_t dims = (size_t)p->dims;
    const double *shed = p->shed + (size_t)to * dims, *left = p->left + (size_t)to * dims;
    double best = INFINITY;
    int level = 0;
    for (int l = 0; l < p->levels; l++) {
        if (!(allowed >> l & 1))
            continue;
        const double *keep = p->keep + (size_t)l * dims;
        sb_four_numbers sum = {0};
        for (size_t d = 0; d < dims; d += 4)
            sum += *sb_fours(load + d) * *sb_fours(keep + d) *
                   (*sb_fours(shed + d) + *sb_fours(left + d) * *sb_fours(later + d));
        double money = (sum[0] + sum[1]) + (sum[2] + sum[3]) + fixed[l];
        if (money < best) {
            best = money;
            level = l;
        }
    }
    return level;
}

int sb_greedy_level(const sb_problem *p, int from, int to, const double *load, const double *later)
{
    size_t arc = sb_arc(p, from, to);
    return sb_greedy_level_of(p, p->allowed[arc], p->fixed + arc * (size_t)p->levels, to, load,
                              later);
}
