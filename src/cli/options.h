/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What the user typed behind a command: options and files. */
#ifndef SEEDBREAK_CLI_OPTIONS_H
#define SEEDBREAK_CLI_OPTIONS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "seedbreak.h"

/** Options that only some commands take; the others are common to all. */
typedef enum cli_takes {
    CLI_TAKES_OUT = 1,
    CLI_TAKES_SEARCH = 2,         /**< --machine, --threads, --seed, --time-limit, --spread-weight,
                                       --spend-limit, --full-cleanouts */
    CLI_WANTS_PLAN = 4,           /**< takes --plan and does not work without */
    CLI_TAKES_RULE = 8,           /**< --by, --keep-order, --loss-per-grower, --fair */
    CLI_TAKES_BOARD = 16,         /**< --board, --checklist */
    CLI_TAKES_YEARS = 32,         /**< --years */
    CLI_TAKES_LOG = 64,           /**< a log may be among the files */
    CLI_WANTS_LOG = 128,          /**< takes --log, or a log among the files; cannot do without */
    CLI_TAKES_SAMPLES = 256,      /**< --samples, --merge, --against, --threads, --seed,
                                       --time-limit */
    CLI_TAKES_PLAN = 512,         /**< takes --plan */
    CLI_TAKES_MACHINE = 1024,     /**< --machine, --threads, --seed, --time-limit */
    CLI_TAKES_THREADS = 2048,     /**< --threads, --seed and --time-limit without the rest */
    CLI_TAKES_COLUMNS = 4096,     /**< --plan and --by, each as often as wanted, at least one */
    CLI_TAKES_WHY = 8192,         /**< --why */
    CLI_LEARNS = 16384,           /**< --unlearned */
    CLI_TAKES_PATCHES = 32768,    /**< --patches */
    CLI_TAKES_EVERY_PLAN = 65536, /**< --every-plan */
    CLI_NO_JSON = 131072,         /**< no --json */
} cli_takes;

#define CLI_MOST_RIVALS 16
#define CLI_MOST_CAPS 64 /**< of --loss-per-grower NAME=MONEY */

/** A plan to be compared: one that a file holds, or one that a rule makes. */
typedef struct cli_column {
    const char *name; /**< the file's path, or the rule's name */
    const char *path; /**< NULL: by the rule */
    sb_order_by by;
} cli_column;

typedef struct cli_options {
    const char **files; /**< n_files names, borrowed from argv */
    size_t n_files;
    const char *travel_csv;
    const char *out_folder;
    const char *plan_path;
    const char *log_path;   /**< NULL: none */
    const char *from;       /**< of --from, or NULL */
    const sb_log *log;      /**< read by main; NULL: none. Borrowed */
    const char *keep_order; /**< path of the plan whose order to keep, or NULL */
    const char *machine;    /**< id, or NULL */
    sb_order_by by;         /**< never SB_BY_PLAN: that is keep_order's */
    double time_limit_s;
    uint64_t seed;
    int threads;
    size_t years;                         /**< of --years */
    sb_aim robust;                        /**< 0: not asked for */
    uint64_t first_sample, last_sample;   /**< of --samples; last 0: not given */
    bool part;                            /**< --samples A-B: a part of a study */
    const char *merge_folder;             /**< of parts to put together, or NULL */
    const char *against[CLI_MOST_RIVALS]; /**< n_against plans to compare with */
    size_t n_against;
    cli_column columns[CLI_MOST_RIVALS]; /**< n_columns, for CLI_TAKES_COLUMNS */
    size_t n_columns;
    bool compares;   /**< the command takes columns */
    const char *why; /**< a field's name or "all", NULL: not asked */
    double spread_weight;
    double spend_limit, full_limit;               /**< INFINITY: none */
    double loss_per_grower;                       /**< likewise */
    sb_grower_limit grower_limits[CLI_MOST_CAPS]; /**< n_grower_limits; names borrowed from argv */
    size_t n_grower_limits;
    bool unlearned; /**< findings of the log change no number */
    bool patches;   /**< try what may become of patches */
    bool every_plan, fair, board, checklist, quiet, json, help;
} cli_options;

/** Reads argv (argv[0] is the command's name; the rest may be reordered).
 * On a mistake says on stderr what was found and what was expected.
 * @param takes the cli_takes of this command, or-ed
 * @return false: a usage error */
bool cli_options_read(int argc, char **argv, unsigned takes, cli_options *options);

#endif
