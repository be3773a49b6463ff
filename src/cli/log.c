/* SPDX-License-Identifier: GPL-3.0-or-later */
/* seedbreak log: adds to the log of the season what was just done. */
#define _GNU_SOURCE
#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "commands.h"

static const char HELP[] =
    "usage: seedbreak log FILE... --log LOG [--machine ID] ENTRY\n"
    "\n"
    "Adds one entry to the log of the season, a file that only grows. FILE are the\n"
    "files of the season as for order. Nonsense is refused and the log left as it\n"
    "was: a field cut twice, a time before the machine's last entry (unless it is\n"
    "--forgotten), an unknown field. ENTRY is one of\n"
    "\n"
    "  cut FIELD [--from T] [--to T] [--ha H] [--part | --left H]\n"
    "        a field is finished; --part: only the --ha given are cut, the rest is\n"
    "        still to do; --left H: H ha stay standing for good and are not planned\n"
    "  cleanout LEVEL [WEED=SEEDS...] --by NAME [--from T] [--to T] [--minutes M]\n"
    "        [--place P] [--tarp-kg K --sample-kg K]\n"
    "        a cleanout is done and checked by NAME; seeds found on the tarp, in all\n"
    "        of it or in a sample\n"
    "  count N WEED=SEEDS... --by NAME [--to T] [--tarp-kg K --sample-kg K]\n"
    "        [--recount]\n"
    "        the tarp of cleanout N (its entry) was counted later; --recount: this\n"
    "        holds against what was counted of it before\n"
    "  rating FIELD WEED=RATING...\n"
    "        a field is weedier or cleaner than was thought\n"
    "  add FIELD [KEY=VALUE...]\n"
    "        a field comes in; one that no file outlines wants lon=, lat=, area_ha=;\n"
    "        other KEYs: crop, yield_t_ha, grower, ready, latest, best_before,\n"
    "        worth, entry, after; a WEED as KEY rates it\n"
    "  drop FIELD\n"
    "        what is left of a field is not cut\n"
    "  away --from T --to T [--place P]\n"
    "        the machine is elsewhere; the road to P, from where it stood, counts as\n"
    "        spent, like the road to each field that is cut\n"
    "  lost DATE [DATE]\n"
    "        nobody works on this day, or until the second\n"
    "  seedlings FIELD WEED=PLANTS... --strip M [--width M]\n"
    "        next spring: seedlings along M metres of the machine's first pass, over\n"
    "        the header's width unless said otherwise\n"
    "  track RUN.gpx [--dry-run]\n"
    "        the fields that the timed track of the machine's receiver shows as cut,\n"
    "        all of them or none; --dry-run: shows them and writes nothing\n"
    "  strike N\n"
    "        entry N does not hold; it stays, struck\n"
    "  show  prints the log, and what is doubtful about it with these files\n"
    "\n"
    "The beginning of a name will do when only one begins so. A time T is 17:30 for\n"
    "today, 2026-08-06T17:30 or now; --to is now unless given. WEED=RATING is a class\n"
    "of the rating scale, WEED:plants_m2=D a density. --why TEXT goes with any entry.\n"
    "\n"
    "  --log LOG      the log, made if there is none\n"
    "  --forgotten    a cut, a cleanout or being away that was not written down in\n"
    "                 time: it takes its place by its time, before what is in the log\n"
    "                 from then on, and all that follows is worked out anew\n"
    "  --machine ID   whose work it was, by its id or name; one machine needs none\n"
    "\n"
    "example: seedbreak log fields.kml season.xml --log s.log cut home --from 9:40\n";

enum {
    OPTION_LOG = 256,
    OPTION_TRAVEL,
    OPTION_QUIET,
    OPTION_FROM,
    OPTION_TO,
    OPTION_PART,
    OPTION_RECOUNT,
    OPTION_DRY_RUN,
    OPTION_FORGOTTEN,
    OPTION_WORD /* and above: index into WORDS */
};

/* Options that become a word of the entry as they are. */
static const char *const WORDS[][2] = {
    {"machine", "machine"}, {"ha", "ha"},
    {"left", "left_ha"},    {"minutes", "minutes"},
    {"by", "checked_by"},   {"place", "place"},
    {"tarp-kg", "tarp_kg"}, {"sample-kg", "sample_kg"},
    {"strip", "strip_m"},   {"width", "width_m"},
    {"why", "why"},
};
#define N_WORDS (sizeof WORDS / sizeof WORDS[0])

static const struct option LONG_OPTIONS[] = {
    {"log", required_argument, NULL, OPTION_LOG},
    {"travel", required_argument, NULL, OPTION_TRAVEL},
    {"quiet", no_argument, NULL, OPTION_QUIET},
    {"from", required_argument, NULL, OPTION_FROM},
    {"to", required_argument, NULL, OPTION_TO},
    {"part", no_argument, NULL, OPTION_PART},
    {"recount", no_argument, NULL, OPTION_RECOUNT},
    {"dry-run", no_argument, NULL, OPTION_DRY_RUN},
    {"forgotten", no_argument, NULL, OPTION_FORGOTTEN},
    {"machine", required_argument, NULL, OPTION_WORD},
    {"ha", required_argument, NULL, OPTION_WORD + 1},
    {"left", required_argument, NULL, OPTION_WORD + 2},
    {"minutes", required_argument, NULL, OPTION_WORD + 3},
    {"by", required_argument, NULL, OPTION_WORD + 4},
    {"place", required_argument, NULL, OPTION_WORD + 5},
    {"tarp-kg", required_argument, NULL, OPTION_WORD + 6},
    {"sample-kg", required_argument, NULL, OPTION_WORD + 7},
    {"strip", required_argument, NULL, OPTION_WORD + 8},
    {"width", required_argument, NULL, OPTION_WORD + 9},
    {"why", required_argument, NULL, OPTION_WORD + 10},
    {"help", no_argument, NULL, 'h'},
    {NULL, 0, NULL, 0},
};

/* What follows the verb. */
typedef enum rest {
    REST_NOTHING,
    REST_PAIRS, /* WEED=VALUE or KEY=VALUE */
    REST_DATES,
} rest;

/* How each entry is typed. */
static const struct verb {
    const char *name, *kind;
    const char *first; /* the key of its first word, NULL: none */
    rest rest;
    const char *time; /* key of the moment that is now unless given, NULL: none */
} VERBS[] = {
    {"cut", "cut", "field", REST_NOTHING, "to"},
    {"cleanout", "cleanout", "cleanout", REST_PAIRS, "to"},
    {"count", "counted", "entry", REST_PAIRS, "at"},
    {"rating", "rating", "field", REST_PAIRS, "at"},
    {"add", "added", "field", REST_PAIRS, "at"},
    {"drop", "dropped", "field", REST_NOTHING, "at"},
    {"away", "away", NULL, REST_NOTHING, NULL},
    {"lost", "lost", NULL, REST_DATES, NULL},
    {"seedlings", "seedlings", "field", REST_PAIRS, "at"},
    {"track", "cut", "track", REST_NOTHING, NULL},
    {"strike", "struck", "entry", REST_NOTHING, NULL},
    {"show", NULL, NULL, REST_NOTHING, NULL},
};
#define N_VERBS (sizeof VERBS / sizeof VERBS[0])

#define MOST_WORDS 64
#define KEY_BYTES 96

typedef struct typed {
    const char *log_path;
    sb_read_options how;
    bool quiet, help, dry_run, forgotten;
    bool time_is_now; /* because none was given */
    const char *const *files;
    size_t n_files;
    const struct verb *verb;
    char moments[2][17];              /* from, to as given; "" */
    sb_log_word words[MOST_WORDS];    /* of the entry */
    char keys[MOST_WORDS][KEY_BYTES]; /* of those that were put together */
    size_t n_words;
} typed;

static bool say(typed *t, const char *key, const char *value)
{
    if (t->n_words == MOST_WORDS) {
        cli_error("more than %d words in one entry", MOST_WORDS);
        return false;
    }
    t->words[t->n_words++] = (sb_log_word){key, value};
    return true;
}

/* "17:30", "9:40", "now" or a whole moment. The library reads the latter. */
static bool read_moment(const char *text, char out[17])
{
    unsigned hours, minutes;
    int length = 0;
    time_t now = time(NULL);
    struct tm local;
    if (localtime_r(&now, &local) == NULL)
        return false;
    bool is_clock = sscanf(text, "%2u:%2u%n", &hours, &minutes, &length) == 2 &&
                    text[length] == '\0' && hours < 24 && minutes < 60;
    if (strcmp(text, "now") == 0)
        return strftime(out, 17, "%Y-%m-%dT%H:%M", &local) > 0;
    if (is_clock) {
        local.tm_hour = (int)hours;
        local.tm_min = (int)minutes;
        return strftime(out, 17, "%Y-%m-%dT%H:%M", &local) > 0;
    }
    if (strlen(text) != 16) {
        cli_error("bad time '%s', expected 17:30, 2026-08-06T17:30 or now", text);
        return false;
    }
    memcpy(out, text, 17);
    out[10] = 'T';
    return true;
}

static bool read_option(typed *t, int option)
{
    switch (option) {
    case OPTION_LOG:
        t->log_path = optarg;
        return true;
    case OPTION_TRAVEL:
        t->how.travel_csv = optarg;
        return true;
    case OPTION_QUIET:
        t->quiet = true;
        return true;
    case OPTION_FROM:
    case OPTION_TO:
        return read_moment(optarg, t->moments[option == OPTION_TO]);
    case OPTION_PART:
        return say(t, "part", "true");
    case OPTION_RECOUNT:
        return say(t, "recount", "true");
    case OPTION_DRY_RUN:
        t->dry_run = true;
        return true;
    case OPTION_FORGOTTEN:
        t->forgotten = true;
        return true;
    case 'h':
        t->help = true;
        return true;
    case ':':
        cli_error("option '%s' wants a value", optarg != NULL ? optarg : "");
        return false;
    default:
        return option >= OPTION_WORD && option < OPTION_WORD + (int)N_WORDS &&
               say(t, WORDS[option - OPTION_WORD][1], optarg);
    }
}

/* Is it a key of a field, as in a field file? Else it is a weed. */
static bool is_field_key(const char *key)
{
    static const char *const KEYS[] = {"lon",        "lat",         "area_ha", "crop",
                                       "yield_t_ha", "grower",      "ready",   "latest",
                                       "worth",      "best_before", "entry",   "after"};
    for (size_t i = 0; i < sizeof KEYS / sizeof KEYS[0]; i++)
        if (strcmp(key, KEYS[i]) == 0)
            return true;
    return false;
}

static bool read_pair(typed *t, const char *text)
{
    const char *equals = strchr(text, '=');
    if (equals == NULL || equals == text || equals[1] == '\0' || equals - text > KEY_BYTES - 8) {
        cli_error("bad word '%s', expected WEED=VALUE, as kochia=3", text);
        return false;
    }
    if (t->n_words == MOST_WORDS)
        return say(t, "", "");
    char *key = t->keys[t->n_words];
    memcpy(key, text, (size_t)(equals - text));
    key[equals - text] = '\0';
    if (!is_field_key(key) || strcmp(t->verb->name, "add") != 0)
        snprintf(key, KEY_BYTES, "weed:%.*s", (int)(equals - text), text);
    return say(t, key, equals + 1);
}

static const struct verb *find_verb(const char *word)
{
    for (size_t i = 0; i < N_VERBS; i++)
        if (strcmp(VERBS[i].name, word) == 0)
            return &VERBS[i];
    return NULL;
}

static bool is_track(const typed *t)
{
    return strcmp(t->verb->name, "track") == 0;
}

/* Does the entry say what a machine did? */
static bool is_work(const typed *t)
{
    return t->verb->kind != NULL &&
           (strcmp(t->verb->kind, "cut") == 0 || strcmp(t->verb->kind, "cleanout") == 0 ||
            strcmp(t->verb->kind, "away") == 0);
}

/* The words behind the verb. */
static bool read_words(typed *t, char **words, size_t n)
{
    size_t used = 0;
    if (t->verb->first != NULL) {
        if (n == 0) {
            cli_error("'%s' wants %s %s behind it", t->verb->name,
                      strchr("aeiou", t->verb->first[0]) != NULL ? "an" : "a", t->verb->first);
            return false;
        }
        if (!say(t, t->verb->first, words[used++]))
            return false;
    }
    if (t->verb->rest == REST_DATES) {
        if (n == 0 || n > 2) {
            cli_error("'lost' wants a date, or a first and a last one");
            return false;
        }
        return say(t, "from", words[0]) && say(t, "to", words[n - 1]);
    }
    for (; used < n && t->verb->rest == REST_PAIRS; used++)
        if (!read_pair(t, words[used]))
            return false;
    if (used < n) {
        cli_error("'%s' behind '%s', expected nothing more: names with blanks want quotes",
                  words[used], t->verb->name);
        return false;
    }
    return true;
}

/* Times as words: what was given, and now where nothing was. */
static bool read_times(typed *t)
{
    const char *key = t->verb->time;
    t->time_is_now = key != NULL && t->moments[1][0] == '\0';
    if (t->time_is_now && !read_moment("now", t->moments[1]))
        return false;
    if (key != NULL && strcmp(key, "at") == 0)
        return say(t, "at", t->moments[1]);
    for (size_t i = 0; i < 2; i++)
        if (t->moments[i][0] != '\0' && !say(t, i == 0 ? "from" : "to", t->moments[i]))
            return false;
    return true;
}

/* Which word was meant for the entry, if any: the first that is no file. */
static bool no_entry(const char *const *words, size_t n)
{
    static const char ENTRIES[] = "cut, cleanout, count, rating, add, drop, away, lost, "
                                  "seedlings, track, strike or show behind the files";
    for (size_t i = 0; i < n; i++)
        if (access(words[i], F_OK) != 0) {
            cli_error("'%s' is neither a file nor an entry, expected %s", words[i], ENTRIES);
            return false;
        }
    cli_error("no entry given, expected %s", ENTRIES);
    return false;
}

static bool read_arguments(int argc, char **argv, typed *t)
{
    opterr = 0;
    optind = 1;
    int option;
    while ((option = getopt_long(argc, argv, ":h", LONG_OPTIONS, NULL)) != -1)
        if (option == '?') {
            cli_error("unknown option '%s'", argv[optind - 1]);
            return false;
        } else if (option == ':') {
            cli_error("option '%s' wants a value", argv[optind - 1]);
            return false;
        } else if (!read_option(t, option)) {
            return false;
        }
    if (t->help)
        return true;
    t->files = (const char *const *)argv + optind;
    int at = optind;
    while (at < argc && (t->verb = find_verb(argv[at])) == NULL)
        at++;
    t->n_files = (size_t)(at - optind);
    if (t->verb == NULL)
        return no_entry((const char *const *)argv + optind, (size_t)(argc - optind));
    if (t->log_path == NULL || t->n_files == 0) {
        cli_error("'log' wants %s",
                  t->log_path == NULL ? "--log LOG" : "the files of the season before the entry");
        return false;
    }
    if (t->dry_run && !is_track(t)) {
        cli_error("--dry-run with '%s', expected it with 'track'", t->verb->name);
        return false;
    }
    if (t->forgotten && !is_work(t)) {
        cli_error("--forgotten with '%s', expected it with 'cut', 'cleanout', 'away' or 'track'",
                  t->verb->name);
        return false;
    }
    return read_words(t, argv + at + 1, (size_t)(argc - at - 1)) && read_times(t);
}

/* @param count SIZE_MAX: all */
static cli_exit print(const char *path, size_t first, size_t count, sb_report *report, bool quiet)
{
    sb_log *log = NULL;
    size_t said = sb_report_count(report);
    sb_status status = sb_log_read(path, report, &log);
    cli_print_messages(report, said, quiet);
    cli_exit code = status == SB_OK ? cli_printed(sb_print_log(log, first, count, stdout))
                                    : cli_exit_of(status, report);
    sb_log_free(log);
    return code;
}

/* What is doubtful about a log with these files. One that does not fit them is not judged. */
static void tell_doubts(const typed *t)
{
    sb_report *said = sb_report_new();
    sb_log *log = NULL;
    sb_season *season = NULL;
    if (said != NULL && sb_log_read(t->log_path, said, &log) == SB_OK &&
        sb_season_read_log(log, t->files, t->n_files, &t->how, said, &season) == SB_OK &&
        sb_log_check(season, log, said) == SB_OK)
        cli_print_warnings_about(said, t->log_path);
    sb_season_free(season);
    sb_log_free(log);
    sb_report_free(said);
}

/* Writes the addition's entries and shows them. */
static cli_exit add(const typed *t, const sb_log_addition *addition, sb_report *report)
{
    sb_log_added added;
    size_t said = sb_report_count(report);
    sb_status status = sb_log_add(addition, report, &added);
    (void)cli_print_messages(report, said, t->quiet);
    if (status != SB_OK)
        return cli_exit_of(status, report);
    cli_exit code = print(t->log_path, added.first, added.count, report, true);
    if (code == CLI_DONE && !t->quiet && t->time_is_now)
        cli_note("no --to given: taken as now, %.10s %s", t->moments[1], t->moments[1] + 11);
    if (code == CLI_DONE && !t->quiet)
        cli_note("written to '%s', seal %.8s", t->log_path, added.seal);
    return code;
}

static cli_exit add_said(const typed *t, sb_report *report)
{
    sb_log_said said = {t->verb->kind, t->words, t->n_words};
    sb_log_addition addition = {t->log_path, t->files, t->n_files, &t->how, &said, 1, t->forgotten};
    return add(t, &addition, report);
}

/* The value of an option that is a word, or NULL. */
static const char *word(const typed *t, const char *key)
{
    for (size_t i = 0; i < t->n_words; i++)
        if (strcmp(t->words[i].key, key) == 0)
            return t->words[i].value;
    return NULL;
}

/* What the track shows, and unless that is all, its entries into the log. */
static cli_exit add_track(const typed *t, sb_report *report)
{
    sb_log_addition addition = {t->log_path, t->files, t->n_files, &t->how, NULL, 0, t->forgotten};
    sb_proposal *proposal = NULL;
    sb_status status =
        sb_log_propose(&addition, word(t, "track"), word(t, "machine"), report, &proposal);
    if (status == SB_OK)
        addition.entries = sb_proposal_entries(proposal, &addition.n_entries);
    size_t read =
        status == SB_OK ? sb_report_count(report) : 0; /* of the files: said often enough */
    if (status == SB_OK && t->dry_run)
        status = sb_log_try(&addition, report);
    (void)cli_print_messages(report, read, t->quiet);
    cli_exit code = status == SB_OK ? cli_printed(sb_print_proposal(proposal, stdout))
                                    : cli_exit_of(status, report);
    if (code == CLI_DONE && !t->dry_run)
        code = add(t, &addition, report);
    sb_proposal_free(proposal);
    return code;
}

static cli_exit run(int argc, char **argv)
{
    typed *t = calloc(1, sizeof *t);
    sb_report *report = sb_report_new();
    cli_exit code;
    if (t == NULL || report == NULL) {
        code = cli_exit_of(SB_ERR_NOMEM, NULL);
    } else if (!read_arguments(argc, argv, t)) {
        fputs("try 'seedbreak log --help'\n", stderr);
        code = CLI_USAGE;
    } else if (t->help) {
        fputs(HELP, stdout);
        fputs(CLI_HELP_END, stdout);
        code = CLI_DONE;
    } else if (t->verb->kind == NULL) {
        code = print(t->log_path, 1, (size_t)-1, report, t->quiet);
        if (code == CLI_DONE && !t->quiet)
            tell_doubts(t);
    } else if (is_track(t)) {
        code = add_track(t, report);
    } else {
        code = add_said(t, report);
    }
    sb_report_free(report);
    free(t);
    return code;
}

const cli_command CLI_LOG = {
    .name = "log",
    .summary = "write down what was done: cut, cleaned, rained off",
    .help = HELP,
    .run_alone = run,
};
