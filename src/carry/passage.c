/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Well-mixed hold-up, exact for a constant inflow: what a pool held on entry decays by the tonne
 * of grain, and the field's own material takes its place (docs/model.md). */
#include <math.h>

#include "carry/carry.h"

void sb_passage_of(const sb_season *season, int machine, int field, sb_passage *passage)
{
    sb_passage_of_part(season, machine, field, season->fields[field].grain_t, passage);
}

void sb_passage_of_part(const sb_season *season, int machine, int field, double grain_t,
                        sb_passage *passage)
{
    const sb_field *f = &season->fields[field];
    *passage = (sb_passage){0};
    for (size_t s = 0; s < season->setup.n_sections; s++) {
        const sb_section *section = &season->setup.machines[machine].sections[s];
        for (int lodged = 0; lodged <= 1; lodged++) {
            int pool = sb_pool((int)s, lodged);
            double tau_t = lodged ? section->tau_lodged_t : section->tau_loose_t;
            double share = lodged ? section->lodged_share : 1 - section->lodged_share;
            passage->kept[pool] = exp(-grain_t / tau_t);
            passage->shed[pool] = -expm1(-grain_t / tau_t);
            for (size_t w = 0; w < season->setup.n_weeds; w++)
                passage->taken_in[pool][w] =
                    f->seeds_per_kg[w] * section->kg * share * passage->shed[pool];
        }
    }
}

double sb_tarp_kg(const sb_season *season, int machine, int cleanout)
{
    const sb_cleanout *level = &season->setup.cleanouts[cleanout];
    double kg = 0;
    for (size_t s = 0; s < season->setup.n_sections; s++) {
        const sb_section *section = &season->setup.machines[machine].sections[s];
        kg += section->kg * ((1 - section->lodged_share) * (1 - level->keep_loose[s]) +
                             section->lodged_share * (1 - level->keep_lodged[s]));
    }
    return kg;
}
