/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A seeded stream of random numbers, the same on every machine: SplitMix64 (Steele, Lea & Flood
 * 2014, "Fast splittable pseudorandom number generators", doi 10.1145/2660193.2660195). */
#ifndef SB_BASE_RANDOM_H
#define SB_BASE_RANDOM_H

#include <stdint.h>

typedef struct sb_random {
    uint64_t state;
} sb_random;

/** Stream number `stream` of a seed; streams of one seed do not overlap in practice. */
static inline sb_random sb_random_init(uint64_t seed, uint64_t stream)
{
    return (sb_random){seed * 0x9E3779B97F4A7C15u ^ (stream + 1) * 0xD1B54A32D192ED03u};
}

static inline uint64_t sb_random_bits(sb_random *r)
{
    uint64_t z = (r->state += 0x9E3779B97F4A7C15u);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

/** 0 <= u < 1 */
static inline double sb_random_unit(sb_random *r)
{
    return (double)(sb_random_bits(r) >> 11) * 0x1p-53;
}

/** 0 .. n-1, n > 0 */
static inline int sb_random_below(sb_random *r, int n)
{
    return (int)(sb_random_unit(r) * n);
}

#endif
