/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How far each constant may lie from the one used, with who says so. Ranges are published where the
 * source names somebody; "assumed" where nobody measured it. */
#include "doubt/spread_table.h"

#include <stddef.h>
#include <string.h>

#define BUHLER "5-40 % over species: Buhler & Hartzler 2001 (Weed Sci 49:230-235)"
#define COHORTS                                                                                 \
    "91 % of seedlings 14 days after planting survive, 19 % of those after 48-52: Hartzler et " \
    "al. 2001 (NCWSS)"
#define HANNA "the same measurements of Hanna, Jarboe & Quick 2005 allow it"

/* Any weed. */
static const sb_range any_weed[] = {
    {SB_DOUBT_SEEDS_PER_PLANT, NULL, 1, 0.5, 2, "assumed: half to twice"},
    {SB_DOUBT_RETAINED, NULL, 0.5, 1.0 / 3, 2.0 / 3, "assumed: odds of half to twice"},
    {SB_DOUBT_HEADER_LOSS, NULL, 0.5, 1.0 / 3, 2.0 / 3, "assumed: odds of half to twice"},
    {SB_DOUBT_VIABILITY, NULL, 0.5, 1.0 / 3, 2.0 / 3, "assumed: odds of half to twice"},
    {SB_DOUBT_EMERGENCE, NULL, 0.14, 0.05, 0.40, BUHLER},
    {SB_DOUBT_SURVIVAL, NULL, 0.90, 0.19, 0.91, COHORTS},
    {SB_DOUBT_CONTROL, NULL, 0.95, 0.90, 0.99, "assumed: 90 to 99 % killed"},
    {SB_DOUBT_CROWDING, NULL, 1, 1.0 / 3, 3, "assumed: a third to three times"},
};

/* Weeds that somebody measured; these go before any_weed. The middle is the built-in number. */
static const sb_range by_weed[] = {
    {SB_DOUBT_SEEDS_PER_PLANT, "waterhemp", 100000, 30000, 2300000,
     "high: Hartzler, Battles & Nordby 2004 (Weed Sci 52:242-245), plants that emerge with the "
     "soybean; low: assumed"},
    {SB_DOUBT_RETAINED, "waterhemp", 0.60, 0.51, 0.95,
     "51-61 % in October, 95-100 % at soybean maturity: Meadows & Yadav 2024 (Weed Sci)"},
    {SB_DOUBT_HEADER_LOSS, "waterhemp", 0.25, 0.09, 0.40,
     "22-40 % in Missouri: Winans et al. 2023 (Weed Technol); 9 and 15 % in Iowa: Meadows & Yadav "
     "2024 (Weed Sci)"},
    {SB_DOUBT_VIABILITY, "waterhemp", 0.90, 0.84, 0.94, "Meadows & Yadav 2024 (Weed Sci)"},
    {SB_DOUBT_EMERGENCE, "waterhemp", 0.14, 0.05, 0.22,
     "22 % within two years: Hartzler & Buhler, USDA-ARS; low: Buhler & Hartzler 2001 (Weed Sci "
     "49:230-235)"},
    {SB_DOUBT_SEEDS_PER_PLANT, "kochia", 20000, 10000, 30000, "from memory"},
    {SB_DOUBT_RETAINED, "kochia", 0.90, 0.85, 0.99,
     "shatter 10 % or less: Burton et al. 2017 (Can J Plant Sci 97:266-276); low: assumed"},
    {SB_DOUBT_SEEDS_PER_PLANT, "ryegrass", 500, 300, 1000, "from memory"},
    {SB_DOUBT_RETAINED, "ryegrass", 0.85, 0.77, 0.95, "GRDC Update, July 2018"},
    {SB_DOUBT_SEEDS_PER_PLANT, "wild_oat", 125, 100, 150, "from memory"},
    {SB_DOUBT_RETAINED, "wild_oat", 0.56, 0.40, 0.78,
     "shatter 22-30 % at maturity: Burton et al. 2017 (Can J Plant Sci 97:266-276); low: assumed, "
     "as it falls after swathing"},
    {SB_DOUBT_RETAINED, "giant_ragweed", 0.80, 0.64, 0.90,
     "80 % on 11 October, 0.44-0.75 % a day, three weeks either way: Goplen et al. 2016 (Weed "
     "Technol 30)"},
    {SB_DOUBT_VIABILITY, "giant_ragweed", 0.66, 0.38, 0.75,
     "38 and 56 %: Harrison et al. 2001 (Weed Sci); high: assumed"},
};

/* The machine's constants, all sections together. */
static const sb_range machine[] = {
    {SB_DOUBT_HELD, NULL, 56, 43.1, 69.4, "95-153 lb: Hanna, Jarboe & Quick 2005"},
    {SB_DOUBT_LODGED, NULL, 0.479, 0.30, 0.65, "fitted; " HANNA},
    {SB_DOUBT_TAU_LOOSE, NULL, 0.10, 0.05, 0.20, "fitted; " HANNA},
    {SB_DOUBT_TAU_LODGED, NULL, 70, 40, 120, "fitted; " HANNA},
    {SB_DOUBT_TANK_SMALL, NULL, 0.03, 0.01, 0.09,
     "3 %, mean of five combines: Broster & Walsh 2014; a third to three times: assumed"},
    {SB_DOUBT_TANK_LARGE, NULL, 0.5, 0.3, 0.7, "common practice, no source"},
};

static const sb_range keep_fitted = {
    SB_DOUBT_KEEP, NULL, 0.5, 1.0 / 3, 2.0 / 3, "assumed: odds of half to twice the fitted share"};
/* No measurement stands behind a quick clean. */
static const sb_range keep_guessed = {
    SB_DOUBT_KEEP, NULL, 0.5, 0.25, 0.75, "assumed: odds of a third to three times"};

static const sb_range *find(const sb_range *table, size_t n, sb_doubtful what, const char *id)
{
    for (size_t i = 0; i < n; i++)
        if (table[i].what == what &&
            (table[i].id == NULL || (id != NULL && strcmp(table[i].id, id) == 0)))
            return &table[i];
    return NULL;
}

const sb_range *sb_range_of_weed(sb_doubtful what, const char *weed_id)
{
    const sb_range *own = find(by_weed, sizeof by_weed / sizeof *by_weed, what, weed_id);
    return own != NULL ? own : find(any_weed, sizeof any_weed / sizeof *any_weed, what, NULL);
}

const sb_range *sb_range_of_machine(sb_doubtful what)
{
    return find(machine, sizeof machine / sizeof *machine, what, NULL);
}

const sb_range *sb_range_of_keep(const char *cleanout_id)
{
    bool fitted = strcmp(cleanout_id, "thorough") == 0 || strcmp(cleanout_id, "deep") == 0;
    return fitted ? &keep_fitted : &keep_guessed;
}
