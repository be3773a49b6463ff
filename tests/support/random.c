/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "random.h"

#include <math.h>

/* splitmix64 (Steele, Lea and Flood 2014, doi 10.1145/2660193.2660195). */
uint64_t support_random_bits(support_random *random)
{
    uint64_t z = (random->state += UINT64_C(0x9e3779b97f4a7c15));
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

double support_random_between(support_random *random, double low, double high)
{
    return low + (high - low) * ((double)(support_random_bits(random) >> 11) * 0x1p-53);
}

double support_random_magnitude(support_random *random, double low, double high)
{
    return exp(support_random_between(random, log(low), log(high)));
}

size_t support_random_below(support_random *random, size_t n)
{
    return (size_t)(support_random_bits(random) % n);
}

bool support_random_chance(support_random *random, double probability)
{
    return support_random_between(random, 0, 1) < probability;
}

void support_random_order(support_random *random, int *items, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        size_t j = support_random_below(random, i + 1);
        items[i] = items[j];
        items[j] = (int)i;
    }
}
