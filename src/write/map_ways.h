/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The moves on the map: a curve from place to place with its direction in the middle, and a sign
 * where the machine is cleaned before it. */
#ifndef SB_WRITE_MAP_WAYS_H
#define SB_WRITE_MAP_WAYS_H

#include "write/map_marks.h"

/** Appends a line of a route's kind. With one machine there is but one, thinner, kind.
 * @param key of its move, or "" */
void sb_map_route_line(const sb_page *page, size_t route, const char *key, const char *path,
                       sb_text *text);

/** Where a machine is after stop i of a route; i = n_stops: in the yard. */
sb_lonlat sb_place_after(const sb_season *season, const sb_route *route, size_t i);
/** Where it starts: in the yard, or where the log left it. */
sb_lonlat sb_place_at_start(const sb_season *season, const sb_route *route);

/** Puts the lines of all moves into the room, in place of those that are there. Moves between stops
 * that share a mark are too short to show. @return false: no memory */
bool sb_map_ways_lay(const sb_map_marks *marks, const sb_projection *projection, sb_map_room *room);
/** Draws the moves. Fields drawn afterwards lie over their ends, and keep their textures in sight.
 */
void sb_map_ways_draw(const sb_map_marks *marks, const sb_projection *projection, sb_text *text);
/** Writes the letter of its machine beside every long move, where nothing else stands, and takes
 * room for it; not where there is one machine only. @return false: no memory */
bool sb_map_letters_draw(const sb_map_marks *marks, const sb_projection *projection,
                         sb_map_room *room, sb_text *text);
/** Draws the cleanouts' signs and takes room for them, where nothing else stands: once the marks
 * stand. @return false: no memory */
bool sb_map_cleanouts_draw(const sb_map_marks *marks, const sb_projection *projection,
                           sb_map_room *room, sb_text *text);

#endif
