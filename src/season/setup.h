/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What a season file can say: everything about a season except its fields.
 *
 * src/season/builtin.c fills one in with the defaults and their sources; src/read lays a season
 * file over it. Lists own their strings; ids are unique within their list. */
#ifndef SB_SEASON_SETUP_H
#define SB_SEASON_SETUP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "season/calendar.h"
#include "seedbreak.h"

#define SB_MAX_WEEDS 8     /**< weeds in one season */
#define SB_MAX_SECTIONS 12 /**< sections of a machine */
#define SB_MAX_LEVELS 8    /**< cleanout levels, "none" included */
#define SB_MAX_SUPPLIES 40 /**< supplies with an amount of one cleanout */
#define SB_MAX_RESOURCES 8 /**< things that several machines share */

/** Where a file says something; file NULL: none does. The file's name is borrowed, as by machines.
 */
typedef struct sb_stated {
    const char *file;
    size_t line;
} sb_stated;

/** Which of a thing's numbers a file states, a bit for each: those of its members that are doubles.
 * The others are built in or, in a thing that a file adds, what it need not state. Set while files
 * are read; `check` tells the rest. */
typedef uint64_t sb_numbers_given;
/** The bit of the number so many bytes into its struct, which has room for 64 of them. */
#define SB_GIVEN_BIT(offset) (UINT64_C(1) << ((offset) / sizeof(double)))

/** Where a number comes from: an id for messages and a source to print. */
typedef enum sb_basis {
    SB_GIVEN,   /**< the user's file says so */
    SB_CITED,   /**< published; source names it */
    SB_FITTED,  /**< fitted to published totals; source names them */
    SB_ASSUMED, /**< nobody measured it */
} sb_basis;

typedef struct sb_weed {
    char *id, *name;
    double seeds_per_plant;    /**< > 0 */
    double retained;           /**< share of them still on the plant at harvest, 0..1 */
    double header_loss;        /**< share of the retained knocked off by the header, 0..1 */
    bool large_seed;           /**< leaves the machine by the large-seed tank shares */
    double viability;          /**< 0..1 */
    double emergence;          /**< first-year emergence of viable seed, 0..1 */
    double survival;           /**< seedlings that mature if untreated, 0..1 */
    double control;            /**< share of those that weed control kills, 0..1 */
    double cost_per_plant;     /**< money per established plant, >= 0 */
    double crowding_plants_m2; /**< own density at which a newcomer finds a quarter of the harm of
                                    the first plant left to do: A/I of the yield-loss hyperbola */
    sb_numbers_given given;
    sb_basis basis;
    char *source;
    size_t line; /**< in the season file; 0 built in */
} sb_weed;

typedef struct sb_crop {
    char *id, *name;
    double yield_t_ha;    /**< > 0 */
    double mog_per_grain; /**< material other than grain entering, kg per kg grain, >= 0 */
    double price_per_t;   /**< >= 0 */
    double delay_per_day; /**< share of the grain lost per day after best-before, 0..1 */
    sb_numbers_given given;
    sb_basis basis;
    char *source;
    size_t line; /**< in the season file; 0 built in */
} sb_crop;

/** One section of a machine and the constants of its two pools (loose, lodged). */
typedef struct sb_section {
    char *id, *name;
    double kg;               /**< material held, >= 0 */
    double lodged_share;     /**< share of it lodged, 0..1 */
    double tau_loose_t;      /**< purge constant of the loose pool, t grain, > 0 */
    double tau_lodged_t;     /**< of the lodged pool, > 0 */
    double tank_share_small; /**< share of small weed seed shed here that leaves by the tank */
    double tank_share_large; /**< of large seed; the rest falls to the ground */
    sb_numbers_given given;
    sb_basis basis;
    char *source;
} sb_section;

/** One step of a cleanout, for the crew's sheet. */
typedef struct sb_step {
    char *section; /**< section id, or "" for a step at the whole machine */
    double minutes;
    char *text;
} sb_step;

/** What one cleanout uses up or needs at hand: 3 bales of straw. */
typedef struct sb_supply {
    char *name;
    char *unit;    /**< "" for pieces: 2 respirators */
    double amount; /**< > 0, each time */
} sb_supply;

/** What several machines share for cleaning: a wash pad, a compressor. */
typedef struct sb_resource {
    char *id, *name;
    int count;   /**< how many there are, >= 1: so many cleanouts may go on at the same time */
    size_t line; /**< in the season file */
} sb_resource;

typedef struct sb_cleanout {
    char *id, *name;
    double minutes;       /**< machine stands this long, >= 0 */
    double people;        /**< at work meanwhile, >= 0 */
    double supplies_cost; /**< money, >= 0 */
    sb_supply *counted;   /**< n_counted supplies with an amount; no two of one name and unit */
    size_t n_counted;
    char *supplies; /**< what else to have on the service truck, in words */
    bool full;      /**< counts against a limit on full cleanouts */
    unsigned needs; /**< bit r: occupies one of the setup's resource r as long as it lasts */
    double keep_loose[SB_MAX_SECTIONS];  /**< share of loose seed left, 0..1, by section */
    double keep_lodged[SB_MAX_SECTIONS]; /**< share of lodged seed left, 0..1 */
    sb_numbers_given given;
    sb_step *steps;
    size_t n_steps;
    sb_basis basis;
    char *source;
    size_t line; /**< in the season file; 0 built in */
} sb_cleanout;

typedef enum sb_start_kind { SB_START_CLEAN, SB_START_FIELD, SB_START_LOAD } sb_start_kind;

/** Known seeds of one weed in one section when the season begins. */
typedef struct sb_known_load {
    char *section, *weed;
    double loose_seeds, lodged_seeds;
    size_t line;
} sb_known_load;

typedef struct sb_machine {
    char *id, *name;
    char *yard;               /**< name of its yard; NULL: the first yard */
    double ha_per_hour;       /**< > 0 */
    double *crop_ha_per_hour; /**< by crop, NAN where ha_per_hour holds; NULL: everywhere */
    double road_km_h;         /**< > 0 */
    double cost_per_km;       /**< >= 0 */
    double cost_per_hour;     /**< on the road, >= 0 */
    double season_hours;  /**< working hours from the start of the calendar by which it must be back
                                  and clean; INFINITY: no limit */
    double header_m;      /**< swath width, > 0; passes no gate that is narrower */
    int from_day, to_day; /**< leaves its yard no earlier than the morning of from_day, is back
                                  and clean by the evening of to_day; SB_NO_DAY: no limit */
    bool *cuts_crop;      /**< by crop: may it cut it? NULL: all of them */
    double most_slope_percent; /**< steepest field it may cut, > 0; INFINITY: any */
    sb_numbers_given given;    /**< by its own element or by `travel` */
    sb_section *sections;      /**< n_sections of the setup, same ids and order for every machine */
    sb_start_kind start;
    bool start_given;     /**< a file says so */
    char *start_field;    /**< SB_START_FIELD: name of a feature with role `cut` */
    char *start_cleanout; /**< cleanout id done since, NULL: none. For SB_START_CLEAN: a
                               cleanout on record that entry rules of the first move accept */
    sb_known_load *start_loads;
    size_t n_start_loads;
    char *final_cleanout; /**< id done back in the yard after the last field; NULL: none */
    const char *file;
    size_t line; /**< where it was declared; 0 built in */
} sb_machine;

/** A rating scale: class i of n_classes means density_plants_m2[i], somewhere in low..high. */
typedef struct sb_scale {
    char *id, *name;
    char *source;
    size_t n_classes;
    char **labels;             /**< "0", "1", ... or "r", "+", "1" */
    double *density_plants_m2; /**< value used */
    double *low, *high;        /**< class limits; high INFINITY for the open top class */
    size_t line;               /**< in the season file; 0 built in */
} sb_scale;

/** Limits over the whole season; INFINITY where there is none. */
typedef struct sb_limits {
    double full_cleanouts;  /**< at most so many cleanouts with `full`, the final one not counted */
    double cleaning_cost;   /**< at most this much money on cleanouts, the final one not counted */
    double loss_per_grower; /**< at most this much expected loss in the fields of each grower from
                                 the seeds that machines bring there, wherever they come from */
    sb_stated full_cleanouts_at, cleaning_cost_at, loss_per_grower_at;
} sb_limits;

/** The most expected loss in the fields of one grower: a limit that names him. */
typedef struct sb_grower_cap {
    char *grower;
    double loss; /**< money, >= 0 */
    const char *file;
    size_t line; /**< where it was declared */
} sb_grower_cap;

typedef struct sb_setup {
    char *currency; /**< "USD" */
    sb_stated currency_at;
    sb_calendar calendar;
    bool calendar_start_given;
    size_t calendar_line; /**< in the season file; 0 built in */
    sb_stated calendar_end_at;
    sb_stated blocked_at; /**< the `blocked` with the most days */
    sb_scale scale;       /**< the one that ratings are read on */
    sb_weed *weeds;
    size_t n_weeds;
    sb_crop *crops;
    size_t n_crops;
    sb_machine *machines;
    size_t n_machines;
    size_t n_sections;      /**< of every machine */
    sb_cleanout *cleanouts; /**< [0] is "none": 0 minutes, keeps everything */
    size_t n_cleanouts;
    double detour;             /**< road km per geodesic km, >= 1 */
    double wage_per_hour;      /**< per person cleaning */
    double lost_time_per_hour; /**< value of a machine hour that a cleanout takes */
    sb_numbers_given given;    /**< of these three, and of the calendar */
    sb_limits limits;
    sb_grower_cap *grower_caps; /**< as declared; what holds is the season's grower_most */
    size_t n_grower_caps;
    sb_resource *resources;
    size_t n_resources;
} sb_setup;

/** The built-in season. @return SB_OK, SB_ERR_NOMEM (then *setup is empty) */
sb_status sb_setup_builtin(sb_setup *setup);
/** A published scale by name ("density", "braun_blanquet", ...) into *scale, replacing what it
 * held. @return SB_OK; SB_ERR_INPUT when no such scale is built in; SB_ERR_NOMEM */
sb_status sb_scale_builtin(const char *name, sb_scale *scale);
void sb_scale_release(sb_scale *scale);
void sb_machine_release(sb_machine *machine, size_t n_sections);
void sb_cleanout_release(sb_cleanout *cleanout);
/** Frees the supplies with an amount; room for them stays. */
void sb_cleanout_drop_counted(sb_cleanout *cleanout);
void sb_weed_release(sb_weed *weed);
void sb_crop_release(sb_crop *crop);
void sb_section_release(sb_section *section);
void sb_setup_release(sb_setup *setup);
/** A deep copy, released with sb_setup_release; it shares only the names of files, which are
 * borrowed. @return SB_OK; SB_ERR_NOMEM (then *to is empty) */
sb_status sb_setup_copy(const sb_setup *from, sb_setup *to);

/** Index by id, or -1. */
int sb_find_weed(const sb_setup *setup, const char *id);
int sb_find_crop(const sb_setup *setup, const char *id);
int sb_find_cleanout(const sb_setup *setup, const char *id);
int sb_find_section(const sb_setup *setup, const char *id);

/** Index of the thing whose id is the text of that length, or -1.
 * @param items n things of `size` bytes that start with their id (char *) */
int sb_find_id(const void *items, size_t n, size_t size, const char *text, size_t length);

/** Goes through a list of ids, which ';', ',' or blanks separate.
 * @param at [in/out] where in the list; moved past the id
 * @param id [out] the next id, of *length bytes, not NUL-terminated
 * @return false: there is none left */
bool sb_next_id(const char **at, const char **id, size_t *length);

#endif
