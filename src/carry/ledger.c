/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/mem.h"
#include "carry/carry.h"

sb_status sb_ledger_init(sb_ledger *ledger, const sb_season *season)
{
    size_t n = season->n_fields, n_weeds = season->setup.n_weeds;
    *ledger = (sb_ledger){.n_fields = n, .n_weeds = n_weeds};
    ledger->ground = sb_alloc((n + 1) * n * n_weeds, sizeof *ledger->ground);
    ledger->tank = sb_alloc((n + 1) * n * n_weeds, sizeof *ledger->tank);
    ledger->site = sb_alloc((n + 1) * n_weeds, sizeof *ledger->site);
    ledger->left = sb_alloc((n + 1) * n_weeds, sizeof *ledger->left);
    ledger->taken = sb_alloc((n + 1) * n_weeds, sizeof *ledger->taken);
    if (ledger->ground != NULL && ledger->tank != NULL && ledger->site != NULL &&
        ledger->left != NULL && ledger->taken != NULL)
        return SB_OK;
    sb_ledger_release(ledger);
    return SB_ERR_NOMEM;
}

void sb_ledger_release(sb_ledger *ledger)
{
    sb_free(ledger->ground);
    sb_free(ledger->tank);
    sb_free(ledger->site);
    sb_free(ledger->left);
    sb_free(ledger->taken);
    *ledger = (sb_ledger){0};
}

double sb_ledger_brought(const sb_ledger *ledger, int field, int weed)
{
    double seeds = 0;
    for (size_t origin = 0; origin <= ledger->n_fields; origin++)
        seeds += ledger->ground[(origin * ledger->n_fields + (size_t)field) * ledger->n_weeds +
                                (size_t)weed];
    return seeds;
}
