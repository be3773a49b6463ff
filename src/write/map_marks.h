/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Numbers and names on the map, none printed over another. A number stands on its field where that
 * is much larger, else beside it, so that the field stays in sight; numbers of one machine that
 * find no place of their own share one ("24–43"), those of several move apart. A name stands beside
 * its field where nothing else does and no move runs; without such a place the list below has it.
 */
#ifndef SB_WRITE_MAP_MARKS_H
#define SB_WRITE_MAP_MARKS_H

#include "write/map_room.h"
#include "write/page.h"

/** Kinds of line that tell machines apart: solid, double, beads, dashes. Marks come in as many:
 * round and dark, square and pale, square and dark, round and pale. */
#define SB_KINDS_OF_LINE 4

/** Half of what a yard's sign takes, units. */
#define SB_YARD_HALF_WIDTH 11.0
#define SB_YARD_HALF_HEIGHT 10.0
/** Size of a name's letters, .halo in page.css. */
#define SB_NAME_SIZE 12.0

/** How a label's lines stand in its box. */
typedef enum sb_align { SB_CENTRED, SB_FROM_LEFT, SB_TO_RIGHT } sb_align;

/** A place beside a thing. */
typedef struct sb_place_beside {
    sb_map_box box; /**< empty: there is none */
    sb_align align;
} sb_place_beside;

/** The number of a stop, or the numbers of several. */
typedef struct sb_mark {
    size_t route;
    size_t n_stops;
    size_t first;     /**< lowest stop */
    sb_point place;   /**< of the field, or in the middle of the fields: where moves end */
    sb_map_box shape; /**< what the field takes, or several do */
    sb_point at;      /**< the middle of the mark */
    double half_width;
    sb_place_beside label; /**< of the name */
    bool rated;            /**< the rating has room below the name */
} sb_mark;

typedef struct sb_map_marks {
    const sb_page *page;
    sb_map_room *room;
    int columns;        /**< of a name */
    double half_height; /**< of a mark, units */
    sb_mark *marks;
    size_t n_marks;
    size_t *mark_of; /**< by stop, route after route */
} sb_map_marks;

/** Makes the marks of all stops, where their fields are. Borrows page and room; fields and yards
 * have their room already. On failure the caller still releases them. @return SB_OK; SB_ERR_NOMEM
 */
sb_status sb_map_marks_init(const sb_page *page, const sb_projection *projection, sb_map_room *room,
                            sb_map_marks *marks);
void sb_map_marks_release(sb_map_marks *marks);
/** Puts every mark where it stays, once the moves' lines are in the room. @return false: no memory
 */
bool sb_map_marks_settle(sb_map_marks *marks, const sb_projection *projection);

/** The mark of stop i of a route. */
const sb_mark *sb_mark_of(const sb_map_marks *marks, size_t route, size_t i);

/** The best place for a label of this size beside a thing, and takes it: the nearest one where
 * nothing is.
 * @param crossed may moves cross it?
 * @return false: no memory */
bool sb_map_place_beside(sb_map_room *room, const sb_map_box *thing, double width, double height,
                         bool crossed, sb_place_beside *place);

/** Gives names, and ratings where they fit, to all marks of a single stop; call it once everything
 * else is on the map. @return false: no memory */
bool sb_map_marks_name(sb_map_marks *marks);

/** Appends the marks with their names as SVG. */
void sb_map_marks_draw(const sb_map_marks *marks, sb_text *text);
/** Appends a mark of a route's kind, up to where its number begins: the caller ends the text. */
void sb_map_mark_draw(size_t route, sb_point at, double half_width, double half_height,
                      sb_text *text);
/** Does the map show the name of stop i of a route? Ask once all have been given. */
bool sb_map_marks_names(const sb_map_marks *marks, size_t route, size_t i);
/** Appends the list of stops whose name a map leaves out, as HTML.
 * @param named by stop, in the order of sb_page.stops: the maps that name it, 1 << sb_page_width */
void sb_map_list(const sb_page *page, const unsigned char *named, sb_text *text);

/** Appends a line of a label; baseline: of the line, from the box's top. */
void sb_label_draw(const sb_place_beside *place, const char *class_name, double baseline,
                   const char *name, int columns, sb_text *text);

#endif
