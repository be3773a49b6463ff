/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Seasons made by code, for tests: small ones to change by hand, and random ones with any rules.
 *
 * Both are ordinary seasons on the built-in sections, cleanouts and weeds; free them with
 * sb_season_free. Out of memory ends the test program. */
#ifndef SUPPORT_SEASONS_H
#define SUPPORT_SEASONS_H

#include "random.h"
#include "season/season.h"

/** n_fields clean fields of 20 ha and 3.4 t/ha ("Field 1", ...), one yard, every way 5 km, no
 * rules. One machine, clean: 4 ha/h, 20 km/h, 2 a km, 60 an hour; people 25, lost time 100 an hour.
 * Working days of 10 hours from 2026-08-01. Each seed brought costs 0.05, whatever the weed.
 * The first n_weeds built-in weeds (1..5). */
sb_season *support_season_new(size_t n_fields, size_t n_weeds);

/** Gives a field a density of a weed [plants/m2]; its seeds per kg follow, its losses do not. */
void support_set_density(sb_season *season, int field, int weed, double plants_m2);
/** The same as a rating by class, which may be so many times less or more; seeds do not follow. */
void support_rate(sb_season *season, size_t field, size_t weed, double plants_m2, double times);
/** Changes a field's size; its grain follows. */
void support_set_area(sb_season *season, int field, double area_ha);
/** Road km between two places (fields in order, then the yard); NAN: no way. */
void support_set_km(sb_season *season, int from, int to, double km);
/** `field` may be cut only after `earlier`. */
void support_add_after(sb_season *season, int field, int earlier);
/** A machine more, like the first and from the same yard. */
void support_add_yard_mate(sb_season *season, const char *id);
/** A grower more; its number. */
int support_add_grower(sb_season *season, const char *name);
/** `field` is kept apart from a grower; cleanout -1: any full one ends it. */
void support_add_apart(sb_season *season, int field, int grower, int cleanout);
/** `field` is for this machine, and for those added before. */
void support_add_only(sb_season *season, int field, int machine);
/** Something shared, "resource 1" and so on; its number. */
int support_add_resource(sb_season *season, int count);
/** Keeps the first n_levels cleanouts (2..4) and makes the last of them a full one. */
void support_keep_levels(sb_season *season, size_t n_levels);

/** What a random season may hold. */
typedef struct support_options {
    size_t n_weeds;  /**< 1..5 */
    size_t n_levels; /**< cleanout levels, "none" included, 2..4 */
    bool dates;      /**< ready and latest days */
    bool blocked_days;
    bool precedence;     /**< after */
    bool entry_rules;    /**< a cleanout demanded before entry */
    bool seed_limits;    /**< most seeds per ha brought */
    bool tank_limits;    /**< most seeds per kg grain */
    bool delay;          /**< best-before days and what delay costs */
    bool start_load;     /**< seeds in the machine at the start; a cleanout on record */
    bool final_cleanout; /**< clean at the end */
    bool full_limit;     /**< at most so many full cleanouts */
    bool spend_limit;    /**< at most so much money on cleanouts */
    bool season_end;     /**< calendar end and the machine's season hours */
    bool two_way_roads;  /**< km there and back differ */
    bool missing_ways;
    bool varied_machine; /**< section constants and keep factors drawn around the built-in ones */
    bool service; /**< growers kept apart, a window of the machine, gates, slopes, crops and wishes;
                       in feasible seasons these four let the machine pass */
    bool feasible; /**< all rules are drawn around one hidden plan, which keeps them all; otherwise
                        every rule has a hidden plan of its own, and some seasons have no plan */
} support_options;

/** Everything on: 3 weeds, 4 levels, feasible. */
support_options support_every_rule(void);
/** Each rule on or off by the toss of a coin; 1..5 weeds, 2..4 levels, feasible. */
support_options support_random_options(uint64_t seed);

/** A random season: the same seed, n_fields and options give the same season.
 * Fields of 2 to 60 ha (one in eight below 1 ha) within some 15 km of the yard, weed densities over
 * four orders of magnitude, many fields clean of a weed, yields and worth varied. */
sb_season *support_random_season(uint64_t seed, size_t n_fields, const support_options *options);

#endif
