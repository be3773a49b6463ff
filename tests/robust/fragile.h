/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Calls of other libraries that no caller survives when memory runs out inside: GEOS 3.11 throws
 * through C where it makes its context; libxml2 2.9.14 writes through NULL in its schemas and
 * passes over what is missing in its trees; jansson 2.14 takes it for bad JSON; libzip 1.7 takes it
 * for a broken archive, and leaks. The library looks for room before each of them; here they are
 * spared, because what then happens is not ours to mend. */
#ifndef ROBUST_FRAGILE_H
#define ROBUST_FRAGILE_H

#include <stdbool.h>

/** Called with true before such a call and with false after it. To be set by the program. */
extern void (*fragile_spare)(bool on);

#endif
