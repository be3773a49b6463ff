/* SPDX-License-Identifier: GPL-3.0-or-later */
/** From a good season to a proven one: rounds of walks, each with better rewards and less open,
 * until an exact search over what is left closes the gap. */
#ifndef SB_ORDER_PROVE_H
#define SB_ORDER_PROVE_H

#include "order/root.h"
#include "order/walk.h"

/** What is known about the best season. */
typedef struct sb_outcome {
    int *field, *level; /**< n each; meaningful when cost is finite */
    double cost;        /**< INFINITY: no season known */
    double bound;       /**< no season costs less; INFINITY with cost INFINITY: there is none */
    bool closed;        /**< bound and cost are the same to SB_PROOF_SHARE */
    double *reward;     /**< n: of the best bound found; when `warm`, what the walks begin with */
    bool warm;
    long labels;
    const char *method; /**< what closed it or why it stopped; a literal */
} sb_outcome;

/** Seasons whose costs differ by less than this share count as equally cheap. */
#define SB_PROOF_SHARE 1e-7

/** Seasons of so many fields are open for long, and of so many for longer still: what is done
 * before and in the first rounds is cut for that. */
#define SB_WIDE_FIELDS 46
#define SB_LARGE_FIELDS 70

/** Parts of the method that can be switched off, to measure what each earns. */
typedef struct sb_method {
    bool root_rewards; /**< begin with the LP's duals instead of zero */
    bool root_close;   /**< close moves by the LP's reduced costs */
    bool grow_memory;  /**< remember fields that walks return to */
    bool absorb;       /**< let labels absorb others within the round's allowance */
    bool close;        /**< close what backward and forward labels rule out */
    bool look;         /**< look for a better season along the best walks */
    int starts;        /**< annealing runs */
    bool polish;       /**< anneal the best season again between rounds */
} sb_method;
extern const sb_method sb_method_default;

/** @param outcome [in, out] the best known season; improved, with its bound
 * @param tell called after every pass with the outcome so far; may be NULL
 * @return SB_OK (closed or not); SB_ERR_NOMEM */
sb_status sb_prove(const sb_problem *p, sb_crew *crew, const sb_root *root, const sb_method *method,
                   void (*tell)(void *context, const sb_outcome *outcome), void *context,
                   sb_outcome *outcome);

#endif
