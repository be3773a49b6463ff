/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Labels: partial plans that end in one field, and the sieve that keeps only those worth having.
 *
 * A forward label is a plan so far: `cost`, the load it leaves with, resources used, fields seen.
 * A backward label is a plan's remainder: `cost` K and, in place of the load, the price V of what
 * the machine brings, so that the rest costs K + V . load. Sieving is the same for both: a label
 * goes when another one is no worse for every vector of the other kind inside a box. */
#ifndef SB_ORDER_LABELS_H
#define SB_ORDER_LABELS_H

#include "order/problem.h"

typedef struct sb_label {
    double cost;
    double res[SB_N_RES]; /**< used so far; for backward labels time counts from the end */
    double lowered;       /**< how much the sieve has lowered cost to absorb worse labels */
    double lowered_h;     /**< likewise its time, h */
    double promise;       /**< of a pruned pass: a cost its completion may come to */
    int parent;           /**< index in the bucket it was extended from, -1: none */
    short parent_field;
    bool safe;           /**< no future can make this load break a seed limit */
    unsigned char level; /**< of the move that extended the parent */
} sb_label;

/** What following a plan back needs of a label. */
typedef struct sb_trail {
    int parent;
    short parent_field;
    unsigned char level;
} sb_trail;

/** Labels that end in one field at one position. Row i of `loads` and `sets` belongs to label i;
 * sieved buckets stand in ascending order of `keys`. */
typedef struct sb_bucket {
    sb_label *labels;
    double *loads;     /**< count x dims */
    uint64_t *sets;    /**< count x words */
    double *keys;      /**< count: cost + low . load when sieved, before any lowering */
    double *high_keys; /**< count: cost + high . load; a label can only be absorbed by one whose two
                            keys are both no larger, which is quick to see */
    double most_lowered; /**< of its labels: no completion undercuts key - most_lowered */
    sb_trail *trails;    /**< count, when that is all that was kept of the labels; else NULL */
    int count, capacity;
} sb_bucket;

typedef struct sb_sieve {
    int dims, words;
    const double *high, *low; /**< dims: box of the vectors that loads will be multiplied with */
    const uint8_t *limited; /**< dims in which a label that is not safe may absorb only labels that
                                 carry at least as much; NULL: none */
    bool counted[SB_N_RES];
    bool same_set;      /**< compare only labels that have seen exactly the same fields */
    double absorb;      /**< a label may be lowered by this much in all to absorb others: keeps the
                             bound valid and the bucket small. 0: exact */
    double absorb_time; /**< likewise for time, h */
} sb_sieve;

/** Adds a label; load (dims) and set (words) are copied. @return false: out of memory */
bool sb_bucket_push(sb_bucket *bucket, int dims, int words, const sb_label *label,
                    const double *load, const uint64_t *set);
void sb_bucket_clear(sb_bucket *bucket);
void sb_bucket_release(sb_bucket *bucket);
/** Frees what only an extension needs; labels stay, to follow parents through. */
void sb_bucket_forget_loads(sb_bucket *bucket);
/** Keeps an eighth: the trails alone. The bucket is then only good for following plans back, until
 * it is cleared. @return false: out of memory, nothing changed */
bool sb_bucket_keep_trails(sb_bucket *bucket);
/** Trail i, whatever was kept. */
sb_trail sb_bucket_trail(const sb_bucket *bucket, int i);

/** Room that sieving needs; one per thread, grows, release at the end. */
typedef struct sb_sieve_room {
    void *order;
    size_t capacity;
} sb_sieve_room;
void sb_sieve_room_release(sb_sieve_room *room);

/** Drops all but the `most` labels of the least promise; ties go to the earlier label.
 * @param room as the bucket's last sieving left it */
void sb_bucket_keep_promising(sb_bucket *bucket, int dims, int words, int most,
                              sb_sieve_room *room);

/** Is this label no better than one of a sieved bucket, so that it need not be kept for the next
 * sieving? That one may be lowered to absorb it. Not for same_set. */
bool sb_sieve_refuses(const sb_sieve *sieve, sb_bucket *kept, const sb_label *label,
                      const double *load, const uint64_t *set);

/** Moves what survives the sieve from candidates into kept (emptied first), sorted by key.
 * @return false: out of memory */
bool sb_sieve_labels(const sb_sieve *sieve, const sb_bucket *candidates, sb_bucket *kept,
                     sb_sieve_room *room);

#endif
