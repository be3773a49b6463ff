/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE
#include "options.h"

#include <ctype.h>
#include <errno.h>
#include <getopt.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "messages.h"

#define MOST_THREADS 1024
#define MOST_CLEANOUTS 100000
#define LEAST_WEIGHT 0.001
#define MOST_WEIGHT 1000

/* Values of the long options: above every character, so that optopt tells them apart. */
enum {
    OPTION_AGAINST = 256,
    OPTION_BOARD,
    OPTION_CHECKLIST,
    OPTION_BY,
    OPTION_EVERY_PLAN,
    OPTION_FAIR,
    OPTION_FROM,
    OPTION_FULL_CLEANOUTS,
    OPTION_HELP,
    OPTION_JSON,
    OPTION_KEEP_ORDER,
    OPTION_LOG,
    OPTION_LOSS_PER_GROWER,
    OPTION_MACHINE,
    OPTION_MERGE,
    OPTION_OUT,
    OPTION_PATCHES,
    OPTION_PLAN,
    OPTION_QUIET,
    OPTION_ROBUST,
    OPTION_SAMPLES,
    OPTION_SEED,
    OPTION_SPEND_LIMIT,
    OPTION_SPREAD_WEIGHT,
    OPTION_THREADS,
    OPTION_TIME_LIMIT,
    OPTION_TRAVEL,
    OPTION_UNLEARNED,
    OPTION_YEARS,
    OPTION_WHY,
};

static const struct option LONG_OPTIONS[] = {
    {"against", required_argument, NULL, OPTION_AGAINST},
    {"board", no_argument, NULL, OPTION_BOARD},
    {"checklist", no_argument, NULL, OPTION_CHECKLIST},
    {"by", required_argument, NULL, OPTION_BY},
    {"every-plan", no_argument, NULL, OPTION_EVERY_PLAN},
    {"fair", no_argument, NULL, OPTION_FAIR},
    {"from", required_argument, NULL, OPTION_FROM},
    {"full-cleanouts", required_argument, NULL, OPTION_FULL_CLEANOUTS},
    {"help", no_argument, NULL, OPTION_HELP},
    {"json", no_argument, NULL, OPTION_JSON},
    {"keep-order", required_argument, NULL, OPTION_KEEP_ORDER},
    {"log", required_argument, NULL, OPTION_LOG},
    {"loss-per-grower", required_argument, NULL, OPTION_LOSS_PER_GROWER},
    {"machine", required_argument, NULL, OPTION_MACHINE},
    {"merge", required_argument, NULL, OPTION_MERGE},
    {"out", required_argument, NULL, OPTION_OUT},
    {"patches", no_argument, NULL, OPTION_PATCHES},
    {"plan", required_argument, NULL, OPTION_PLAN},
    {"quiet", no_argument, NULL, OPTION_QUIET},
    {"robust", required_argument, NULL, OPTION_ROBUST},
    {"samples", required_argument, NULL, OPTION_SAMPLES},
    {"seed", required_argument, NULL, OPTION_SEED},
    {"spend-limit", required_argument, NULL, OPTION_SPEND_LIMIT},
    {"spread-weight", required_argument, NULL, OPTION_SPREAD_WEIGHT},
    {"threads", required_argument, NULL, OPTION_THREADS},
    {"time-limit", required_argument, NULL, OPTION_TIME_LIMIT},
    {"travel", required_argument, NULL, OPTION_TRAVEL},
    {"unlearned", no_argument, NULL, OPTION_UNLEARNED},
    {"years", required_argument, NULL, OPTION_YEARS},
    {"why", required_argument, NULL, OPTION_WHY},
    {NULL, 0, NULL, 0},
};

/* The whole text as a number: "60s" once read as 60 is a wrong answer nobody notices. */
static bool read_number(const char *text, double *value)
{
    if (*text == '\0' || strspn(text, "0123456789.eE+-") != strlen(text))
        return false;
    char *end;
    *value = strtod(text, &end);
    return *end == '\0' && isfinite(*value);
}

static bool read_whole_number(const char *text, uint64_t most, uint64_t *value)
{
    if (*text == '\0' || strspn(text, "0123456789") != strlen(text))
        return false;
    errno = 0;
    unsigned long long number = strtoull(text, NULL, 10);
    if (errno != 0 || number > most)
        return false;
    *value = number;
    return true;
}

static bool bad_value(const char *option, const char *found, const char *expected)
{
    cli_error("bad %s '%s', expected %s", option, found, expected);
    return false;
}

static bool read_by(const char *text, sb_order_by *by)
{
    static const char *const NAMES[] = {
        [SB_BY_COST] = "cost",
        [SB_BY_SHORTEST_ROAD] = "shortest-road",
        [SB_BY_CLEANEST_FIRST] = "cleanest-first",
    };
    for (size_t i = 0; i < sizeof NAMES / sizeof NAMES[0]; i++)
        if (strcmp(text, NAMES[i]) == 0) {
            *by = (sb_order_by)i;
            return true;
        }
    return bad_value("--by", text, "cost, shortest-road or cleanest-first");
}

/* "N": samples 1 to N; "A-B": those, a part of a study. */
static bool read_samples(const char *text, cli_options *options)
{
    char first[24];
    const char *dash = strchr(text, '-');
    size_t length = dash != NULL ? (size_t)(dash - text) : 0;
    bool good = length < sizeof first;
    if (good && dash != NULL) {
        memcpy(first, text, length);
        first[length] = '\0';
        options->part = true;
        good = read_whole_number(first, SB_DOUBT_MOST_SAMPLES, &options->first_sample) &&
               options->first_sample > 0;
    }
    const char *last = dash != NULL ? dash + 1 : text;
    good = good && read_whole_number(last, SB_DOUBT_MOST_SAMPLES, &options->last_sample) &&
           options->last_sample >= options->first_sample && options->last_sample > 0;
    return good ||
           bad_value("--samples", text, "how many, or the first and last number as in 1-2500");
}

static bool read_aim(const char *text, sb_aim *aim)
{
    if (strcmp(text, "mean") == 0)
        *aim = SB_AIM_MEAN;
    else if (strcmp(text, "worst20") == 0)
        *aim = SB_AIM_WORST_FIFTH;
    else
        return bad_value("--robust", text, "mean or worst20");
    return true;
}

static bool add_rival(const char *text, cli_options *options)
{
    if (options->n_against == CLI_MOST_RIVALS) {
        cli_error("'--against' given more than %d times", CLI_MOST_RIVALS);
        return false;
    }
    options->against[options->n_against++] = text;
    return true;
}

static bool add_column(const char *text, bool by, cli_options *options)
{
    cli_column column = {.name = text, .path = by ? NULL : text};
    if (by && !read_by(text, &column.by))
        return false;
    if (options->n_columns == CLI_MOST_RIVALS) {
        cli_error("more than %d plans to compare", CLI_MOST_RIVALS);
        return false;
    }
    options->columns[options->n_columns++] = column;
    return true;
}

/* "MONEY" for every grower, "NAME=MONEY" for one. */
static bool read_growers_loss(char *text, cli_options *options)
{
    char *sign = strrchr(text, '=');
    double loss;
    if (!read_number(sign != NULL ? sign + 1 : text, &loss) || loss < 0 || sign == text)
        return bad_value("--loss-per-grower", text, "money, 0 or more, or NAME=MONEY");
    if (sign == NULL) {
        options->loss_per_grower = loss;
        return true;
    }
    if (options->n_grower_limits == CLI_MOST_CAPS) {
        cli_error("'--loss-per-grower NAME=MONEY' given more than %d times", CLI_MOST_CAPS);
        return false;
    }
    *sign = '\0';
    options->grower_limits[options->n_grower_limits++] = (sb_grower_limit){text, loss};
    return true;
}

static bool read_value(int option, char *text, cli_options *options)
{
    uint64_t number;
    switch (option) {
    case OPTION_AGAINST:
        return add_rival(text, options);
    case OPTION_MERGE:
        options->merge_folder = text;
        return *text != '\0' || bad_value("--merge", text, "a folder");
    case OPTION_ROBUST:
        return read_aim(text, &options->robust);
    case OPTION_SAMPLES:
        return read_samples(text, options);
    case OPTION_BY:
        return options->compares ? add_column(text, true, options) : read_by(text, &options->by);
    case OPTION_KEEP_ORDER:
        options->keep_order = text;
        return true;
    case OPTION_FROM:
        options->from = text;
        return true;
    case OPTION_LOG:
        options->log_path = text;
        return true;
    case OPTION_MACHINE:
        options->machine = text;
        return true;
    case OPTION_OUT:
        options->out_folder = text;
        return *text != '\0' || bad_value("--out", text, "a folder");
    case OPTION_PLAN:
        options->plan_path = text;
        return !options->compares || add_column(text, false, options);
    case OPTION_WHY:
        options->why = text;
        return true;
    case OPTION_TRAVEL:
        options->travel_csv = text;
        return true;
    case OPTION_SEED:
        return read_whole_number(text, UINT64_MAX, &options->seed) ||
               bad_value("--seed", text, "a whole number, 0 to 18446744073709551615");
    case OPTION_THREADS:
        if (!read_whole_number(text, MOST_THREADS, &number))
            return bad_value("--threads", text, "a whole number, 0 (one per core) to 1024");
        options->threads = (int)number;
        return true;
    case OPTION_FULL_CLEANOUTS:
        if (!read_whole_number(text, MOST_CLEANOUTS, &number))
            return bad_value("--full-cleanouts", text, "a whole number, 0 to 100000");
        options->full_limit = (double)number;
        return true;
    case OPTION_SPEND_LIMIT:
        return (read_number(text, &options->spend_limit) && options->spend_limit >= 0) ||
               bad_value("--spend-limit", text, "money, 0 or more");
    case OPTION_LOSS_PER_GROWER:
        return read_growers_loss(text, options);
    case OPTION_SPREAD_WEIGHT:
        return (read_number(text, &options->spread_weight) &&
                options->spread_weight >= LEAST_WEIGHT && options->spread_weight <= MOST_WEIGHT) ||
               bad_value("--spread-weight", text, "a number from 0.001 to 1000");
    case OPTION_YEARS:
        if (!read_whole_number(text, SB_MOST_YEARS, &number) || number == 0)
            return bad_value("--years", text, "a whole number, 1 to 50");
        options->years = (size_t)number;
        return true;
    case OPTION_TIME_LIMIT:
        return (read_number(text, &options->time_limit_s) && options->time_limit_s > 0) ||
               bad_value("--time-limit", text, "seconds, more than 0");
    default:
        return false;
    }
}

static bool taken(int option, unsigned takes)
{
    switch (option) {
    case OPTION_OUT:
        return takes & CLI_TAKES_OUT;
    case OPTION_BOARD:
    case OPTION_CHECKLIST:
        return takes & CLI_TAKES_BOARD;
    case OPTION_PLAN:
        return takes & (CLI_WANTS_PLAN | CLI_TAKES_PLAN | CLI_TAKES_COLUMNS);
    case OPTION_WHY:
        return takes & CLI_TAKES_WHY;
    case OPTION_FROM:
    case OPTION_LOG:
        return takes & CLI_WANTS_LOG;
    case OPTION_BY:
        return takes & (CLI_TAKES_RULE | CLI_TAKES_COLUMNS);
    case OPTION_EVERY_PLAN:
        return takes & CLI_TAKES_EVERY_PLAN;
    case OPTION_FAIR:
    case OPTION_KEEP_ORDER:
    case OPTION_LOSS_PER_GROWER:
    case OPTION_ROBUST:
        return takes & CLI_TAKES_RULE;
    case OPTION_FULL_CLEANOUTS:
    case OPTION_SPEND_LIMIT:
    case OPTION_SPREAD_WEIGHT:
        return takes & CLI_TAKES_SEARCH;
    case OPTION_JSON:
        return !(takes & CLI_NO_JSON);
    case OPTION_SEED:
    case OPTION_THREADS:
    case OPTION_TIME_LIMIT:
        return takes &
               (CLI_TAKES_SEARCH | CLI_TAKES_SAMPLES | CLI_TAKES_MACHINE | CLI_TAKES_THREADS);
    case OPTION_MACHINE:
        return takes & (CLI_TAKES_SEARCH | CLI_TAKES_MACHINE);
    case OPTION_PATCHES:
        return takes & CLI_TAKES_PATCHES;
    case OPTION_UNLEARNED:
        return takes & CLI_LEARNS;
    case OPTION_YEARS:
        return takes & CLI_TAKES_YEARS;
    case OPTION_AGAINST:
    case OPTION_MERGE:
        return takes & CLI_TAKES_SAMPLES;
    case OPTION_SAMPLES:
        return takes & (CLI_TAKES_RULE | CLI_TAKES_SAMPLES);
    default:
        return true;
    }
}

/* Letters that two names share from their beginning on, dashes and case aside. */
static size_t shared_beginning(const char *a, const char *b)
{
    size_t shared = 0;
    for (;; a++, b++, shared++) {
        a += strspn(a, "-_");
        b += strspn(b, "-_");
        if (*a == '\0' || tolower((unsigned char)*a) != tolower((unsigned char)*b))
            return shared;
    }
}

/* The option of this command that begins most like a word, or NULL: two letters are a beginning. */
static const char *option_meant(const char *word, unsigned takes)
{
    const char *meant = NULL;
    size_t most = 1;
    for (const struct option *o = LONG_OPTIONS; o->name != NULL; o++)
        if (taken(o->val, takes) && shared_beginning(word, o->name) > most) {
            most = shared_beginning(word, o->name);
            meant = o->name;
        }
    return meant;
}

static void say_unknown(const char *word, unsigned takes)
{
    const char *meant = option_meant(word, takes);
    if (meant != NULL)
        cli_error("unknown option '%s': did you mean '--%s'", word, meant);
    else
        cli_error("unknown option '%s'", word);
}

/* getopt_long answered '?' or ':': says why. */
static void say_mistake(int answer, char **argv, unsigned takes)
{
    const char *word = argv[optind - 1];
    if (answer == ':')
        cli_error("option '%s' wants a value", word);
    else if (optopt > 255)
        cli_error("option '%s' takes no value", word);
    else if (optopt != 0)
        cli_error("unknown option '-%c'", optopt);
    else
        say_unknown(word, takes);
}

static const char *long_name(int option)
{
    for (const struct option *o = LONG_OPTIONS; o->name != NULL; o++)
        if (o->val == option)
            return o->name;
    return "";
}

static bool complete(const char *command, unsigned takes, const cli_options *options)
{
    if (options->n_files == 0)
        cli_error("'%s' wants at least one field, scouting or season file", command);
    else if ((takes & CLI_WANTS_PLAN) && options->plan_path == NULL)
        cli_error("'%s' wants --plan PLAN.json", command);
    else if ((takes & CLI_TAKES_COLUMNS) && options->n_columns == 0)
        cli_error("'%s' wants --plan PLAN.json or --by RULE", command);
    else if (options->n_columns > 1 && (options->out_folder != NULL || options->board ||
                                        options->checklist || options->why != NULL))
        cli_error("--out, --board, --checklist and --why go with one plan, not with several to "
                  "compare");
    else if (options->json + options->board + options->checklist + (options->why != NULL) > 1)
        cli_error("--json, --board, --checklist and --why exclude each other");
    else if (options->keep_order != NULL && options->by != SB_BY_COST)
        cli_error("--keep-order and --by exclude each other");
    else if (options->robust != 0 && (options->keep_order != NULL || options->by != SB_BY_COST ||
                                      options->spread_weight != 1))
        cli_error("--robust goes with none of --keep-order, --by and --spread-weight");
    else if ((options->fair || isfinite(options->loss_per_grower) ||
              options->n_grower_limits > 0) &&
             (options->keep_order != NULL || options->by != SB_BY_COST || options->robust != 0))
        cli_error("--fair and --loss-per-grower go with none of --keep-order, --by and --robust");
    else if ((takes & CLI_TAKES_RULE) && options->last_sample > 0 && options->robust == 0)
        cli_error("--samples goes with --robust");
    else if ((takes & CLI_TAKES_RULE) &&
             (options->part || options->last_sample > SB_MOST_SCENARIOS))
        cli_error("bad --samples for --robust, expected how many, 1 to %d", SB_MOST_SCENARIOS);
    else if (options->part && options->merge_folder != NULL)
        cli_error("--samples A-B and --merge exclude each other");
    else if (options->part && options->out_folder == NULL)
        cli_error("--samples A-B wants --out DIR, where the samples go");
    else
        return true;
    return false;
}

bool cli_options_read(int argc, char **argv, unsigned takes, cli_options *options)
{
    sb_order_options defaults;
    sb_order_options_init(&defaults);
    *options = (cli_options){
        .by = defaults.by,
        .time_limit_s = defaults.time_limit_s,
        .seed = defaults.seed,
        .threads = defaults.threads,
        .first_sample = 1,
        .years = SB_YEARS,
        .spread_weight = defaults.spread_weight,
        .spend_limit = defaults.spend_limit,
        .full_limit = defaults.full_limit,
        .loss_per_grower = defaults.loss_per_grower,
        .compares = takes & CLI_TAKES_COLUMNS,
    };
    opterr = 0;
    optind = 1;
    int option;
    while ((option = getopt_long(argc, argv, ":h", LONG_OPTIONS, NULL)) != -1) {
        if (option == '?' || option == ':') {
            say_mistake(option, argv, takes);
            return false;
        }
        if (!taken(option, takes)) {
            cli_error("'%s' takes no option '--%s'", argv[0], long_name(option));
            return false;
        }
        if (option == OPTION_HELP || option == 'h')
            options->help = true;
        else if (option == OPTION_BOARD)
            options->board = true;
        else if (option == OPTION_EVERY_PLAN)
            options->every_plan = true;
        else if (option == OPTION_FAIR)
            options->fair = true;
        else if (option == OPTION_CHECKLIST)
            options->checklist = true;
        else if (option == OPTION_JSON)
            options->json = true;
        else if (option == OPTION_QUIET)
            options->quiet = true;
        else if (option == OPTION_PATCHES)
            options->patches = true;
        else if (option == OPTION_UNLEARNED)
            options->unlearned = true;
        else if (!read_value(option, optarg, options))
            return false;
    }
    options->files = (const char **)argv + optind;
    options->n_files = (size_t)(argc - optind);
    return options->help || complete(argv[0], takes, options);
}
