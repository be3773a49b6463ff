/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A season file gives a setup within its ranges, or changes nothing at all. */
#include <math.h>
#include <string.h>

#include "fuzz.h"

static bool is_share(double x)
{
    return x >= 0 && x <= 1;
}

static void check_sections(const sb_setup *setup, const sb_machine *machine)
{
    for (size_t s = 0; s < setup->n_sections; s++) {
        const sb_section *section = &machine->sections[s];
        HOLDS(strcmp(section->id, setup->machines[0].sections[s].id) == 0);
        HOLDS(section->kg >= 0 && section->tau_loose_t > 0 && section->tau_lodged_t > 0);
        HOLDS(is_share(section->lodged_share));
        HOLDS(is_share(section->tank_share_small) && is_share(section->tank_share_large));
    }
}

static void check_setup(const sb_setup *setup)
{
    HOLDS(setup->n_weeds <= SB_MAX_WEEDS && setup->n_cleanouts <= SB_MAX_LEVELS);
    HOLDS(setup->n_sections <= SB_MAX_SECTIONS && setup->n_machines >= 1);
    HOLDS(setup->detour >= 1 && setup->wage_per_hour >= 0 && setup->lost_time_per_hour >= 0);
    for (size_t i = 0; i < setup->n_weeds; i++) {
        const sb_weed *weed = &setup->weeds[i];
        HOLDS(sb_find_weed(setup, weed->id) == (int)i);
        HOLDS(weed->name != NULL && weed->source != NULL && weed->seeds_per_plant > 0);
        HOLDS(is_share(weed->retained) && is_share(weed->header_loss) && is_share(weed->viability));
        HOLDS(is_share(weed->emergence) && is_share(weed->survival) && is_share(weed->control));
        HOLDS(weed->cost_per_plant >= 0 && weed->crowding_plants_m2 > 0);
    }
    for (size_t i = 0; i < setup->n_crops; i++)
        HOLDS(setup->crops[i].yield_t_ha > 0 && setup->crops[i].mog_per_grain >= 0 &&
              setup->crops[i].price_per_t >= 0 && is_share(setup->crops[i].delay_per_day));
    for (size_t i = 0; i < setup->n_cleanouts; i++)
        for (size_t s = 0; s < setup->n_sections; s++)
            HOLDS(is_share(setup->cleanouts[i].keep_loose[s]) &&
                  is_share(setup->cleanouts[i].keep_lodged[s]) && setup->cleanouts[i].minutes >= 0);
    for (size_t i = 0; i < setup->n_machines; i++) {
        const sb_machine *machine = &setup->machines[i];
        HOLDS(machine->ha_per_hour > 0 && machine->road_km_h > 0 && machine->header_m > 0);
        HOLDS(machine->cost_per_km >= 0 && machine->cost_per_hour >= 0 &&
              machine->season_hours > 0);
        check_sections(setup, machine);
    }
    for (size_t i = 1; i < setup->calendar.n_blocked; i++)
        HOLDS(setup->calendar.blocked[i - 1] < setup->calendar.blocked[i]);
    HOLDS(setup->calendar.hours_per_day > 0 && setup->calendar.hours_per_day <= 24);
    HOLDS(setup->scale.n_classes >= 1);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    fuzz_reading reading = fuzz_read((const char *)bytes, n);
    fuzz_check_reading(&reading);
    HOLDS(reading.status == SB_OK || reading.draft.season_file == NULL);
    check_setup(&reading.draft.setup);
    fuzz_release(&reading);
    return 0;
}
