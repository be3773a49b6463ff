/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/labels.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "order/vector.h"

/* Two costs closer than this share of each other are rounding, not a difference. */
#define SAME_COST 1e-12

typedef struct rank {
    double low_key;      /* cost + low . load */
    const uint64_t *set; /* NULL: sets do not order */
    int words;
    int index;
} rank;

static bool reserve(sb_bucket *b, int dims, int words, int wanted)
{
    if (wanted <= b->capacity)
        return true;
    int capacity = b->capacity ? b->capacity : 16;
    while (capacity < wanted)
        capacity *= 2;
    sb_label *labels = sb_resize(b->labels, (size_t)capacity, sizeof *labels);
    if (labels != NULL)
        b->labels = labels;
    double *loads = sb_resize(b->loads, (size_t)capacity * (size_t)dims, sizeof *loads);
    if (loads != NULL)
        b->loads = loads;
    uint64_t *sets = sb_resize(b->sets, (size_t)capacity * (size_t)words, sizeof *sets);
    if (sets != NULL)
        b->sets = sets;
    double *keys = sb_resize(b->keys, (size_t)capacity, sizeof *keys);
    if (keys != NULL)
        b->keys = keys;
    double *high_keys = sb_resize(b->high_keys, (size_t)capacity, sizeof *high_keys);
    if (high_keys != NULL)
        b->high_keys = high_keys;
    if (!labels || !loads || !sets || !keys || !high_keys)
        return false;
    b->capacity = capacity;
    return true;
}

bool sb_bucket_push(sb_bucket *b, int dims, int words, const sb_label *label, const double *load,
                    const uint64_t *set)
{
    if (!reserve(b, dims, words, b->count + 1))
        return false;
    size_t at = (size_t)b->count++;
    b->labels[at] = *label;
    memcpy(b->loads + at * (size_t)dims, load, (size_t)dims * sizeof *load);
    memcpy(b->sets + at * (size_t)words, set, (size_t)words * sizeof *set);
    return true;
}

void sb_bucket_clear(sb_bucket *b)
{
    sb_free(b->trails);
    b->trails = NULL;
    b->count = 0;
    b->most_lowered = 0;
}

void sb_bucket_forget_loads(sb_bucket *b)
{
    sb_free(b->loads);
    sb_free(b->sets);
    sb_free(b->keys);
    sb_free(b->high_keys);
    b->loads = NULL;
    b->sets = NULL;
    b->keys = NULL;
    b->high_keys = NULL;
    b->capacity = 0;
}

sb_trail sb_bucket_trail(const sb_bucket *b, int i)
{
    if (b->trails != NULL)
        return b->trails[i];
    const sb_label *label = &b->labels[i];
    return (sb_trail){label->parent, label->parent_field, label->level};
}

bool sb_bucket_keep_trails(sb_bucket *b)
{
    sb_trail *trails = b->count > 0 ? sb_alloc((size_t)b->count, sizeof *trails) : NULL;
    if (trails == NULL && b->count > 0)
        return false;
    for (int i = 0; i < b->count; i++)
        trails[i] = sb_bucket_trail(b, i);
    sb_bucket_forget_loads(b);
    sb_free(b->labels);
    sb_free(b->trails);
    b->labels = NULL;
    b->trails = trails;
    return true;
}

void sb_bucket_release(sb_bucket *b)
{
    sb_bucket_forget_loads(b);
    sb_free(b->labels);
    sb_free(b->trails);
    *b = (sb_bucket){0};
}

void sb_sieve_room_release(sb_sieve_room *room)
{
    sb_free(room->order);
    *room = (sb_sieve_room){0};
}

static inline bool comes_first(const rank *a, const rank *b)
{
    if (a->set != NULL)
        for (int w = 0; w < a->words; w++)
            if (a->set[w] != b->set[w])
                return a->set[w] < b->set[w];
    return a->low_key != b->low_key ? a->low_key < b->low_key : a->index < b->index;
}

/* Quicksort with the comparison inlined: sorting is a quarter of the whole search. No two ranks
 * are equal, so the result does not depend on how it is reached. */
static void sort_ranks(rank *r, int n)
{
    while (n > 16) {
        /* The median of three ends up in r[0]. */
        rank *middle = &r[n / 2], *last = &r[n - 1], swap;
#define SWAP(a, b) (swap = *(a), *(a) = *(b), *(b) = swap)
        if (comes_first(middle, r))
            SWAP(middle, r);
        if (comes_first(last, r))
            SWAP(last, r);
        if (comes_first(middle, last))
            SWAP(middle, last);
        rank pivot = *last;
        int i = -1, j = n;
        for (;;) {
            while (comes_first(&r[++i], &pivot))
                continue;
            while (comes_first(&pivot, &r[--j]))
                continue;
            if (i >= j)
                break;
            SWAP(&r[i], &r[j]);
        }
#undef SWAP
        /* The smaller side by recursion, the larger by the loop: depth stays logarithmic. */
        if (i < n - i) {
            sort_ranks(r, i);
            r += i;
            n -= i;
        } else {
            sort_ranks(r + i, n - i);
            n = i;
        }
    }
    for (int i = 1; i < n; i++) {
        rank moving = r[i];
        int j = i;
        for (; j > 0 && comes_first(&moving, &r[j - 1]); j--)
            r[j] = r[j - 1];
        r[j] = moving;
    }
}

static bool same(const uint64_t *a, const uint64_t *b, int words)
{
    return memcmp(a, b, (size_t)words * sizeof *a) == 0;
}

/* Is `kept` at least as good as `label` for every future? Lowers kept to make it so if the sieve
 * allows. */
SB_INLINED bool absorbs(const sb_sieve *s, sb_bucket *bucket, int k, const sb_label *label,
                        const double *load)
{
    sb_label *kept = &bucket->labels[k];
    const double *kept_load = bucket->loads + (size_t)k * (size_t)s->dims;
    double time_over = 0;
    for (int r = 0; r < SB_N_RES; r++) {
        if (!s->counted[r])
            continue;
        double over = kept->res[r] - label->res[r];
        if (over <= (r == SB_RES_FULL ? 0 : SB_SAME_TIME_H * 1e-3))
            continue;
        if (r != SB_RES_TIME || kept->lowered_h + over > s->absorb_time)
            return false;
        time_over = over;
    }
    if (s->limited != NULL && !kept->safe)
        for (int d = 0; d < s->dims; d++)
            if (s->limited[d] && kept_load[d] > load[d])
                return false;
    double over =
        kept->cost - label->cost + sb_vector_gap(kept_load, load, s->high, s->low, s->dims);
    if (over > SAME_COST * fabs(label->cost)) {
        if (kept->lowered + over > s->absorb)
            return false;
        kept->cost -= over;
        kept->lowered += over;
        bucket->high_keys[k] -= over;
    }
    if (time_over > 0) {
        kept->res[SB_RES_TIME] = label->res[SB_RES_TIME];
        kept->lowered_h += time_over;
    }
    return true;
}

/* The first kept label from k on that has seen no more fields and whose high key allows it to
 * absorb; count: there is none. Most labels fail here, so eight are looked at at once. */
SB_INLINED int next_fit(const sb_bucket *kept, int k, int words, const uint64_t *set,
                        double allowed)
{
    const double *high_keys = kept->high_keys;
    int count = kept->count;
    if (words == 1)
        while (k + 8 <= count &&
               !sb_vector_any_fits(kept->sets + k, high_keys + k, ~set[0], allowed))
            k += 8;
    for (; k < count; k++)
        if (high_keys[k] <= allowed &&
            sb_is_subset(kept->sets + (size_t)k * (size_t)words, set, words))
            break;
    return k;
}

/* Does one of the kept labels absorb this one? */
SB_INLINED bool refuses(const sb_sieve *s, sb_bucket *kept, const sb_label *label,
                        const double *load, const uint64_t *set, double high_key)
{
    double allowed = high_key + s->absorb + SAME_COST * fabs(label->cost);
    for (int k = next_fit(kept, 0, s->words, set, allowed); k < kept->count;
         k = next_fit(kept, k + 1, s->words, set, allowed))
        if (absorbs(s, kept, k, label, load))
            return true;
    return false;
}

/* The same among labels that have seen the same fields, which begin at `group`. */
SB_INLINED bool group_refuses(const sb_sieve *s, sb_bucket *kept, int group, const sb_label *label,
                              const double *load, double high_key)
{
    double allowed = high_key + s->absorb + SAME_COST * fabs(label->cost);
    for (int k = group; k < kept->count; k++)
        if (kept->high_keys[k] <= allowed && absorbs(s, kept, k, label, load))
            return true;
    return false;
}

SB_VECTORISED
bool sb_sieve_refuses(const sb_sieve *s, sb_bucket *kept, const sb_label *label, const double *load,
                      const uint64_t *set)
{
    return refuses(s, kept, label, load, set, label->cost + sb_vector_dot(load, s->high, s->dims));
}

SB_VECTORISED
bool sb_sieve_labels(const sb_sieve *s, const sb_bucket *from, sb_bucket *kept, sb_sieve_room *room)
{
    sb_bucket_clear(kept);
    if (from->count == 0)
        return true;
    size_t dims = (size_t)s->dims, words = (size_t)s->words;
    if (room->capacity < (size_t)from->count) {
        rank *grown = sb_resize(room->order, (size_t)from->count * 2, sizeof(rank));
        if (grown == NULL)
            return false;
        room->order = grown;
        room->capacity = (size_t)from->count * 2;
    }
    rank *order = room->order;
    for (int i = 0; i < from->count; i++)
        order[i] = (rank){from->labels[i].cost +
                              sb_vector_dot(from->loads + (size_t)i * dims, s->low, s->dims),
                          s->same_set ? from->sets + (size_t)i * words : NULL, s->words, i};
    sort_ranks(order, from->count);
    int group = 0; /* first kept label of the same set */
    for (int i = 0; i < from->count; i++) {
        size_t at = (size_t)order[i].index;
        const double *load = from->loads + at * dims;
        const uint64_t *set = from->sets + at * words;
        const sb_label *label = &from->labels[at];
        if (s->same_set && kept->count > 0 &&
            !same(kept->sets + (size_t)(kept->count - 1) * words, set, s->words))
            group = kept->count;
        double high_key = label->cost + sb_vector_dot(load, s->high, s->dims);
        if (s->same_set ? group_refuses(s, kept, group, label, load, high_key)
                        : refuses(s, kept, label, load, set, high_key))
            continue;
        if (!sb_bucket_push(kept, s->dims, s->words, label, load, set))
            return false;
        kept->keys[kept->count - 1] = order[i].low_key;
        kept->high_keys[kept->count - 1] = high_key;
    }
    for (int k = 0; k < kept->count; k++)
        if (kept->labels[k].lowered > kept->most_lowered)
            kept->most_lowered = kept->labels[k].lowered;
    return true;
}

void sb_bucket_keep_promising(sb_bucket *b, int dims, int words, int most, sb_sieve_room *room)
{
    if (b->count <= most)
        return;
    rank *order = room->order; /* at least as long as the bucket it sieved */
    for (int i = 0; i < b->count; i++)
        order[i] = (rank){b->labels[i].promise, NULL, 0, i};
    sort_ranks(order, b->count);
    rank last = order[most - 1];
    int kept = 0;
    for (int i = 0; i < b->count; i++) {
        rank here = {b->labels[i].promise, NULL, 0, i};
        if (comes_first(&last, &here))
            continue;
        b->labels[kept] = b->labels[i];
        memmove(b->loads + (size_t)kept * (size_t)dims, b->loads + (size_t)i * (size_t)dims,
                (size_t)dims * sizeof *b->loads);
        memmove(b->sets + (size_t)kept * (size_t)words, b->sets + (size_t)i * (size_t)words,
                (size_t)words * sizeof *b->sets);
        b->keys[kept] = b->keys[i];
        b->high_keys[kept] = b->high_keys[i];
        kept++;
    }
    b->count = kept;
}
