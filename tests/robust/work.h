/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Whole calls of the library, from files to files, to be run again and again while memory fails.
 *
 * Nothing here asserts while memory may be short: a work returns its status, and writes what there
 * is to see into files that are looked at afterwards. */
#ifndef ROBUST_WORK_H
#define ROBUST_WORK_H

#include <stdint.h>
#include <stdio.h>

#include "seedbreak.h"

typedef struct work {
    const char *name;
    sb_status (*run)(const struct work *job, sb_report *report);
    sb_status well_fed; /* what run returns when there is memory */
    const char *files[5];
    const char *travel_csv;
    sb_order_by by;
} work;

/** Every work. */
extern const work works[];
extern const size_t n_works;

/** Makes the folder that the works read from and write to, with the files that are not in the
 * repository (archives, other encodings) and an old plan. @return false: it could not be made */
bool work_begin(void);
void work_end(void);

/** One run of a work, with its report. */
sb_status work_run(const work *job);

/** Puts the old plan and the old log back where a run has written; removes what it has printed. */
void work_reset(void);
/** True when the outputs are those of the old plan and the log is as it was. */
bool work_kept_old_plan(void);
/** A number for all that a run has printed and written: the same bytes give the same. */
uint64_t work_digest(void);

#endif
