/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who pays for each cleanout: those whose seeds it stops, in proportion to the loss it prevents.
 * The loss is found by pricing the plan once more without that cleanout; the ledgers' difference
 * says whose seeds would have fallen where. */
#include <math.h>

#include "base/mem.h"
#include "settle/parts.h"

/* Loss that a cleanout prevents, by the party whose seeds it stops; [n_parties]: by the start load.
 * No entry is negative: less cleaning leaves no fewer seeds anywhere. Returns the sum. */
static double prevented(const sb_season *season, const sb_settlement *settlement,
                        const sb_ledger *with, const sb_ledger *without, double *by_party)
{
    double sum = 0;
    for (size_t p = 0; p <= settlement->n_parties; p++)
        by_party[p] = 0;
    for (size_t from = 0; from <= with->n_fields; from++) {
        size_t party =
            from < with->n_fields ? (size_t)settlement->party_of[from] : settlement->n_parties;
        for (size_t to = 0; to < with->n_fields; to++)
            for (size_t w = 0; w < with->n_weeds; w++) {
                size_t at = (from * with->n_fields + to) * with->n_weeds + w;
                double loss = fmax(without->ground[at] - with->ground[at], 0) *
                              season->fields[to].loss_per_seed[w];
                by_party[party] += loss;
                sum += loss;
            }
    }
    return sum;
}

/* Divides money over the parties by what of their seeds is stopped; what was in the machine before
 * the season is everybody's, by hectares. */
static void charge_stopped(const sb_settlement *settlement, const double *by_party, double sum,
                           const double *hectares, double money, double *pays)
{
    double start = by_party[settlement->n_parties];
    for (size_t p = 0; p < settlement->n_parties; p++)
        pays[p] += money * (by_party[p] + start * hectares[p]) / sum;
}

static void charge(const sb_settlement *settlement, bool demanded, const double *by_party,
                   const double *hectares, sb_bill *bill)
{
    double by_seeds = demanded ? fmin(bill->cost, bill->prevents) : bill->cost;
    if (!(bill->prevents > 0))
        by_seeds = 0;
    bill->charge = demanded             ? SB_CHARGE_DEMANDED
                   : bill->prevents > 0 ? SB_CHARGE_STOPPED
                                        : SB_CHARGE_FIELD;
    if (by_seeds > 0)
        charge_stopped(settlement, by_party, bill->prevents, hectares, by_seeds, bill->pays);
    bill->pays[settlement->party_of[bill->field]] += bill->cost - by_seeds;
}

static size_t count_bills(const sb_plan *plan)
{
    size_t n = 0;
    for (size_t r = 0; r < plan->n_routes; r++) {
        const sb_route *route = &plan->routes[r];
        for (size_t i = 0; i < route->n_stops; i++)
            n += route->stops[i].cleanout > 0;
        n += route->n_stops > 0 && route->final_cleanout > 0;
    }
    return n;
}

/* The next bill, with its money and nobody to pay it yet; NULL: out of memory. */
static sb_bill *next_bill(const sb_season *season, sb_settlement *settlement, int machine,
                          int field, int cleanout)
{
    sb_bill *bill = &settlement->bills[settlement->n_bills];
    *bill = (sb_bill){.machine = machine,
                      .field = field,
                      .cleanout = cleanout,
                      .cost = sb_season_cleanout_cost(season, cleanout)};
    bill->pays = sb_alloc(settlement->n_parties, sizeof *bill->pays);
    settlement->n_bills += bill->pays != NULL;
    return bill->pays != NULL ? bill : NULL;
}

/* A plan being charged for. */
typedef struct biller {
    const sb_season *season;
    const sb_plan *plan;
    sb_plan *trial; /* a copy, in which one cleanout at a time is left out */
    sb_settlement *settlement;
    double *hectares; /* n_parties: shares of what the route at hand cuts */
    double *by_party; /* n_parties + 1 */
} biller;

/* The bill of the cleanout before one move. */
static sb_status bill_stop(biller *b, size_t r, size_t i)
{
    const sb_route *route = &b->plan->routes[r];
    sb_stop *trial = &b->trial->routes[r].stops[i];
    sb_bill *bill =
        next_bill(b->season, b->settlement, route->machine, trial->field, trial->cleanout);
    if (bill == NULL)
        return SB_ERR_NOMEM;
    trial->cleanout = 0;
    sb_status status = sb_plan_price(b->season, b->trial);
    trial->cleanout = bill->cleanout;
    if (status != SB_OK)
        return status;
    bill->prevents =
        prevented(b->season, b->settlement, &b->plan->ledger, &b->trial->ledger, b->by_party);
    charge(b->settlement, sb_route_demands(b->season, route, i), b->by_party, b->hectares, bill);
    return SB_OK;
}

static sb_status bill_route(biller *b, size_t r)
{
    const sb_route *route = &b->plan->routes[r];
    sb_status status = SB_OK;
    sb_settle_hectares(b->season, b->settlement, route, b->hectares);
    for (size_t i = 0; status == SB_OK && i < route->n_stops; i++)
        if (route->stops[i].cleanout > 0)
            status = bill_stop(b, r, i);
    if (status != SB_OK || route->n_stops == 0 || route->final_cleanout <= 0)
        return status;
    sb_bill *bill = next_bill(b->season, b->settlement, route->machine, -1, route->final_cleanout);
    if (bill == NULL)
        return SB_ERR_NOMEM;
    bill->charge = SB_CHARGE_FINAL;
    for (size_t p = 0; p < b->settlement->n_parties; p++)
        bill->pays[p] = bill->cost * b->hectares[p];
    return SB_OK;
}

sb_status sb_settle_cleaning(const sb_season *season, const sb_plan *plan,
                             sb_settlement *settlement)
{
    size_t n = settlement->n_parties;
    biller b = {.season = season, .plan = plan, .settlement = settlement};
    b.hectares = sb_alloc(n, sizeof *b.hectares);
    b.by_party = sb_alloc(n + 1, sizeof *b.by_party);
    settlement->bills = sb_alloc(count_bills(plan), sizeof *settlement->bills);
    settlement->cleaning = sb_alloc(n, sizeof *settlement->cleaning);
    sb_status status = SB_ERR_NOMEM;
    if (b.hectares == NULL || b.by_party == NULL || settlement->bills == NULL ||
        settlement->cleaning == NULL)
        goto out;
    status = sb_plan_copy(season, plan, &b.trial);
    for (size_t r = 0; status == SB_OK && r < plan->n_routes; r++)
        status = bill_route(&b, r);
    for (size_t i = 0; i < settlement->n_bills; i++)
        for (size_t p = 0; p < n; p++)
            settlement->cleaning[p] += settlement->bills[i].pays[p];
out:
    sb_plan_free(b.trial);
    sb_free(b.hectares);
    sb_free(b.by_party);
    return status;
}
