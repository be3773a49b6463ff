/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Questions that split what plans are left: every plan answers each with yes or no. */
#ifndef SB_ORDER_FLEET_BRANCH_H
#define SB_ORDER_FLEET_BRANCH_H

#include "order/fleet_prover.h"

typedef enum sb_ask {
    SB_ASK_MACHINE, /**< is the field cut by a machine of this kind? */
    SB_ASK_MOVE,    /**< does it follow this field (-1: come first)? */
    SB_ASK_NEXT,    /**< does it stand next to this field, before or behind it? */
    SB_ASK_LEVEL,   /**< is it entered after this level? */
    SB_ASK_ENTRIES, /**< do at most so many moves lead into a set of fields? */
} sb_ask;

typedef struct sb_question {
    sb_ask ask;
    int field;  /**< not SB_ASK_ENTRIES */
    int what;   /**< kind, field, field, level or number */
    size_t cut; /**< SB_ASK_NEXT and SB_ASK_ENTRIES: the set, one of the prover's cuts */
} sb_question;

/** May a plan that gives this answer have a machine of the kind go from -> to (from -1: the yard)
 * after the level? Answers about entries are rows of the master besides. */
bool sb_question_allows(const sb_question *question, bool yes, int kind, int from, int to,
                        int level);

/** The question whose answers both lift the master's value most, at its present solution.
 * @return false: every answer is whole there; or see s->status */
bool sb_prover_ask(sb_prover *s, sb_question *question);
/** A question about a field for which more than one way in is open.
 * @param plan asks first whether it is as in this plan; NULL: as cheap as can be
 * @return false: there is none, so there is one plan at most */
bool sb_prover_ask_open(const sb_prover *s, const sb_routes *plan, sb_question *question);

/** The place of a set of fields in the prover's cuts; added, with no row, when it is not there.
 * @return false: see s->status */
bool sb_prover_set(sb_prover *s, const uint64_t *set, size_t *cut);

#endif
