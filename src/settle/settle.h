/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Who owes whom: a plan's ledger by grower, what each grower bears, a fair split of the whole, and
 * who made each cleanout necessary (docs/coop.md has the rules and formulas). */
#ifndef SB_SETTLE_SETTLE_H
#define SB_SETTLE_SETTLE_H

#include "plan/plan.h"

/** A grower with fields in the season. Fields that name no grower belong to one without a name. */
typedef struct sb_party {
    char *name;
    size_t n_fields;
    double area_ha;
} sb_party;

/** The plan, and the two that would be driven without it. */
typedef enum sb_scheme {
    SB_SCHEME_PLAN,
    SB_SCHEME_SHORTEST_ROAD,
    SB_SCHEME_CLEANEST_FIRST,
    SB_N_SCHEMES,
} sb_scheme;

/** What one scheme means for the growers. */
typedef struct sb_exchange {
    bool known; /**< false: no cleanouts let this rival keep the rules */
    sb_cost cost;
    /** Seeds to the ground and expected loss [(giver * n_parties + taker) * n_weeds + weed]; giver
     * n_parties stands for what the machines held when the season began. */
    double *seeds, *loss;
    /** Money that falls on each grower as the work is done: loss and delay in the own fields, the
     * move to each and the cleanout before it; way home and final cleanout by hectares. */
    double *bears;
} sb_exchange;

/** A grower's best way without the others. */
typedef struct sb_alone {
    double cost; /**< of the own fields alone; INFINITY: no plan was found */
    int machine; /**< cheapest for them; -1: those of the plan, each with the fields it has there */
    bool proven;
} sb_alone;

/** Who saves no larger share of what they pay has no reason to leave: rounding. */
#define SB_LEAVING_SHARE 1e-9

/** How the fair split was worked out. */
typedef struct sb_fair {
    bool known;        /**< false: some coalition has no plan, or there are too many growers */
    bool exact;        /**< else sampled */
    long coalitions;   /**< looked at, the whole not counted */
    long proven;       /**< of these, cheapest plan proven for their fields and machines */
    long orders;       /**< sampled: orders in which the growers may come */
    bool stopped;      /**< by time limit or caller: some search was cut short */
    double *share;     /**< money, adds up to the plan's cost */
    double *deviation; /**< standard error, 0 when exact */
    /** Exact: the group whose members would save most by a season of their own, and how much; 0
     * when no group would. */
    uint64_t leaving;
    double leaving_saves;
} sb_fair;

/** By what rule a cleanout was charged. */
typedef enum sb_charge {
    SB_CHARGE_STOPPED,  /**< to those whose seeds it stops, by the loss it prevents */
    SB_CHARGE_DEMANDED, /**< the same up to that loss; the rest to whose field demands it */
    SB_CHARGE_FIELD,    /**< it prevents no loss: to whose field it was done for */
    SB_CHARGE_FINAL,    /**< the last one in the yard: by hectares cut */
} sb_charge;

/** One cleanout and who pays for it. */
typedef struct sb_bill {
    int machine;
    int field; /**< before the move to it; -1: the final one */
    int cleanout;
    double cost;
    double prevents; /**< money: expected loss of all later fields that it keeps off them */
    sb_charge charge;
    double *pays; /**< n_parties, adds up to cost */
} sb_bill;

struct sb_settlement {
    size_t n_parties, n_weeds;
    sb_party *parties;
    int *party_of; /**< by field */
    sb_exchange schemes[SB_N_SCHEMES];
    sb_alone *alone; /**< by party */
    sb_fair fair;
    sb_bill *bills;
    size_t n_bills;
    double *cleaning; /**< by party: of all bills */
};

/** The least that a grower would bear without the plan: alone, or with all by cleanest first. */
double sb_settlement_alternative(const sb_settlement *settlement, size_t party);
/** Expected loss (weed -1: all weeds) that one grower gives another; giver n_parties: the start. */
double sb_exchange_loss(const sb_settlement *settlement, sb_scheme scheme, size_t giver,
                        size_t taker, int weed);

#endif
