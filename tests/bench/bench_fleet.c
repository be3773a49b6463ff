/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Orders invented seasons for several machines and prints what it took.
 *
 *     bench_fleet [--dates] [--weeds N] [--first SEED] [--seeds N] [--limit S] [--cpu-limit S]
 *                 [--verbose] SIZExMACHINES...
 *     bench_fleet --search SIZExMACHINES...    CPU seconds of the local search alone, by size
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

#include "machines.h"
#include "order/fleet_search.h"
#include "plan/plan.h"

static double cpu_s(void)
{
    struct rusage use;
    getrusage(RUSAGE_SELF, &use);
    return (double)use.ru_utime.tv_sec + 1e-6 * (double)use.ru_utime.tv_usec;
}

static double peak_mb(void)
{
    struct rusage use;
    getrusage(RUSAGE_SELF, &use);
    return (double)use.ru_maxrss / 1024;
}

typedef struct bench {
    bench_options options;
    int machines;
    double limit_s, cpu_limit_s; /* of one season */
    double cpu_begin_s;
    bool search_only, verbose;
} bench;

static void trace(const sb_progress *now, void *context)
{
    const bench *b = context;
    if (b->verbose)
        fprintf(stderr, "%8.2f CPU s  cost %.2f  bound %.2f  gap %.3f %%\n",
                cpu_s() - b->cpu_begin_s, now->cost, now->bound,
                100 * (now->cost - now->bound) / now->cost);
}

static bool spent(void *context)
{
    const bench *b = context;
    return cpu_s() - b->cpu_begin_s > b->cpu_limit_s;
}

static void order(bench *b)
{
    sb_season *season = support_fleet_season(&b->options, b->machines);
    sb_order_options options;
    sb_order_options_init(&options);
    options.time_limit_s = b->limit_s;
    options.progress = trace;
    options.stop = spent;
    options.context = b;
    sb_report *report = sb_report_new();
    sb_plan *plan = NULL;
    b->cpu_begin_s = cpu_s();
    sb_status status = sb_order(season, &options, report, &plan);
    if (status == SB_OK) {
        double cost = plan->cost.total, bound = plan->proof.bound;
        printf("%4dx%-2d %5lu %12.2f %12.2f %8.3f %% %8.1f %8.1f %7.0f  %s; %s\n",
               b->options.n_fields, b->machines, (unsigned long)b->options.seed, cost, bound,
               100 * (cost - bound) / cost, plan->proof.seconds, cpu_s() - b->cpu_begin_s,
               peak_mb(), plan->proof.optimal ? "proven" : "open", plan->proof.method);
    } else {
        printf("%4dx%-2d %5lu %s\n", b->options.n_fields, b->machines,
               (unsigned long)b->options.seed, sb_status_text(status));
        for (size_t i = 0; i < sb_report_count(report); i++)
            printf("    %s\n", sb_report_get(report, i).text);
    }
    fflush(stdout);
    sb_plan_free(plan);
    sb_report_free(report);
    sb_season_free(season);
}

/* One start of the local search, on one thread: the growth of its cost with the number of fields.
 */
static void search(bench *b)
{
    sb_season *season = support_fleet_season(&b->options, b->machines);
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    sb_crew *crew;
    sb_fleet fleet;
    sb_routes routes;
    if (sb_crew_new(&options, &crew) != SB_OK || sb_fleet_init(&fleet, season) != SB_OK ||
        sb_routes_init(&routes, &fleet) != SB_OK)
        abort();
    sb_fleet_search_options how = {
        .seed = b->options.seed, .starts = 1, .moves = sb_fleet_search_moves(fleet.n), .heat = 1};
    double begin = cpu_s();
    if (sb_fleet_search(&fleet, &how, crew, NULL, NULL, &routes) != SB_OK)
        abort();
    double seconds = cpu_s() - begin, n = fleet.n;
    printf("%4dx%-2d %5lu %12.2f %10ld %8.3f s %10.3f us a move %10.3f us / (n log2 n)\n", fleet.n,
           fleet.machines, (unsigned long)b->options.seed, routes.cost, how.moves, seconds,
           1e6 * seconds / (double)how.moves, 1e6 * seconds / (n * log2(n)));
    fflush(stdout);
    sb_routes_release(&routes);
    sb_fleet_release(&fleet);
    sb_crew_free(crew);
    sb_season_free(season);
}

int main(int argc, char **argv)
{
    bench b = {.options = {.n_weeds = 3}, .limit_s = 300, .cpu_limit_s = INFINITY};
    int first = 1, seeds = 1;
    for (int a = 1; a < argc; a++) {
        if (strcmp(argv[a], "--dates") == 0) {
            b.options.dates = true;
        } else if (strcmp(argv[a], "--search") == 0) {
            b.search_only = true;
        } else if (strcmp(argv[a], "--verbose") == 0) {
            b.verbose = true;
        } else if (strcmp(argv[a], "--weeds") == 0 && a + 1 < argc) {
            b.options.n_weeds = atoi(argv[++a]);
        } else if (strcmp(argv[a], "--first") == 0 && a + 1 < argc) {
            first = atoi(argv[++a]);
        } else if (strcmp(argv[a], "--seeds") == 0 && a + 1 < argc) {
            seeds = atoi(argv[++a]);
        } else if (strcmp(argv[a], "--limit") == 0 && a + 1 < argc) {
            b.limit_s = atof(argv[++a]);
        } else if (strcmp(argv[a], "--cpu-limit") == 0 && a + 1 < argc) {
            b.cpu_limit_s = atof(argv[++a]);
        } else if (sscanf(argv[a], "%dx%d", &b.options.n_fields, &b.machines) == 2 &&
                   b.options.n_fields > 0 && b.machines > 0) {
            for (int s = first; s < first + seeds; s++) {
                b.options.seed = (uint64_t)s;
                if (b.search_only)
                    search(&b);
                else
                    order(&b);
            }
        } else {
            fprintf(stderr, "bench_fleet: not a size like 40x3: '%s'\n", argv[a]);
            return 2;
        }
    }
    return 0;
}
