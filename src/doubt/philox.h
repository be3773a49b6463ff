/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Random numbers by counter: Philox4x32-10 (Salmon, Moraes, Dror & Shaw 2011, "Parallel random
 * numbers: as easy as 1, 2, 3", doi 10.1145/2063384.2063405). A number depends on the seed, the
 * sample and what it is drawn for, and on nothing that was drawn before: any thread and any machine
 * can draw any sample. */
#ifndef SB_DOUBT_PHILOX_H
#define SB_DOUBT_PHILOX_H

#include <stdint.h>

/** The generator itself: four random words from a counter and a key. */
void sb_philox(const uint32_t counter[4], const uint32_t key[2], uint32_t out[4]);

/** 0 < u < 1, for number `what` of a sample. `stream` keeps studies of one seed apart. */
double sb_philox_unit(uint64_t seed, uint32_t stream, uint64_t sample, uint32_t what);

#endif
