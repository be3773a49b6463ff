/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L /* strnlen */
#include "base/near.h"

#include <string.h>

#include "base/mem.h"

#define LONGEST 64        /* bytes compared; names are rarely longer */
#define MOST_NEAR 3       /* names offered */
#define MOST_LISTED 8     /* a list this short is named whole when none is near */
#define LEAST_LETTERS 3   /* a shorter part is in too many names */
#define LETTERS_AN_EDIT 4 /* a name is near at one edit, and one more for so many letters */

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

static size_t compared(const char *name)
{
    return least(strlen(name), LONGEST);
}

size_t sb_edits_between(const char *a, const char *b)
{
    size_t n = compared(a), m = compared(b);
    size_t row[LONGEST + 1]; /* edits from the first i letters of a to the first j of b */
    for (size_t j = 0; j <= m; j++)
        row[j] = j;
    for (size_t i = 1; i <= n; i++) {
        size_t diagonal = row[0];
        row[0] = i;
        for (size_t j = 1; j <= m; j++) {
            size_t change = diagonal + (lower(a[i - 1]) != lower(b[j - 1]));
            diagonal = row[j];
            row[j] = least(change, 1 + least(row[j], row[j - 1]));
        }
    }
    return row[m];
}

/* Edits at which a name is still near. */
static size_t most_edits(const char *wanted)
{
    size_t length = compared(wanted);
    return length > 0 ? least(1 + length / LETTERS_AN_EDIT, length - 1) : 0;
}

bool sb_is_near(const char *wanted, const char *name)
{
    return sb_edits_between(wanted, name) <= most_edits(wanted);
}

const char *sb_name_in(const void *names, size_t i)
{
    return ((const char *const *)names)[i];
}

bool sb_text_add_near(sb_text *text, const char *wanted, sb_name_at name_at, const void *list,
                      size_t n)
{
    size_t limit = most_edits(wanted), found = 0;
    for (size_t edits = 0; edits <= limit; edits++)
        for (size_t i = 0; i < n && found < MOST_NEAR; i++)
            if (sb_edits_between(wanted, name_at(list, i)) == edits)
                sb_text_addf(text, "%s '%s'", found++ == 0 ? ": did you mean" : " or",
                             name_at(list, i));
    return found > 0;
}

/* Is the beginning of the name, as long as what was typed, near to that? */
static bool begins_nearly(const char *name, const char *wanted)
{
    char *begin = sb_strndup(name, strnlen(name, strlen(wanted)));
    bool near = begin != NULL && sb_is_near(wanted, begin);
    sb_free(begin);
    return near;
}

/* Upper and lower case alike. */
static bool contains(const char *name, const char *wanted)
{
    size_t n = strlen(wanted);
    for (; strlen(name) >= n; name++) {
        size_t same = 0;
        while (same < n && lower(name[same]) == lower(wanted[same]))
            same++;
        if (same == n)
            return true;
    }
    return false;
}

/* Adds the names that fit what was typed; returns how many. */
static size_t add_fitting(sb_text *text, const char *wanted,
                          bool (*fits)(const char *name, const char *wanted), sb_name_at name_at,
                          const void *list, size_t n)
{
    size_t found = 0;
    for (size_t i = 0; i < n && found < MOST_NEAR; i++)
        if (fits(name_at(list, i), wanted))
            sb_text_addf(text, "%s '%s'", found++ == 0 ? ": did you mean" : " or",
                         name_at(list, i));
    return found;
}

void sb_text_add_meant(sb_text *text, const char *wanted, sb_name_at name_at, const void *list,
                       size_t n)
{
    bool long_enough = strlen(wanted) >= LEAST_LETTERS;
    if (sb_text_add_near(text, wanted, name_at, list, n) ||
        (long_enough && (add_fitting(text, wanted, contains, name_at, list, n) > 0 ||
                         add_fitting(text, wanted, begins_nearly, name_at, list, n) > 0)))
        return;
    for (size_t i = 0; i < n && n <= MOST_LISTED; i++)
        sb_text_addf(text, "%s'%s'", i == 0 ? ", expected one of " : ", ", name_at(list, i));
}
