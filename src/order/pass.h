/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What every search over labels does, be it for walks of n stops (order/walk.h) or of any length
 * (order/fleet_price.h): buckets are filled by threads, candidates sieved, labels counted, forward
 * and backward ones put together. */
#ifndef SB_ORDER_PASS_H
#define SB_ORDER_PASS_H

#include <math.h>

#include "order/labels.h"
#include "order/parallel.h"
#include "order/vector.h"

typedef enum sb_pass_end {
    SB_PASS_DONE,
    SB_PASS_CAPPED,  /**< more than most_labels */
    SB_PASS_STOPPED, /**< the crew was told to stop */
    SB_PASS_NOMEM,
} sb_pass_end;

/** What one thread fills a bucket with. */
typedef struct sb_label_worker {
    sb_bucket candidates;
    sb_bucket *kept; /**< the bucket being filled: what earlier sievings left */
    sb_sieve sieve;  /**< for it */
    sb_sieve_room room;
    double *load;  /**< dims: scratch for the label at hand */
    uint64_t *set; /**< words: likewise */
} sb_label_worker;

/** One for each thread of the crew, or NULL when out of memory. Free with sb_label_workers_free. */
sb_label_worker *sb_label_workers_new(const sb_problem *p, const sb_crew *crew);
void sb_label_workers_free(sb_label_worker *workers, const sb_crew *crew);

/** One pass under way. The first member of whatever its pieces are handed as context. */
typedef struct sb_pass_run {
    const sb_problem *p;
    sb_crew *crew;
    long most_labels; /**< give up beyond so many */
    bool sift_early;  /**< sieve while a bucket fills: most labels are then refused before they are
                           stored. What absorbs what depends on it */
    atomic_long made; /**< labels kept so far */
    atomic_int end;   /**< sb_pass_end */
} sb_pass_run;

/** Ends the pass; the first reason counts. */
void sb_pass_fail(sb_pass_run *run, sb_pass_end end);
/** Has the pass ended, or the crew been told to stop? */
bool sb_pass_is_over(sb_pass_run *run);
/** Calls piece(context, field, worker) for every field, by several threads from so many fields on:
 * below, a round is done sooner than other threads wake up. Nothing is called any more once the
 * crew is told to stop: the caller then drops the pass. */
void sb_pass_share(sb_pass_run *run, int worth_sharing,
                   void (*piece)(void *context, int field, int worker), void *context);
/** What the pass came to; adds its labels to a count. One that came to its cap counts as the cap:
 * how far others were when one met it is chance, and what is done next depends on the count. */
sb_pass_end sb_pass_finish(const sb_pass_run *run, long *labels);

/** A sieve for labels of this problem. Relaxed walks ignore seed limits, so they may mix loads;
 * with `exact` only labels that have seen the same fields are compared. */
sb_sieve sb_pass_sieve(const sb_problem *p, bool exact, bool forward, const double *high,
                       const double *low);
/** Begins to fill a bucket. */
void sb_pass_open(sb_label_worker *worker, sb_bucket *bucket, const sb_sieve *sieve);
/** Takes the label with the worker's load and set, unless a kept one is as good.
 * @return false: the pass is over */
bool sb_pass_take(sb_pass_run *run, sb_label_worker *worker, const sb_label *label);
/** Sieves the candidates together with what earlier sievings kept.
 * @return false: out of memory, the pass is over */
bool sb_pass_sift(sb_pass_run *run, sb_label_worker *worker);
/** Counts the labels of a bucket that is done. */
void sb_pass_count(sb_pass_run *run, const sb_bucket *bucket);

/** Remembers, along each cycle of a walk, the field it came back to, where there is room for it in
 * all fields on the way.
 * @param memory n x words, grown
 * @param most    fields that a field may remember
 * @param longest moves of a cycle; longer ones are passed over
 * @return was there room for any? */
bool sb_remember_cycles(const sb_problem *p, uint64_t *memory, const int *field, int stops,
                        int most, int longest);

/** Spending and full cleanouts after one more cleanout; false: over their limits. */
static inline bool sb_pass_spend(const sb_problem *p, const sb_label *from, int level,
                                 sb_label *label)
{
    label->res[SB_RES_SPEND] = from->res[SB_RES_SPEND] + p->level_cost[level];
    label->res[SB_RES_FULL] = from->res[SB_RES_FULL] + p->level_full[level];
    return (!p->counted[SB_RES_SPEND] ||
            label->res[SB_RES_SPEND] <= sb_spend_most(p->most[SB_RES_SPEND])) &&
           (!p->counted[SB_RES_FULL] || label->res[SB_RES_FULL] <= p->most[SB_RES_FULL]);
}

/** Money after one more move that takes so much; false: over its limit with so much for the way
 * home. */
static inline bool sb_pass_pay(const sb_problem *p, const sb_label *from, double money, double home,
                               sb_label *label)
{
    label->res[SB_RES_MONEY] = from->res[SB_RES_MONEY] + money;
    return label->res[SB_RES_MONEY] + home <= sb_spend_most(p->most[SB_RES_MONEY]);
}

/** The price of the load that is brought to a move into j after a level, from that of the load j is
 * left with. @param price, before dims numbers each */
SB_INLINED void sb_pass_price(const sb_problem *p, int j, int level, const double *price,
                              double *before)
{
    const double *keep = p->keep + (size_t)level * (size_t)p->dims;
    const double *shed = p->shed + (size_t)j * (size_t)p->dims;
    const double *left = p->left + (size_t)j * (size_t)p->dims;
    for (int d = 0; d < p->dims; d++)
        before[d] = keep[d] * (shed[d] + left[d] * price[d]);
}

static inline bool sb_pass_resources_fit(const sb_problem *p, const sb_label *forward,
                                         const sb_label *backward)
{
    const double *a = forward->res, *b = backward->res;
    return (!p->counted[SB_RES_TIME] || a[SB_RES_TIME] + b[SB_RES_TIME] <= SB_SAME_TIME_H) &&
           (!p->counted[SB_RES_SPEND] ||
            a[SB_RES_SPEND] + b[SB_RES_SPEND] <= sb_spend_most(p->most[SB_RES_SPEND])) &&
           (!p->counted[SB_RES_FULL] || a[SB_RES_FULL] + b[SB_RES_FULL] <= p->most[SB_RES_FULL]) &&
           (!p->counted[SB_RES_MONEY] ||
            a[SB_RES_MONEY] + b[SB_RES_MONEY] <= sb_spend_most(p->most[SB_RES_MONEY]));
}

/** What this label, just come to field `here`, comes to with the cheapest label of the opposite
 * pass there that fits it; INFINITY: none stays under the limit. Opposite labels stand in ascending
 * order of what they can cost at least, so the search ends early; with `any`, at the first one. */
SB_INLINED double sb_pass_completion(const sb_problem *p, const sb_bucket *opposite, int here,
                                     const sb_label *label, const double *load, const uint64_t *set,
                                     double limit, bool any)
{
    double room = limit - label->cost, least = INFINITY;
    for (int k = 0; k < opposite->count; k++) {
        if (opposite->keys[k] - opposite->most_lowered >= (least < room ? least : room))
            break;
        const uint64_t *other = sb_set_of(p, opposite->sets, k);
        bool twice = false;
        for (int word = 0; word < p->words && !twice; word++) {
            uint64_t both = set[word] & other[word];
            if (here >> 6 == word)
                both &= ~((uint64_t)1 << (here & 63));
            twice = both != 0;
        }
        if (twice || !sb_pass_resources_fit(p, label, &opposite->labels[k]))
            continue;
        double money = opposite->labels[k].cost +
                       sb_vector_dot(opposite->loads + (size_t)k * (size_t)p->dims, load, p->dims);
        least = fmin(least, money);
        if (any && least < room)
            break;
    }
    return least < room ? label->cost + least : INFINITY;
}

#endif
