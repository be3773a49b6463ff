/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <errno.h>
#include <stdlib.h>
#include <string.h>

int errno;

void *memcpy(void *to, const void *from, size_t n)
{
    return memmove(to, from, n);
}

void *memmove(void *to, const void *from, size_t n)
{
    unsigned char *t = to;
    const unsigned char *f = from;
    if (t <= f)
        for (size_t i = 0; i < n; i++)
            t[i] = f[i];
    else
        for (size_t i = n; i > 0; i--)
            t[i - 1] = f[i - 1];
    return to;
}

void *memset(void *to, int byte, size_t n)
{
    unsigned char *t = to;
    for (size_t i = 0; i < n; i++)
        t[i] = (unsigned char)byte;
    return to;
}

int memcmp(const void *a, const void *b, size_t n)
{
    const unsigned char *x = a, *y = b;
    for (size_t i = 0; i < n; i++)
        if (x[i] != y[i])
            return x[i] < y[i] ? -1 : 1;
    return 0;
}

size_t strnlen(const char *s, size_t most)
{
    size_t n = 0;
    while (n < most && s[n] != '\0')
        n++;
    return n;
}

size_t strlen(const char *s)
{
    return strnlen(s, (size_t)-1);
}

int strncmp(const char *a, const char *b, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (a[i] != b[i])
            return (unsigned char)a[i] < (unsigned char)b[i] ? -1 : 1;
        if (a[i] == '\0')
            break;
    }
    return 0;
}

int strcmp(const char *a, const char *b)
{
    return strncmp(a, b, (size_t)-1);
}

char *strchr(const char *s, int c)
{
    for (;; s++) {
        if (*s == (char)c)
            return (char *)s;
        if (*s == '\0')
            return NULL;
    }
}

static size_t span(const char *s, const char *set, int inside)
{
    size_t n = 0;
    while (s[n] != '\0' && (strchr(set, s[n]) != NULL) == inside)
        n++;
    return n;
}

size_t strspn(const char *s, const char *set)
{
    return span(s, set, 1);
}

size_t strcspn(const char *s, const char *set)
{
    return span(s, set, 0);
}

char *strpbrk(const char *s, const char *set)
{
    s += strcspn(s, set);
    return *s != '\0' ? (char *)s : NULL;
}

char *strerror(int error)
{
    (void)error;
    return "no system here";
}

/* Whole numbers in decimal, as dates have them; the caller looks at *end. */
long strtol(const char *s, char **end, int base)
{
    long sign = 1, value = 0;
    (void)base;
    if (*s == '-' || *s == '+')
        sign = *s++ == '-' ? -1 : 1;
    const char *first = s;
    for (; *s >= '0' && *s <= '9' && s - first < 9; s++)
        value = value * 10 + (*s - '0');
    *end = (char *)s;
    return sign * value;
}

/* Shell sort: the lists here are short. Items of equal rank keep no order, as with qsort. */
void qsort(void *items, size_t n, size_t size, int (*compare)(const void *, const void *))
{
    unsigned char *bytes = items;
    for (size_t gap = n / 2; gap > 0; gap /= 2)
        for (size_t i = gap; i < n; i++)
            for (size_t k = i; k >= gap; k -= gap) {
                unsigned char *low = bytes + (k - gap) * size, *high = bytes + k * size;
                if (compare(low, high) <= 0)
                    break;
                for (size_t b = 0; b < size; b++) {
                    unsigned char held = low[b];
                    low[b] = high[b];
                    high[b] = held;
                }
            }
}
