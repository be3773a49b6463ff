/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What C++ libraries allocate, counted by itself: GEOS 3.11 leaks some when an exception passes
 * through it, which is no fault of ours and would hide what is. */
#ifndef ROBUST_CXX_MEMORY_H
#define ROBUST_CXX_MEMORY_H

/** How many C++ objects live now. */
long cxx_memory_live(void);

#endif
