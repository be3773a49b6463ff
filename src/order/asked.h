/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What the options of an order ask for: which machine, and limits beside the season's. */
#ifndef SB_ORDER_ASKED_H
#define SB_ORDER_ASKED_H

#include "season/season.h"

/** The machine of that id or name (sb_machine_named); the only one when id is NULL.
 * @param what is done "for one machine at a time": the message says so
 * @return SB_OK; SB_ERR_INPUT: there is no such machine, or there are several and none is named;
 *         SB_ERR_NOMEM */
sb_status sb_machine_meant(const sb_season *season, const char *id, const char *what,
                           sb_report *report, int *machine);

/** Is there anything to order, and are the options' numbers in their ranges? */
bool sb_order_options_good(const sb_season *season, const sb_order_options *options);

/** The season with the options' limits where they are tighter than its own, and without a limit on
 * the growers' losses, which only order/fair.h keeps. It shares everything else with the season: do
 * not free it. */
sb_season sb_season_limited(const sb_season *season, const sb_order_options *options);
/** The least of the season's and the options' limit on the loss of a grower; INFINITY: none. */
double sb_growers_limit(const sb_season *season, const sb_order_options *options);
/** Is there one that names a grower? */
bool sb_growers_named(const sb_season *season, const sb_order_options *options);
/** The least of the season's and the options' limits that name a grower.
 * @param most [out] by grower, INFINITY: none; NULL when none names any. The caller frees it with
 *             sb_free
 * @return SB_OK; SB_ERR_INPUT: the options name one who has no fields, which is reported;
 *         SB_ERR_NOMEM */
sb_status sb_growers_most(const sb_season *season, const sb_order_options *options,
                          sb_report *report, double **most);
/** The options without any limit on the growers' losses. */
sb_order_options sb_options_without_growers(const sb_order_options *options);
/** Warns, if there is such a limit, that this call does not keep it. */
void sb_say_growers_unkept(const sb_season *season, const sb_order_options *options,
                           sb_report *report);

#endif
