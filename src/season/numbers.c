/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "season/numbers.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

/* Two files that say the same number agree to this. */
#define SAME 1e-9

static const char *const KEYS[SB_N_DOUBTFUL] = {
    [SB_DOUBT_RATING] = "rating",
    [SB_DOUBT_SEEDS_PER_PLANT] = "seeds_per_plant",
    [SB_DOUBT_RETAINED] = "retained",
    [SB_DOUBT_HEADER_LOSS] = "header_loss",
    [SB_DOUBT_VIABILITY] = "viability",
    [SB_DOUBT_EMERGENCE] = "emergence",
    [SB_DOUBT_SURVIVAL] = "survival",
    [SB_DOUBT_CONTROL] = "control",
    [SB_DOUBT_CROWDING] = "crowding_plants_m2",
    [SB_DOUBT_HELD] = "kg",
    [SB_DOUBT_LODGED] = "lodged_share",
    [SB_DOUBT_TAU_LOOSE] = "tau_loose_t",
    [SB_DOUBT_TAU_LODGED] = "tau_lodged_t",
    [SB_DOUBT_TANK_SMALL] = "tank_share_small",
    [SB_DOUBT_TANK_LARGE] = "tank_share_large",
    [SB_DOUBT_KEEP] = "keep",
};

const char *sb_number_key(sb_doubtful what)
{
    return KEYS[what];
}

bool sb_number_keyed(const char *key, sb_doubtful *what)
{
    for (int i = 0; i < SB_N_DOUBTFUL; i++)
        if (strcmp(KEYS[i], key) == 0) {
            *what = (sb_doubtful)i;
            return true;
        }
    return false;
}

bool sb_number_is_weeds(sb_doubtful what)
{
    return what >= SB_DOUBT_SEEDS_PER_PLANT && what <= SB_DOUBT_CROWDING;
}

bool sb_number_is_share(sb_doubtful what)
{
    return what == SB_DOUBT_LODGED || what == SB_DOUBT_TANK_SMALL || what == SB_DOUBT_TANK_LARGE ||
           what == SB_DOUBT_KEEP || (what >= SB_DOUBT_RETAINED && what <= SB_DOUBT_CONTROL);
}

double sb_times_odds(double share, double times)
{
    return share * times / (1 - share + share * times);
}

double *sb_weed_number(sb_weed *weed, sb_doubtful what)
{
    switch (what) {
    case SB_DOUBT_SEEDS_PER_PLANT:
        return &weed->seeds_per_plant;
    case SB_DOUBT_RETAINED:
        return &weed->retained;
    case SB_DOUBT_HEADER_LOSS:
        return &weed->header_loss;
    case SB_DOUBT_VIABILITY:
        return &weed->viability;
    case SB_DOUBT_EMERGENCE:
        return &weed->emergence;
    case SB_DOUBT_SURVIVAL:
        return &weed->survival;
    case SB_DOUBT_CONTROL:
        return &weed->control;
    default:
        return &weed->crowding_plants_m2;
    }
}

double *sb_section_number(sb_section *section, sb_doubtful what)
{
    switch (what) {
    case SB_DOUBT_HELD:
        return &section->kg;
    case SB_DOUBT_LODGED:
        return &section->lodged_share;
    case SB_DOUBT_TAU_LOOSE:
        return &section->tau_loose_t;
    case SB_DOUBT_TAU_LODGED:
        return &section->tau_lodged_t;
    case SB_DOUBT_TANK_SMALL:
        return &section->tank_share_small;
    default:
        return &section->tank_share_large;
    }
}

/* ---- Factors ----------------------------------------------------------------------------------
 */

void sb_factors_release(sb_factors *factors)
{
    for (size_t i = 0; i < factors->count; i++)
        sb_free(factors->items[i].of);
    sb_free(factors->items);
    sb_free(factors->from);
    sb_free(factors->seal);
    *factors = (sb_factors){0};
}

bool sb_factors_copy(sb_factors *to, const sb_factors *from)
{
    *to = (sb_factors){0};
    if (!sb_copy_text(&to->from, from->from) || !sb_copy_text(&to->seal, from->seal))
        return false;
    for (size_t i = 0; i < from->count; i++) {
        sb_factor factor = from->items[i];
        factor.of = NULL;
        if (!SB_PUSH(to, factor) || !sb_copy_text(&to->items[to->count - 1].of, from->items[i].of))
            return false;
    }
    return true;
}

sb_factor *sb_factors_find(const sb_factors *factors, sb_doubtful what, const char *of)
{
    for (size_t i = 0; i < factors->count; i++) {
        sb_factor *factor = &factors->items[i];
        bool same_of =
            (factor->of == NULL) == (of == NULL) && (of == NULL || strcmp(factor->of, of) == 0);
        if (factor->what == what && same_of)
            return factor;
    }
    return NULL;
}

/* What was learned is stated by a file, like the number that it changes. */
static void multiply(const sb_factor *factor, double *number, const void *thing,
                     sb_numbers_given *given)
{
    *given |= SB_GIVEN_BIT((size_t)((const char *)number - (const char *)thing));
    *number = sb_number_is_share(factor->what) ? sb_times_odds(*number, factor->times)
                                               : *number * factor->times;
}

bool sb_factor_apply(const sb_factor *factor, sb_setup *setup, double *found)
{
    *found = NAN;
    if (sb_number_is_weeds(factor->what)) {
        int w = sb_find_weed(setup, factor->of);
        if (w < 0)
            return false;
        sb_weed *weed = &setup->weeds[w];
        double *number = sb_weed_number(weed, factor->what);
        *found = *number;
        if (fabs(*number - factor->used) > SAME * fabs(factor->used))
            return false;
        multiply(factor, number, weed, &weed->given);
    } else if (factor->what == SB_DOUBT_KEEP) {
        int l = sb_find_cleanout(setup, factor->of);
        if (l < 0)
            return false;
        sb_cleanout *level = &setup->cleanouts[l];
        for (size_t s = 0; s < setup->n_sections; s++) {
            multiply(factor, &level->keep_loose[s], level, &level->given);
            multiply(factor, &level->keep_lodged[s], level, &level->given);
        }
    } else {
        for (size_t m = 0; m < setup->n_machines; m++)
            for (size_t s = 0; s < setup->n_sections; s++) {
                sb_section *section = &setup->machines[m].sections[s];
                multiply(factor, sb_section_number(section, factor->what), section,
                         &section->given);
            }
    }
    return true;
}
