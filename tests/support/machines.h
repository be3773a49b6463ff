/* SPDX-License-Identifier: GPL-3.0-or-later */
/** More machines for seasons made by code. */
#ifndef SUPPORT_MACHINES_H
#define SUPPORT_MACHINES_H

#include "bench_season.h"
#include "season/season.h"
#include "seasons.h"

/** Adds a copy of machine 0 ("m2", "m3", ...) with a yard of its own, which begins as far from
 * everything as the first one. @return its number */
int support_add_machine(sb_season *season);

/** A season of bench_season for several machines: yards beside fields far apart, each further
 * machine larger and faster than the one before, hours for a quarter more than the machines' fair
 * shares of the cutting, fields of 3 to 9 growers. Free with sb_season_free. */
sb_season *support_fleet_season(const bench_options *options, int machines);

/** A season of support_random_season for two machines: the second with a yard, rate, costs,
 * sections, start load and final cleanout of its own; hours that now and then are too few for one
 * machine, or for both. The same seed, n_fields and options give the same season. */
sb_season *support_random_fleet(uint64_t seed, size_t n_fields, const support_options *options);

#endif
