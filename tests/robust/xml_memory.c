/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "xml_memory.h"

#include <string.h>

#include <libxml/xmlmemory.h>

static void *(*alloc)(size_t bytes);
static void *(*resize)(void *p, size_t bytes);
static void (*release)(void *p);
static long live;

static void *counted_alloc(size_t bytes)
{
    void *p = alloc(bytes);
    live += p != NULL;
    return p;
}

static void *counted_resize(void *p, size_t bytes)
{
    void *grown = resize(p, bytes);
    live += p == NULL && grown != NULL;
    return grown;
}

static char *counted_copy(const char *text)
{
    size_t n = strlen(text) + 1;
    char *copy = counted_alloc(n);
    return copy != NULL ? memcpy(copy, text, n) : NULL;
}

static void counted_release(void *p)
{
    live -= p != NULL;
    release(p);
}

bool xml_memory_through(void *(*new_alloc)(size_t), void *(*new_resize)(void *, size_t),
                        void (*new_release)(void *))
{
    alloc = new_alloc;
    resize = new_resize;
    release = new_release;
    return xmlMemSetup(counted_release, counted_alloc, counted_resize, counted_copy) == 0;
}

long xml_memory_live(void)
{
    return live;
}
