/* SPDX-License-Identifier: GPL-3.0-or-later */
/** GLPK aborts the process on its own internal errors; here it becomes a status. */
#ifndef SB_ORDER_GLPK_GUARD_H
#define SB_ORDER_GLPK_GUARD_H

#include <stdbool.h>

#include "seedbreak.h"

/** Runs body with GLPK silent and its abort caught. GLPK's environment of this thread is gone
 * afterwards, with every glp_prob in it, unless the caller had one before: body must not hand a
 * glp_prob out, and everything else it allocates must be owned by context, because body may not
 * come back.
 * @param glpk_lives [out] true: the environment is still there, and the glp_prob made inside are to
 *                   be deleted; false: they are gone
 * @return what body returned; SB_ERR_NOMEM when GLPK found no memory; SB_ERR_INTERNAL when it gave
 *         up for another reason */
sb_status sb_glpk_guard(sb_status (*body)(void *context), void *context, bool *glpk_lives);

#endif
