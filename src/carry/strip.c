/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Where the loose seeds fall: along the first swath from the entry. That strip is the place to
 * scout and rogue next season. */
#include <math.h>

#include "carry/carry.h"

/** Newton steps are counted, so that a strange machine cannot hang the program; a handful do. */
#define MOST_STEPS 200
/** A step of less than this share of the way so far ends the search: under a micrometre. */
#define CLOSE_ENOUGH 1e-12

/** Loose seeds fallen to the ground after `grain_t` tonnes, all weeds, and how many fall a tonne.
 */
static double fallen_after(const sb_season *season, int machine, const sb_load *load,
                           double grain_t, double *per_t)
{
    double seeds = 0;
    *per_t = 0;
    for (size_t s = 0; s < season->setup.n_sections; s++) {
        double to_ground = 0;
        for (size_t w = 0; w < season->setup.n_weeds; w++)
            to_ground += load->seeds[sb_pool((int)s, false)][w] *
                         sb_season_ground_share(season, machine, (int)s, (int)w);
        double tau_t = season->setup.machines[machine].sections[s].tau_loose_t;
        double shed = -expm1(-grain_t / tau_t);
        seeds += to_ground * shed;
        *per_t += to_ground * (1 - shed) / tau_t;
    }
    return seeds;
}

double sb_strip_m(const sb_season *season, int machine, int field, const sb_load *load,
                  double share)
{
    const sb_field *f = &season->fields[field];
    double per_t;
    double wanted = share * fallen_after(season, machine, load, f->grain_t, &per_t);
    if (!(wanted > 0))
        return 0;
    /* Ever fewer seeds fall a tonne, so Newton's steps from the entry never overshoot. */
    double grain_t = 0;
    for (int i = 0; i < MOST_STEPS; i++) {
        double missing = wanted - fallen_after(season, machine, load, grain_t, &per_t);
        double step_t = missing / per_t;
        if (!(step_t > CLOSE_ENOUGH * grain_t))
            break;
        grain_t += step_t;
    }
    double grain_t_per_m = f->yield_t_ha * season->setup.machines[machine].header_m / 1e4;
    return fmin(grain_t, f->grain_t) / grain_t_per_m;
}
