/* SPDX-License-Identifier: GPL-3.0-or-later */
/** A normal distribution to draw from where the standard normal would seldom be right.
 *
 * Given by its mode and by its precision, the inverse of its covariance: what was known before (the
 * identity) plus what was found. */
#ifndef SB_DOUBT_PROPOSAL_H
#define SB_DOUBT_PROPOSAL_H

#include <stddef.h>

#include "seedbreak.h"

typedef struct sb_proposal {
    size_t n;       /**< dimensions */
    double *mode;   /**< n */
    double *root;   /**< n x n, lower triangle L of precision = L L^T (Cholesky) */
    double log_det; /**< logarithm of the determinant of L */
} sb_proposal;

/** The standard normal distribution. Release in any case. @return SB_OK; SB_ERR_NOMEM */
sb_status sb_proposal_init(sb_proposal *proposal, size_t n);
void sb_proposal_release(sb_proposal *proposal);

/** Sets root to that of the identity + sum over rows i of weight[i] row_i row_i^T.
 * @param rows n_rows x n, weight n_rows, each at least 0 */
void sb_proposal_set(sb_proposal *proposal, const double *rows, const double *weight,
                     size_t n_rows);

/** Solves precision x = b in place. */
void sb_proposal_solve(const sb_proposal *proposal, double *b);

/** Turns n standard normal numbers into a draw, in place. */
void sb_proposal_draw(const sb_proposal *proposal, double *z);

/** Logarithm of the density, without the constant that the standard normal has too. */
double sb_proposal_log_density(const sb_proposal *proposal, const double *z);

#endif
