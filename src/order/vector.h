/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The two inner loops of the label search, over vectors whose length is a multiple of four.
 * Four running sums, added in a fixed order: the same result on every machine, vectorised or not.
 */
#ifndef SB_ORDER_VECTOR_H
#define SB_ORDER_VECTOR_H

/** Before a function whose loops are worth compiling for wider registers too; the right one is
 * picked when the program starts. Not under sanitizers, which cannot follow that. */
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_ADDRESS__)
#define SB_VECTORISED __attribute__((target_clones("avx2", "default")))
#else
#define SB_VECTORISED
#endif

static inline double sb_vector_dot(const double *restrict a, const double *restrict b, int dims)
{
    double sum[4] = {0};
    for (int d = 0; d < dims; d += 4)
        for (int lane = 0; lane < 4; lane++)
            sum[lane] += a[d + lane] * b[d + lane];
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

/** The most that (a - b) . v can be over all v in the box low <= v <= high. */
static inline double sb_vector_gap(const double *restrict a, const double *restrict b,
                                   const double *restrict high, const double *restrict low,
                                   int dims)
{
    double sum[4] = {0};
    for (int d = 0; d < dims; d += 4)
        for (int lane = 0; lane < 4; lane++) {
            double over = a[d + lane] - b[d + lane];
            double most = over * high[d + lane], least = over * low[d + lane];
            sum[lane] += most > least ? most : least;
        }
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

#endif
