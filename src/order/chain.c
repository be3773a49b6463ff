/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/chain.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "order/labels.h"
#include "order/vector.h"

/* Boxes of the price of a load after each position: levels still open, everything else known. */
static void price_boxes(const sb_problem *p, const int *field, double *high, double *low)
{
    size_t dims = (size_t)p->dims;
    for (int t = p->n - 2; t >= 0; t--) {
        int i = field[t], j = field[t + 1];
        for (size_t d = 0; d < dims; d++) {
            double most = 0, least = 1;
            for (int l = 0; l < p->levels; l++)
                if (p->allowed[sb_arc(p, i, j)] >> l & 1) {
                    most = fmax(most, p->keep[(size_t)l * dims + d]);
                    least = fmin(least, p->keep[(size_t)l * dims + d]);
                }
            size_t here = (size_t)t * dims + d, next = here + dims;
            double shed = p->shed[(size_t)j * dims + d], left = p->left[(size_t)j * dims + d];
            high[here] = most * (shed + left * high[next]);
            low[here] = least * (shed + left * low[next]);
        }
    }
}

/* Extends every label of one position by every level; rules that depend on the order alone were
 * checked by the caller. */
static bool extend(const sb_problem *p, const sb_bucket *from, int i, int j, sb_bucket *to)
{
    double load[2 * SB_MAX_SECTIONS * SB_MAX_WEEDS];
    uint64_t none = 0;
    size_t dims = (size_t)p->dims;
    for (int a = 0; a < from->count; a++)
        for (int l = 0; l < p->levels; l++) {
            const double *old = from->loads + (size_t)a * dims;
            if (!(p->allowed[sb_arc(p, i, j)] >> l & 1) || !sb_limits_kept(p, i, j, l, old))
                continue;
            sb_label next = from->labels[a];
            next.parent = a;
            next.level = (unsigned char)l;
            next.res[SB_RES_TIME] = sb_finish_h(p, i, j, l, next.res[SB_RES_TIME]);
            next.res[SB_RES_SPEND] += p->level_cost[l];
            next.res[SB_RES_FULL] += p->level_full[l];
            if (next.res[SB_RES_TIME] > p->latest_h[j] + SB_SAME_TIME_H ||
                next.res[SB_RES_TIME] + p->home_h[j] > p->end_h + SB_SAME_TIME_H ||
                next.res[SB_RES_SPEND] > p->most[SB_RES_SPEND] * (1 + 1e-9) + 1e-9 ||
                next.res[SB_RES_FULL] > p->most[SB_RES_FULL])
                continue;
            next.cost +=
                sb_move_load(p, i, j, l, old, load) + sb_delay(p, j, next.res[SB_RES_TIME]);
            if (!sb_bucket_push(to, p->dims, 1, &next, load, &none))
                return false;
        }
    return true;
}

static bool order_kept(const sb_problem *p, const int *field)
{
    for (int t = 0; t < p->n && p->ordered; t++)
        for (int u = 0; u < t; u++)
            if (sb_has(p->behind + (size_t)field[t] * (size_t)p->words, field[u]))
                return false;
    return true;
}

static void read_back(const sb_problem *p, const int *field, const sb_bucket *layers, int *level,
                      double *cost)
{
    const sb_bucket *last = &layers[p->n];
    int best = -1;
    for (int a = 0; a < last->count; a++)
        if (best < 0 || last->labels[a].cost < last->labels[best].cost)
            best = a;
    if (best < 0)
        return;
    *cost = last->labels[best].cost + p->home_cost[field[p->n - 1]];
    if (isinf(*cost))
        return;
    for (int t = p->n; t > 0; t--) {
        level[t - 1] = layers[t].labels[best].level;
        best = layers[t].labels[best].parent;
    }
}

sb_status sb_chain_levels(const sb_problem *p, const int *field, int *level, double *cost)
{
    *cost = INFINITY;
    if (!order_kept(p, field))
        return SB_OK;
    size_t n = (size_t)p->n, dims = (size_t)p->dims;
    sb_status status = SB_ERR_NOMEM;
    sb_sieve_room room = {0};
    sb_bucket candidates = {0};
    sb_bucket *layers = sb_alloc(n + 1, sizeof *layers);
    double *high = sb_alloc_aligned(n * dims, sizeof *high);
    double *low = sb_alloc_aligned(n * dims, sizeof *low);
    if (layers == NULL || high == NULL || low == NULL)
        goto out;
    price_boxes(p, field, high, low);
    sb_label start = {.parent = -1};
    uint64_t none = 0;
    if (!sb_bucket_push(&layers[0], p->dims, 1, &start, p->own + n * dims, &none))
        goto out;
    for (int t = 0; t < p->n; t++) {
        sb_sieve sieve = {.dims = p->dims,
                          .words = 1,
                          .high = high + (size_t)t * dims,
                          .low = low + (size_t)t * dims,
                          .limited = p->n_limits > 0 ? p->limited : NULL,
                          .same_set = false};
        memcpy(sieve.counted, p->counted, sizeof sieve.counted);
        sb_bucket_clear(&candidates);
        if (!extend(p, &layers[t], t ? field[t - 1] : p->n, field[t], &candidates) ||
            !sb_sieve_labels(&sieve, &candidates, &layers[t + 1], &room))
            goto out;
        sb_bucket_forget_loads(&layers[t]);
    }
    read_back(p, field, layers, level, cost);
    status = SB_OK;
out:
    for (size_t t = 0; layers != NULL && t <= n; t++)
        sb_bucket_release(&layers[t]);
    sb_bucket_release(&candidates);
    sb_sieve_room_release(&room);
    sb_free(layers);
    sb_free(high);
    sb_free(low);
    return status;
}
