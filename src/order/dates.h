/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What ready and latest dates alone decide about the order. */
#ifndef SB_ORDER_DATES_H
#define SB_ORDER_DATES_H

#include "order/problem.h"

/** Adds to `before` every field that must come first because it would be late after the other, and
 * narrows ready_h and latest_h to what any season that keeps all dates keeps too. For one machine
 * that cuts every field; where dates contradict each other only dates_contradict is set.
 * @return SB_OK; SB_ERR_NOMEM */
sb_status sb_dates_narrow(sb_problem *p);

/** Closes `before` transitively and works out `behind` from it. */
void sb_close_precedence(sb_problem *p);

#endif
