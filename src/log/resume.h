/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Going on from where a season stands. */
#ifndef SB_LOG_RESUME_H
#define SB_LOG_RESUME_H

#include "log/season.h"
#include "plan/plan.h"

/** What may make a season dearer or cheaper than an earlier plan said. */
typedef enum sb_change_kind {
    SB_CHANGE_FILES,    /**< other files or cleanouts than it was made with */
    SB_CHANGE_HAPPENED, /**< an entry: a day lost, a field dropped */
    SB_CHANGE_WORK,     /**< all that was cut and cleaned: later, or otherwise than planned */
    SB_CHANGE_WAIT,     /**< nothing goes on before a given hour */
    SB_CHANGE_FOUND,    /**< an entry: a rating, a tarp, seedlings */
    SB_CHANGE_ORDER,    /**< another order for the rest, in place of the old one */
} sb_change_kind;

typedef struct sb_change {
    sb_change_kind kind;
    size_t entry; /**< index; of SB_CHANGE_HAPPENED and SB_CHANGE_FOUND, else 0 */
    double money; /**< dearer by so much; INFINITY: the old order breaks a rule from here on; NAN:
                       not known, because of that */
} sb_change;

/** Is it about one entry of the log? */
static inline bool sb_change_is_entry(const sb_change *change)
{
    return change->kind == SB_CHANGE_HAPPENED || change->kind == SB_CHANGE_FOUND;
}

struct sb_resumed {
    const sb_season *whole;
    sb_log_state state;
    sb_season *rest; /**< without a field when nothing is left to cut */
    int *becomes;    /**< by field of the whole: its index in the rest, -1: not in it */
    sb_plan *home;   /**< nothing is left to cut: the machines' ways home; else NULL */
    /* After sb_resumed_compare: */
    bool compared;
    const sb_plan *plan; /**< for the rest; NULL: nothing is left */
    sb_plan *earlier; /**< the earlier plan's stops as far as they are left, what came in since at
                           the end, a route for each machine; cleanouts as it says, less what was
                           done already */
    double planned;   /**< money, what the season was to cost by the earlier plan, with what was
                           spent and left standing before it; NAN: it does not say */
    size_t since;     /**< entries of the log before that plan */
    char waited[17];  /**< until when nothing was to go on by that plan; "": not said */
    bool same;        /**< order and cleanouts are as they were planned */
    double going_on;  /**< money to come in the old order; INFINITY: it breaks a rule, NAN: not
                           worked out, because the plan is for one of several machines */
    /* After sb_resumed_account: dearer by what, from the earlier plan to going on in its order. */
    struct {
        sb_change *items;
        size_t count, capacity;
    } changes; /**< none: not worked out */
};

/** Is every field cut or dropped? */
bool sb_resumed_is_over(const sb_resumed *resumed);
/** Money that the season has cost and will cost when it goes on at that much. */
double sb_resumed_in_all(const sb_resumed *resumed, double to_come);

/** Reads the stops of an earlier plan into resumed->earlier, as that says.
 * @return SB_OK; SB_ERR_INPUT; SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_resumed_set_earlier(sb_resumed *resumed, const char *path, sb_report *report,
                                 sb_plan_stated *stated);
/** Money to come when the earlier plan's order is kept, with the best cleanouts for it; INFINITY:
 * it breaks a rule. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_resumed_price_going_on(const sb_resumed *resumed, double *money);

/** Money to come by the plan that the earlier one is compared with. */
double sb_resumed_to_come(const sb_resumed *resumed);
/** A change in words: "2026-08-06 to 2026-08-07 lost (rain)". */
void sb_change_words(const sb_resumed *resumed, const sb_change *change, sb_text *text);
/** Against the earlier plan: both orders, the money, and what made the difference. */
void sb_against_text(const sb_resumed *resumed, sb_text *text);

#endif
