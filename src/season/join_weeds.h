/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Ratings: from labels and densities to what the model uses (join_ratings.c). */
#ifndef SB_SEASON_JOIN_WEEDS_H
#define SB_SEASON_JOIN_WEEDS_H

#include "season/join.h"

/** Share of the harm of one newcomer that a field full of the weed no longer feels, 0..1. */
double sb_occupied(const sb_weed *weed, double density_plants_m2);

/** What a feature itself says of each weed, into ratings[SB_MAX_WEEDS] (source NONE: nothing). */
void sb_join_stated_ratings(sb_joining *join, const sb_feature *feature, sb_rating *ratings);

#endif
