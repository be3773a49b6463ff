/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L /* strnlen */
#include "log/names.h"

#include <string.h>

#include "base/mem.h"

#define MOST_NEAR 3
#define MOST_LISTED 8
#define LEAST_LETTERS 3 /* a shorter beginning is near too many names */

static const char *only_name(const void *list, size_t i)
{
    (void)i;
    return list;
}

/* Is the beginning of the name, as long as what was typed, near to that? */
static bool begins_nearly(const char *name, const char *wanted)
{
    sb_text unread = {0};
    char *begin = sb_strndup(name, strnlen(name, strlen(wanted)));
    bool near = begin != NULL && sb_text_add_near(&unread, wanted, only_name, begin, 1);
    sb_free(begin);
    sb_text_release(&unread);
    return near;
}

void sb_log_add_near(sb_text *text, const char *wanted, sb_name_at name_at, const void *list,
                     size_t n)
{
    size_t found = 0;
    if (sb_text_add_near(text, wanted, name_at, list, n))
        return;
    for (size_t i = 0; i < n && found < MOST_NEAR && strlen(wanted) >= LEAST_LETTERS; i++)
        if (begins_nearly(name_at(list, i), wanted))
            sb_text_addf(text, "%s '%s'", found++ == 0 ? ": did you mean" : " or",
                         name_at(list, i));
    for (size_t i = 0; i < n && found == 0 && n <= MOST_LISTED; i++)
        sb_text_addf(text, "%s'%s'", i == 0 ? ", expected one of " : ", ", name_at(list, i));
}
