/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Built-in weeds and crops. A number with no published figure says "from memory" or "assumed". */
#include "base/mem.h"
#include "season/builtin.h"

/* Geometric middle of the 5-40 % that Buhler & Hartzler 2001 give over species; it is also the
 * measured mean of waterhemp (Hartzler & Buhler). */
#define EMERGENCE 0.14

static const sb_weed weeds[] = {
    {
        .id = (char *)"waterhemp",
        .name = (char *)"Waterhemp",
        .seeds_per_plant = 100000,
        .retained = 0.60,
        .header_loss = 0.25,
        .viability = 0.90,
        .emergence = EMERGENCE,
        .survival = 0.90,
        .control = 0.95,
        .cost_per_plant = 10,
        .crowding_plants_m2 = 1.0,
        .basis = SB_CITED,
        .source = (char *)"seeds per plant: a common planning value, low beside the 300,000 to "
                          "2,300,000 of Hartzler, Battles & Nordby 2004 (Weed Sci 52:242-245); "
                          "retained (61 % on 7 October) and viability (84-94 %): Meadows & Yadav "
                          "2024 (Weed Sci); header loss (22-40 %): Winans et al. 2023 (Weed "
                          "Technol); emergence (14 %): Hartzler & Buhler, USDA-ARS; survival "
                          "(90 % in the crop): Hartzler, Battles & Nordby 2004; control, cost and "
                          "crowding assumed",
    },
    {
        .id = (char *)"kochia",
        .name = (char *)"Kochia",
        .seeds_per_plant = 20000,
        .retained = 0.90,
        .header_loss = 0.25,
        .viability = 0.90,
        .emergence = EMERGENCE,
        .survival = 0.90,
        .control = 0.95,
        .cost_per_plant = 5,
        .crowding_plants_m2 = 1.0,
        .basis = SB_CITED,
        .source = (char *)"seeds per plant: 10,000-30,000 from memory; retained (shatter 10 % or "
                          "less): Burton et al. 2017 (Can J Plant Sci 97:266-276); emergence: "
                          "middle of 5-40 %, Buhler & Hartzler 2001 (Weed Sci 49:230-235); header "
                          "loss, viability and survival assumed as for waterhemp; control, cost "
                          "and crowding assumed",
    },
    {
        .id = (char *)"ryegrass",
        .name = (char *)"Ryegrass",
        .seeds_per_plant = 500,
        .retained = 0.85,
        .header_loss = 0.10,
        .viability = 0.90,
        .emergence = EMERGENCE,
        .survival = 0.90,
        .control = 0.95,
        .cost_per_plant = 0.5,
        .crowding_plants_m2 = 1.0,
        .basis = SB_CITED,
        .source = (char *)"seeds per plant: 300-1,000 from memory; retained (77-95 %): GRDC Update "
                          "of July 2018; emergence: middle of 5-40 %, Buhler & Hartzler 2001 (Weed "
                          "Sci 49:230-235); header loss, viability, survival, control, cost and "
                          "crowding assumed",
    },
    {
        .id = (char *)"wild_oat",
        .name = (char *)"Wild oat",
        .seeds_per_plant = 125,
        .retained = 0.56,
        .header_loss = 0.10,
        .large_seed = true,
        .viability = 0.90,
        .emergence = EMERGENCE,
        .survival = 0.90,
        .control = 0.95,
        .cost_per_plant = 0.5,
        .crowding_plants_m2 = 1.0,
        .basis = SB_CITED,
        .source = (char *)"seeds per plant: 100-150 from memory; retained (56 % at swathing): "
                          "Tidemann et al. 2017 (Weed Sci); emergence: middle of 5-40 %, Buhler & "
                          "Hartzler 2001 (Weed Sci 49:230-235); header loss, viability, survival, "
                          "control, cost and crowding assumed",
    },
    {
        .id = (char *)"giant_ragweed",
        .name = (char *)"Giant ragweed",
        .seeds_per_plant = 1818,
        .retained = 0.80,
        .header_loss = 0.25,
        .large_seed = true,
        .viability = 0.66,
        .emergence = EMERGENCE,
        .survival = 0.90,
        .control = 0.95,
        .cost_per_plant = 5,
        .crowding_plants_m2 = 90.0 / 136.0,
        .basis = SB_CITED,
        .source = (char *)"seeds per plant, viability (66 %) and retained (80 % on 11 October): "
                          "Goplen et al. 2016 (Weed Technol 30); crowding A/I = 90/136: Harrison, "
                          "Regnier, Schmoll & Webb 2001 (Weed Sci); emergence: middle of 5-40 %, "
                          "Buhler & Hartzler 2001 (Weed Sci 49:230-235); header loss and survival "
                          "assumed as for waterhemp; control and cost assumed",
    },
};

/* Yields and prices are round figures a grower would replace first. */
static const sb_crop crops[] = {
    {
        .id = (char *)"soybean",
        .name = (char *)"Soybean",
        .yield_t_ha = 3.4,
        .mog_per_grain = 1.0,
        .price_per_t = 400,
        .delay_per_day = 0.008,
        .basis = SB_CITED,
        .source = (char *)"loss per day (0.6-1.0 %): Schuler 2005, University of Wisconsin; "
                          "material other than grain (0.8-1.5) from memory; yield and price "
                          "assumed",
    },
    {
        .id = (char *)"corn",
        .name = (char *)"Corn",
        .yield_t_ha = 11.0,
        .mog_per_grain = 0.3,
        .price_per_t = 170,
        .delay_per_day = 0.003,
        .basis = SB_CITED,
        .source = (char *)"loss per day (0.3 %): Schuler 2005, University of Wisconsin; material "
                          "other than grain (snapping head) from memory; yield and price assumed",
    },
    {
        .id = (char *)"wheat",
        .name = (char *)"Wheat",
        .yield_t_ha = 3.0,
        .mog_per_grain = 0.9,
        .price_per_t = 220,
        .delay_per_day = 0.006,
        .basis = SB_ASSUMED,
        .source = (char *)"material other than grain (0.6-1.2) from memory; yield, price and loss "
                          "per day assumed",
    },
    {
        .id = (char *)"barley",
        .name = (char *)"Barley",
        .yield_t_ha = 3.5,
        .mog_per_grain = 0.9,
        .price_per_t = 200,
        .delay_per_day = 0.006,
        .basis = SB_ASSUMED,
        .source = (char *)"material other than grain assumed as for wheat; yield, price and loss "
                          "per day assumed",
    },
    {
        .id = (char *)"oats",
        .name = (char *)"Oats",
        .yield_t_ha = 2.7,
        .mog_per_grain = 1.0,
        .price_per_t = 230,
        .delay_per_day = 0.006,
        .basis = SB_ASSUMED,
        .source = (char *)"material other than grain from memory; yield, price and loss per day "
                          "assumed",
    },
    {
        .id = (char *)"canola",
        .name = (char *)"Canola",
        .yield_t_ha = 2.0,
        .mog_per_grain = 1.5,
        .price_per_t = 500,
        .delay_per_day = 0.01,
        .basis = SB_ASSUMED,
        .source = (char *)"all assumed",
    },
};

sb_status sb_builtin_weeds(sb_setup *setup)
{
    size_t n = sizeof weeds / sizeof *weeds;
    setup->weeds = sb_alloc(n, sizeof *setup->weeds);
    if (setup->weeds == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < n; i++) {
        sb_weed *weed = &setup->weeds[setup->n_weeds++];
        *weed = weeds[i];
        weed->id = weed->name = weed->source = NULL;
        if (!sb_builtin_text(&weed->id, weeds[i].id) ||
            !sb_builtin_text(&weed->name, weeds[i].name) ||
            !sb_builtin_text(&weed->source, weeds[i].source))
            return SB_ERR_NOMEM;
    }
    return SB_OK;
}

sb_status sb_builtin_crops(sb_setup *setup)
{
    size_t n = sizeof crops / sizeof *crops;
    setup->crops = sb_alloc(n, sizeof *setup->crops);
    if (setup->crops == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < n; i++) {
        sb_crop *crop = &setup->crops[setup->n_crops++];
        *crop = crops[i];
        crop->id = crop->name = crop->source = NULL;
        if (!sb_builtin_text(&crop->id, crops[i].id) ||
            !sb_builtin_text(&crop->name, crops[i].name) ||
            !sb_builtin_text(&crop->source, crops[i].source))
            return SB_ERR_NOMEM;
    }
    return SB_OK;
}
