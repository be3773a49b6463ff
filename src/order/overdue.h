/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Fields that are finished too late whoever cuts them: what `after`, dates, roads and the
 * machines' hours prove without a search. */
#ifndef SB_ORDER_OVERDUE_H
#define SB_ORDER_OVERDUE_H

#include "order/problem.h"

typedef struct sb_overdue {
    int field;        /**< that no machine can finish in time; -1: none was found */
    double *finish_h; /**< n: no machine finishes the field earlier; INFINITY: none ever does, or
                           its turn did not come */
    uint64_t *before; /**< n x words: the fields that must be finished before each */
    int words;
} sb_overdue;

/** Works out how early each field can be finished at best: not before it is ready, a machine that
 * may cut it has come from where it starts, and everything that must be cut before it is cut, by
 * machines that have time for it. That no field is overdue proves nothing; that one is proves that
 * no season keeps every rule.
 * @param problems of all machines that may work, each over all fields of the season; borrowed
 * @return SB_OK; SB_ERR_NOMEM. Release in any case. */
sb_status sb_overdue_find(const sb_problem *problems, int machines, sb_overdue *found);
void sb_overdue_release(sb_overdue *found);

#endif
