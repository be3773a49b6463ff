/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How fast seasons are ordered: one row per season, each in a process of its own so that its peak
 * memory is its own, and the median and the worst seed of each size. Run by hand; nothing here is
 * asserted. --without leaves out a part of the method (src/order/prove.h), to see what it earns.
 *
 *     meson setup build-bench -Dbuildtype=release && ninja -C build-bench
 *     build-bench/tests/bench_order [--dates] [--weeds N] [--seeds N] [--first SEED] [--limit S]
 *         [--without PART] SIZE...
 *     build-bench/tests/bench_order --search SIZE...     how many moves the annealing tries a
 * second
 */
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
#include "order/search.h"
#include "order/solve.h"

#define MOST_SEEDS 100

/* One season's row; handed from the process that measured it. */
typedef struct row {
    sb_status status;
    double cost, bound, seconds, cpu_s, peak_mb;
    long labels;
    bool proven;
} row;

static double now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static bool leave_out(sb_method *method, const char *part)
{
    if (strcmp(part, "rewards") == 0)
        method->root_rewards = false;
    else if (strcmp(part, "close-root") == 0)
        method->root_close = false;
    else if (strcmp(part, "memory") == 0)
        method->grow_memory = false;
    else if (strcmp(part, "absorb") == 0)
        method->absorb = false;
    else if (strcmp(part, "close") == 0)
        method->close = false;
    else if (strcmp(part, "look") == 0)
        method->look = false;
    else if (strcmp(part, "restarts") == 0)
        method->starts = 1;
    else
        return false;
    return true;
}

static row solve(const bench_options *options, const sb_method *method, double limit_s)
{
    sb_season *season = bench_season(options);
    sb_order_options how;
    sb_order_options_init(&how);
    how.time_limit_s = limit_s;
    sb_solve_options search = sb_solve_options_default();
    search.method = *method;
    sb_crew *crew = NULL;
    sb_problem problem = {0};
    sb_outcome outcome = {0};
    row result = {0};
    double begin = now_s();
    result.status = sb_crew_new(&how, &crew);
    if (result.status == SB_OK)
        result.status = sb_problem_init(&problem, season, 0);
    if (result.status == SB_OK)
        result.status = sb_outcome_init(&outcome, &problem);
    if (result.status == SB_OK)
        result.status = sb_solve(&problem, crew, &search, &outcome);
    result.seconds = now_s() - begin;
    result.cost = outcome.cost;
    result.bound = fmin(fmax(outcome.bound, 0), outcome.cost);
    result.labels = outcome.labels;
    result.proven = outcome.closed;
    struct rusage usage;
    getrusage(RUSAGE_SELF, &usage);
    result.cpu_s = (double)usage.ru_utime.tv_sec + 1e-6 * (double)usage.ru_utime.tv_usec;
    result.peak_mb = (double)usage.ru_maxrss / 1024;
    sb_outcome_release(&outcome);
    sb_problem_release(&problem);
    sb_crew_free(crew);
    sb_season_free(season);
    return result;
}

/* In a process of its own. A process that died leaves SB_ERR_INTERNAL. */
static row solve_apart(const bench_options *options, const sb_method *method, double limit_s)
{
    row result = {.status = SB_ERR_INTERNAL};
    int ends[2];
    if (pipe(ends) != 0)
        return result;
    pid_t child = fork();
    if (child == 0) {
        row made = solve(options, method, limit_s);
        _exit(write(ends[1], &made, sizeof made) != sizeof made);
    }
    close(ends[1]);
    row read_back;
    if (child > 0 && read(ends[0], &read_back, sizeof read_back) == sizeof read_back)
        result = read_back;
    close(ends[0]);
    if (child > 0)
        waitpid(child, NULL, 0);
    return result;
}

static double gap_percent(const row *r)
{
    return r->cost > 0 && isfinite(r->cost) ? 100 * (r->cost - r->bound) / r->cost : 100;
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void print_summary(int n, const row *rows, int count)
{
    double seconds[MOST_SEEDS], gap[MOST_SEEDS];
    int proven = 0;
    for (int i = 0; i < count; i++) {
        seconds[i] = rows[i].seconds;
        gap[i] = gap_percent(&rows[i]);
        proven += rows[i].proven;
    }
    qsort(seconds, (size_t)count, sizeof *seconds, compare);
    qsort(gap, (size_t)count, sizeof *gap, compare);
    printf("%4d  of %d: %d proven; median %.2f s, gap %.3f %%; worst %.2f s, gap %.3f %%\n", n,
           count, proven, (seconds[(count - 1) / 2] + seconds[count / 2]) / 2,
           (gap[(count - 1) / 2] + gap[count / 2]) / 2, seconds[count - 1], gap[count - 1]);
}

static void measure_size(bench_options *options, const sb_method *method, int first, int seeds,
                         double limit_s)
{
    row rows[MOST_SEEDS];
    int count = 0;
    for (int s = 0; s < seeds; s++) {
        options->seed = (uint64_t)(first + s);
        row r = solve_apart(options, method, limit_s);
        if (r.status != SB_OK) {
            printf("%4d %5lu  %s\n", options->n_fields, (unsigned long)options->seed,
                   sb_status_text(r.status));
            continue;
        }
        printf("%4d %5lu %12.2f %12.2f %8.3f %% %8.2f %8.2f %11ld %7.0f  %s\n", options->n_fields,
               (unsigned long)options->seed, r.cost, r.bound, gap_percent(&r), r.seconds, r.cpu_s,
               r.labels, r.peak_mb, r.proven ? "proven" : "open");
        fflush(stdout);
        rows[count++] = r;
    }
    if (count > 0)
        print_summary(options->n_fields, rows, count);
    fflush(stdout);
}

/* The annealing alone, eight starts shared by all threads. What it draws and may not do counts as
 * tried, as in the method itself; so do the levels that a move chooses anew. */
static void search(const bench_options *options)
{
    sb_season *season = bench_season(options);
    sb_order_options how;
    sb_order_options_init(&how);
    sb_crew *crew;
    sb_problem problem;
    sb_outcome outcome;
    if (sb_crew_new(&how, &crew) != SB_OK || sb_problem_init(&problem, season, 0) != SB_OK ||
        sb_outcome_init(&outcome, &problem) != SB_OK)
        abort();
    sb_search_options search = {.seed = 1, .starts = 8, .moves = 1000000, .heat = 1};
    double begin = now_s(), cpu_begin = (double)clock() / CLOCKS_PER_SEC;
    if (sb_search(&problem, &search, crew, outcome.field, outcome.level, &outcome.cost) != SB_OK)
        abort();
    double seconds = now_s() - begin, cpu_s = (double)clock() / CLOCKS_PER_SEC - cpu_begin;
    double millions = 1e-6 * (double)search.starts * (double)search.moves;
    printf("%4d fields, %d numbers a load: %.2f million moves a second, %.2f a CPU second\n",
           problem.n, problem.dims, millions / seconds, millions / cpu_s);
    fflush(stdout);
    sb_outcome_release(&outcome);
    sb_problem_release(&problem);
    sb_crew_free(crew);
    sb_season_free(season);
}

int main(int argc, char **argv)
{
    bench_options options = {.n_weeds = 3};
    sb_method method = sb_method_default;
    int first = 1, seeds = 5;
    double limit_s = 600;
    if (argc > 1 && strcmp(argv[1], "--search") == 0) {
        options.seed = 1;
        for (int a = 2; a < argc; a++)
            if ((options.n_fields = atoi(argv[a])) > 0)
                search(&options);
        return 0;
    }
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
        } else if (strcmp(argv[a], "--first") == 0 && a + 1 < argc) {
            first = atoi(argv[++a]);
        } else if (strcmp(argv[a], "--limit") == 0 && a + 1 < argc) {
            limit_s = atof(argv[++a]);
        } else if (strcmp(argv[a], "--without") == 0 && a + 1 < argc) {
            if (!leave_out(&method, argv[++a])) {
                fprintf(stderr,
                        "bench_order: no part '%s', expected rewards, close-root, memory, absorb, "
                        "close or restarts\n",
                        argv[a]);
                return 2;
            }
        } else {
            options.n_fields = atoi(argv[a]);
            if (options.n_fields < 1 || seeds < 1 || seeds > MOST_SEEDS) {
                fprintf(stderr, "bench_order: not a size: '%s', or not 1 to %d seeds\n", argv[a],
                        MOST_SEEDS);
                return 2;
            }
            measure_size(&options, &method, first, seeds, limit_s);
        }
    }
    return 0;
}
