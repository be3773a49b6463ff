/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Why every move is as it is, in sentences made of computed numbers only, and as JSON. */
#ifndef SB_WRITE_WHY_MOVE_H
#define SB_WRITE_WHY_MOVE_H

#include "write/json_out.h"
#include "write/why.h"

/** Appends the sentences for the move to stop i, a newline between any two. The route's moves must
 * have been explained. */
void sb_why_move(const sb_season *season, const sb_route *route, size_t i, sb_add_name *add_name,
                 sb_text *text);

/** The same numbers as an object, with the sentences as "text". */
json_t *sb_why_move_json(const sb_season *season, const sb_route *route, size_t i, bool *ok);

#endif
