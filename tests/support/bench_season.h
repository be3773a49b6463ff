/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Invented seasons of the demo's kind and any size, for measuring and testing the solver. */
#ifndef BENCH_SEASON_H
#define BENCH_SEASON_H

#include "season/season.h"

typedef struct bench_options {
    int n_fields;
    uint64_t seed;
    int n_weeds; /**< 0..3 */
    bool dates;  /**< ready and latest days that an order without them would break */
} bench_options;

/** 4 to 6 clusters of fields of 8 to 80 ha within 25 km, three weeds each at home in some of them,
 * the built-in machine and cleanouts. Free with sb_season_free; NULL when out of memory. */
sb_season *bench_season(const bench_options *options);

#endif
