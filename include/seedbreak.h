/* SPDX-License-Identifier: GPL-3.0-or-later */
/** seedbreak: order a harvest so that the combine carries the fewest weed seeds.
 *
 * The easy calls, in the order a program makes them:
 *
 *     sb_report *report = sb_report_new();
 *     sb_season *season = NULL;
 *     sb_plan *plan = NULL;
 *     sb_order_options options;
 *     sb_order_options_init(&options);
 *     if (sb_season_read(paths, n_paths, NULL, report, &season) == SB_OK &&
 *         sb_order(season, &options, report, &plan) == SB_OK)
 *         sb_write_outputs(season, plan, "out", report);
 *     sb_plan_free(plan);
 *     sb_season_free(season);
 *     sb_report_free(report);
 *
 * Rules that hold for every call:
 * - The library never exits, aborts on input or writes to stdout or stderr; text goes to the stream
 *   or file the caller names, messages go to the sb_report.
 * - Handles are opaque. Different handles may be used from different threads at the same time.
 * - Every sb_..._free accepts NULL. On failure an out handle is NULL and nothing is leaked.
 * - A season never changes once read; a plan borrows nothing from the season that made it.
 */
#ifndef SEEDBREAK_H
#define SEEDBREAK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#ifdef __cplusplus
extern "C" {
#endif

/** What a call came to. Zero is success; the values are pinned. */
typedef enum sb_status {
    SB_OK = 0,
    SB_ERR_INFEASIBLE = 1, /**< the season has no feasible plan; the report names the rules */
    SB_ERR_ARG = 2,        /**< the caller's mistake: NULL, a value out of range */
    SB_ERR_INPUT = 3,      /**< a file says something wrong; the report has file and line */
    SB_ERR_SYSTEM = 4,     /**< cannot read or write */
    SB_ERR_NOMEM = 5,      /**< out of memory */
    SB_ERR_INTERNAL = 6, /**< our mistake: a plan that failed its own check, a solver gone wrong */
} sb_status;

/** A short lower-case phrase for a status; never NULL. */
const char *sb_status_text(sb_status status);

/** The library's version, "MAJOR.MINOR.PATCH". */
const char *sb_version(void);

/* ---- Messages ------------------------------------------------------------------------------ */

typedef enum sb_severity {
    SB_NOTE = 0,    /**< worth knowing: an assumption, a repair */
    SB_WARNING = 1, /**< doubtful: the answer may be wrong because of it */
    SB_ERROR = 2,   /**< the call failed because of it */
} sb_severity;

/** One message. Strings live as long as the report. */
typedef struct sb_message {
    sb_severity severity;
    const char *file; /**< as the caller named it; NULL when no file is to blame */
    size_t line;      /**< from 1; 0 when no line is to blame */
    const char *text; /**< what was found, what was expected */
} sb_message;

/** Collects messages of the calls it is handed to, in order. One thread at a time. */
typedef struct sb_report sb_report;

/** A new empty report, or NULL when out of memory. */
sb_report *sb_report_new(void);
void sb_report_free(sb_report *report);
size_t sb_report_count(const sb_report *report);
/** Message i, 0 <= i < sb_report_count. */
sb_message sb_report_get(const sb_report *report, size_t i);

/* ---- The season: fields, weeds, machines, rules ------------------------------------------- */

typedef struct sb_season sb_season;

typedef struct sb_read_options {
    const char *travel_csv; /**< travel table to use instead of geodesic distances, or NULL */
} sb_read_options;

/** Reads and joins any mix of field, scouting and season files, told apart by content.
 * @param paths   n_paths file names. Borrowed.
 * @param options NULL for the defaults.
 * @param report  receives warnings, and the errors when the call fails.
 * @param season  [out] the caller frees it with sb_season_free.
 * @return SB_OK; SB_ERR_ARG (NULL, n_paths 0); SB_ERR_INPUT; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_season_read(const char *const *paths, size_t n_paths, const sb_read_options *options,
                         sb_report *report, sb_season **season);
void sb_season_free(sb_season *season);

size_t sb_season_field_count(const sb_season *season);
size_t sb_season_machine_count(const sb_season *season);

/* ---- Plans --------------------------------------------------------------------------------- */

typedef struct sb_plan sb_plan;

/** What a plan costs, in the season's currency. */
typedef struct sb_cost {
    double travel;   /**< kilometres and road hours, way home included */
    double cleanout; /**< people, supplies and lost time of every cleanout */
    double spread;   /**< expected loss from seeds carried into other fields */
    double delay;    /**< grain lost after best-before dates */
    double total;    /**< the sum of the four */
} sb_cost;

/** Where an optimisation stands; handed to the progress callback. */
typedef struct sb_progress {
    double elapsed_s;
    double cost;  /**< best plan so far; INFINITY while there is none */
    double bound; /**< no plan can cost less; -INFINITY while unknown */
    double done;  /**< share of what has to be looked at, up to 1: of sb_scout the walks, of
                       sb_order_robust the rounds, of sb_years_ahead the years that are ordered
                       anew, of sb_find_rivals the seasons; 0: not known */
} sb_progress;

/** How the fields are ordered. The rivals are for comparison: each fixes the order by its own rule
 * and then gets the best cleanouts for it. */
typedef enum sb_order_by {
    SB_BY_COST = 0,           /**< least total cost: the answer */
    SB_BY_SHORTEST_ROAD = 1,  /**< rival: the cheapest travel that keeps the rules, seeds ignored */
    SB_BY_CLEANEST_FIRST = 2, /**< rival: at each stop the cleanest field that may be cut then */
    SB_BY_PLAN = 3,           /**< the order of keep_order */
} sb_order_by;

/** A cap on the expected loss in one grower's fields, by name. */
typedef struct sb_grower_limit {
    const char *grower; /**< Borrowed */
    double loss;        /**< money, >= 0 */
} sb_grower_limit;

typedef struct sb_order_options {
    const char *machine; /**< id or name of the machine that cuts everything; NULL: all of the
                            season */
    sb_order_by by;
    const sb_plan *keep_order; /**< SB_BY_PLAN: whose order to keep. Borrowed */
    double time_limit_s;       /**< stop after this many seconds; INFINITY: never */
    uint64_t seed;             /**< same input and seed, same plan */
    int threads;               /**< 0: one per core; the plan does not depend on it */
    double spread_weight;      /**< money on spread counts so many times, > 0 */
    double
        spend_limit; /**< most money for cleanouts, beside the season's own limit; INFINITY: none */
    double full_limit;      /**< most full cleanouts, likewise; neither counts the final cleanout */
    double loss_per_grower; /**< most expected loss in any one grower's fields, likewise */
    const sb_grower_limit *grower_limits; /**< n_grower_limits, likewise: of two caps on the same
                                               grower the lesser counts. Borrowed */
    size_t n_grower_limits;
    bool least_worst; /**< make the worst grower's loss as small as any plan can, whatever it
                           costs; of such plans the cheapest. SB_BY_COST only */
    const sb_plan *begin_with; /**< a plan to improve on, or NULL. Borrowed */
    bool every_plan;           /**< of sb_weigh: the plans that only a limit on money picks, too */
    /** Called now and then from the calling thread; may be NULL. */
    void (*progress)(const sb_progress *now, void *context);
    /** Polled often, from any thread; true stops the search at the best plan so far. May be NULL.
     */
    bool (*stop)(void *context);
    void *context; /**< handed to both callbacks */
} sb_order_options;

/** Fills in the defaults: SB_BY_COST, time_limit_s 600, seed 1, threads 0, spread_weight 1, no
 * limits, no plan to begin with, no callbacks. Limits on growers' losses, the season's and the
 * option's, are kept by sb_order with SB_BY_COST alone; other calls say that they are not. */
void sb_order_options_init(sb_order_options *options);

/** Shares the fields out among the machines, orders each machine's and places its cleanouts at the
 * least total cost. The plan has a route for every machine, an empty one for a machine that stays
 * in the yard.
 * The plan has passed the independent checker. Stopped early it is the best found, with its bound.
 * @return SB_OK; SB_ERR_INFEASIBLE (the report names fields and rules in conflict, or says that
 *         none was found in time); SB_ERR_INPUT (no such machine or grower, or several machines for
 *         a rival that wants one);
 *         SB_ERR_ARG; SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_order(const sb_season *season, const sb_order_options *options, sb_report *report,
                   sb_plan **plan);

/** Reads a plan.json, ours or one written by hand (stops with "field" and "cleanout" are enough),
 * prices it anew and checks it against the season's rules; broken rules become warnings.
 * @return SB_OK; SB_ERR_ARG; SB_ERR_INPUT; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_plan_read(const sb_season *season, const char *path, sb_report *report,
                       sb_plan **plan);
void sb_plan_free(sb_plan *plan);

sb_cost sb_plan_cost(const sb_plan *plan);
/** A cost that no feasible plan can undercut; -INFINITY for a plan that was only priced. When
 * spread was weighed otherwise than 1 it is a bound of the cost as weighed. */
double sb_plan_bound(const sb_plan *plan);
/** True when the bound proves the plan cheapest within the stated tolerance. */
bool sb_plan_optimal(const sb_plan *plan);

/* ---- Doubt: how sure a plan is --------------------------------------------------------------- */

/** Another plan for the same season, to compare with. Both are borrowed. */
typedef struct sb_rival {
    const char *name;
    const sb_plan *plan;
} sb_rival;

#define SB_DOUBT_SAMPLES 10000         /**< seasons that are drawn unless said otherwise */
#define SB_DOUBT_MOST_SAMPLES 10000000 /**< in one call */

typedef struct sb_doubt_options {
    uint64_t seed;        /**< same input and seed, same samples */
    uint64_t first, last; /**< numbers of the samples to draw, from 1; a sample is the same in
                               whatever range it is drawn */
    int threads;          /**< 0: one per core; nothing depends on it */
} sb_doubt_options;

/** Fills in the defaults: seed 1, samples 1 to SB_DOUBT_SAMPLES, threads 0. */
void sb_doubt_options_init(sb_doubt_options *options);

/** A plan and its rivals over sampled seasons: each draws every uncertain number anew. */
typedef struct sb_doubt sb_doubt;

#define SB_RIVAL_SEASONS 48 /**< drawn by sb_find_rivals */

/** Rivals of a plan for several machines: the season is ordered anew in SB_RIVAL_SEASONS drawn
 * seasons, by annealing and without a proof. Of all plans met the first rival is cheaper than the
 * plan in most of these seasons, the next one cheaper than both, and so on (docs/doubt.md). These
 * are other seasons than sb_doubt_run draws. Depends on the seed alone, unless the caller stops it.
 * @param plan    priced, of this season; it is no rival of itself
 * @param options seed, threads, progress, stop and context count
 * @param most    rivals at most
 * @param rivals  [out] `most`, of which *n are plans: fewer when no other is the cheapest in any
 *                of the seasons; the caller frees each with sb_plan_free
 * @param best_in [out] most + 1: in how many of the seasons the plan is the cheapest of itself and
 *                its rivals, then each rival; of equals the first
 * @return SB_OK; SB_ERR_ARG; SB_ERR_NOMEM */
sb_status sb_find_rivals(const sb_season *season, const sb_plan *plan,
                         const sb_order_options *options, size_t most, sb_plan **rivals,
                         size_t *best_in, size_t *n);

/** Draws the samples and prices the plans in each (docs/doubt.md).
 * @param plan   a priced plan of this season, whose ways all exist; so are the rivals
 * @param rivals n_rivals, may be NULL when there are none
 * @param doubt  [out] the caller frees it with sb_doubt_free
 * @return SB_OK; SB_ERR_ARG; SB_ERR_NOMEM */
sb_status sb_doubt_run(const sb_season *season, const sb_plan *plan, const sb_rival *rivals,
                       size_t n_rivals, const sb_doubt_options *options, sb_doubt **doubt);

/** Puts together what sb_doubt_write_samples wrote of ranges of one study: to the last bit what
 * sb_doubt_run gives over the whole. Together the files must hold samples 1 to some number, each
 * once.
 * @param options only the seed counts; season, plan and rivals must be those of the ranges
 * @return SB_OK; SB_ERR_ARG; SB_ERR_INPUT (not samples of this study, or some are missing or there
 *         twice); SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_doubt_merge(const sb_season *season, const sb_plan *plan, const sb_rival *rivals,
                         size_t n_rivals, const sb_doubt_options *options, const char *const *paths,
                         size_t n_paths, sb_report *report, sb_doubt **doubt);
void sb_doubt_free(sb_doubt *doubt);

/** Writes the samples as a table, samples-FIRST-LAST.csv, into a folder, made if missing.
 * @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_doubt_write_samples(const sb_season *season, const sb_doubt *doubt, const char *folder,
                                 sb_report *report);

/** Writes season.html of the plan that was doubted into a folder, made if missing: as
 * sb_write_outputs does, and with the band in which the seeds in the machine lie in nine seasons of
 * ten, over the first 2,000 of the study.
 * @param plan    the plan of the study
 * @param threads 0: one per core; nothing depends on it
 * @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_doubt_write_page(const sb_season *season, const sb_plan *plan, const sb_doubt *doubt,
                              int threads, const char *folder, sb_report *report);

/** Bands, chances and what drives them: a table 80 columns wide, or JSON.
 * @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM (the stream failed); SB_ERR_NOMEM */
sb_status sb_print_doubt(const sb_season *season, const sb_doubt *doubt, FILE *stream);
sb_status sb_print_doubt_json(const sb_season *season, const sb_doubt *doubt, FILE *stream);

/** What each uncertain rating is worth knowing before the plan is made. */
typedef struct sb_scouting sb_scouting;

/** Weighs walks: by how much the mean cost would fall if the ratings of a field were known. Orders
 * the season anew for what may be found and compares the plans over drawn seasons (docs/doubt.md).
 * @param options as for sb_order, of which `by` must be SB_BY_COST and `spread_weight` 1; the time
 *                limit counts twice,
 *                once for the cheapest plan and once for the walks
 * @param scouting [out] the caller frees it with sb_scouting_free
 * @return as sb_order */
sb_status sb_scout(const sb_season *season, const sb_order_options *options, sb_report *report,
                   sb_scouting **scouting);
void sb_scouting_free(sb_scouting *scouting);

/** The walks as a table 80 columns wide, the most worth first, or as JSON.
 * @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM (the stream failed); SB_ERR_NOMEM */
sb_status sb_print_scouting(const sb_season *season, const sb_scouting *scouting, FILE *stream);
sb_status sb_print_scouting_json(const sb_season *season, const sb_scouting *scouting,
                                 FILE *stream);

/** The season repeated for years under three routines: no cleaning, this plan every year, ordered
 * anew every year. */
typedef struct sb_years sb_years;

#define SB_YEARS 5       /**< looked ahead unless said otherwise */
#define SB_MOST_YEARS 50 /**< beyond that no seed bank is known */

/** Looks years ahead: seeds on the ground emerge, survive, set seed and are next year's rating
 * (docs/doubt.md). Rules count when a year is ordered anew; in a year in which none is kept, the
 * plan of the year before is.
 * @param plan    this year's, priced, whose ways all exist
 * @param n_years 1..SB_MOST_YEARS
 * @param options for ordering anew
 * @param years   [out] the caller frees it with sb_years_free
 * @return SB_OK; SB_ERR_ARG; SB_ERR_INPUT (options name no machine of the season); SB_ERR_NOMEM;
 *         SB_ERR_INTERNAL */
sb_status sb_years_ahead(const sb_season *season, const sb_plan *plan, size_t n_years,
                         const sb_order_options *options, sb_years **years);
void sb_years_free(sb_years *years);

/** When fields turn weedy, as a table 80 columns wide, or all densities as JSON.
 * @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM (the stream failed); SB_ERR_NOMEM */
sb_status sb_print_years(const sb_season *season, const sb_years *years, FILE *stream);
sb_status sb_print_years_json(const sb_season *season, const sb_years *years, FILE *stream);

/** What a robust plan is cheapest in. */
typedef enum sb_aim {
    SB_AIM_MEAN = 1,        /**< the mean cost over sampled seasons */
    SB_AIM_WORST_FIFTH = 2, /**< the mean over the dearest fifth of them */
} sb_aim;

#define SB_SCENARIOS 64        /**< seasons that a robust plan is made for unless said otherwise */
#define SB_MOST_SCENARIOS 1000 /**< fewer when the season has many pools and weeds */

/** Orders the fields like sb_order, but for `scenarios` sampled seasons at once instead of the
 * central case; rules count in the central case. The plan tells what that costs there beside the
 * cheapest plan, how far it is proven, and what both come to in other seasons.
 * @param options as for sb_order, of which `by` must be SB_BY_COST and `spread_weight` 1; the time
 *                limit counts twice,
 *                once for the cheapest plan and once for this one
 * @return as sb_order; SB_ERR_INPUT also when there are too many scenarios */
sb_status sb_order_robust(const sb_season *season, const sb_order_options *options, sb_aim aim,
                          size_t scenarios, sb_report *report, sb_plan **plan);

/* ---- Patches left standing ------------------------------------------------------------------ */

/** What becomes of a weedy patch of a field. */
typedef enum sb_patch_fate {
    SB_PATCH_CUT,   /**< cut with its field */
    SB_PATCH_LAST,  /**< a stop of its own after all fields */
    SB_PATCH_LEAVE, /**< left standing: its grain is given up */
} sb_patch_fate;

/** A season ordered for what may become of its patches, and the best of these plans. */
typedef struct sb_patches sb_patches;

/** Reads the season with other fates for its patches than the files say, and orders each: every
 * combination of up to three patches; of more, one patch after the other as long as the cost with
 * the grain given up falls. The time limit is shared by all of these. In a field for which the
 * files draw no patch those count that its scouting points outline (docs/model.md).
 * @param options as for sb_order
 * @return as sb_season_read and sb_order; SB_ERR_INPUT also when there is no patch of either kind;
 *         SB_ERR_INFEASIBLE when no combination tried has a plan. The caller frees *patches with
 *         sb_patches_free */
sb_status sb_order_patches(const char *const *paths, size_t n_paths,
                           const sb_read_options *read_options, const sb_order_options *options,
                           sb_report *report, sb_patches **patches);
void sb_patches_free(sb_patches *patches);
/** The season with the fates that are best, and its plan. Borrowed. */
const sb_season *sb_patches_season(const sb_patches *patches);
const sb_plan *sb_patches_plan(const sb_patches *patches);
/** For each patch what is best and what the other fates would come to, 80 columns wide.
 * @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM (the stream failed); SB_ERR_NOMEM */
sb_status sb_print_patches(const sb_patches *patches, FILE *stream);
/** How many of them no file draws. */
size_t sb_patches_scouted(const sb_patches *patches);
/** Writes these into a folder, made if missing, as patches.kml, a field file to be read with the
 * others: each with the fate that is best. Writes nothing when there are none.
 * @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_write_patches(const sb_patches *patches, const char *folder, sb_report *report);

/* ---- Money against spread ------------------------------------------------------------------ */

/** Plans between which a person may choose: for none of them is there another that spends less
 * money and spreads less. */
typedef struct sb_curve sb_curve;

/** What one plan of a curve comes to. The final cleanout is in the money, not in the counts. */
typedef struct sb_trade {
    double money;    /**< travel, cleanouts and delay */
    double spread;   /**< expected loss from the seeds brought */
    double cleaning; /**< of the money, what the cleanouts before moves take */
    double seeds;    /**< brought to the ground of all fields, all weeds */
    int cleanouts, full_cleanouts;
    /** No other plan is better while spread counts more than `from` and less than `to` times; both
     * NAN: no weight picks this plan. The curve ends at the weights it was asked for. */
    double weight_from, weight_to;
    bool between; /**< no weight picks this plan, only a limit on money (options->every_plan): of
                       all plans that take no more money it is the cheapest at the curve's largest
                       weight */
    bool proven; /**< cheapest for its weight, for its number of full cleanouts, or for its money */
    double gap;  /**< 0 when proven; else this share of its cost, at the weight that suits it best,
                      may be too much; 1: nothing is known */
} sb_trade;

/** The trade-off between money spent and expected spread: every plan that is cheapest for some
 * weight of spread, from a third of options->spread_weight to three times it; and for 0, 1, 2, ...
 * full cleanouts, up to one more than pays, the cheapest plan at options->spread_weight. With
 * options->every_plan also those that are cheapest at the largest weight under some limit on money,
 * as many as SB_CURVE_MOST_BETWEEN. Limits and rules hold for all. The time limit is for all of it;
 * what was not proven by then has its gap.
 * @param options by and keep_order are not looked at
 * @return as sb_order; the caller frees the curve with sb_curve_free */
#define SB_CURVE_MOST_BETWEEN 60
sb_status sb_weigh(const sb_season *season, const sb_order_options *options, sb_report *report,
                   sb_curve **curve);
void sb_curve_free(sb_curve *curve);

/** Plans of the curve, in order of growing money and falling spread. Plans live as long as it. */
size_t sb_curve_count(const sb_curve *curve);
sb_trade sb_curve_trade(const sb_curve *curve, size_t i);
const sb_plan *sb_curve_plan(const sb_curve *curve, size_t i);
/** The one that sb_order gives with the same options. */
size_t sb_curve_best(const sb_curve *curve);

/** The cheapest plans by their number of full cleanouts, in growing order of it; a number that
 * brings nothing has none, nor has one that the rules do not allow. */
size_t sb_curve_full_count(const sb_curve *curve);
sb_trade sb_curve_full_trade(const sb_curve *curve, size_t i);
const sb_plan *sb_curve_full_plan(const sb_curve *curve, size_t i);

/* ---- Settlement: who owes whom --------------------------------------------------------------- */

/** What a plan means for each grower: seeds given and received, the best way without the others, a
 * fair split of the cost, and who made each cleanout necessary. Rules: docs/coop.md. */
typedef struct sb_settlement sb_settlement;

/** Works out the settlement of a plan that cuts every field. Rivals and coalitions of growers are
 * solved for it; of the options seed, threads, time_limit_s and stop count. The answer depends on
 * the seed alone, unless time limit or caller cut it short, which it then says.
 * @return SB_OK; SB_ERR_ARG (NULL; a plan that leaves out fields or drives where there is no way);
 *         SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_settle(const sb_season *season, const sb_plan *plan, const sb_order_options *options,
                    sb_report *report, sb_settlement **settlement);
void sb_settlement_free(sb_settlement *settlement);

/* ---- Text and files ------------------------------------------------------------------------ */

/** What was read, what is doubtful, what will be assumed: a table 80 columns wide, or JSON.
 * @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM (the stream failed); SB_ERR_NOMEM */
sb_status sb_print_check(const sb_season *season, const sb_report *report, FILE *stream);
sb_status sb_print_check_json(const sb_season *season, const sb_report *report, FILE *stream);

/** The plan as a table 80 columns wide with a reason for each cleanout, or as plan.json. */
sb_status sb_print_plan(const sb_season *season, const sb_plan *plan, FILE *stream);
sb_status sb_print_plan_json(const sb_season *season, const sb_plan *plan, FILE *stream);
/** All cleanouts of a plan added up, what to have at hand, and the clean that ends the season with
 * its steps and cautions, to tick off; 80 columns wide. @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM
 * (the stream failed); SB_ERR_NOMEM */
sb_status sb_print_checklist(const sb_season *season, const sb_plan *plan, FILE *stream);
/** The plan as a board 80 columns wide: what every machine does on every day. */
sb_status sb_print_board(const sb_season *season, const sb_plan *plan, FILE *stream);

/** The settlement as tables 80 columns wide, or as settlement.json. */
sb_status sb_print_settlement(const sb_season *season, const sb_settlement *settlement,
                              FILE *stream);
sb_status sb_print_settlement_json(const sb_season *season, const sb_settlement *settlement,
                                   FILE *stream);
/** Writes settlement.json, settlement.csv and exchange.csv into a folder, made if missing, like
 * sb_write_outputs. @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_write_settlement(const sb_season *season, const sb_settlement *settlement,
                              const char *folder, sb_report *report);

/** Writes plan.json, ledger.csv, schedule.csv, calendar.ics, route.gpx, fields.geojson, map.kml and
 * season.html into a folder, made if missing.
 * Each file is written under a temporary name and renamed, so the old one survives any failure.
 * @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_write_outputs(const sb_season *season, const sb_plan *plan, const char *folder,
                           sb_report *report);

/** Why moves are as they are, in words: what each cleanout would let through and where it comes
 * from, and what another cleanout, place or order would cost. Found by pricing the plan again.
 * @param field the name of the field whose move is told, NULL: every move
 * @return SB_OK; SB_ERR_ARG; SB_ERR_INPUT (no such field: reported); SB_ERR_SYSTEM (the stream
 *         failed); SB_ERR_NOMEM */
sb_status sb_print_why(const sb_season *season, const sb_plan *plan, const char *field,
                       sb_report *report, FILE *stream);

/** Plans side by side, one column each: costs, kilometres, cleanouts, dates, seeds, broken rules,
 * the fields whose losses differ most, and the orders; at most 80 columns wide, or as JSON.
 * @param plans n_plans, n_plans > 0; names head the columns
 * @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM (the stream failed); SB_ERR_NOMEM */
sb_status sb_print_comparison(const sb_season *season, const sb_rival *plans, size_t n_plans,
                              FILE *stream);
sb_status sb_print_comparison_json(const sb_season *season, const sb_rival *plans, size_t n_plans,
                                   FILE *stream);

/** The curve as tables 80 columns wide with every step in words, or as curve.json. */
sb_status sb_print_curve(const sb_season *season, const sb_curve *curve, FILE *stream);
sb_status sb_print_curve_json(const sb_season *season, const sb_curve *curve, FILE *stream);

/** Writes curve.json, curve.csv, curve.svg and season.html into a folder, as sb_write_outputs does.
 */
sb_status sb_write_curve(const sb_season *season, const sb_curve *curve, const char *folder,
                         sb_report *report);

/* ---- The season in progress: its log -------------------------------------------------------- */

/** What was done, entry behind entry, each sealed upon the one before (docs/formats.md). */
typedef struct sb_log sb_log;

/** Reads a log and verifies its seals.
 * @param log [out] the caller frees it with sb_log_free
 * @return SB_OK; SB_ERR_ARG; SB_ERR_INPUT (also when a seal does not fit); SB_ERR_SYSTEM;
 *         SB_ERR_NOMEM */
sb_status sb_log_read(const char *path, sb_report *report, sb_log **log);
void sb_log_free(sb_log *log);
size_t sb_log_count(const sb_log *log);
/** 64 hexadecimal digits: whoever knows it can tell whether the log was changed or cut short since.
 * Borrowed from the log. */
const char *sb_log_last_seal(const sb_log *log);
/** Is this file a log, sound or not? */
bool sb_is_log(const char *path);

/** sb_season_read with what the log says laid over: ratings changed, fields added, days lost. */
sb_status sb_season_read_log(const sb_log *log, const char *const *paths, size_t n_paths,
                             const sb_read_options *options, sb_report *report, sb_season **season);

/** Does the log fit its season: nothing cut twice, nothing unknown, no machine before its time?
 * Adds a note with its last seal.
 * @return SB_OK; SB_ERR_ARG; SB_ERR_INPUT (reported, entry by entry); SB_ERR_NOMEM */
sb_status sb_log_check(const sb_season *season, const sb_log *log, sb_report *report);

/** One word of an entry: "field" and "Home Quarter"; what is said of a weed has the key "weed:ID".
 */
typedef struct sb_log_word {
    const char *key, *value;
} sb_log_word;

/** An entry to be written: its kind ("cut", "cleanout", ... see docs/log.rng) and its words. */
typedef struct sb_log_said {
    const char *kind;
    const sb_log_word *words;
    size_t n_words;
} sb_log_said;

typedef struct sb_log_addition {
    const char *log_path;     /**< made if there is none */
    const char *const *files; /**< n_files field, scouting and season files */
    size_t n_files;
    const sb_read_options *options; /**< for the files; may be NULL */
    const sb_log_said *entries;     /**< written all or none */
    size_t n_entries;
    bool
        forgotten; /**< machines' work ("cut", "cleanout", "away") goes to its place in time: before
                      what the log has of the machine, or of the field cut, from its end on */
} sb_log_addition;

typedef struct sb_log_added {
    size_t first, count; /**< numbers of the entries written: first .. first + count - 1 */
    char seal[65];       /**< of the last of them */
} sb_log_added;

/** Adds entries to a log. "machine" may be left out in a season of one machine; the beginning of a
 * field's, cleanout's or yard's name, and of a machine's id or name, will do when only one begins
 * so.
 * Safe against other writers of the same log (each lands, one after the other) and against being
 * killed: once it returns SB_OK the entries are on the disk; before, the log is as it was.
 * On SB_OK the report has the warnings about these entries, and about older ones that a forgotten
 * one puts in doubt; none about the files.
 * @param added [out] on SB_OK
 * @return SB_OK; SB_ERR_ARG; SB_ERR_INPUT (nonsense, or a log that is not sound: reported, the log
 *         untouched); SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_log_add(const sb_log_addition *addition, sb_report *report, sb_log_added *added);

/** Would sb_log_add take these entries? Writes nothing. @return as sb_log_add */
sb_status sb_log_try(const sb_log_addition *addition, sb_report *report);

/** Entries that the timed track of a machine gives reason for. */
typedef struct sb_proposal sb_proposal;

/** Matches a track in a GPX file to the fields of the season: which were cut, from when to when,
 * and how much of them (docs/formats.md has the rules).
 * @param where   log and files, as for sb_log_add; its entries are not looked at
 * @param machine whose track it is; may be NULL in a season of one machine
 * @param proposal [out] the caller frees it with sb_proposal_free
 * @return SB_OK; SB_ERR_ARG; SB_ERR_INPUT (reported: a track without times, one that cuts nothing,
 *         or a field that the log has as cut); SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_log_propose(const sb_log_addition *where, const char *track, const char *machine,
                         sb_report *report, sb_proposal **proposal);
void sb_proposal_free(sb_proposal *proposal);
/** The entries, at least one, for sb_log_add. Borrowed from the proposal. */
const sb_log_said *sb_proposal_entries(const sb_proposal *proposal, size_t *count);
/** The stays of the track, those that were passes too, a line each. @return SB_OK; SB_ERR_ARG;
 * SB_ERR_SYSTEM (the stream failed); SB_ERR_NOMEM */
sb_status sb_print_proposal(const sb_proposal *proposal, FILE *stream);

/** Entries first .. first + count - 1, as far as there are such, a line each.
 * @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM (the stream failed); SB_ERR_NOMEM */
sb_status sb_print_log(const sb_log *log, size_t first, size_t count, FILE *stream);

/* ---- The season in progress: what its findings teach ------------------------------------------
 */

typedef struct sb_learn_options {
    size_t samples; /**< 1 .. SB_LEARN_MOST_SAMPLES */
    uint64_t seed;
    int threads; /**< 0: one per core; the answer does not depend on it */
} sb_learn_options;
#define SB_LEARN_MOST_SAMPLES 1000000
/** 8192 samples, seed 1, a thread per core. */
void sb_learn_options_init(sb_learn_options *options);

/** What was counted on tarps and next spring in the first passes changes the numbers that the model
 * uses: Bayes' rule over their ranges (docs/doubt.md). The season learned is the season with the
 * middles of what is now thought, to be resumed or ordered like any other; plans and pages made of
 * it show what was learned. Findings that nothing in the season can explain are left out, with a
 * warning.
 * @param season  as sb_season_read_log gave it for this log
 * @param learned [out] NULL when the log holds no finding to learn from; else the caller frees it
 *                with sb_season_free
 * @return SB_OK; SB_ERR_ARG; SB_ERR_INPUT (the log does not fit the season); SB_ERR_NOMEM */
sb_status sb_learn(const sb_season *season, const sb_log *log, const sb_learn_options *options,
                   sb_report *report, sb_season **learned);

/** How many numbers of a season are other than its files say, because of what was found. */
size_t sb_season_learned_count(const sb_season *season);
/** Writes them as learned.xml into a folder, made if missing: a file to be read with those of the
 * seasons that come after. Writes nothing when there are none.
 * @param season as sb_learn gave it, or as it was read
 * @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_write_learned(const sb_season *season, const sb_log *log, const char *folder,
                           sb_report *report);

/* ---- The season in progress: going on ------------------------------------------------------- */

/** Where a season stands by its log, and what is left of it. */
typedef struct sb_resumed sb_resumed;

/** Works out where every machine stands, what it holds and what is still to be cut.
 * @param season as sb_season_read_log gave it for this log; both are borrowed until sb_resumed_free
 * @param from   "2026-08-12T09:00": nothing goes on before; NULL: each machine from the end of its
 *               last entry
 * @return SB_OK; SB_ERR_ARG; SB_ERR_INPUT (the log does not fit the season); SB_ERR_NOMEM */
sb_status sb_resume(const sb_season *season, const sb_log *log, const char *from, sb_report *report,
                    sb_resumed **resumed);
void sb_resumed_free(sb_resumed *resumed);
/** What is left, a season to be ordered like any other; NULL when every field is cut or dropped.
 * Borrowed. */
const sb_season *sb_resumed_season(const sb_resumed *resumed);
/** When nothing is left to cut: the machines that are not home go there and are cleaned as the end
 * of the season asks, as a plan without a stop; NULL when something is left. Both are borrowed.
 * @param season [out] that the plan is for */
const sb_plan *sb_resumed_way_home(const sb_resumed *resumed, const sb_season **season);
/** Sets a plan made earlier, for the whole season or for an earlier rest of it, beside one for the
 * rest: what changed, and what going on in the old order would cost, with the best cleanouts for
 * it.
 * @param plan for sb_resumed_season, NULL when that is. Borrowed until sb_resumed_free
 * @return SB_OK; SB_ERR_ARG; SB_ERR_INPUT (the file); SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_resumed_compare(sb_resumed *resumed, const char *earlier_plan, const sb_plan *plan,
                             sb_report *report);
/** Where a season came from, to tell it as it stood earlier. */
typedef struct sb_resumed_files {
    const char *const *paths; /**< n_paths files of the season, without the log */
    size_t n_paths;
    const sb_read_options *read;   /**< or NULL */
    const sb_learn_options *learn; /**< as the season learned; NULL: it did not */
} sb_resumed_files;
/** After sb_resumed_compare with the same plan: works out what each entry since that plan costs or
 * saves, what happened (a day lost, a field dropped) apart from what was found out (a rating, seeds
 * on a tarp), for sb_print_resumed. Nothing when the plan does not say what it costs, or breaks
 * a rule with the files as they are now.
 * @return SB_OK; SB_ERR_ARG; SB_ERR_INPUT; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_resumed_account(sb_resumed *resumed, const char *earlier_plan,
                             const sb_resumed_files *files, sb_report *report);
/** Where the machines stand and what they hold; after sb_resumed_compare also what changed. 80
 * columns wide. @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM (the stream failed); SB_ERR_NOMEM */
sb_status sb_print_resumed(const sb_resumed *resumed, FILE *stream);
/** The plan for the rest as plan.json; after sb_resumed_compare with the key `against`: what the
 * earlier plan said, and after sb_resumed_account what each entry since costs (docs/formats.md).
 * @param plan for sb_resumed_season; NULL when that is: the ways home
 * @return SB_OK; SB_ERR_ARG; SB_ERR_SYSTEM (the stream failed); SB_ERR_NOMEM */
sb_status sb_print_resumed_json(const sb_resumed *resumed, const sb_plan *plan, FILE *stream);

/** The record of a season, grower by grower, every line with the log entry that it rests on: as CSV
 * on the stream, or record.csv, record.html and scouting.gpx in a folder, made if missing.
 * @param season as sb_season_read_log gave it for this log
 * @return SB_OK; SB_ERR_ARG; SB_ERR_INPUT (the log does not fit the season); SB_ERR_SYSTEM;
 *         SB_ERR_NOMEM */
sb_status sb_print_record_csv(const sb_season *season, const sb_log *log, sb_report *report,
                              FILE *stream);
sb_status sb_write_record(const sb_season *season, const sb_log *log, const char *folder,
                          sb_report *report);

#ifdef __cplusplus
}
#endif
#endif
