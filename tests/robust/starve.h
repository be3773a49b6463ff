/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A process in which any allocation can be made to fail: of ours and of every library below.
 *
 * Linked into a program, starve.c takes the place of malloc and its kin. Not together with a
 * sanitizer, which wants that place for itself. */
#ifndef ROBUST_STARVE_H
#define ROBUST_STARVE_H

#include <stdbool.h>

/** From now on the next `spare` allocations succeed, then `n` fail (negative: all). */
void starve_begin(long spare, long n);
/** Allocations succeed again. @return how many were made to fail since starve_begin */
long starve_end(void);

/** Spares what follows until starve_pause(false): it neither fails nor counts. */
void starve_pause(bool pause);

/** Allocations since starve_begin. */
long starve_calls(void);
/** Allocations that live now. */
long starve_live(void);

#endif
