/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How fast seasons are ordered: one row per season, each in a process of its own so that its peak
 * memory is its own. Run by hand; nothing here is asserted.
 *
 *     meson setup build-bench -Dbuildtype=release && ninja -C build-bench
 *     build-bench/tests/bench_order [--dates] [--weeds N] [--seeds N] [--limit S] SIZE... */
#define _GNU_SOURCE
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "bench_season.h"
#include "plan/plan.h"

static double now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static int run_one(const bench_options *options, double limit_s)
{
    sb_season *season = bench_season(options);
    sb_report *report = sb_report_new();
    sb_order_options how;
    sb_order_options_init(&how);
    how.time_limit_s = limit_s;
    sb_plan *plan = NULL;
    double begin = now_s();
    sb_status status = sb_order(season, &how, report, &plan);
    double seconds = now_s() - begin;
    struct rusage usage;
    getrusage(RUSAGE_SELF, &usage);
    if (status != SB_OK) {
        printf("%4d %5lu  %s\n", options->n_fields, (unsigned long)options->seed,
               sb_status_text(status));
    } else {
        double total = plan->cost.total, bound = fmax(plan->proof.bound, 0);
        printf("%4d %5lu %12.2f %12.2f %8.3f %% %8.2f %8.2f %11ld %7.0f  %s\n", options->n_fields,
               (unsigned long)options->seed, total, bound, 100 * (total - bound) / total, seconds,
               (double)usage.ru_utime.tv_sec + 1e-6 * (double)usage.ru_utime.tv_usec,
               plan->proof.labels, (double)usage.ru_maxrss / 1024,
               plan->proof.optimal ? "proven" : "open");
    }
    sb_plan_free(plan);
    sb_report_free(report);
    sb_season_free(season);
    return status == SB_OK ? 0 : 1;
}

int main(int argc, char **argv)
{
    bench_options options = {.n_weeds = 3};
    int seeds = 5;
    double limit_s = 600;
    printf("   n  seed         cost        bound        gap  seconds cpu secs      labels  MB "
           "peak\n");
    fflush(stdout);
    for (int a = 1; a < argc; a++) {
        if (strcmp(argv[a], "--dates") == 0) {
            options.dates = true;
        } else if (strcmp(argv[a], "--weeds") == 0 && a + 1 < argc) {
            options.n_weeds = atoi(argv[++a]);
        } else if (strcmp(argv[a], "--seeds") == 0 && a + 1 < argc) {
            seeds = atoi(argv[++a]);
        } else if (strcmp(argv[a], "--limit") == 0 && a + 1 < argc) {
            limit_s = atof(argv[++a]);
        } else {
            options.n_fields = atoi(argv[a]);
            if (options.n_fields < 1) {
                fprintf(stderr, "bench_order: not a size: '%s'\n", argv[a]);
                return 2;
            }
            for (options.seed = 1; options.seed <= (uint64_t)seeds; options.seed++) {
                pid_t child = fork();
                if (child == 0)
                    _exit(run_one(&options, limit_s) + (fflush(stdout) != 0));
                waitpid(child, NULL, 0);
            }
        }
    }
    return 0;
}
