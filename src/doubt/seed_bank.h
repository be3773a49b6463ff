/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Seeds in the soil from one harvest to the next: what emerges, survives and sets seed. */
#ifndef SB_DOUBT_SEED_BANK_H
#define SB_DOUBT_SEED_BANK_H

#include "season/season.h"

/** How seeds fare that do not emerge at once. */
typedef struct sb_bank_rates {
    double emergence_later; /**< share of the older seeds that emerges in a year */
    double kept_first; /**< share of the fresh seeds still alive and in the soil a year later */
    double kept_later; /**< share of the older ones, likewise */
} sb_bank_rates;

/** About 80 % lost in 12 months and 5 % left after 36: Loux, Ohio State University ANR-76, of
 * waterhemp and Palmer amaranth; 1 to 9 % emerge in years two and three: Buhler & Hartzler 2001, of
 * which the geometric middle. Taken for every weed. */
extern const sb_bank_rates sb_bank_published;

/** Viable seeds per m2 of one weed in one field. */
typedef struct sb_bank {
    double fresh; /**< shed or brought at the last harvest */
    double old;
} sb_bank;

/** Harvest: the field's own plants shed their seeds, `brought_m2` more are carried in. Plants that
 * stand close bear fewer: a plant among `crowding` others half of what it bears alone. */
void sb_bank_harvest(sb_bank *bank, const sb_weed *weed, double plants_m2, double brought_m2);

/** A year goes by. @return plants/m2 that stand at the next harvest */
double sb_bank_year(sb_bank *bank, const sb_weed *weed, const sb_bank_rates *rates);

#endif
