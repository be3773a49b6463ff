/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The inner loops of the label search, over vectors whose length is a multiple of four.
 * Four running sums, added in a fixed order: the same result on every machine, vectorised or not.
 */
#ifndef SB_ORDER_VECTOR_H
#define SB_ORDER_VECTOR_H

#include <stdbool.h>
#include <stdint.h>

/** Before a function whose loops are worth compiling for wider registers too; the right one is
 * picked when the program starts. Not under sanitizers, which cannot follow that. */
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_ADDRESS__)
#define SB_VECTORISED __attribute__((target_clones("avx2", "default")))
#else
#define SB_VECTORISED
#endif

/** Before what such functions call in their loops: a copy of its own would be compiled for narrow
 * registers. */
#if defined(__GNUC__)
#define SB_INLINED static inline __attribute__((always_inline))
#else
#define SB_INLINED static inline
#endif

/** Four numbers, or four sets, wherever they stand in an array. */
typedef double sb_four_numbers __attribute__((vector_size(32), aligned(8), may_alias));
typedef int64_t sb_four_sets __attribute__((vector_size(32), aligned(8), may_alias));

SB_INLINED const sb_four_numbers *sb_fours(const double *numbers)
{
    return (const sb_four_numbers *)numbers;
}

SB_INLINED double sb_vector_dot(const double *a, const double *b, int dims)
{
    sb_four_numbers sum = {0};
    for (int d = 0; d < dims; d += 4)
        sum += *sb_fours(a + d) * *sb_fours(b + d);
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

/** Is there, among the eight from here on, a set without these members whose number is at most so
 * large? */
SB_INLINED bool sb_vector_any_fits(const uint64_t *sets, const double *numbers, uint64_t members,
                                   double most)
{
    sb_four_sets found = {0};
    for (int half = 0; half < 8; half += 4) {
        const sb_four_sets *set = (const sb_four_sets *)(sets + half);
        found |= ((*set & (int64_t)members) == 0) & (*sb_fours(numbers + half) <= most);
    }
    return (found[0] | found[1] | found[2] | found[3]) != 0;
}

/** The most that (a - b) . v can be over all v in the box low <= v <= high. */
SB_INLINED double sb_vector_gap(const double *a, const double *b, const double *high,
                                const double *low, int dims)
{
    sb_four_numbers sum = {0};
    for (int d = 0; d < dims; d += 4) {
        sb_four_numbers over = *sb_fours(a + d) - *sb_fours(b + d);
        sb_four_numbers most = over * *sb_fours(high + d), least = over * *sb_fours(low + d);
        sb_four_sets more = most > least;
        sum += (sb_four_numbers)((more & (sb_four_sets)most) | (~more & (sb_four_sets)least));
    }
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

#endif
