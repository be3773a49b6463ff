/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The carry-over model: what a machine holds, sheds and loses at each cleanout (docs/model.md).
 *
 * Loads are kept by origin, so every seed knows the field it came from. Everything is linear in
 * the load: the sum over origins is the whole, exactly. */
#ifndef SB_CARRY_CARRY_H
#define SB_CARRY_CARRY_H

#include "season/season.h"

/** A machine's load of one origin, seeds, [pool][weed]. */
typedef struct sb_load {
    double seeds[2 * SB_MAX_SECTIONS][SB_MAX_WEEDS];
} sb_load;

/** Constants of one machine in one field. */
typedef struct sb_passage {
    double kept[2 * SB_MAX_SECTIONS]; /**< g = exp(-T/tau): share of the load on entry still held
                                           when leaving, by pool */
    double shed[2 * SB_MAX_SECTIONS]; /**< 1 - g, exact to the last bits also for tiny fields */
    double taken_in[2 * SB_MAX_SECTIONS][SB_MAX_WEEDS]; /**< own seeds held at the end, c M (1-g) */
} sb_passage;
void sb_passage_of(const sb_season *season, int machine, int field, sb_passage *passage);
/** The same when only so many tonnes of the field's grain are cut. */
void sb_passage_of_part(const sb_season *season, int machine, int field, double grain_t,
                        sb_passage *passage);

/** The order of one machine, as the model needs it. */
typedef struct sb_visit {
    int field;
    int cleanout; /**< before the move to it */
} sb_visit;

/** Who gave what to whom. Origin n_fields stands for the machine's start load. */
typedef struct sb_ledger {
    size_t n_fields, n_weeds;
    double *ground; /**< seeds [(origin * n_fields + to) * n_weeds + weed], carried in and fallen */
    double *tank;   /**< carried in and gone to the tank of field `to` */
    double *site;   /**< [origin * n_weeds + weed]: removed at cleanouts, all of the season */
    double *left;   /**< [origin * n_weeds + weed]: still in the machine at the end */
    double *taken;  /**< [origin * n_weeds + weed]: own seeds held when leaving the origin */
} sb_ledger;
/** @return SB_OK; SB_ERR_NOMEM */
sb_status sb_ledger_init(sb_ledger *ledger, const sb_season *season);
void sb_ledger_release(sb_ledger *ledger);
/** Seeds of a weed brought to the ground of a field, over all origins. */
double sb_ledger_brought(const sb_ledger *ledger, int field, int weed);

/** What happens at one stop, for sheets and pictures. Arrays are by weed. */
typedef struct sb_stop_trace {
    double before_clean[SB_MAX_WEEDS]; /**< seeds in the machine before the cleanout */
    double on_tarp[SB_MAX_WEEDS];      /**< expected on the tarp: removed by the cleanout */
    double loose_in[SB_MAX_WEEDS];     /**< loose seeds on entry */
    double lodged_in[SB_MAX_WEEDS];    /**< lodged seeds on entry */
    double ground[SB_MAX_WEEDS];       /**< brought to the ground here */
    double tank[SB_MAX_WEEDS];         /**< brought to the tank here */
    double tarp_kg;                    /**< material the cleanout removes, kg */
    double strip50_m, strip90_m; /**< metres of swath from the entry that hold 50 and 90 % of the
                                      loose seeds shed to the ground, all weeds; 0: none carried */
} sb_stop_trace;

/** Material that a cleanout takes out of a machine, kg. */
double sb_tarp_kg(const sb_season *season, int machine, int cleanout);

/** Follows the seeds of one machine through its visits and its final cleanout. Cleanout 0, "none",
 * may stand anywhere.
 * @param final_cleanout after the last field, -1: none
 * @param ledger  added to (init it first), so several machines can share one; may be NULL:
 *                the work then grows with n_visits, with a ledger with its square
 * @param traces  [out] n_visits + 1 (the last is the final cleanout), or NULL
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_carry_follow(const sb_season *season, int machine, const sb_visit *visits,
                          size_t n_visits, int final_cleanout, sb_ledger *ledger,
                          sb_stop_trace *traces);

/** Metres of swath from the entry that hold a share (0..1) of the loose seeds shed to the ground,
 * all weeds together; 0 when none are.
 * @param load the machine's load on entry, all origins together; only its loose pools count */
double sb_strip_m(const sb_season *season, int machine, int field, const sb_load *load,
                  double share);

#endif
