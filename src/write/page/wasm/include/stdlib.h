/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef STDLIB_H
#define STDLIB_H
#include <locale.h>
#include <stddef.h>
void *malloc(size_t size);
void *calloc(size_t n, size_t size);
void *realloc(void *p, size_t size);
void *aligned_alloc(size_t alignment, size_t size);
void free(void *p);
void qsort(void *items, size_t n, size_t size, int (*compare)(const void *, const void *));
long strtol(const char *s, char **end, int base);
double strtod_l(const char *s, char **end, locale_t locale);
static inline long labs(long x)
{
    return x < 0 ? -x : x;
}
#endif
