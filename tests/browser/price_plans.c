/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Prices plans by the library, for comparison with the page:
 *
 *     price_plans FILE... <plans
 *
 * Each line of input is a plan in the numbers that page/wasm/by_hand.c takes, its routes counted
 * first; each line of output its travel, cleanout, spread, delay, total and rules broken. */
#include <stdio.h>
#include <stdlib.h>

#include "plan/plan.h"

static int next(void)
{
    int number;
    return scanf("%d", &number) == 1 ? number : (exit(3), 0);
}

static sb_plan *read_plan(const sb_season *season, int n_routes)
{
    sb_plan *plan = NULL;
    sb_status status = sb_plan_new(season, (size_t)n_routes, &plan);
    for (int r = 0; status == SB_OK && r < n_routes; r++) {
        int machine = next(), n_stops = next();
        status = sb_route_init(season, machine, (size_t)n_stops, &plan->routes[r]);
        plan->routes[r].final_cleanout = next();
        for (int i = 0; status == SB_OK && i < n_stops; i++) {
            plan->routes[r].stops[i].field = next();
            plan->routes[r].stops[i].cleanout = next();
        }
    }
    if (status != SB_OK || sb_plan_price(season, plan) != SB_OK)
        exit(4);
    return plan;
}

int main(int argc, char **argv)
{
    sb_report *report = sb_report_new();
    sb_season *season = NULL;
    if (argc < 2 || report == NULL ||
        sb_season_read((const char *const *)argv + 1, (size_t)argc - 1, NULL, report, &season) !=
            SB_OK)
        return 2;
    int n_routes;
    while (scanf("%d", &n_routes) == 1) {
        sb_plan *plan = read_plan(season, n_routes);
        size_t broken = 0;
        if (sb_plan_check(season, plan, SB_WARNING, NULL, &broken) != SB_OK)
            return 4;
        printf("%.17g %.17g %.17g %.17g %.17g %zu\n", plan->cost.travel, plan->cost.cleanout,
               plan->cost.spread, plan->cost.delay, plan->cost.total, broken);
        sb_plan_free(plan);
    }
    sb_season_free(season);
    sb_report_free(report);
    return 0;
}
