/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Runs a work with memory for k allocations, for every k from none to enough. */
#ifndef ROBUST_SWEEP_H
#define ROBUST_SWEEP_H

#include "work.h"

/** One way for memory to be short. */
typedef struct shortage {
    void (*begin)(long spare); /**< the first `spare` allocations succeed */
    /** Memory is plenty again. @return allocations asked for since begin */
    long (*end)(void);
    long (*live)(void); /**< allocations that live now */
} shortage;

/** Fails the test unless every run that meets the shortage says SB_ERR_NOMEM, leaks nothing and
 * leaves the old plan alone; or else, where memory was wanted only to do the same better (to sort,
 * to trim an array), comes out to the byte as if nothing had happened. At most 40 k a work, spread
 * evenly; every k when the environment says SEEDBREAK_EVERY_ALLOCATION=1. */
void sweep(const work *job, const shortage *memory);

#endif
