/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The built-in machine: a mid-size combine with a 9.14 m (30 ft) header. */
#include <math.h>

#include "base/mem.h"
#include "season/builtin.h"

/* 9.14 m x 5 km/h x 0.70 / 10 = 3.20 ha/h: the standard formula of effective field capacity;
 * speed and field efficiency are the typical combine values of ASAE D497 (from memory). */
#define HA_PER_HOUR 3.2
#define HEADER_M 9.14
#define ROAD_KM_H 25.0     /* 16 mph; from memory, machines do 25-32 km/h on the road */
#define COST_PER_KM 2.0    /* assumed: fuel, tyres, escort */
#define COST_PER_HOUR 60.0 /* assumed: the operator's wage and a share of the machine */

#define HOLD_UP_SOURCE                                                                         \
    "share of the material held: Hunter & Sosnoskie, Cornell University; 56 kg in all is the " \
    "middle of 43-69 kg (Hanna, Jarboe & Quick 2005); "
#define SPLIT_SOURCE                                                                          \
    "share of the material held: what Hunter & Sosnoskie, Cornell University, leave over of " \
    "56 kg, split by the ranking of Hanna, Jarboe & Quick 2005; "
#define PURGE_SOURCE \
    "lodged share and purge constants fitted to Hanna, Jarboe & Quick 2005, not measured; "
#define STRAW_AND_CHAFF                                                                          \
    "3 % of small seed to the tank: Broster & Walsh 2014; half of large seed: common practice, " \
    "no source"

static const sb_section sections[] = {
    {
        .id = (char *)"header",
        .name = (char *)"Header and feeder house",
        .kg = 6.72,
        .lodged_share = 0.30,
        .tau_loose_t = 0.06,
        .tau_lodged_t = 40,
        .tank_share_small = 0.03,
        .tank_share_large = 0.5,
        .basis = SB_FITTED,
        .source = (char *)HOLD_UP_SOURCE PURGE_SOURCE STRAW_AND_CHAFF,
    },
    {
        .id = (char *)"rock_trap",
        .name = (char *)"Rock trap",
        .kg = 14.84,
        .lodged_share = 0.70,
        .tau_loose_t = 0.15,
        .tau_lodged_t = 90,
        .tank_share_small = 0.03,
        .tank_share_large = 0.5,
        .basis = SB_FITTED,
        .source = (char *)HOLD_UP_SOURCE PURGE_SOURCE STRAW_AND_CHAFF,
    },
    {
        .id = (char *)"threshing",
        .name = (char *)"Threshing and separation",
        .kg = 6.72,
        .lodged_share = 0.45,
        .tau_loose_t = 0.06,
        .tau_lodged_t = 50,
        .tank_share_small = 0.03,
        .tank_share_large = 0.5,
        .basis = SB_FITTED,
        .source = (char *)SPLIT_SOURCE PURGE_SOURCE STRAW_AND_CHAFF,
    },
    {
        .id = (char *)"shoe",
        .name = (char *)"Cleaning shoe, tailings and elevators",
        .kg = 7.28,
        .lodged_share = 0.45,
        .tau_loose_t = 0.10,
        .tau_lodged_t = 60,
        .tank_share_small = 0.05,
        .tank_share_large = 0.5,
        .basis = SB_FITTED,
        .source = (char *)SPLIT_SOURCE PURGE_SOURCE
        "5 % of small seed to the tank: assumed, a little over the 3 % of Broster & Walsh 2014, "
        "because the clean-grain elevator counts here; half of large seed: common practice, no "
        "source",
    },
    {
        .id = (char *)"tank",
        .name = (char *)"Grain tank and unloading auger",
        .kg = 14.00,
        .lodged_share = 0.35,
        .tau_loose_t = 0.12,
        .tau_lodged_t = 100,
        .tank_share_small = 1.0,
        .tank_share_large = 1.0,
        .basis = SB_FITTED,
        .source = (char *)HOLD_UP_SOURCE PURGE_SOURCE
        "all seed leaves with the grain: Tourn et al., Revista ASACIM",
    },
    {
        .id = (char *)"chopper",
        .name = (char *)"Chopper and spreader",
        .kg = 6.44,
        .lodged_share = 0.50,
        .tau_loose_t = 0.06,
        .tau_lodged_t = 40,
        .tank_share_small = 0.0,
        .tank_share_large = 0.0,
        .basis = SB_FITTED,
        .source = (char *)HOLD_UP_SOURCE PURGE_SOURCE "no seed goes to the tank: by construction",
    },
};

sb_status sb_builtin_machine(sb_setup *setup)
{
    size_t n = sizeof sections / sizeof *sections;
    setup->n_sections = n;
    setup->machines = sb_alloc(1, sizeof *setup->machines);
    if (setup->machines == NULL)
        return SB_ERR_NOMEM;
    sb_machine *machine = &setup->machines[0];
    setup->n_machines = 1;
    *machine = (sb_machine){
        .ha_per_hour = HA_PER_HOUR,
        .road_km_h = ROAD_KM_H,
        .cost_per_km = COST_PER_KM,
        .cost_per_hour = COST_PER_HOUR,
        .season_hours = INFINITY,
        .header_m = HEADER_M,
        .from_day = SB_NO_DAY,
        .to_day = SB_NO_DAY,
        .most_slope_percent = INFINITY,
        .start = SB_START_CLEAN,
    };
    machine->sections = sb_alloc(n, sizeof *machine->sections);
    if (machine->sections == NULL || !sb_builtin_text(&machine->id, "combine") ||
        !sb_builtin_text(&machine->name, "Combine"))
        return SB_ERR_NOMEM;
    for (size_t s = 0; s < n; s++) {
        sb_section *section = &machine->sections[s];
        *section = sections[s];
        section->id = section->name = section->source = NULL;
        if (!sb_builtin_text(&section->id, sections[s].id) ||
            !sb_builtin_text(&section->name, sections[s].name) ||
            !sb_builtin_text(&section->source, sections[s].source))
            return SB_ERR_NOMEM;
    }
    return SB_OK;
}
