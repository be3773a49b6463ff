/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "seedbreak.h"

const char *sb_version(void)
{
    return SB_VERSION;
}

const char *sb_status_text(sb_status status)
{
    switch (status) {
    case SB_OK:
        return "done";
    case SB_ERR_INFEASIBLE:
        return "the season has no feasible plan";
    case SB_ERR_ARG:
        return "bad argument";
    case SB_ERR_INPUT:
        return "bad input";
    case SB_ERR_SYSTEM:
        return "system trouble";
    case SB_ERR_NOMEM:
        return "out of memory";
    case SB_ERR_INTERNAL:
        return "internal error";
    }
    return "unknown status";
}
