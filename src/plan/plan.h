/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A plan as data: routes of stops with cleanouts, its dates and its price. */
#ifndef SB_PLAN_PLAN_H
#define SB_PLAN_PLAN_H

#include "carry/carry.h"
#include "season/season.h"
#include "seedbreak.h"

typedef struct sb_stop {
    int field;
    int cleanout; /**< done before leaving the place before; 0 is "none" */
    /* Filled in by sb_plan_price: */
    double km;      /**< from the place before */
    double clean_h; /**< when the cleanout begins: the machine waits before it for what it shares */
    double leave_h; /**< working hours when the cleanout is done and the machine drives off */
    double arrive_h; /**< when cutting starts: the machine waits before it drives, not at the gate,
                        for the ready day and for earlier fields that other machines cut */
    double finish_h;
    double loss; /**< money: expected loss from the seeds brought here */
    double delay_cost;
    sb_stop_trace trace;
} sb_stop;

/** Rules that a plan may break. */
typedef enum sb_broken_rule {
    SB_BROKEN_NONE,
    SB_BROKEN_SERVICE,       /**< the machine may not cut the field; found: the machine */
    SB_BROKEN_WAY,           /**< no way leads to place `field` from place `which` */
    SB_BROKEN_CLEANED_TWICE, /**< where it stands it was cleaned as thoroughly before */
    SB_BROKEN_ENTRY,         /**< allowed, found: cleanouts */
    SB_BROKEN_APART,         /**< which: the grower */
    SB_BROKEN_READY,         /**< allowed: a day, found: working hours, as of all dates */
    SB_BROKEN_LATEST,
    SB_BROKEN_SEED_LIMIT, /**< which: the weed; seeds per ha */
    SB_BROKEN_TANK_LIMIT, /**< seeds per kg of grain */
    SB_BROKEN_AFTER,      /**< which: the field that it must come after */
    SB_BROKEN_NOT_ONCE,   /**< found: so often the field is cut */
    SB_BROKEN_SEASON_HOURS,
    SB_BROKEN_MACHINE_TO,
    SB_BROKEN_CALENDAR_END,
    SB_BROKEN_FINAL, /**< allowed, found: cleanouts */
    SB_BROKEN_FULL_CLEANOUTS,
    SB_BROKEN_CLEANING_COST,
    SB_BROKEN_GROWER,   /**< which: the grower, -1: fields that name none; money */
    SB_BROKEN_RESOURCE, /**< which: the resource */
} sb_broken_rule;

/** One rule that a plan breaks, and by how much. */
typedef struct sb_breach {
    sb_broken_rule rule;
    int field; /**< -1: the rule is of a machine or of the season */
    int which; /**< of a machine's rule: the machine; else as the rule says, or 0 */
    double allowed, found;
} sb_breach;

typedef struct sb_breaches {
    sb_breach *items;
    size_t count, capacity;
} sb_breaches;

/** A grower who would lose more than a rule lets him if one thing were otherwise. */
typedef struct sb_overloss {
    int grower;       /**< of the season; -1: fields that name none */
    double loss;      /**< expected in the plan */
    double otherwise; /**< and then */
    double most;      /**< what he may lose */
    bool worst; /**< `most` is what the one loses who loses most in the plan, which was made as
                     small as can be; else it is a cap */
} sb_overloss;

/** Why a cleanout is where it is: the plan priced again with every other level in its place. */
typedef struct sb_reason {
    double cost;         /**< money this cleanout takes more than none */
    double saves;        /**< money the season loses more without it (spread and delay) */
    double stops_seeds;  /**< seeds kept off the ground of all later fields, the main weed */
    int weed;            /**< that weed: the one whose loss it cuts most; always a weed */
    int field;           /**< the field it protects most; the stop's own when it protects none */
    double field_share;  /**< share of `saves` that falls on that field, 0..1 */
    bool demanded;       /**< the entry rule of the stop's field asks for it */
    bool limit;          /**< without it the plan breaks a rule that it keeps as it is */
    bool growers;        /**< one of these: what growers may lose, by a cap or by the least worst */
    sb_overloss without; /**< then: who would lose most too much without it */
    double next_best;    /**< money more with the cheapest other level that breaks no more rules
                              than the plan does; INFINITY: there is none */
    int next_level;      /**< that level, -1: none */
    double more[SB_MAX_LEVELS];      /**< money more with each level; 0 with its own */
    sb_breach breach[SB_MAX_LEVELS]; /**< a rule that each other level would break and the plan
                                          keeps; SB_BROKEN_NONE: there is none, or the level is
                                          dearer than next_level and nobody asked */
    int barred;          /**< the cheapest other level, not "none", that would make the plan cheaper
                              if growers might lose more; -1: there is none */
    double barred_saves; /**< then: money that it would save */
    sb_overloss over;    /**< and who would lose most too much */
} sb_reason;

/** What choosing otherwise would make dearer, part by part (cheaper: negative). */
typedef struct sb_otherwise {
    sb_cost more;
    bool breaks;      /**< it breaks a rule that the plan keeps */
    sb_breach breach; /**< then: which; SB_BROKEN_NONE: the one on growers' losses, least worst */
} sb_otherwise;

/** Seeds of one weed that fell to a stop's ground and came from one field. */
typedef struct sb_gift {
    int from; /**< field; n_fields: the load that the machine came with */
    int weed;
    double seeds, loss;
} sb_gift;

#define SB_GIFTS 3

/** Why a move is as it is: the plan priced again with this level, place or order otherwise. Every
 * field keeps the cleanout before it when the order changes. */
typedef struct sb_move {
    double brought[SB_MAX_LEVELS][SB_MAX_WEEDS]; /**< seeds to the ground here after each level */
    sb_otherwise level[SB_MAX_LEVELS];           /**< with that level; nothing for its own */
    sb_gift gifts[SB_GIFTS];                     /**< n_gifts, those that cost most first */
    size_t n_gifts;
    int place; /**< the best other place for the field among those near that break no more rules, a
                    stop of the route; -1: none was found */
    sb_otherwise elsewhere; /**< at that place */
    bool last;
    sb_otherwise swap; /**< cut after the next stop's field; nothing when last */
    int nearer; /**< stop cut later though its field lies nearer to where this move begins: the
                     nearest such; -1: none */
    double nearer_km;
    sb_otherwise first; /**< with that stop cut first, in this one's place */
} sb_move;

typedef struct sb_route {
    int machine;
    sb_stop *stops;
    size_t n_stops;
    sb_reason *reasons; /**< n_stops, or NULL before sb_plan_explain */
    sb_move *moves;     /**< n_stops, or NULL before sb_plan_explain_moves */
    double start_h;     /**< when the machine begins, in its yard */
    double km_home;
    double home_h;        /**< back in the yard */
    int final_cleanout;   /**< back in the yard, -1: none; not done by a machine that stays */
    double final_clean_h; /**< when the final cleanout begins; home_h without one */
    double end_h;         /**< back and clean */
    double km_total;      /**< way home included */
    sb_stop_trace final_trace;
} sb_route;

/** The method of an order that a rule or a plan gave, not a search. */
#define SB_METHOD_ORDER_GIVEN "order given; its cleanouts are the cheapest"

/** What the solver can say of its answer. Zero for a plan that was only priced. */
typedef struct sb_proof {
    bool optimal; /**< bound and cost agree within the tolerance */
    double bound; /**< of the cost as weighed; -INFINITY: none */
    double
        spread_weight; /**< spread counted so many times; 0, for a plan that was only priced: 1 */
    double seconds;
    long labels;     /**< partial plans looked at */
    char method[96]; /**< what closed it, or why it stopped: "elementary search closed" */
} sb_proof;

/** What a robust plan is worth; aim 0: it is none. Values are of the aim, over the scenarios. */
typedef struct sb_insurance {
    int aim; /**< an sb_aim */
    size_t scenarios;
    uint64_t seed;
    double value, bound;    /**< of this plan; no plan has less */
    bool proven;            /**< value and bound agree within the tolerance */
    bool searched;          /**< several machines: looked for by annealing, without a bound */
    double cheapest_value;  /**< of the plan that is cheapest in the central case */
    double cheapest_cost;   /**< what that plan costs in the central case */
    size_t judged;          /**< other seasons, in which both were judged */
    double judged_value;    /**< the aim over those: of this plan */
    double judged_cheapest; /**< and of the cheapest */
} sb_insurance;

/** What one grower's fields receive: expected loss in money, in all and from other growers' fields.
 */
typedef struct sb_taker {
    int grower;       /**< of the season; -1: fields that name none */
    double most;      /**< the least cap on its loss; INFINITY: none */
    double free_loss; /**< in the plan that is cheapest without the rule */
    double free_from_others;
    double loss; /**< in this plan */
    double from_others;
} sb_taker;

/** What a rule on the growers' losses costs; n_takers 0: none was asked for. */
typedef struct sb_fairness {
    sb_taker *takers; /**< growers with fields; owned by the plan */
    size_t n_takers;
    double most;        /**< the cap for each of them; INFINITY: none */
    bool least_worst;   /**< the worst grower's loss was made as small as can be */
    double worst_bound; /**< then: no plan has a worst loss below it */
    double free_cost;   /**< of the cheapest plan found without the rule, as weighed */
    double free_bound;  /**< no plan without it costs less */
    bool searched_out;  /**< every search came to its own end: more time would find nothing else */
    int searches;       /**< how many there were */
} sb_fairness;

struct sb_plan {
    sb_route *routes;
    size_t n_routes;
    sb_cost cost;
    sb_proof proof;
    sb_insurance insurance;
    sb_fairness fairness;
    sb_ledger ledger;
};

/** Slack of limits on seeds, money and counts, relative to the limit: room for the rounding of
 * sums, not for leniency. Limits in hours allow SB_SAME_TIME_H. */
#define SB_RULE_SLACK 1e-9

/** What the proof is about: the plan's cost with its spread counted proof.spread_weight times. */
double sb_plan_weighed_cost(const sb_plan *plan);

/** An empty plan with n_routes routes for sb_route_init. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_plan_new(const sb_season *season, size_t n_routes, sb_plan **plan);
/** Gives a new plan's route its machine, room for n_stops (field 0, cleanout "none") and the final
 * cleanout that the season demands of the machine. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_route_init(const sb_season *season, int machine, size_t n_stops, sb_route *route);
/** A plan with room for the stops of one machine, as sb_route_init leaves them.
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_plan_new_single(const sb_season *season, int machine, size_t n_stops, sb_plan **plan);
/** The caller owns the copy, which shares nothing with the plan. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_plan_copy(const sb_season *season, const sb_plan *plan, sb_plan **copy);

/** Does the machine leave the place where it starts: has it stops, or a way home to go all the
 * same? */
bool sb_route_moves(const sb_season *season, const sb_route *route);

/** Works out km, dates (plan/dates.h), seeds, ledger and cost from the fields and cleanouts alone;
 * the proof is left as it is. A missing way gives km NAN and cost INFINITY; the dates then take no
 * time for it. A machine without stops stays in the yard: no way, no final cleanout, no cost. One
 * that is on its way already goes home and does its final cleanout, whatever the hour.
 * @return SB_OK; SB_ERR_NOMEM: the plan may be half priced, but may be priced again or freed */
sb_status sb_plan_price(const sb_season *season, sb_plan *plan);

/** The same without the ledger, which is emptied: for pricing many plans. */
sb_status sb_plan_price_only(const sb_season *season, sb_plan *plan);

/** What a plan.json says of itself. */
typedef struct sb_plan_stated {
    double total;     /**< money to come by it, NAN: nothing is said */
    sb_so_far so_far; /**< of a plan for the rest of a season */
} sb_plan_stated;

/** Reads a plan.json for what it says of this season: fields that are not in it are passed over,
 * fields of the season may be missing, and nothing is priced or checked.
 * @param stated [out]
 * @return SB_OK; SB_ERR_INPUT; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_plan_read_partly(const sb_season *season, const char *path, sb_report *report,
                              sb_plan **plan, sb_plan_stated *stated);

/** Does the entry rule of stop i's field ask for the cleanout that is done before it? */
bool sb_route_demands(const sb_season *season, const sb_route *route, size_t i);

/** Fills in the reasons of every stop by pricing the plan again with every other level there. The
 * plan must be priced; a plan that breaks rules may be explained too.
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL (a trial failed the check). On failure no reasons */
sb_status sb_plan_explain(const sb_season *season, sb_plan *plan);

/** Fills in why every move is as it is. The plan must be priced with its ledger.
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL. On failure no moves */
sb_status sb_plan_explain_moves(const sb_season *season, sb_plan *plan);

/** The independent checker: walks the plan from the season's numbers alone, with arithmetic of its
 * own (it calls nothing of carry/ or order/), and compares with what the plan claims. Adds one
 * message of `severity` for each broken rule; an SB_ERROR for a claim that is not true.
 *
 * Rules: every field cut once, by a machine that may cut it (wish, crop, gate, slope); there is a
 * way; entry (the cleanout before the move into the field, or on the first move the one on record,
 * satisfies it); apart (no field of that grower by the same machine since a cleanout that clears
 * it); ready, latest; after, on whatever machine; seeds per ha; seeds per kg in the tank; expected
 * loss in each grower's fields; full
 * cleanouts and money for cleaning of all machines together (final ones not counted); the final
 * cleanout; no more cleanouts at a time than there are resources they need; the machine's window
 * and its season hours, counted from the start of the calendar to back and clean; the calendar's
 * end.
 * @param report may be NULL
 * @param broken [out] number of rules broken
 * @return SB_OK; SB_ERR_INTERNAL when a claimed number is wrong by more than 1e-9 relative;
 *         SB_ERR_NOMEM */
sb_status sb_plan_check(const sb_season *season, const sb_plan *plan, sb_severity severity,
                        sb_report *report, size_t *broken);

/** The same, rule by rule.
 * @param breaches [in, out] emptied first; its items are the caller's to free in any case
 * @return as sb_plan_check */
sb_status sb_plan_breaches(const sb_season *season, const sb_plan *plan, sb_breaches *breaches);

#endif
