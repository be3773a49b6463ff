/* SPDX-License-Identifier: GPL-3.0-or-later */
/** From the vertices that a file lists to a ring that can be measured. */
#ifndef SB_READ_OUTLINE_H
#define SB_READ_OUTLINE_H

#include "read/format.h"

/** Makes a clean ring of listed vertices: the closing vertex goes (an open ring is closed with a
 * warning when `must_close`), vertices repeated in a row and spikes that run out and back over the
 * same vertices go with a warning. Warns of vertices whose longitude and latitude look swapped.
 * @param listed vertices as listed; its order and count change
 * @param ring   [out] an exact copy for the caller to own
 * @return SB_OK; SB_ERR_INPUT (fewer than 3 distinct vertices, reported); SB_ERR_NOMEM */
sb_status sb_outline_finish(const sb_reading *reading, sb_ring *listed, bool must_close,
                            size_t line, sb_ring *ring);

/** Drops vertices repeated in a row, the last-to-first step included; returns how many. */
size_t sb_outline_drop_repeats(sb_ring *ring);

/** Adds an empty hole to a part. @return the hole, NULL when out of memory */
sb_ring *sb_part_add_hole(sb_part *part);

#endif
