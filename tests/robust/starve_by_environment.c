/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Linked into the command line: STARVE_AFTER=k lets k allocations of the process succeed. */
#include <stdlib.h>

#include "fragile.h"
#include "starve.h"

__attribute__((constructor)) static void starve_from_the_start(void)
{
    const char *spare = getenv("STARVE_AFTER");
    fragile_spare = starve_pause;
    if (spare != NULL)
        starve_begin(strtol(spare, NULL, 10), -1);
}

/* The program has ended: what coverage writes down now is not what we look at. */
__attribute__((destructor)) static void feed_at_the_end(void)
{
    starve_end();
}
