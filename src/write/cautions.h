/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The cautions that stand beside every cleaning job. */
#ifndef SB_WRITE_CAUTIONS_H
#define SB_WRITE_CAUTIONS_H

#include <stddef.h>

/** What comes before everything else: manual, local codes, licensed practice. */
extern const char sb_caution_first[];

/** Cautions for the whole job, in the order in which they are met. */
extern const char *const sb_cautions[];
extern const size_t sb_n_cautions;

/** The caution of a step at one section ("" for the whole machine), or NULL when the general ones
 * are enough. */
const char *sb_step_caution(const char *section);

#endif
