/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/mem.h"

#include <stdatomic.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static atomic_long budget = -1;
static atomic_long live = 0;

long sb_mem_set_budget(long calls)
{
    return atomic_exchange(&budget, calls);
}

long sb_mem_live(void)
{
    return atomic_load(&live);
}

static bool door_open(void)
{
    long left = atomic_load(&budget);
    while (left >= 0) {
        if (left == 0)
            return false;
        if (atomic_compare_exchange_weak(&budget, &left, left - 1))
            return true;
    }
    return true;
}

void *sb_alloc(size_t n, size_t size)
{
    if (!door_open())
        return NULL;
    void *p = calloc(n ? n : 1, size ? size : 1);
    if (p != NULL)
        atomic_fetch_add(&live, 1);
    return p;
}

void *sb_alloc_aligned(size_t n, size_t size)
{
    if (!door_open() || (size != 0 && n > (SIZE_MAX - 64) / size))
        return NULL;
    size_t bytes = (n * size + 63) / 64 * 64;
    void *p = aligned_alloc(64, bytes ? bytes : 64);
    if (p != NULL) {
        memset(p, 0, bytes);
        atomic_fetch_add(&live, 1);
    }
    return p;
}

void *sb_resize(void *p, size_t n, size_t size)
{
    if (!door_open() || (size != 0 && n > SIZE_MAX / size))
        return NULL;
    size_t bytes = n * size;
    void *grown = realloc(p, bytes ? bytes : 1);
    if (grown != NULL && p == NULL)
        atomic_fetch_add(&live, 1);
    return grown;
}

char *sb_strndup(const char *text, size_t n)
{
    char *copy = sb_alloc(n + 1, 1);
    if (copy != NULL)
        memcpy(copy, text, n);
    return copy;
}

char *sb_strdup(const char *text)
{
    return sb_strndup(text, strlen(text));
}

bool sb_copy_text(char **to, const char *text)
{
    *to = text != NULL ? sb_strdup(text) : NULL;
    return text == NULL || *to != NULL;
}

void sb_free(void *p)
{
    if (p == NULL)
        return;
    atomic_fetch_sub(&live, 1);
    free(p);
}

bool sb_mem_room(size_t bytes)
{
    void *p = sb_alloc(bytes, 1);
    sb_free(p);
    return p != NULL;
}

bool sb_grow(void **items, size_t *capacity, size_t count, size_t size)
{
    if (count < *capacity)
        return true;
    size_t wanted = *capacity ? *capacity * 2 : 8;
    void *grown = sb_resize(*items, wanted, size);
    if (grown == NULL)
        return false;
    *items = grown;
    *capacity = wanted;
    return true;
}
