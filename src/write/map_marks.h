/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Numbers and names on the map, none printed over another: stops of one machine too close together
 * share one mark ("24–43"), marks of several machines move apart, and a name that finds no free
 * place beside its mark is left to the list below. */
#ifndef SB_WRITE_MAP_MARKS_H
#define SB_WRITE_MAP_MARKS_H

#include "write/page.h"
#include "write/projection.h"

typedef struct sb_room {
    double left, top, right, bottom; /**< units; left == right: empty */
} sb_room;

/** Half of what a yard's sign takes, units. */
#define SB_YARD_HALF_WIDTH 11.0
#define SB_YARD_HALF_HEIGHT 10.0
/** Size of a name's letters, .halo in page.css. */
#define SB_NAME_SIZE 12.0

/** On which side of its mark a label begins. */
typedef enum sb_side { SB_BELOW, SB_ABOVE, SB_RIGHT, SB_LEFT, SB_N_SIDES } sb_side;

/** The number of a stop, or the numbers of several. */
typedef struct sb_mark {
    size_t route;
    size_t n_stops;
    size_t first; /**< lowest stop */
    sb_point at;
    double half_width;
    sb_room label; /**< of the name; empty: not shown */
    sb_side side;
    bool rated; /**< the rating has room below the name */
} sb_mark;

typedef struct sb_map_marks {
    const sb_page *page;
    double width, height; /**< labels stay inside */
    int columns;          /**< of a name */
    double half_height;   /**< of a mark, units */
    sb_mark *marks;
    size_t n_marks;
    size_t *mark_of; /**< by stop, route after route */
    struct {
        sb_room *items;
        size_t count, capacity;
    } taken; /**< where no label may lie */
} sb_map_marks;

/** Makes the marks of all stops. On failure the caller still releases them. @return SB_OK;
 * SB_ERR_NOMEM */
sb_status sb_map_marks_init(const sb_page *page, const sb_projection *projection,
                            sb_map_marks *marks);
void sb_map_marks_release(sb_map_marks *marks);

/** The mark of stop i of a route. */
const sb_mark *sb_mark_of(const sb_map_marks *marks, size_t route, size_t i);

/** Keeps labels off a place. @return false: no memory */
bool sb_map_marks_avoid(sb_map_marks *marks, sb_point centre, double half_width,
                        double half_height);
/** A box of this size beside a thing, free of all that is taken, and takes it.
 * @param box [out] empty when there is no room
 * @return false: no memory */
bool sb_map_marks_find(sb_map_marks *marks, sb_point at, double half_width, double half_height,
                       double width, double height, sb_room *box, sb_side *side);

/** Gives names, and ratings where they fit, to all marks of a single stop; call it once everything
 * else is on the map. @return false: no memory */
bool sb_map_marks_name(sb_map_marks *marks);

/** Appends the marks with their names as SVG. */
void sb_map_marks_draw(const sb_map_marks *marks, sb_text *text);
/** Does the map leave no name out? Ask once it is drawn. */
bool sb_map_marks_all_named(const sb_map_marks *marks);
/** Appends the list of all stops, as HTML, for a map that leaves a name out. */
void sb_map_list(const sb_page *page, sb_text *text);

/** Appends a line of a label that lies in a box; baseline: of the line, from the box's top. */
void sb_label_draw(const sb_room *box, sb_side side, const char *class_name, double baseline,
                   const char *name, int columns, sb_text *text);

#endif
