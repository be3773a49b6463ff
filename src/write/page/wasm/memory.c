/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Memory is handed out from one end and taken back all at once: a season stays, what was made to
 * price and draw one plan goes before the next. Before each block stands its size. */
#include <host.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define ALIGNED 16
#define PAGE_BYTES 65536

extern unsigned char __heap_base;
static uintptr_t top, mark;

static void *take(size_t size)
{
    if (top == 0)
        top = ((uintptr_t)&__heap_base + ALIGNED - 1) / ALIGNED * ALIGNED;
    uintptr_t block = top + ALIGNED;
    uintptr_t end = (block + size + ALIGNED - 1) / ALIGNED * ALIGNED;
    size_t pages = __builtin_wasm_memory_size(0), wanted = (end + PAGE_BYTES - 1) / PAGE_BYTES;
    if (end < block || size > SIZE_MAX / 2)
        return NULL;
    if (wanted > pages && __builtin_wasm_memory_grow(0, wanted - pages) == SIZE_MAX)
        return NULL;
    *(size_t *)(block - ALIGNED) = size;
    top = end;
    return (void *)block;
}

void *malloc(size_t size)
{
    return take(size);
}

void *calloc(size_t n, size_t size)
{
    if (size != 0 && n > SIZE_MAX / size)
        return NULL;
    void *p = take(n * size);
    return p != NULL ? memset(p, 0, n * size) : NULL;
}

void *aligned_alloc(size_t alignment, size_t size)
{
    (void)alignment;
    return take(size);
}

void *realloc(void *p, size_t size)
{
    if (p == NULL)
        return take(size);
    size_t old = *(size_t *)((uintptr_t)p - ALIGNED);
    bool last = ((uintptr_t)p + old + ALIGNED - 1) / ALIGNED * ALIGNED == top;
    if (last) /* it grows where it is */
        top = (uintptr_t)p - ALIGNED;
    void *grown = take(size);
    if (grown != NULL && grown != p)
        memcpy(grown, p, old < size ? old : size);
    return grown;
}

void free(void *p)
{
    (void)p;
}

void memory_mark(void)
{
    mark = top;
}

void memory_reset(void)
{
    top = mark;
}
