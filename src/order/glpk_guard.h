/* SPDX-License-Identifier: GPL-3.0-or-later */
/** GLPK aborts the process on its own internal errors; here it becomes a status. */
#ifndef SB_ORDER_GLPK_GUARD_H
#define SB_ORDER_GLPK_GUARD_H

#include "seedbreak.h"

/** Runs body with GLPK silent and its abort caught. After an abort GLPK's environment of this
 * thread is thrown away, so every glp_prob made inside is gone: body must not hand one out, and
 * everything else it allocates must be owned by context, because body may not come back.
 * @return what body returned, or SB_ERR_INTERNAL when GLPK aborted */
sb_status sb_glpk_guard(sb_status (*body)(void *context), void *context);

#endif
