/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What cleanouts take, added up: time, people's time, money and supplies. */
#ifndef SB_WRITE_NEEDS_H
#define SB_WRITE_NEEDS_H

#include "base/text.h"
#include "season/season.h"
#include "write/why.h"

/** One supply of several cleanouts. Texts are borrowed from the season. */
typedef struct sb_need {
    const char *name;
    const char *unit; /**< as in sb_supply; NULL: words without an amount, so many times */
    double amount;
} sb_need;

/** Start from {0}. */
typedef struct sb_needs {
    double times, minutes, person_minutes, money;
    sb_need *supplies; /**< no two of one name and unit; those without an amount last */
    size_t n_supplies;
} sb_needs;

/** Adds what a cleanout takes when it is done so often. Release the needs also after an error.
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_needs_add(sb_needs *needs, const sb_cleanout *cleanout, double times);

/** Adds what the cleanouts of one level take on these routes, the final ones included; level 0:
 * of all levels.
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_needs_of_routes(sb_needs *needs, const sb_season *season, const sb_route *routes,
                             size_t n_routes, int level);

void sb_needs_release(sb_needs *needs);

/** "6 bales of straw", "2 respirators", and without an amount "2 x a vacuum, scrapers". */
void sb_need_words(sb_text *text, const sb_need *need, sb_add_name *add_name);

/** What to have ready for one cleanout: "3 bales of straw, a vacuum, scrapers"; nothing when it
 * needs nothing. */
void sb_supplies_words(sb_text *text, const sb_cleanout *cleanout, sb_add_name *add_name);

#endif
