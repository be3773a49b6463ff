/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Uncertain numbers by name. */
#include <math.h>

#include "write/doubt_out.h"
#include "write/words.h"

static const struct {
    const char *key, *name;
} numbers[] = {
    [SB_DOUBT_RATING] = {"rating", "rating"},
    [SB_DOUBT_SEEDS_PER_PLANT] = {"seeds_per_plant", "seeds per plant"},
    [SB_DOUBT_RETAINED] = {"retained", "share on the plant at harvest"},
    [SB_DOUBT_HEADER_LOSS] = {"header_loss", "share lost at the header"},
    [SB_DOUBT_VIABILITY] = {"viability", "viable share"},
    [SB_DOUBT_EMERGENCE] = {"emergence", "share that emerges"},
    [SB_DOUBT_SURVIVAL] = {"survival", "share that matures"},
    [SB_DOUBT_CONTROL] = {"control", "share that control kills"},
    [SB_DOUBT_CROWDING] = {"crowding_plants_m2", "crowding density"},
    [SB_DOUBT_HELD] = {"kg", "Machine, material held"},
    [SB_DOUBT_LODGED] = {"lodged_share", "Machine, lodged share"},
    [SB_DOUBT_TAU_LOOSE] = {"tau_loose_t", "Machine, purge constant of the loose"},
    [SB_DOUBT_TAU_LODGED] = {"tau_lodged_t", "Machine, purge constant of the lodged"},
    [SB_DOUBT_TANK_SMALL] = {"tank_share_small", "Machine, small seed to the tank"},
    [SB_DOUBT_TANK_LARGE] = {"tank_share_large", "Machine, large seed to the tank"},
    [SB_DOUBT_KEEP] = {"keep", "share left"},
};

const char *sb_spread_key(const sb_spread *spread)
{
    return numbers[spread->what].key;
}

void sb_spread_name(const sb_season *season, const sb_spread *spread, sb_text *text)
{
    const char *name = numbers[spread->what].name;
    if (spread->what == SB_DOUBT_RATING)
        sb_text_addf(text, "%s: %s", season->fields[spread->field].name,
                     season->setup.weeds[spread->weed].name);
    else if (spread->weed >= 0)
        sb_text_addf(text, "%s, %s", season->setup.weeds[spread->weed].name, name);
    else if (spread->level >= 0)
        sb_text_addf(text, "%s, %s", season->setup.cleanouts[spread->level].name, name);
    else
        sb_text_addf(text, "%s", name);
}

/* "0.05", "30k" */
static void add_number(sb_text *text, double value)
{
    if (value < 1000)
        sb_text_addf(text, "%.3g", value);
    else
        sb_words_seeds(text, value);
}

void sb_spread_range(const sb_season *season, const sb_spread *spread, sb_text *text)
{
    if (spread->what == SB_DOUBT_RATING || spread->weed >= 0) {
        double central = sb_spread_central(spread, season);
        add_number(text, sb_spread_value(spread, central, spread->low));
        sb_text_addf(text, " to ");
        add_number(text, sb_spread_value(spread, central, spread->high));
    } else {
        sb_text_addf(text, "%s%.2g to %.2g times", spread->shape == SB_SPREAD_ODDS ? "odds " : "",
                     spread->low, spread->high);
    }
}
