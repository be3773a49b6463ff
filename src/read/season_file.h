/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A season file half read: shared by the files season_*.c, one for each group of elements. */
#ifndef SB_READ_SEASON_FILE_H
#define SB_READ_SEASON_FILE_H

#include "read/format.h"
#include "read/values.h"

/** Hectares an hour in one crop, by the crop's id: the crop may be declared further down. */
typedef struct sb_crop_rate {
    char *crop;
    double ha_per_hour;
    size_t line;
} sb_crop_rate;

/** A machine as declared: numbers NAN and texts NULL where the file is silent. */
typedef struct sb_declared_machine {
    sb_machine machine;
    sb_crop_rate *rates;
    size_t n_rates;
    char *crops; /* the list of their ids, NULL: all */
} sb_declared_machine;

typedef struct sb_season_file {
    sb_reading reading; /* first, see format.h */
    sb_setup setup;     /* the built-in one with the file laid over it; the draft's at the end */
    int most_blocked;   /* days of one `blocked` */
    sb_declared_machine *machines;
    size_t n_machines;
    char *needs[SB_MAX_LEVELS];             /* by cleanout: ids of what it needs; NULL: silent */
    sb_cleanout *cleanout;                  /* the open one, in setup */
    bool supplies_begun;                    /* and a supply: the built-in amounts are gone */
    bool steps_begun;                       /* it has named a step: the built-in steps are gone */
    sb_step step;                           /* the open step */
    sb_scale scale;                         /* the open own scale */
    sb_feature field;                       /* the open field */
    const char *open[SB_XML_MAX_DEPTH + 1]; /* names of the elements entered, by depth */
} sb_season_file;

/** Begins an element. Nothing is left half owned when one fails. */
typedef sb_status (*sb_season_begin)(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_crop(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_weed(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_cleanout(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_keep(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_supply(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_step(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_resource(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_machine(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_rate(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_section(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_start(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_load(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_field(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_rating(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_apart(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_limit(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_scale(sb_season_file *file, const sb_xml_element *element);
sb_status sb_season_begin_class(sb_season_file *file, const sb_xml_element *element);

/** Ends an element; text is what a `step` holds. */
typedef sb_status (*sb_season_end)(sb_season_file *file, const char *text);
sb_status sb_season_end_step(sb_season_file *file, const char *text);
sb_status sb_season_end_scale(sb_season_file *file, const char *text);
sb_status sb_season_end_field(sb_season_file *file, const char *text);

/** Machines last of all: what they leave out comes from the built-in one, after `travel`. */
sb_status sb_season_finish_machines(sb_season_file *file);
void sb_season_release_machines(sb_season_file *file);

/** Which crops a machine may cut, once all crops are known; nothing when it does not say. */
sb_status sb_season_finish_crops(sb_season_file *file, sb_declared_machine *declared);
/** What cleanouts need, once all resources are known. */
sb_status sb_season_finish_needs(sb_season_file *file);

/** Index of a section by id. @return SB_OK; SB_ERR_INPUT (unknown: reported with the known) */
sb_status sb_season_section(const sb_season_file *file, const sb_xml_element *element,
                            const char *id, size_t *section);

#endif
