/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The one allocation door. Nothing else in src/ calls malloc, so that a test can shut it at any
 * call and see that the library comes back with SB_ERR_NOMEM and nothing leaked. */
#ifndef SB_BASE_MEM_H
#define SB_BASE_MEM_H

#include <stdbool.h>
#include <stddef.h>

/** n zeroed elements of size bytes; NULL when out of memory or n * size overflows.
 * n == 0 gives a pointer that may be freed. Caller frees with sb_free. */
void *sb_alloc(size_t n, size_t size);

/** Like realloc for n elements; new bytes are not zeroed. On failure NULL and p stays valid. */
void *sb_resize(void *p, size_t n, size_t size);

/** n zeroed elements aligned to 64 bytes, for the solver's vectors. Caller frees with sb_free. */
void *sb_alloc_aligned(size_t n, size_t size);

/** A copy of text (or of its first n bytes); NULL when out of memory. */
char *sb_strdup(const char *text);
char *sb_strndup(const char *text, size_t n);
/** Puts a copy of text into *to; NULL stays NULL. @return false: out of memory, *to is NULL */
bool sb_copy_text(char **to, const char *text);

void sb_free(void *p);

/** True when so many bytes could be had right now. To be asked before calls into libraries that do
 * not come back when memory runs out. */
bool sb_mem_room(size_t bytes);

/** Makes room for one more element behind *items; doubles the capacity when needed.
 * Use through SB_PUSH. Returns false when out of memory: the array is then unchanged. */
bool sb_grow(void **items, size_t *capacity, size_t count, size_t size);

/** Appends value to a struct with members `items`, `count`, `capacity`; false: out of memory. */
#define SB_PUSH(list, value)                                                                   \
    (sb_grow((void **)&(list)->items, &(list)->capacity, (list)->count, sizeof *(list)->items) \
         ? ((list)->items[(list)->count++] = (value), true)                                    \
         : false)

/** Test seam: how many more allocations succeed (negative: all), and how many live now.
 * @return what was left of the budget before */
long sb_mem_set_budget(long calls);
long sb_mem_live(void);

#endif
