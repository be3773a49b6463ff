/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Plans side by side. */
#ifndef SB_WRITE_COMPARE_H
#define SB_WRITE_COMPARE_H

#include "base/text.h"
#include "plan/plan.h"
#include "season/season.h"

/** What a comparison says of one plan. */
typedef struct sb_compared {
    const char *name;
    const sb_plan *plan;
    double dearer; /**< share that it costs more than the cheapest plan compared that breaks the
                        fewest rules, 0: it is the cheapest; NAN: it cannot be priced */
    double km, minutes, end_h;     /**< cleaning minutes; when the last machine is back and clean */
    int cleanouts, full_cleanouts; /**< final ones counted */
    double seeds[SB_MAX_WEEDS];    /**< brought to the ground */
    double *loss;                  /**< by field, money */
    size_t broken;                 /**< rules */
} sb_compared;

/** @param compared [out] n, to be released with sb_compared_free
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL (a plan failed the check) */
sb_status sb_compare(const sb_season *season, const sb_rival *plans, size_t n,
                     sb_compared **compared);
void sb_compared_free(sb_compared *compared, size_t n);

sb_status sb_render_comparison_text(const sb_season *season, const sb_compared *plans, size_t n,
                                    sb_text *text);
sb_status sb_render_comparison_json(const sb_season *season, const sb_compared *plans, size_t n,
                                    sb_text *text);

#endif
