/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What the ribbon across and the ribbon down have in common: the curves and their scale. */
#ifndef SB_WRITE_RIBBON_H
#define SB_WRITE_RIBBON_H

#include "plan/load_curve.h"
#include "plan/wait.h"
#include "write/page.h"
#include "write/why.h"

typedef struct sb_ribbon {
    const sb_page *page;
    const sb_route *route;
    size_t number;        /**< of the route, from 0 */
    sb_held *curve;       /**< n_stops * SB_CURVE_POINTS */
    sb_passage *passages; /**< n_stops */
    double decades;       /**< powers of ten that the highest load needs, at least 1 */
} sb_ribbon;

/** @return SB_OK; SB_ERR_NOMEM, nothing to release */
sb_status sb_ribbon_init(const sb_page *page, size_t route, sb_ribbon *ribbon);
void sb_ribbon_release(sb_ribbon *ribbon);
/** Height of a number of seeds on the log scale, 0..1; one seed or less has none. */
double sb_ribbon_height(const sb_ribbon *ribbon, double seeds);
/** Most seeds of a weed held at once in one stop, of its SB_CURVE_POINTS points. */
double sb_most_held(const sb_held *held, int weed, bool lodged_only);
/** Whole days that the machine waits before it cleans for stop i (n_stops: at the end) or, with
 * to_drive, before it drives there: blocked days are among them. 0 without dates.
 * @param wait [out] what for */
int sb_ribbon_wait(const sb_ribbon *ribbon, size_t i, bool to_drive, sb_wait *wait);
/** "26 days waiting for Kettle to ripen (Tue 15 Sep)". */
void sb_ribbon_wait_words(const sb_ribbon *ribbon, int days, const sb_wait *wait,
                          sb_add_name *add_name, sb_text *text);
/** The stops as the ribbon across shows them. */
void sb_svg_ribbon(const sb_ribbon *ribbon, sb_text *text);
/** The stops as the ribbon down shows them: the phone's list. */
void sb_html_tall_ribbon(const sb_ribbon *ribbon, sb_text *text);

#endif
