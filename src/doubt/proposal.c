/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doubt/proposal.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"

static double *entry(const sb_proposal *p, size_t i, size_t j)
{
    return &p->root[i * p->n + j];
}

sb_status sb_proposal_init(sb_proposal *proposal, size_t n)
{
    *proposal = (sb_proposal){.n = n};
    proposal->mode = sb_alloc(n, sizeof *proposal->mode);
    proposal->root = n <= SIZE_MAX / (n + 1) ? sb_alloc(n * n, sizeof *proposal->root) : NULL;
    if (proposal->mode == NULL || proposal->root == NULL)
        return SB_ERR_NOMEM;
    sb_proposal_set(proposal, NULL, NULL, 0);
    return SB_OK;
}

void sb_proposal_release(sb_proposal *proposal)
{
    sb_free(proposal->mode);
    sb_free(proposal->root);
    *proposal = (sb_proposal){0};
}

/* Cholesky in place. The precision is at least the identity, so no pivot falls below 1. */
static void take_root(sb_proposal *p)
{
    p->log_det = 0;
    for (size_t j = 0; j < p->n; j++) {
        for (size_t k = 0; k < j; k++)
            *entry(p, j, j) -= *entry(p, j, k) * *entry(p, j, k);
        *entry(p, j, j) = sqrt(fmax(*entry(p, j, j), 1));
        p->log_det += log(*entry(p, j, j));
        for (size_t i = j + 1; i < p->n; i++) {
            for (size_t k = 0; k < j; k++)
                *entry(p, i, j) -= *entry(p, i, k) * *entry(p, j, k);
            *entry(p, i, j) /= *entry(p, j, j);
        }
    }
}

void sb_proposal_set(sb_proposal *proposal, const double *rows, const double *weight, size_t n_rows)
{
    for (size_t i = 0; i < proposal->n; i++)
        for (size_t j = 0; j < proposal->n; j++) {
            double sum = i == j;
            for (size_t r = 0; r < n_rows && j <= i; r++)
                sum += weight[r] * rows[r * proposal->n + i] * rows[r * proposal->n + j];
            *entry(proposal, i, j) = j <= i ? sum : 0;
        }
    take_root(proposal);
}

/* L^T x = b */
static void solve_upper(const sb_proposal *p, double *b)
{
    for (size_t i = p->n; i-- > 0;) {
        for (size_t k = i + 1; k < p->n; k++)
            b[i] -= *entry(p, k, i) * b[k];
        b[i] /= *entry(p, i, i);
    }
}

void sb_proposal_solve(const sb_proposal *proposal, double *b)
{
    for (size_t i = 0; i < proposal->n; i++) {
        for (size_t k = 0; k < i; k++)
            b[i] -= *entry(proposal, i, k) * b[k];
        b[i] /= *entry(proposal, i, i);
    }
    solve_upper(proposal, b);
}

void sb_proposal_draw(const sb_proposal *proposal, double *z)
{
    solve_upper(proposal, z);
    for (size_t i = 0; i < proposal->n; i++)
        z[i] += proposal->mode[i];
}

double sb_proposal_log_density(const sb_proposal *proposal, const double *z)
{
    double sum = 0;
    for (size_t i = 0; i < proposal->n; i++) {
        double y = 0;
        for (size_t k = i; k < proposal->n; k++)
            y += *entry(proposal, k, i) * (z[k] - proposal->mode[k]);
        sum += y * y;
    }
    return proposal->log_det - sum / 2;
}
