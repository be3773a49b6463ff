/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The best plan of a small season by trying every assignment, order and level, with arithmetic
 * straight from the season: shares no code with src/order, src/carry or src/plan. */
#ifndef SUPPORT_BRUTE_H
#define SUPPORT_BRUTE_H

#include "season/season.h"

/** Which rules stopped some branch of the search: "did this rule bind?" */
typedef struct brute_counts {
    long latest, entry, after, seed_limit, tank_limit, full, spend, season_end, no_way;
    long service;           /**< machines that may not cut a field */
    long apart;             /**< growers not kept apart */
    long grower;            /**< growers who would receive too much */
    long from;              /**< machines that could not set out at once */
    long to;                /**< machines back after their last day */
    long late;              /**< plans that paid for delay */
    long waited;            /**< moves that waited for a ready day */
    long waited_for_others; /**< fields that waited for one that another machine cut before */
    long plans;             /**< whole plans that were the best so far */
    long shared;            /**< of these, plans in which more than one machine leaves the yard */
} brute_counts;

/** Most fields of a season that is tried. */
#define BRUTE_FIELDS 8
/** Most machines. */
#define BRUTE_MACHINES 4
/** Most growers. */
#define BRUTE_GROWERS 8

/** The least cost over all plans that keep every rule; INFINITY when there is none. */
double brute_best(const sb_season *season, brute_counts *counts);
/** The same over plans in which no grower's fields receive more expected loss than that. */
double brute_best_capped(const sb_season *season, double most_loss, brute_counts *counts);
/** The least loss of the grower who loses most, over all plans that keep every rule. */
double brute_least_worst(const sb_season *season, brute_counts *counts);

#endif
