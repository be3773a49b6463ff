/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/chain.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "order/pass.h"

/* Boxes of the price of a load after each position: levels still open, everything else known. */
static void price_boxes(const sb_problem *p, const int *field, int count, double *high, double *low)
{
    size_t dims = (size_t)p->dims;
    for (int t = count - 2; t >= 0; t--) {
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

/* What each limit ahead could come to at worst: constant + weight . load on leaving a position. */
typedef struct outlook {
    int count;        /* fields of the order */
    double *weight;   /* limits x count x dims */
    double *constant; /* limits x count */
    uint8_t *matters; /* count x dims: does a limit ahead look at this number? */
} outlook;

static bool outlook_init(outlook *o, const sb_problem *p, int count)
{
    size_t cells = (size_t)count * (size_t)p->dims, limits = (size_t)p->n_limits;
    o->count = count;
    o->weight = sb_alloc(limits * cells, sizeof *o->weight);
    o->constant = sb_alloc(limits * (size_t)count, sizeof *o->constant);
    o->matters = sb_alloc(cells, sizeof *o->matters);
    return o->weight != NULL && o->constant != NULL && o->matters != NULL;
}

static void outlook_release(outlook *o)
{
    sb_free(o->weight);
    sb_free(o->constant);
    sb_free(o->matters);
}

/* Backward from each limited field with the least thorough levels that the order allows. */
static void look_ahead(const sb_problem *p, const int *field, outlook *o)
{
    size_t dims = (size_t)p->dims, n = (size_t)o->count;
    for (int r = 0; r < p->n_limits; r++) {
        double *weight = o->weight + (size_t)r * n * dims, *constant = o->constant + (size_t)r * n;
        int at = 0;
        while (at < o->count && field[at] != p->limits[r].field)
            at++;
        if (at == o->count) /* not of this route: nothing to keep */
            continue;
        for (int t = at - 1; t >= 0; t--) {
            int i = field[t], j = field[t + 1];
            bool first = t == at - 1;
            constant[t] = first ? p->limits[r].most_fixed : constant[t + 1];
            for (size_t d = 0; d < dims; d++) {
                double most = 0, next = first ? 0 : weight[((size_t)t + 1) * dims + d];
                for (int l = 0; l < p->levels; l++)
                    if (p->allowed[sb_arc(p, i, j)] >> l & 1)
                        most = fmax(most, p->keep[(size_t)l * dims + d]);
                constant[t] += next * p->own[(size_t)j * dims + d];
                weight[(size_t)t * dims + d] =
                    most * (first ? p->limits[r].weight[d] : p->left[(size_t)j * dims + d] * next);
                o->matters[(size_t)t * dims + d] |= weight[(size_t)t * dims + d] > 0;
            }
        }
    }
}

static bool safe_ahead(const sb_problem *p, const outlook *o, int t, const double *load)
{
    size_t dims = (size_t)p->dims, n = (size_t)o->count;
    for (int r = 0; r < p->n_limits; r++) {
        const double *weight = o->weight + ((size_t)r * n + (size_t)t) * dims;
        double most = o->constant[(size_t)r * n + (size_t)t];
        for (size_t d = 0; d < dims; d++)
            most += weight[d] * load[d];
        if (most > p->limits[r].most)
            return false;
    }
    return true;
}

/* Keeps the most promising labels only. With seed limits that bind, labels may hardly absorb each
 * other; the levels are then good and not certainly the best. */
#define MOST_LABELS 4000

/* Extends every label of one position by every level; rules that depend on the order alone were
 * checked by the caller. */
static bool extend(const sb_problem *p, const outlook *o, const sb_bucket *from, int t,
                   const int *field, sb_bucket *to)
{
    int i = t ? field[t - 1] : p->n, j = field[t];
    double load[SB_MAX_DIMS];
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
                next.res[SB_RES_SPEND] > sb_spend_most(p->most[SB_RES_SPEND]) ||
                next.res[SB_RES_FULL] > p->most[SB_RES_FULL])
                continue;
            double delay = sb_delay(p, j, next.res[SB_RES_TIME]);
            double home = t + 1 == o->count ? p->home_cost[j] : 0;
            if (p->counted[SB_RES_MONEY] &&
                !sb_pass_pay(p, &next, sb_move_money(p, i, j, l) + delay, home, &next))
                continue;
            next.cost += sb_move_load(p, i, j, l, old, load) + delay;
            next.safe = safe_ahead(p, o, t, load);
            if (!sb_bucket_push(to, p->dims, 1, &next, load, &none))
                return false;
        }
    return true;
}

static bool order_kept(const sb_problem *p, const int *field, int count)
{
    for (int t = 0; t < count && p->ordered; t++)
        for (int u = 0; u < t; u++)
            if (sb_has(p->behind + (size_t)field[t] * (size_t)p->words, field[u]))
                return false;
    return true;
}

static void read_back(const sb_problem *p, const int *field, int count, const sb_bucket *layers,
                      int *level, double *cost)
{
    const sb_bucket *last = &layers[count];
    int best = -1;
    for (int a = 0; a < last->count; a++)
        if (best < 0 || last->labels[a].cost < last->labels[best].cost)
            best = a;
    if (best < 0)
        return;
    *cost = last->labels[best].cost + p->home_cost[field[count - 1]];
    if (isinf(*cost))
        return;
    for (int t = count; t > 0; t--) {
        level[t - 1] = layers[t].labels[best].level;
        best = layers[t].labels[best].parent;
    }
}

sb_status sb_chain_levels(const sb_problem *p, const int *field, int *level, double *cost)
{
    return sb_chain_route_levels(p, field, p->n, level, cost);
}

sb_status sb_chain_route_levels(const sb_problem *p, const int *field, int count, int *level,
                                double *cost)
{
    *cost = count == 0 ? 0 : INFINITY;
    if (count == 0 || !order_kept(p, field, count))
        return SB_OK;
    size_t n = (size_t)count, dims = (size_t)p->dims;
    sb_status status = SB_ERR_NOMEM;
    sb_sieve_room room = {0};
    sb_bucket candidates = {0};
    outlook ahead = {0};
    sb_bucket *layers = sb_alloc(n + 1, sizeof *layers);
    double *high = sb_alloc_aligned(n * dims, sizeof *high);
    double *low = sb_alloc_aligned(n * dims, sizeof *low);
    if (layers == NULL || high == NULL || low == NULL || !outlook_init(&ahead, p, count))
        goto out;
    price_boxes(p, field, count, high, low);
    look_ahead(p, field, &ahead);
    sb_label start = {.parent = -1};
    uint64_t none = 0;
    if (!sb_bucket_push(&layers[0], p->dims, 1, &start, p->own + (size_t)p->n * dims, &none))
        goto out;
    for (int t = 0; t < count; t++) {
        sb_sieve sieve = {.dims = p->dims,
                          .words = 1,
                          .high = high + (size_t)t * dims,
                          .low = low + (size_t)t * dims,
                          .limited = ahead.matters + (size_t)t * dims,
                          .same_set = false};
        memcpy(sieve.counted, p->counted, sizeof sieve.counted);
        sb_bucket_clear(&candidates);
        if (!extend(p, &ahead, &layers[t], t, field, &candidates) ||
            !sb_sieve_labels(&sieve, &candidates, &layers[t + 1], &room))
            goto out;
        if (layers[t + 1].count > MOST_LABELS)
            layers[t + 1].count = MOST_LABELS;
        sb_bucket_forget_loads(&layers[t]);
    }
    read_back(p, field, count, layers, level, cost);
    status = SB_OK;
out:
    for (size_t t = 0; layers != NULL && t <= n; t++)
        sb_bucket_release(&layers[t]);
    sb_bucket_release(&candidates);
    sb_sieve_room_release(&room);
    outlook_release(&ahead);
    sb_free(layers);
    sb_free(high);
    sb_free(low);
    return status;
}
