/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Random numbers for tests: one seed, one sequence, on every machine. */
#ifndef SUPPORT_RANDOM_H
#define SUPPORT_RANDOM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct support_random {
    uint64_t state; /**< any value is a good seed */
} support_random;

uint64_t support_random_bits(support_random *random);
/** Evenly in [low, high). */
double support_random_between(support_random *random, double low, double high);
/** Evenly over orders of magnitude, 0 < low < high. */
double support_random_magnitude(support_random *random, double low, double high);
/** A whole number in 0 .. n-1, n > 0. */
size_t support_random_below(support_random *random, size_t n);
bool support_random_chance(support_random *random, double probability);
/** Puts 0 .. n-1 into items in a random order. */
void support_random_order(support_random *random, int *items, size_t n);

#endif
