/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Where the loose seeds fall: along the first swath from the entry. That strip is the place to
 * scout and rogue next season. */
#include <math.h>

#include "carry/carry.h"

/** Halvings of the field's swath: 2^-40 of 1000 km is a thousandth of a millimetre. */
#define HALVINGS 40

/** Loose seeds fallen to the ground after `grain_t` tonnes, all weeds. */
static double fallen_after(const sb_season *season, int machine, const sb_load *load,
                           double grain_t)
{
    double seeds = 0;
    for (size_t s = 0; s < season->setup.n_sections; s++) {
        double tau_t = season->setup.machines[machine].sections[s].tau_loose_t;
        double shed = -expm1(-grain_t / tau_t);
        for (size_t w = 0; w < season->setup.n_weeds; w++)
            seeds += load->seeds[sb_pool((int)s, false)][w] * shed *
                     sb_season_ground_share(season, machine, (int)s, (int)w);
    }
    return seeds;
}

double sb_strip_m(const sb_season *season, int machine, int field, const sb_load *load,
                  double share)
{
    const sb_field *f = &season->fields[field];
    double wanted = share * fallen_after(season, machine, load, f->grain_t);
    if (!(wanted > 0))
        return 0;
    double low_t = 0, high_t = f->grain_t;
    for (int i = 0; i < HALVINGS; i++) {
        double middle_t = (low_t + high_t) / 2;
        if (fallen_after(season, machine, load, middle_t) < wanted)
            low_t = middle_t;
        else
            high_t = middle_t;
    }
    double grain_t_per_m = f->yield_t_ha * season->setup.machines[machine].header_m / 1e4;
    return high_t / grain_t_per_m;
}
