/* SPDX-License-Identifier: GPL-3.0-or-later */
/** libxml2's memory, counted by itself: libxml2 2.9.14 leaks some when it runs out of memory, which
 * is no fault of ours and would hide what is. */
#ifndef ROBUST_XML_MEMORY_H
#define ROBUST_XML_MEMORY_H

#include <stdbool.h>
#include <stddef.h>

/** From now on libxml2 allocates through these. Before its first use. @return false: it would not
 */
bool xml_memory_through(void *(*alloc)(size_t bytes), void *(*resize)(void *p, size_t bytes),
                        void (*release)(void *p));
/** How many of its allocations live now. */
long xml_memory_live(void);

#endif
