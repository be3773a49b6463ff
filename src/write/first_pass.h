/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The first pass round a field: where most loose seeds fall, and where to look next spring. */
#ifndef SB_WRITE_FIRST_PASS_H
#define SB_WRITE_FIRST_PASS_H

#include "base/text.h"
#include "write/field_shape.h"

/** Appends a line along the edge of a field as it is drawn, as long as the pass but at most once
 * round, as an SVG path's data. It begins at the corner nearest to the place that the machine comes
 * from: where the gate is, nobody said. Nothing for a field without an outline or a pass of no
 * length.
 */
void sb_first_pass(const sb_field *field, const sb_field_shape *shape,
                   const sb_projection *projection, sb_lonlat from, double length_m, sb_text *text);

#endif
