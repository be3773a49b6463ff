/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Assumptions in the making. Private to src/season/assume*.c. */
#ifndef SB_SEASON_ASSUME_H
#define SB_SEASON_ASSUME_H

#include "season/join.h"

/** One line after another: a head, then parts. A line into which no part was put is none. */
typedef struct sb_assuming {
    sb_joining *join;
    sb_setup builtin; /**< for the sources of what the season took over */
    sb_text text;     /**< the line begun last */
    bool started;     /**< it has a part */
    const char *kind; /**< of its last part, see sb_assume_of_section; NULL: of no section */
    sb_text dollars;  /**< built-in prices in use: "weed kochia: cost_per_plant 5; costs: ..." */
    const void *dollars_of; /**< the thing that has the last of them */
} sb_assuming;

/** Begins a line: "HEAD: ". */
void sb_assume_begin(sb_assuming *a, const char *head);
/** Adds a part, by a comma from the one before. */
void sb_assume_part(sb_assuming *a, const char *format, ...) __attribute__((format(printf, 2, 3)));
/** Adds a number of one section, "keeps of loose seed header 0.25, tank 0.5": the kind is told once
 * for the sections that follow one another with it. */
void sb_assume_of_section(sb_assuming *a, const char *kind, const char *section, double value);
/** Adds the line to the season unless nothing was put into it. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_assume_end(sb_assuming *a, const char *source);

/** Crops, weeds, machines, cleanouts, costs and roads: each number that the answer uses and no file
 * states (assume_numbers.c). @return SB_OK; SB_ERR_NOMEM */
sb_status sb_assume_numbers(sb_assuming *a);

#endif
