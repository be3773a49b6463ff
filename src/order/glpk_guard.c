/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "order/glpk_guard.h"

#include <glpk.h>
#include <setjmp.h>
#include <string.h>

typedef struct guard {
    jmp_buf back;
    bool no_memory; /* what GLPK's last words were about */
} guard;

/* GLPK says why it gives up before it does, even when it was told to be silent. */
static int listen(void *info, const char *words)
{
    guard *g = info;
    if (strstr(words, "memory") != NULL)
        g->no_memory = true;
    return 1; /* nothing goes to stdout */
}

static void jump_out(void *info)
{
    guard *g = info;
    glp_error_hook(NULL, NULL);
    longjmp(g->back, 1);
}

/* GLPK makes its environment on the first call in a thread, and aborts the process, hook or not,
 * when it has no memory for that: so it is made here, and only then is GLPK spoken to. */
sb_status sb_glpk_guard(sb_status (*body)(void *context), void *context, bool *glpk_lives)
{
    *glpk_lives = false;
    int made = glp_init_env();
    if (made > 1)
        return SB_ERR_NOMEM;
    guard g = {.no_memory = false};
    int talk = glp_term_out(GLP_OFF);
    glp_term_hook(listen, &g);
    if (setjmp(g.back) != 0) {
        glp_free_env();
        return g.no_memory ? SB_ERR_NOMEM : SB_ERR_INTERNAL;
    }
    glp_error_hook(jump_out, &g);
    sb_status status = body(context);
    glp_error_hook(NULL, NULL);
    glp_term_hook(NULL, NULL);
    glp_term_out(talk);
    *glpk_lives = made == 1;
    if (made == 0)
        glp_free_env(); /* nobody else would: it belongs to the thread, not to a handle */
    return status;
}
