/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The public door of src/settle: from a plan to who owes whom. */
#include "settle/settle.h"

#include <math.h>

#include "base/mem.h"
#include "base/report.h"
#include "settle/parts.h"

static void release_exchange(sb_exchange *exchange)
{
    sb_free(exchange->seeds);
    sb_free(exchange->loss);
    sb_free(exchange->bears);
}

void sb_settlement_free(sb_settlement *settlement)
{
    if (settlement == NULL)
        return;
    for (size_t p = 0; p < settlement->n_parties; p++)
        sb_free(settlement->parties[p].name);
    sb_free(settlement->parties);
    sb_free(settlement->party_of);
    for (int s = 0; s < SB_N_SCHEMES; s++)
        release_exchange(&settlement->schemes[s]);
    sb_free(settlement->alone);
    sb_free(settlement->fair.share);
    sb_free(settlement->fair.deviation);
    for (size_t b = 0; b < settlement->n_bills; b++)
        sb_free(settlement->bills[b].pays);
    sb_free(settlement->bills);
    sb_free(settlement->cleaning);
    sb_free(settlement);
}

double sb_settlement_alternative(const sb_settlement *settlement, size_t party)
{
    const sb_exchange *cleanest = &settlement->schemes[SB_SCHEME_CLEANEST_FIRST];
    double together = cleanest->known ? cleanest->bears[party] : INFINITY;
    return fmin(settlement->alone[party].cost, together);
}

double sb_exchange_loss(const sb_settlement *settlement, sb_scheme scheme, size_t giver,
                        size_t taker, int weed)
{
    const double *loss = settlement->schemes[scheme].loss;
    size_t first = (giver * settlement->n_parties + taker) * settlement->n_weeds;
    double sum = 0;
    for (size_t w = 0; w < settlement->n_weeds; w++)
        sum += weed < 0 || weed == (int)w ? loss[first + w] : 0;
    return sum;
}

/* A rival that can keep no rules is not there to compare with: said, and left out. */
static sb_status settle_rival(const sb_season *season, const sb_plan *plan, sb_order_by by,
                              const sb_order_options *options, sb_report *report,
                              sb_settlement *settlement, sb_scheme scheme)
{
    sb_plan *rival = NULL;
    sb_status status = sb_settle_rival(season, plan, by, options, &rival);
    if (status == SB_ERR_INFEASIBLE) {
        sb_say(report, SB_NOTE, NULL, 0,
               "no cleanouts let the %s order keep every rule: it is left out",
               by == SB_BY_SHORTEST_ROAD ? "shortest-road" : "cleanest-first");
        return SB_OK;
    }
    if (status == SB_OK)
        status = sb_settle_exchange(season, rival, settlement, &settlement->schemes[scheme]);
    sb_plan_free(rival);
    return status;
}

static sb_status settle(const sb_season *season, const sb_plan *plan,
                        const sb_order_options *options, sb_report *report,
                        sb_settlement *settlement)
{
    sb_status status = sb_settle_parties(season, settlement);
    if (status == SB_OK)
        status = sb_settle_exchange(season, plan, settlement, &settlement->schemes[SB_SCHEME_PLAN]);
    if (status == SB_OK)
        status = sb_settle_cleaning(season, plan, settlement);
    if (status == SB_OK)
        status = settle_rival(season, plan, SB_BY_SHORTEST_ROAD, options, report, settlement,
                              SB_SCHEME_SHORTEST_ROAD);
    if (status == SB_OK)
        status = settle_rival(season, plan, SB_BY_CLEANEST_FIRST, options, report, settlement,
                              SB_SCHEME_CLEANEST_FIRST);
    if (status == SB_OK)
        status = sb_settle_fair(season, plan, options, report, settlement);
    return status;
}

/* Is every field cut once, and is there a way for each move? */
static bool whole(const sb_season *season, const sb_plan *plan)
{
    size_t stops = 0;
    for (size_t r = 0; r < plan->n_routes; r++)
        stops += plan->routes[r].n_stops;
    return stops == season->n_fields && isfinite(plan->cost.total);
}

sb_status sb_settle(const sb_season *season, const sb_plan *plan, const sb_order_options *options,
                    sb_report *report, sb_settlement **settlement)
{
    if (settlement == NULL)
        return SB_ERR_ARG;
    *settlement = NULL;
    if (season == NULL || plan == NULL || options == NULL || season->n_fields == 0 ||
        plan->ledger.ground == NULL || !whole(season, plan) || !(options->time_limit_s > 0))
        return SB_ERR_ARG;
    sb_settlement *made = sb_alloc(1, sizeof *made);
    if (made == NULL)
        return SB_ERR_NOMEM;
    sb_status status = sb_report_settle(report, settle(season, plan, options, report, made));
    if (status == SB_OK)
        *settlement = made;
    else
        sb_settlement_free(made);
    return status;
}
