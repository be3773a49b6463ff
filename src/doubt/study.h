/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A plan and its rivals priced over sampled seasons.
 *
 * Every sample is the season with all its uncertain numbers drawn anew, and every plan is followed
 * through it by src/carry; roads, cleaning and delay cost the same in every sample. What came out
 * is a table of numbers, one row a sample, that can be made in parts and put together. */
#ifndef SB_DOUBT_STUDY_H
#define SB_DOUBT_STUDY_H

#include "doubt/spreads.h"
#include "plan/plan.h"

/** What a column of the table counts: of each field, then of each weed, then of each rival. */
typedef enum sb_outcome_kind {
    SB_SAMPLED_SEEDS,  /**< brought to the ground */
    SB_SAMPLED_PLANTS, /**< that become of them next year */
    SB_SAMPLED_LOSS,   /**< money: expected loss from them */
    SB_SAMPLED_KINDS,
} sb_outcome_kind;

/** Random numbers of a study, apart from those of src/doubt/scenarios.h. */
#define SB_STUDY_STREAM 0u

struct sb_doubt {
    uint64_t seed;
    uint64_t id; /**< the same for the same season, plan, rivals and seed */
    uint64_t first, last;
    size_t n_fields;
    size_t n_weeds;         /**< weeds in play */
    int weed[SB_MAX_WEEDS]; /**< which those are */
    size_t n_rivals;
    char **rival_names;
    sb_cost cost; /**< of the plan in the central case */
    sb_cost *rival_cost;
    sb_spreads spreads;
    size_t width;    /**< columns of the table */
    double *central; /**< width: the central case */
    double *table;   /**< (last - first + 1) x width */
};

/** Columns of the table. A rival's is its expected loss over all fields. */
static inline size_t sb_field_column(size_t field, sb_outcome_kind kind)
{
    return SB_SAMPLED_KINDS * field + (size_t)kind;
}
static inline size_t sb_weed_column(const sb_doubt *doubt, size_t w, sb_outcome_kind kind)
{
    return SB_SAMPLED_KINDS * (doubt->n_fields + w) + (size_t)kind;
}
static inline size_t sb_rival_column(const sb_doubt *doubt, size_t rival)
{
    return SB_SAMPLED_KINDS * (doubt->n_fields + doubt->n_weeds) + rival;
}
static inline size_t sb_doubt_samples(const sb_doubt *doubt)
{
    return (size_t)(doubt->last - doubt->first + 1);
}
/** What was drawn for a spread in a sample: a number in 0..1 that its multiplier rises with. */
double sb_doubt_draw(const sb_doubt *doubt, uint64_t sample, size_t spread);
/** A kind of outcome over all fields, of one row. */
double sb_outcome_total(const sb_doubt *doubt, const double *row, sb_outcome_kind kind);
/** The plan's total cost in the season of a row, and a rival's. */
double sb_outcome_cost(const sb_doubt *doubt, const double *row);
double sb_outcome_rival_cost(const sb_doubt *doubt, const double *row, size_t rival);

/** A study without samples yet, with the central case filled in. The caller frees it with
 * sb_doubt_free. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_doubt_prepare(const sb_season *season, const sb_plan *plan, const sb_rival *rivals,
                           size_t n_rivals, const sb_doubt_options *options, sb_doubt **doubt);

#endif
