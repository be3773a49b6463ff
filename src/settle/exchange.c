/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a plan means for the growers: the ledger by grower, and the money that falls on each. */
#include <math.h>

#include "base/mem.h"
#include "settle/parts.h"

/* Adds the ledger's field pairs to the growers' pairs. */
static void add_ledger(const sb_season *season, const sb_ledger *ledger,
                       const sb_settlement *settlement, sb_exchange *exchange)
{
    for (size_t from = 0; from <= ledger->n_fields; from++) {
        size_t giver =
            from < ledger->n_fields ? (size_t)settlement->party_of[from] : settlement->n_parties;
        for (size_t to = 0; to < ledger->n_fields; to++) {
            size_t taker = (size_t)settlement->party_of[to];
            for (size_t w = 0; w < ledger->n_weeds; w++) {
                double seeds = ledger->ground[(from * ledger->n_fields + to) * ledger->n_weeds + w];
                size_t at = (giver * settlement->n_parties + taker) * ledger->n_weeds + w;
                exchange->seeds[at] += seeds;
                exchange->loss[at] += seeds * season->fields[to].loss_per_seed[w];
            }
        }
    }
}

static void add_borne(const sb_season *season, const sb_settlement *settlement,
                      const sb_route *route, double *hectares, double *bears)
{
    if (route->n_stops == 0)
        return;
    for (size_t i = 0; i < route->n_stops; i++) {
        const sb_stop *stop = &route->stops[i];
        bears[settlement->party_of[stop->field]] +=
            sb_season_travel_cost(season, route->machine, stop->km) +
            sb_season_cleanout_cost(season, stop->cleanout) + stop->loss + stop->delay_cost;
    }
    double common = sb_season_travel_cost(season, route->machine, route->km_home);
    if (route->final_cleanout >= 0)
        common += sb_season_cleanout_cost(season, route->final_cleanout);
    sb_settle_hectares(season, settlement, route, hectares);
    for (size_t p = 0; p < settlement->n_parties; p++)
        if (hectares[p] > 0)
            bears[p] += common * hectares[p];
}

sb_status sb_settle_exchange(const sb_season *season, const sb_plan *plan,
                             const sb_settlement *settlement, sb_exchange *exchange)
{
    size_t n = settlement->n_parties, pairs = (n + 1) * n * settlement->n_weeds;
    double *hectares = sb_alloc(n, sizeof *hectares);
    exchange->cost = plan->cost;
    exchange->seeds = sb_alloc(pairs, sizeof *exchange->seeds);
    exchange->loss = sb_alloc(pairs, sizeof *exchange->loss);
    exchange->bears = sb_alloc(n, sizeof *exchange->bears);
    if (hectares == NULL || exchange->seeds == NULL || exchange->loss == NULL ||
        exchange->bears == NULL) {
        sb_free(hectares);
        return SB_ERR_NOMEM;
    }
    add_ledger(season, &plan->ledger, settlement, exchange);
    for (size_t r = 0; r < plan->n_routes; r++)
        add_borne(season, settlement, &plan->routes[r], hectares, exchange->bears);
    exchange->known = true;
    sb_free(hectares);
    return SB_OK;
}
