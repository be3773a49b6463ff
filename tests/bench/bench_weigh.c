/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a trade-off curve costs beside one order: a row per season, in CPU seconds of one thread.
 * Run by hand; nothing here is asserted.
 *
 *     meson setup build-bench -Dbuildtype=release && ninja -C build-bench
 *     build-bench/tests/bench_weigh [FIELDS [SEEDS]]
 */
#define _GNU_SOURCE
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "bench_season.h"
#include "seedbreak.h"

static double cpu_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static int proven(const sb_curve *curve)
{
    int count = 0;
    for (size_t i = 0; i < sb_curve_count(curve); i++)
        count += sb_curve_trade(curve, i).proven;
    for (size_t i = 0; i < sb_curve_full_count(curve); i++)
        count += sb_curve_full_trade(curve, i).proven;
    return count;
}

int main(int argc, char **argv)
{
    int fields = argc > 1 ? atoi(argv[1]) : 14, seeds = argc > 2 ? atoi(argv[2]) : 10;
    puts("fields seed  order s  weigh s  ratio  plans proven");
    for (int seed = 1; seed <= seeds; seed++) {
        bench_options options = {.n_fields = fields, .seed = (uint64_t)seed, .n_weeds = 3};
        sb_season *season = bench_season(&options);
        sb_order_options how;
        sb_order_options_init(&how);
        how.threads = 1;
        sb_plan *plan = NULL;
        sb_curve *curve = NULL;
        double begin = cpu_s();
        sb_status ordered = sb_order(season, &how, NULL, &plan);
        double order_s = cpu_s() - begin;
        begin = cpu_s();
        sb_status weighed = sb_weigh(season, &how, NULL, &curve);
        double weigh_s = cpu_s() - begin;
        if (ordered == SB_OK && weighed == SB_OK)
            printf("%6d %4d %8.3f %8.3f %6.2f %6zu %6d\n", fields, seed, order_s, weigh_s,
                   weigh_s / order_s, sb_curve_count(curve) + sb_curve_full_count(curve),
                   proven(curve));
        else
            printf("%6d %4d  no plan\n", fields, seed);
        sb_curve_free(curve);
        sb_plan_free(plan);
        sb_season_free(season);
    }
    return 0;
}
