/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Work shared by threads: numbered pieces, taken in turn; results must not depend on who takes
 * which. */
#ifndef SB_ORDER_PARALLEL_H
#define SB_ORDER_PARALLEL_H

#include <stdatomic.h>
#include <stdbool.h>

#include "seedbreak.h"

/** Threads that wait for work, and the one place that knows when to stop. */
typedef struct sb_crew sb_crew;

/** @param threads 0: one per core
 * @return SB_OK; SB_ERR_NOMEM (also when no thread can be started: then nothing is left behind) */
sb_status sb_crew_new(const sb_order_options *options, sb_crew **crew);
void sb_crew_free(sb_crew *crew);
int sb_crew_size(const sb_crew *crew);

/** Calls piece(context, i, worker) for i in 0..n-1, worker in 0..size-1; returns when all are done.
 */
void sb_crew_share(sb_crew *crew, int n, void (*piece)(void *context, int i, int worker),
                   void *context);

/** Has the time limit passed or the caller asked to stop? Any thread may ask; once true, always. */
bool sb_crew_stopped(sb_crew *crew);
double sb_crew_elapsed_s(const sb_crew *crew);
/** Seconds after which sb_crew_stopped is true. */
double sb_crew_limit_s(const sb_crew *crew);

#endif
