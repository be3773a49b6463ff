/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What each grower would pay alone, and the split of the plan's cost by Shapley's value. */
#include <math.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"
#include "settle/coalition.h"
#include "settle/shapley.h"

/* Up to so many growers every coalition is looked at; above, orders are drawn. */
#define MOST_EXACT 10
/* Coalitions looked at when orders are drawn, about; and orders in any case. */
#define SAMPLED_COALITIONS 1000
#define LEAST_ORDERS 20

typedef struct game {
    sb_settlement *settlement;
    sb_partials partials;
    double whole_cost; /* the plan's */
    int n;
    uint64_t all; /* the coalition of everybody */
} game;

static double cost(const void *context, uint64_t members)
{
    const game *g = context;
    if (members == 0)
        return 0;
    return members == g->all ? g->whole_cost : sb_partials_cost(&g->partials, members, NULL, NULL);
}

/* Calls `look` for every coalition that the split looks at, as often as it comes up. */
static sb_status each_coalition(game *g, uint64_t seed,
                                sb_status (*look)(game *g, uint64_t members))
{
    sb_status status = SB_OK;
    const sb_fair *fair = &g->settlement->fair;
    for (uint64_t members = 1; fair->exact && status == SB_OK && members < g->all; members++)
        status = look(g, members);
    for (long k = 0; !fair->exact && status == SB_OK && k < fair->orders; k++) {
        int order[SB_MAX_PLAYERS];
        uint64_t members = 0;
        sb_shapley_order(g->n, seed, k, order);
        for (int i = 0; i + 1 < g->n && status == SB_OK; i++)
            status = look(g, members |= UINT64_C(1) << order[i]);
    }
    return status;
}

static sb_status want(game *g, uint64_t members)
{
    return sb_partials_want(&g->partials, members);
}

static sb_status count(game *g, uint64_t members)
{
    sb_fair *fair = &g->settlement->fair;
    bool proven;
    double found = sb_partials_cost(&g->partials, members, NULL, &proven);
    fair->coalitions++;
    fair->proven += proven && isfinite(found);
    fair->known &= isfinite(found);
    return SB_OK;
}

static void find_alone(const game *g)
{
    for (int p = 0; p < g->n; p++) {
        sb_alone *alone = &g->settlement->alone[p];
        alone->cost =
            sb_partials_cost(&g->partials, UINT64_C(1) << p, &alone->machine, &alone->proven);
    }
}

/* The group whose members would save most by leaving the others. */
static void find_leaving(const game *g)
{
    sb_fair *fair = &g->settlement->fair;
    for (uint64_t members = 1; members < g->all; members++) {
        double pay = 0;
        for (int p = 0; p < g->n; p++)
            pay += members >> p & 1 ? fair->share[p] : 0;
        double saves = pay - cost(g, members);
        if (saves > fair->leaving_saves && saves > SB_LEAVING_SHARE * fabs(pay)) {
            fair->leaving = members;
            fair->leaving_saves = saves;
        }
    }
}

static sb_status split(const game *g, uint64_t seed)
{
    sb_fair *fair = &g->settlement->fair;
    if (!fair->exact) {
        sb_shapley_sampled(g->n, seed, fair->orders, cost, g, fair->share, fair->deviation);
        return SB_OK;
    }
    double *table = sb_alloc((size_t)g->all + 1, sizeof *table);
    if (table == NULL)
        return SB_ERR_NOMEM;
    for (uint64_t members = 0; members <= g->all; members++)
        table[members] = cost(g, members);
    sb_shapley(g->n, table, fair->share);
    find_leaving(g);
    sb_free(table);
    return SB_OK;
}

static void name_hopeless(const game *g, sb_report *report)
{
    for (size_t i = 0; i < g->partials.count; i++) {
        const sb_partial *partial = &g->partials.items[i];
        if (isfinite(cost(g, partial->members)) || partial->all)
            continue;
        sb_text names = {0};
        for (int p = 0; p < g->n; p++)
            if (partial->members >> p & 1)
                sb_text_addf(&names, "%s'%s'", names.count > 0 ? ", " : "",
                             g->settlement->parties[p].name);
        sb_say(report, SB_WARNING, NULL, 0,
               "no plan was found for the fields of %s alone: the cost cannot be split fairly",
               sb_text_get(&names));
        sb_text_release(&names);
        return; /* one is enough to see why */
    }
}

static sb_status play(game *g, const sb_order_options *options, sb_report *report)
{
    sb_fair *fair = &g->settlement->fair;
    sb_crew *crew = NULL;
    sb_status status = SB_OK;
    for (int p = 0; p < g->n && status == SB_OK; p++)
        status = want(g, UINT64_C(1) << p);
    if (status == SB_OK)
        status = each_coalition(g, options->seed, want);
    if (status == SB_OK)
        status = sb_crew_new(options, &crew);
    if (status == SB_OK)
        status = sb_partials_solve(&g->partials, crew, options->seed);
    if (status != SB_OK)
        goto out;
    for (size_t i = 0; i < g->partials.count; i++)
        fair->stopped |= g->partials.items[i].cut;
    fair->known = true;
    find_alone(g);
    status = each_coalition(g, options->seed, count);
    if (status == SB_OK && fair->known)
        status = split(g, options->seed);
    else if (status == SB_OK)
        name_hopeless(g, report);
out:
    sb_crew_free(crew);
    return status;
}

sb_status sb_settle_fair(const sb_season *season, const sb_plan *plan,
                         const sb_order_options *options, sb_report *report,
                         sb_settlement *settlement)
{
    size_t n = settlement->n_parties;
    sb_fair *fair = &settlement->fair;
    fair->share = sb_alloc(n, sizeof *fair->share);
    fair->deviation = sb_alloc(n, sizeof *fair->deviation);
    settlement->alone = sb_alloc(n, sizeof *settlement->alone);
    if (fair->share == NULL || fair->deviation == NULL || settlement->alone == NULL)
        return SB_ERR_NOMEM;
    for (size_t p = 0; p < n; p++)
        settlement->alone[p] = (sb_alone){.cost = INFINITY, .machine = -1};
    if (n > SB_MAX_PLAYERS) {
        sb_say(report, SB_WARNING, NULL, 0,
               "%zu growers, expected at most %d: the cost is not split fairly", n, SB_MAX_PLAYERS);
        return SB_OK;
    }
    game g = {.settlement = settlement, .whole_cost = plan->cost.total, .n = (int)n};
    g.all = n == SB_MAX_PLAYERS ? UINT64_MAX : (UINT64_C(1) << n) - 1;
    fair->exact = n <= MOST_EXACT;
    if (!fair->exact)
        fair->orders = (long)fmax(LEAST_ORDERS, SAMPLED_COALITIONS / (double)n / 2 * 2);
    fair->orders -= fair->orders % 2;
    sb_status status = sb_partials_init(&g.partials, season, plan, settlement);
    if (status == SB_OK)
        status = play(&g, options, report);
    sb_partials_release(&g.partials);
    return status;
}
