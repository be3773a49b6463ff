/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doubt/seed_bank.h"

const sb_bank_rates sb_bank_published = {
    .emergence_later = 0.03, .kept_first = 0.20, .kept_later = 0.50};

void sb_bank_harvest(sb_bank *bank, const sb_weed *weed, double plants_m2, double brought_m2)
{
    double shed_m2 = plants_m2 * weed->seeds_per_plant / (1 + plants_m2 / weed->crowding_plants_m2);
    bank->fresh += weed->viability * (shed_m2 + brought_m2);
}

double sb_bank_year(sb_bank *bank, const sb_weed *weed, const sb_bank_rates *rates)
{
    double seedlings_m2 = bank->fresh * weed->emergence + bank->old * rates->emergence_later;
    bank->old = bank->fresh * rates->kept_first + bank->old * rates->kept_later;
    bank->fresh = 0;
    return seedlings_m2 * weed->survival * (1 - weed->control);
}
