/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* dladdr */
#include "starve.h"

#include <dlfcn.h>
#include <errno.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

/* glibc's own, by the names that do not lead back here. */
void *__libc_malloc(size_t size);
void *__libc_calloc(size_t n, size_t size);
void *__libc_realloc(void *p, size_t size);
void *__libc_memalign(size_t alignment, size_t size);
void __libc_free(void *p);

static atomic_long calls, live, first_to_fail, n_to_fail;
static atomic_bool starving, paused;

static bool fails(void)
{
    if (!atomic_load(&starving) || atomic_load(&paused))
        return false;
    long call = atomic_fetch_add(&calls, 1), after = call - atomic_load(&first_to_fail);
    long n = atomic_load(&n_to_fail);
    if (after < 0 || (n >= 0 && after >= n))
        return false;
    errno = ENOMEM;
    return true;
}

static void *count(void *p)
{
    if (p != NULL)
        atomic_fetch_add(&live, 1);
    return p;
}

void starve_begin(long spare, long n)
{
    atomic_store(&calls, 0);
    atomic_store(&first_to_fail, spare);
    atomic_store(&n_to_fail, n);
    atomic_store(&starving, true);
}

long starve_end(void)
{
    atomic_store(&starving, false);
    long after = atomic_load(&calls) - atomic_load(&first_to_fail), n = atomic_load(&n_to_fail);
    return after <= 0 ? 0 : n >= 0 && after > n ? n : after;
}

void starve_pause(bool pause)
{
    atomic_store(&paused, pause);
}

long starve_calls(void)
{
    return atomic_load(&calls);
}

long starve_live(void)
{
    return atomic_load(&live);
}

void *malloc(size_t size)
{
    return fails() ? NULL : count(__libc_malloc(size));
}

void *calloc(size_t n, size_t size)
{
    return fails() ? NULL : count(__libc_calloc(n, size));
}

/* GLPK 5.0 forgets a block that it could not enlarge, and no caller can find it again. */
static bool called_by_glpk(const void *caller)
{
    Dl_info place;
    return dladdr(caller, &place) != 0 && strstr(place.dli_fname, "libglpk") != NULL;
}

void *realloc(void *p, size_t size)
{
    if (p != NULL && size == 0) {
        free(p);
        return NULL;
    }
    if (fails()) {
        if (p != NULL && called_by_glpk(__builtin_return_address(0)))
            atomic_fetch_sub(&live, 1);
        return NULL;
    }
    void *grown = __libc_realloc(p, size);
    return p == NULL ? count(grown) : grown;
}

void *memalign(size_t alignment, size_t size);
void *memalign(size_t alignment, size_t size)
{
    return fails() ? NULL : count(__libc_memalign(alignment, size));
}

void *aligned_alloc(size_t alignment, size_t size)
{
    return memalign(alignment, size);
}

int posix_memalign(void **p, size_t alignment, size_t size);
int posix_memalign(void **p, size_t alignment, size_t size)
{
    void *made = memalign(alignment, size);
    if (made == NULL)
        return ENOMEM;
    *p = made;
    return 0;
}

void free(void *p)
{
    if (p == NULL)
        return;
    atomic_fetch_sub(&live, 1);
    __libc_free(p);
}
