/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/glpk_guard.h"

#include <glpk.h>
#include <setjmp.h>

static void jump_out(void *info)
{
    glp_error_hook(NULL, NULL);
    longjmp(*(jmp_buf *)info, 1);
}

sb_status sb_glpk_guard(sb_status (*body)(void *context), void *context)
{
    jmp_buf back;
    int talk = glp_term_out(GLP_OFF);
    if (setjmp(back) != 0) {
        glp_free_env();
        return SB_ERR_INTERNAL;
    }
    glp_error_hook(jump_out, &back);
    sb_status status = body(context);
    glp_error_hook(NULL, NULL);
    glp_term_out(talk);
    return status;
}
