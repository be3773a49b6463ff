/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The parts of season.html, one renderer a file. All append to the text; a failure shows in
 * text->failed.
 *
 * What shows one stop, wherever it is on the page, links to its card or carries its key in the
 * attribute data-s: "2-7" is stop 7 of route 2, both from 1, and "2-8" the way home of seven stops.
 * page/page.js lights up all that carry the same key. The stop's card has the id "s2-7" and says in
 * data-gives and data-gets which stops it gives seeds to and gets them from. Ids and attributes are
 * made of numbers only, never of words that a user wrote. The section of a day carries it in
 * data-day, in days since 1970-01-01. */
#ifndef SB_WRITE_PAGE_H
#define SB_WRITE_PAGE_H

#include "base/text.h"
#include "doubt/load_band.h"
#include "plan/board.h"
#include "plan/plan.h"
#include "season/season.h"
#include "write/needs.h"

/** One stop of the plan: all of them, machine after machine, stand in sb_page.stops. */
typedef struct sb_page_stop {
    size_t route, i; /**< from 0 */
    int field;
} sb_page_stop;

/** What every part of the page is made from. */
typedef struct sb_page {
    const sb_season *season;
    const sb_plan *plan;
    int weeds[SB_MAX_WEEDS]; /**< those in play */
    int n_weeds;
    sb_page_stop *stops; /**< in cutting order, machine after machine */
    size_t n_stops;
    const sb_curve *curve;    /**< that the plan is of; NULL: none was made. Borrowed */
    const sb_load_band *band; /**< of the loads; NULL: no doubt was computed. Borrowed */
    long *stop_of;            /**< by field: index into stops, -1: in no route */
} sb_page;

/** Borrows season and plan, which must be priced. @return SB_OK; SB_ERR_NOMEM, nothing to release
 */
sb_status sb_page_init(sb_page *page, const sb_season *season, const sb_plan *plan);
void sb_page_release(sb_page *page);

/** The same picture is drawn for a wide screen and paper, and for a phone. */
typedef enum sb_page_width { SB_PAGE_WIDE, SB_PAGE_NARROW } sb_page_width;

/** A part of the page that follows the plan: when stops are moved by hand it is drawn anew. */
typedef struct sb_page_part {
    const char *id;
    sb_status (*draw)(const sb_page *page, sb_text *text);
} sb_page_part;
/** Every such part, in the order in which they stand on the page. */
extern const sb_page_part sb_page_parts[];
extern const size_t sb_n_page_parts;

/** Appends the key of stop i of a route, both from 0: "1-1". */
void sb_page_key(sb_text *text, size_t route, size_t i);
/** Appends the number people read on it: "7", or "B7" where there are several machines. */
void sb_page_number(sb_text *text, const sb_page *page, size_t route, size_t i);
/** Units it takes in letters of the class "number". */
double sb_page_number_width(const sb_page *page, size_t route, size_t i);
/** Appends the dark disc behind a number, or a box with round ends where it is wider than high. */
void sb_svg_disc(sb_text *text, double x, double y, double half_width, double half_height);
/** The cleanout before stop i of a route; i = n_stops: the final one. At most 0 where there is
 * none.
 */
int sb_page_level(const sb_route *route, size_t i);
/** Appends <h3>, with the machine's name when there are several. */
void sb_page_heading(const sb_page *page, size_t route, const char *heading, sb_text *text);

/** Textures for the rating classes, drawn once and referred to as "#t<class>"; "#u<class>" where
 * what is filled is much higher than wide. */
void sb_svg_textures(const sb_page *page, sb_text *text);
/** The map of all machines' ways, in both widths, with its legend. */
sb_status sb_draw_map(const sb_page *page, sb_text *text);
/** The season ribbon of every machine, with its legend: across, and down for a phone. */
sb_status sb_draw_ribbons(const sb_page *page, sb_text *text);
/** Seeds in each machine against time. */
sb_status sb_draw_loads(const sb_page *page, sb_text *text);
/** Who gives what to whom: a heat map for each weed, in cutting order, and the growers' totals. */
sb_status sb_draw_matrix(const sb_page *page, sb_text *text);
/** Which machine does what on which day. */
sb_status sb_draw_board(const sb_page *page, sb_text *text);
/** Costs and counts, and what is known about cheaper plans. */
sb_status sb_draw_totals(const sb_page *page, sb_text *text);
/** Every machine's stops, a section for every day on which something begins. */
sb_status sb_draw_stops(const sb_page *page, sb_text *text);
/** What all cleanouts of the season need together. */
sb_status sb_draw_supplies(const sb_page *page, sb_text *text);

/** Where a machine is cleaned: in the field that it has just cut, or in the yard. */
typedef struct sb_cleaning_place {
    const char *name;
    bool is_yard;
} sb_cleaning_place;

/** The cleaning job of one cleanout that begins at this moment (working hours): when, what it
 * needs, cautions, where to park, steps, what should lie on the tarp. */
void sb_html_cleaning(const sb_page *page, int cleanout, sb_cleaning_place place, double begin_h,
                      const sb_stop_trace *trace, sb_text *text);
/** A list of supplies to tick off; nothing when there are none. */
void sb_html_needs(const sb_needs *needs, sb_text *text);
/** What was assumed, with sources. */
void sb_html_assumptions(const sb_page *page, sb_text *text);

/** The day under which the crew finds a stop: the one on which its cut begins, with the cleanout
 * before it and the drive to it even if they are the evening before. i = n_stops: the day on which
 * the way home begins. SB_NO_DAY when the plan has no dates. */
int sb_sheet_day(const sb_season *season, const sb_route *route, size_t i);

#endif
