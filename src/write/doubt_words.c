/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Uncertain numbers by name. */
#include <math.h>

#include "write/doubt_out.h"
#include "write/words.h"

static const char *const names[] = {
    [SB_DOUBT_RATING] = "rating",
    [SB_DOUBT_SEEDS_PER_PLANT] = "seeds per plant",
    [SB_DOUBT_RETAINED] = "share on the plant at harvest",
    [SB_DOUBT_HEADER_LOSS] = "share lost at the header",
    [SB_DOUBT_VIABILITY] = "viable share",
    [SB_DOUBT_EMERGENCE] = "share that emerges",
    [SB_DOUBT_SURVIVAL] = "share that matures",
    [SB_DOUBT_CONTROL] = "share that control kills",
    [SB_DOUBT_CROWDING] = "crowding density",
    [SB_DOUBT_HELD] = "Machine, material held",
    [SB_DOUBT_LODGED] = "Machine, lodged share",
    [SB_DOUBT_TAU_LOOSE] = "Machine, purge constant of the loose",
    [SB_DOUBT_TAU_LODGED] = "Machine, purge constant of the lodged",
    [SB_DOUBT_TANK_SMALL] = "Machine, small seed to the tank",
    [SB_DOUBT_TANK_LARGE] = "Machine, large seed to the tank",
    [SB_DOUBT_KEEP] = "share left",
};

void sb_spread_name(const sb_season *season, const sb_spread *spread, sb_text *text)
{
    const char *name = names[spread->what];
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
