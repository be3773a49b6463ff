/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Where to look before starting: what knowing a rating is worth. */
#ifndef SB_DOUBT_SCOUTING_H
#define SB_DOUBT_SCOUTING_H

#include "doubt/spreads.h"
#include "seedbreak.h"

/** What one walk is worth: money by which the mean cost would fall if its ratings were known before
 * the plan is made, everything else as uncertain as before. */
typedef struct sb_walk_worth {
    int field;
    int weed;      /**< -1: all uncertain ratings of the field together */
    double worth;  /**< >= 0 */
    size_t orders; /**< different plans that are best for some outcome; 1: it cannot change it */
} sb_walk_worth;

struct sb_scouting {
    sb_walk_worth *ratings; /**< n_ratings: every uncertain rating, the most worth first */
    size_t n_ratings;
    sb_walk_worth *fields; /**< n_fields: every field that has one, the most worth first */
    size_t n_fields;
    size_t n_first;     /**< so many of the fields are worth walking first */
    double first_worth; /**< what those are worth together */
    size_t machines;    /**< ordered together; of several no plan is proven */
    double mean_cost;   /**< of the best plan when nothing is walked */
    bool stopped;       /**< by the time limit or Ctrl-C, before every outcome was ordered */
    size_t plans;       /**< plans that were weighed against each other */
    size_t seasons;     /**< seasons drawn for each outcome */
    uint64_t seed;
};

#endif
