/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A season: fields, weeds, machines and rules, checked, joined, and from then on never changed. */
#ifndef SB_SEASON_SEASON_H
#define SB_SEASON_SEASON_H

#include "geo/geo.h"
#include "season/draft.h"
#include "season/setup.h"
#include "seedbreak.h"

/** Where a field's rating of one weed comes from. */
typedef enum sb_rating_source {
    SB_RATING_NONE,    /**< nobody said anything: taken as clean */
    SB_RATING_CLASS,   /**< a class of the scale, stated for the field */
    SB_RATING_DENSITY, /**< a density, stated for the field */
    SB_RATING_SCOUTED, /**< mean of scouting points inside the field */
} sb_rating_source;

/** How weedy one field is with one weed. */
typedef struct sb_rating {
    sb_rating_source source;
    int class_index;          /**< class of the scale that holds the density */
    double density_plants_m2; /**< >= 0: what the model uses */
    double low, high;         /**< limits it may lie in: class limits, or the points' extremes */
    double sd;                /**< SB_RATING_SCOUTED: standard deviation over the points; else 0 */
    size_t n_points;          /**< SB_RATING_SCOUTED: how many */
} sb_rating;

typedef struct sb_scout_point {
    char *name;
    sb_lonlat place;
    double density_plants_m2[SB_MAX_WEEDS]; /**< NAN: not rated here */
} sb_scout_point;

/** Rules of a field whose place in the files is known, by sb_field.stated. */
typedef enum sb_stated_rule {
    SB_STATED_READY,
    SB_STATED_LATEST,
    SB_STATED_ENTRY,
    SB_STATED_TANK_LIMIT,
    SB_STATED_ONLY,
    SB_STATED_SEED_LIMIT, /**< and the weed */
    SB_STATED_RULES = SB_STATED_SEED_LIMIT + SB_MAX_WEEDS
} sb_stated_rule;

/** Apart from a grower: never cut after a field of that grower by the same machine, however many
 * fields lie in between, unless a cleanout that clears it was done since. */
typedef struct sb_apart {
    int grower;   /**< index into growers */
    int cleanout; /**< a cleanout as thorough as this one clears it; -1: any full one does */
    sb_stated at;
} sb_apart;

typedef struct sb_field {
    char *name;
    char *whole; /**< name in the files of the field that this is a part of, because it is split
                      between machines; NULL: it is not split */
    int part, n_split; /**< part 1..n_split of it, one after the other in the list; 0 when whole */
    int grower;        /**< index into growers, -1: nobody named */
    int crop;          /**< index into setup.crops */
    bool crop_assumed; /**< no crop stated: the first crop of the setup */
    sb_part *parts;    /**< n_parts; none for a field given as a point */
    size_t n_parts;
    sb_lonlat place; /**< where distances are measured from */
    double area_ha;
    double stated_area_ha; /**< what the file claims, NAN: nothing */
    double yield_t_ha;
    double grain_t;            /**< area x yield */
    double material_kg_ha;     /**< grain and MOG entering the machine */
    int ready_day, latest_day; /**< SB_NO_DAY: none */
    double not_before_h;       /**< working hours: what had to be cut earlier was finished then, in
                                    a season that has begun; 0: nothing was */
    int best_before_day;       /**< delay costs from the day after; SB_NO_DAY: never */
    double delay_cost_per_day; /**< money per day of delay */
    double worth;              /**< multiplies the loss from seeds brought here, >= 0 */
    int entry;                 /**< cleanout demanded before entry, -1: none */
    int *after;                /**< fields to be cut earlier */
    sb_stated *after_at;       /**< n_after; NULL: no file says so */
    size_t n_after;
    int *only;     /**< machines that alone may cut it, by the members' wish; -1: one that a copy
                        of the season left out */
    size_t n_only; /**< 0: any */
    sb_apart *apart;
    size_t n_apart;
    double gate_m;        /**< narrowest passage on the way in; 0: not stated, any header passes */
    double slope_percent; /**< how steep it is; 0: not stated, or level */
    double limit_seeds_ha[SB_MAX_WEEDS]; /**< most seeds to the ground per ha; INFINITY: no limit */
    double tank_limit_seeds_kg; /**< most carried-in weed seeds per kg of its grain; INFINITY */
    sb_rating ratings[SB_MAX_WEEDS];
    sb_scout_point *points; /**< scouting points inside it */
    size_t n_points;
    /* Worked out once, for everybody: */
    double seeds_per_kg[SB_MAX_WEEDS];  /**< own weed seeds per kg of material entering */
    double occupied[SB_MAX_WEEDS];      /**< 0..1, see docs/model.md */
    double loss_per_seed[SB_MAX_WEEDS]; /**< money per carried seed that falls to its ground */
    const char *file;
    size_t line;
    sb_stated stated[SB_STATED_RULES]; /**< where its rules stand: often not where it is drawn */
} sb_field;

typedef struct sb_yard {
    char *name;
    sb_lonlat place;
} sb_yard;

/** Something the answer rests on that no file said. */
typedef struct sb_assumption {
    char *text;   /**< "waterhemp: 100000 seeds per plant, ..." */
    char *source; /**< published source, or "fitted, not measured", "assumed", "common practice" */
} sb_assumption;

/** Something doubtful in the files, as it was reported when they were read. */
typedef struct sb_warning {
    char *file;  /**< as the caller named it; NULL: no file is to blame */
    size_t line; /**< 0: no line is to blame */
    char *text;
} sb_warning;

/** What findings taught about one number that the model uses: where it may lie, 5, 50 and 95 %. */
typedef struct sb_lesson {
    char *name; /**< "Kochia, seeds per plant" */
    char *key;  /**< "seeds_per_plant" */
    bool times; /**< limits are multipliers of the number used (or of its odds), not the number */
    double before[3], after[3];
    double used_before, used_now; /**< as the limits are told */
} sb_lesson;

/** One thing that was counted or weighed. */
typedef struct sb_lesson_found {
    char *what;                                  /**< "Kochia on the tarp, entry 12: blowdown" */
    double found, expected_before, expected_now; /**< seeds, seedlings or kg */
} sb_lesson_found;

/** What a season was taught by its log (sb_learn); empty when it was not. */
typedef struct sb_lessons {
    struct {
        sb_lesson *items;
        size_t count, capacity;
    } numbers;
    struct {
        sb_lesson_found *items;
        size_t count, capacity;
    } found;
    size_t samples;
    double effective; /**< of them, by weight */
    double share;     /**< of their worth that the findings count for, 1 unless they contradict */
} sb_lessons;
/** A deep copy. @return false: out of memory; release *to in any case */
bool sb_lessons_copy(sb_lessons *to, const sb_lessons *from);
void sb_lessons_release(sb_lessons *lessons);

/** What had happened when the rest of a season was made a season of its own; all zero in a whole
 * one. A plan for the rest says so, and a later plan can be set against it. */
typedef struct sb_so_far {
    bool is_rest;
    size_t entries;  /**< of the log */
    char seal[65];   /**< of the last of them */
    char from[17];   /**< "2026-08-12T09:00": nothing goes on before; "": unless the log says so */
    double spent;    /**< money: spent and lost until then */
    double standing; /**< money: grain that nobody will cut */
} sb_so_far;

/** Distances are kept in a table up to this many places: reading a county takes no longer than its
 * files, and an order that needs them asks sb_season_km. */
#define SB_MAX_KM_PLACES 250

/** A weedy part of a field, and what becomes of it. */
typedef struct sb_patch {
    char *name, *field; /**< names in the files */
    sb_patch_fate fate;
    double area_ha;
    double grain_t; /**< that stands on it */
    double worth;   /**< money, by the crop's price: given up when it is left standing */
} sb_patch;
/** "cut", "last" or "leave": the value of the key `patch`. */
const char *sb_patch_fate_word(sb_patch_fate fate);

struct sb_season {
    sb_setup setup;
    char **growers;
    size_t n_growers;
    double *grower_most; /**< by grower: most expected loss by the cap that names him, INFINITY:
                            none does; NULL: nobody is named */
    sb_field *fields;
    size_t n_fields;
    sb_yard *yards; /**< at least one */
    size_t n_yards;
    /** Road km, n_places x n_places, row = from; NAN: no way. Places are the fields, in order,
     * then the yards. NULL in a season of more than SB_MAX_KM_PLACES places without a travel
     * table: sb_season_km then measures each time it is asked. */
    double *km;
    size_t n_places;
    bool km_from_table;
    /** By machine: index of its yard; start load in seeds [pool * SB_MAX_WEEDS + weed]; cleanout
     * indexes. */
    struct sb_machine_join {
        int yard;
        int start;      /**< index into yards: the place it starts from; its yard, unless it is on
                             its way already and stands elsewhere */
        double start_h; /**< working hours: it stands there until then */
        double start_seeds[2 * SB_MAX_SECTIONS * SB_MAX_WEEDS];
        int start_grower;   /**< SB_START_FIELD: whose field that was, -1: nobody named */
        int start_cleanout; /**< on record before the first move, -1: none */
        bool cleaned;       /**< that one was done where it stands: before the first move none is
                                 done that is no more thorough */
        int final_cleanout; /**< -1: none */
        bool goes_home;     /**< it is on its way: even if it cuts no other field it drives to its
                                 yard and does the final cleanout */
    } * joins;
    /** By machine and grower [machine * n_growers + grower], for machines on their way: which
     * cleanouts were not done since it cut a field of that grower, bit sb_apart_slot. NULL: no
     * machine is. */
    uint16_t *cut_since;
    struct {
        sb_assumption *items;
        size_t count, capacity;
    } assumptions;
    struct {
        sb_warning *items;
        size_t count, capacity;
    } warnings; /**< whoever gets a plan or a page without the messages finds them there */
    struct {
        char **items;
        size_t count, capacity;
    } files;
    sb_lessons lessons;
    sb_so_far so_far;
    sb_factors learned; /**< by which numbers differ from what the files say */
    struct {
        sb_patch *items;
        size_t count, capacity;
    } patches; /**< as the files have them; a copy has none */
};

/** Pairs of grower and cleanout in all `apart` rules of a season. */
#define SB_MAX_APART 64

/** Pools are numbered 2 * section + 0 (loose) or + 1 (lodged). */
static inline int sb_pool(int section, bool lodged)
{
    return 2 * section + (lodged ? 1 : 0);
}

/** Joins a draft into a season; the draft is emptied. Errors name file and line; all of them are
 * reported, not only the first. @return SB_OK; SB_ERR_INPUT; SB_ERR_NOMEM */
sb_status sb_season_join(sb_draft *draft, sb_report *report, sb_season **season);

/** A season of some of the fields and machines: a deep copy, which shares nothing with the season.
 * Fields and machines keep their order and are numbered anew, with all that names them by number
 * (after, km); an `after` rule goes with either of its fields. Growers, yards, weeds, crops and
 * cleanouts keep their numbers, used or not.
 * @param keep_field   n_fields; NULL: all. None may be kept: the machines then only go home
 * @param keep_machine n_machines; NULL: all
 * @return SB_OK; SB_ERR_ARG: no machine is kept; SB_ERR_NOMEM */
sb_status sb_season_copy(const sb_season *season, const bool *keep_field, const bool *keep_machine,
                         sb_season **copy);

/** Works out anew what follows from a field's area, yield, crop, worth and densities: grain,
 * material, delay cost, seeds per kg, occupied, loss per seed. For a copy in which these, or the
 * numbers of weeds and crops, were changed. */
void sb_field_derive(const sb_setup *setup, sb_field *field);
/** The same for every field. The machines' start loads stay what they are. */
void sb_season_derive(sb_season *season);

/** The class of a scale that holds a density; 0 plants/m2 belongs to an empty class if there is
 * one, anything more never does. */
int sb_scale_class_of(const sb_scale *scale, double density_plants_m2);

/** Keeps a warning with the season; file may be NULL, strings are copied. @return false: out of
 * memory */
bool sb_season_keep_warning(sb_season *season, const char *file, size_t line, const char *text);

/** Is its name another than its id, upper and lower case alike? */
bool sb_has_own_name(const sb_machine *machine);

/** Frees what a field owns (not the field itself). */
void sb_field_release(sb_field *field);

/** km from place to place (field index, or n_fields + yard index); NAN: no way. */
double sb_season_km(const sb_season *season, int from, int to);
/** The place number of a machine's yard. */
int sb_season_yard_place(const sb_season *season, int machine);
/** The place number where a machine starts from. */
int sb_season_start_place(const sb_season *season, int machine);
/** Hours that a machine cuts in a field. */
double sb_season_cutting_hours(const sb_season *season, int machine, int field);
/** Money for km on the road, by distance and by the hour; INFINITY for NAN: no way. */
double sb_season_travel_cost(const sb_season *season, int machine, double km);
/** Money for one cleanout of a level: supplies, people and lost machine time. */
double sb_season_cleanout_cost(const sb_season *season, int cleanout);
/** Share of seeds of a weed shed from a section that falls to the ground (the rest: the tank). */
double sb_season_ground_share(const sb_season *season, int machine, int section, int weed);
/** Most expected loss in a grower's fields (-1: those that name none) by every cap; INFINITY. */
double sb_season_grower_most(const sb_season *season, int grower);
/** Is cleanout `done` at least as thorough as `demanded`: does it keep no more in any pool? */
bool sb_season_satisfies(const sb_season *season, int done, int demanded);
/** Does cleanout `done` (-1: none) end what a rule demands: is the machine then as good as never
 * having cut that grower's fields? */
bool sb_season_clears(const sb_season *season, int done, const sb_apart *apart);
/** The bit of a rule's cleanout in cut_since: one for each, and the last for "any full one". */
static inline size_t sb_apart_slot(const sb_apart *apart)
{
    return apart->cleanout >= 0 ? (size_t)apart->cleanout : SB_MAX_LEVELS;
}
/** Does that grower's field count as cut before the machine's first move? */
bool sb_season_starts_after(const sb_season *season, int machine, const sb_apart *apart);
/** Money lost when a field is finished at this moment (working hours). Never falls with time. */
double sb_season_delay_cost(const sb_season *season, int field, double finish_h);
/** Earliest start and latest finish of a field in working hours: 0 and INFINITY when undated. */
double sb_season_ready_h(const sb_season *season, int field);
double sb_season_latest_h(const sb_season *season, int field);
/** Are there seeds of the weed, in any field or from the start in any machine? A field where it was
 * looked for and not found has none. */
bool sb_season_has_weed(const sb_season *season, size_t weed);

#endif
