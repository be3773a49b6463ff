/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The uncertain numbers of a season by name, and those that last season's findings changed. */
#ifndef SB_SEASON_NUMBERS_H
#define SB_SEASON_NUMBERS_H

#include <stdbool.h>
#include <stddef.h>

#include "season/setup.h"

typedef enum sb_doubtful {
    SB_DOUBT_RATING, /**< of a weed in a field */
    SB_DOUBT_SEEDS_PER_PLANT,
    SB_DOUBT_RETAINED,
    SB_DOUBT_HEADER_LOSS,
    SB_DOUBT_VIABILITY,
    SB_DOUBT_EMERGENCE,
    SB_DOUBT_SURVIVAL,
    SB_DOUBT_CONTROL,
    SB_DOUBT_CROWDING,
    SB_DOUBT_HELD,   /**< material held, every section of every machine alike */
    SB_DOUBT_LODGED, /**< lodged share, likewise; so are the next four */
    SB_DOUBT_TAU_LOOSE,
    SB_DOUBT_TAU_LODGED,
    SB_DOUBT_TANK_SMALL,
    SB_DOUBT_TANK_LARGE,
    SB_DOUBT_KEEP, /**< what a cleanout level leaves, in every pool alike */
} sb_doubtful;
#define SB_N_DOUBTFUL (SB_DOUBT_KEEP + 1)

/** Its key in files: "rating", "seeds_per_plant", ... */
const char *sb_number_key(sb_doubtful what);
/** @return false: no number has that key */
bool sb_number_keyed(const char *key, sb_doubtful *what);
/** Is it a share, 0..1, so that its odds are multiplied and not itself? */
bool sb_number_is_share(sb_doubtful what);
/** Is it a weed's own number, SB_DOUBT_SEEDS_PER_PLANT .. SB_DOUBT_CROWDING? */
bool sb_number_is_weeds(sb_doubtful what);
/** A share whose odds share / (1 - share) are multiplied. */
double sb_times_odds(double share, double times);

/** Where a weed, and a section, keep such a number. */
double *sb_weed_number(sb_weed *weed, sb_doubtful what);
double *sb_section_number(sb_section *section, sb_doubtful what);

/** A number of the setup that is multiplied (a share: its odds) because of what was found. */
typedef struct sb_factor {
    sb_doubtful what; /**< no rating: fields are rated anew every year */
    char *of;         /**< id of the weed, or of the cleanout; NULL: of every section */
    double used;      /**< a weed's: what the files say, for which it was learned; else NAN */
    double times;     /**< > 0 */
    size_t line;      /**< in the file that says so; 0: none does */
} sb_factor;

/** What earlier seasons taught. */
typedef struct sb_factors {
    sb_factor *items;
    size_t count, capacity;
    char *from; /**< the log that it was learned from; NULL: nothing was learned */
    char *seal; /**< of the last entry of that log that is in it; NULL: not said */
} sb_factors;
void sb_factors_release(sb_factors *factors);
/** A deep copy. @return false: out of memory; release *to in any case */
bool sb_factors_copy(sb_factors *to, const sb_factors *from);
/** The factor of one number, or NULL. */
sb_factor *sb_factors_find(const sb_factors *factors, sb_doubtful what, const char *of);
/** Multiplies the number that a factor is about.
 * @return false: the setup has no such weed or cleanout, or a weed's number is not the one for
 *         which it was learned: *found is what it is then, NAN when there is none */
bool sb_factor_apply(const sb_factor *factor, sb_setup *setup, double *found);

#endif
