/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The trade-off curve as text in memory: one renderer a file, put on the disk by trade_files.c.
 * All append to `text` and return SB_OK or SB_ERR_NOMEM. */
#ifndef SB_WRITE_TRADE_H
#define SB_WRITE_TRADE_H

#include "base/text.h"
#include "order/tradeoff.h"
#include "season/season.h"
#include "write/why.h"

/** Appends what the step from one plan to another changes, costs and saves, as sentences. */
void sb_trade_step(const sb_season *season, const sb_curve_point *from, const sb_curve_point *to,
                   double spread_weight, sb_add_name *add_name, sb_text *text);
/** "no full cleanout", "the first full cleanout", "the third full cleanout": of count. */
void sb_trade_full_name(int count, sb_text *text);

sb_status sb_render_curve_text(const sb_season *season, const sb_curve *curve, sb_text *text);
sb_status sb_render_curve_json(const sb_season *season, const sb_curve *curve, sb_text *text);
sb_status sb_render_curve_csv(const sb_season *season, const sb_curve *curve, sb_text *text);
/** The plot of curve.svg for a page, which has the style for it. data-plan numbers the marks from
 * 0. */
void sb_svg_curve_plot(const sb_season *season, const sb_curve *curve, sb_text *text);
/** season.html of the curve's best plan, with the curve and a handle to step through its plans. */
sb_status sb_render_curve_html(const sb_season *season, const sb_curve *curve, sb_text *text);
sb_status sb_render_curve_svg(const sb_season *season, const sb_curve *curve, sb_text *text);

#endif
