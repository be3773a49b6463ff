/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The parts of sheet.html, one renderer a file. All append to the text; a failure shows in
 * text->failed. Ids on the page are made of numbers only: stop i of route r is "s<r>-<i>", both
 * from 1; stop n_stops + 1 is the way home. */
#ifndef SB_WRITE_SHEET_H
#define SB_WRITE_SHEET_H

#include "base/text.h"
#include "plan/plan.h"
#include "season/season.h"

/** What every part of the page is made from. */
typedef struct sb_sheet {
    const sb_season *season;
    const sb_plan *plan;
    int weeds[SB_MAX_WEEDS]; /**< those in play */
    int n_weeds;
} sb_sheet;

/** The page's style sheet in pieces, ended by NULL: constants, no user text in them. */
extern const char *const sb_sheet_style[];

/** Textures for the rating classes, drawn once and referred to as "#t<class>". */
void sb_svg_textures(const sb_sheet *sheet, sb_text *text);
/** The map of all machines' ways, with its legend. */
void sb_svg_map(const sb_sheet *sheet, sb_text *text);
/** The season ribbon of one machine, with its legend. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_svg_ribbon(const sb_sheet *sheet, size_t route, sb_text *text);

/** Machine, dates, totals. */
void sb_html_summary(const sb_sheet *sheet, sb_text *text);
/** The stops of one machine, a section for every day on which something begins. */
void sb_html_stops(const sb_sheet *sheet, size_t route, sb_text *text);
/** The cleaning job of one cleanout that begins at this moment (working hours): when, what it
 * needs, cautions, steps, what should lie on the tarp. */
void sb_html_cleaning(const sb_sheet *sheet, int cleanout, double begin_h,
                      const sb_stop_trace *trace, sb_text *text);
/** What all cleanouts of the season need together. */
void sb_html_supplies(const sb_sheet *sheet, sb_text *text);
/** Who gives what to whom: a heat table for each weed, in cutting order. */
void sb_html_ledger(const sb_sheet *sheet, sb_text *text);
/** The colours of those tables, for the head of the page. */
void sb_html_ledger_style(sb_text *text);
/** What was assumed, with sources. */
void sb_html_assumptions(const sb_sheet *sheet, sb_text *text);

/** When the work for a stop begins, working hours: its cleanout, or else the drive to it.
 * i = n_stops: the way home. INFINITY when the plan has no dates. */
double sb_work_begin_h(const sb_season *season, const sb_route *route, size_t i);
/** The day of that; SB_NO_DAY when the plan has no dates. */
int sb_work_day(const sb_season *season, const sb_route *route, size_t i);

#endif
