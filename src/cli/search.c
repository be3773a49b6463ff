/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "search.h"

#include <math.h>
#include <stdio.h>
#include <unistd.h>

#include "interrupt.h"
#include "messages.h"

#define PROGRESS_EVERY_S 0.2 /* quicker than this nobody reads it */

/* One line, drawn over and over. */
static void show_progress(const sb_progress *now, void *context)
{
    cli_search *line = context;
    if (!line->on_terminal || now->elapsed_s - line->shown_s < PROGRESS_EVERY_S)
        return;
    line->shown_s = now->elapsed_s;
    fprintf(stderr, "\r%7.1f s", now->elapsed_s);
    if (isfinite(now->cost))
        fprintf(stderr, "  cost %.0f", now->cost);
    if (isfinite(now->bound))
        fprintf(stderr, "  bound %.0f", now->bound);
    if (isfinite(now->cost) && isfinite(now->bound) && now->cost > 0)
        fprintf(stderr, "  gap %.2f %%", 100 * (now->cost - now->bound) / now->cost);
    if (now->done > 0)
        fprintf(stderr, "  %.0f %% done", 100 * now->done);
    fputs("\033[K", stderr);
    fflush(stderr);
}

static bool stop(void *context)
{
    (void)context;
    return cli_interrupted();
}

sb_order_options cli_search_options(const cli_options *options)
{
    sb_order_options how;
    sb_order_options_init(&how);
    how.machine = options->machine;
    how.time_limit_s = options->time_limit_s;
    how.seed = options->seed;
    how.threads = options->threads;
    how.spread_weight = options->spread_weight;
    how.spend_limit = options->spend_limit;
    how.full_limit = options->full_limit;
    how.loss_per_grower = options->loss_per_grower;
    how.grower_limits = options->grower_limits;
    how.n_grower_limits = options->n_grower_limits;
    how.least_worst = options->fair;
    how.every_plan = options->every_plan;
    how.stop = stop;
    cli_interrupt_catch();
    return how;
}

sb_order_options cli_search_begin(const cli_options *options, cli_search *search)
{
    *search = (cli_search){
        .on_terminal = !options->quiet && isatty(STDERR_FILENO),
        .shown_s = -INFINITY,
    };
    sb_order_options how = cli_search_options(options);
    how.progress = show_progress;
    how.context = search;
    return how;
}

void cli_search_end(const cli_search *search)
{
    if (search->on_terminal && isfinite(search->shown_s))
        fputs("\r\033[K", stderr);
}

void cli_note_machine(sb_status status, const sb_season *season, const cli_options *options)
{
    if (status == SB_ERR_INPUT && options->machine == NULL && sb_season_machine_count(season) > 1)
        cli_note("choose one machine with --machine ID (or its name)");
}
