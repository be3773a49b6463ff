/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Why the plan is as it is, in sentences made of computed numbers only. */
#ifndef SB_WRITE_WHY_H
#define SB_WRITE_WHY_H

#include "base/text.h"
#include "plan/plan.h"
#include "write/words.h"

/** An sb_add_name: as it is, for plain text and JSON. */
void sb_add_plain_name(sb_text *text, const char *name);

/** Appends the reason of the cleanout before a stop; nothing when that cleanout is "none" or the
 * route was not explained. */
void sb_why(const sb_season *season, const sb_route *route, size_t stop, sb_add_name *add_name,
            sb_text *text);

/** Appends what is known about cheaper plans: proven cheapest, a bound and gap, stopped before
 * there was a bound, an order given with the cheapest cleanouts, or only priced. */
void sb_proof_words(const sb_season *season, const sb_plan *plan, sb_text *text);
/** (cost - bound) / cost, as weighed, NAN without a bound; a season that costs nothing has no gap.
 */
double sb_plan_gap(const sb_plan *plan);

/** How much of a plan is explained. */
typedef enum sb_explain {
    SB_EXPLAIN_CLEANOUTS, /**< every stop has its reason */
    SB_EXPLAIN_SOME, /**< its move too, in plans of up to SB_MOST_EXPLAINED stops: others would take
                          longer to explain than to write */
    SB_EXPLAIN_MOVES, /**< every move */
} sb_explain;

#define SB_MOST_EXPLAINED 100

/** A plan that is explained: plan itself, or an explained copy of it.
 * @param copy [out] NULL, or the copy, which the caller frees with sb_plan_free
 * @param explained [out] borrowed: plan or *copy
 * @return SB_OK; SB_ERR_NOMEM; SB_ERR_INTERNAL */
sb_status sb_plan_explained(const sb_season *season, const sb_plan *plan, sb_explain how,
                            sb_plan **copy, const sb_plan **explained);

#endif
