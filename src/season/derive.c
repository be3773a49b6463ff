/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What follows from a field's own numbers (docs/model.md, "From a rating to money"). */
#include "season/join_weeds.h"

#define M2_PER_HA 1e4

double sb_occupied(const sb_weed *weed, double density_plants_m2)
{
    double free_share = 1 / (1 + density_plants_m2 / weed->crowding_plants_m2);
    return 1 - free_share * free_share;
}

static void derive_weed(const sb_weed *weed, size_t w, sb_field *field)
{
    double density = field->ratings[w].density_plants_m2;
    double seeds_ha =
        density * M2_PER_HA * weed->seeds_per_plant * weed->retained * (1 - weed->header_loss);
    field->seeds_per_kg[w] = seeds_ha / field->material_kg_ha;
    field->occupied[w] = sb_occupied(weed, density);
    double plants_per_seed =
        weed->viability * weed->emergence * weed->survival * (1 - weed->control);
    field->loss_per_seed[w] =
        field->worth * (1 - field->occupied[w]) * plants_per_seed * weed->cost_per_plant;
}

void sb_field_derive(const sb_setup *setup, sb_field *field)
{
    const sb_crop *crop = &setup->crops[field->crop];
    field->grain_t = field->area_ha * field->yield_t_ha;
    field->material_kg_ha = field->yield_t_ha * 1000 * (1 + crop->mog_per_grain);
    field->delay_cost_per_day = field->grain_t * crop->price_per_t * crop->delay_per_day;
    for (size_t w = 0; w < setup->n_weeds; w++)
        derive_weed(&setup->weeds[w], w, field);
}

void sb_season_derive(sb_season *season)
{
    for (size_t i = 0; i < season->n_fields; i++)
        sb_field_derive(&season->setup, &season->fields[i]);
}
