/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The season repeated for years: what lands this year is next year's rating. */
#ifndef SB_DOUBT_YEARS_H
#define SB_DOUBT_YEARS_H

#include "doubt/seed_bank.h"
#include "seedbreak.h"

typedef enum sb_routine {
    SB_ROUTINE_NO_CLEANING, /**< the plan's order, no cleanout at all */
    SB_ROUTINE_SAME_PLAN,   /**< the plan, every year */
    SB_ROUTINE_REORDERED,   /**< ordered anew every year for the ratings of that year */
    SB_ROUTINES,
} sb_routine;

/** A field with fewer plants of a weed than this is clean of it, with more it is weedy: where light
 * begins in the scouting density classes (common practice, no source). */
#define SB_WEEDY_PLANTS_M2 0.01

struct sb_years {
    size_t years, n_fields, n_weeds;
    /** plants/m2 at harvest, [((routine * (years + 1) + year) * n_fields + field) * n_weeds +
     * weed]; year 0 is this season as rated */
    double *density;
    /** money for travel, cleanouts and delay in each year, [routine * years + year] */
    double *spent;
    double *spread; /**< money expected to be lost by seeds brought, likewise */
    /** [routine * years + year]: no plan kept the rules in that year, so last year's was kept */
    bool *kept_old;
    /** [routine * years + year]: the year's new plan is the best found before the search stopped,
     * not proven cheapest */
    bool *unproven;
};

static inline double sb_years_density(const sb_years *years, int routine, size_t year, size_t field,
                                      size_t weed)
{
    return years
        ->density[(((size_t)routine * (years->years + 1) + year) * years->n_fields + field) *
                      years->n_weeds +
                  weed];
}

/** The first year in which the field is weedy: 0 when it is from the start, years + 1 when it never
 * is. */
size_t sb_years_weedy(const sb_years *years, int routine, size_t field, size_t weed);

#endif
