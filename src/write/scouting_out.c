/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What walks are worth, as a table 80 columns wide and as JSON. */
#include <stdio.h>

#include "doubt/scouting.h"
#include "write/columns.h"
#include "write/json_out.h"
#include "write/stream.h"
#include "write/words.h"

#define NAME 30
#define WEED 20
#define WORTH 16

/* Less than this is not worth a line: half a unit of money. */
#define LEAST_WORTH 0.5

static void headline(const sb_season *season, const sb_scouting *scouting, sb_text *text)
{
    sb_text words = {0};
    if (scouting->n_first == 0 && scouting->stopped) {
        sb_text_addf(&words, "Stopped before it was known what any walk is worth.");
    } else if (scouting->n_first == 0) {
        sb_text_addf(&words, "No walk is worth anything: no rating that is uncertain can change "
                             "the plan.");
    } else {
        sb_text_addf(&words, "Walk ");
        for (size_t i = 0; i < scouting->n_first; i++)
            sb_text_addf(&words, "%s%s",
                         i == 0                       ? ""
                         : i + 1 == scouting->n_first ? " and "
                                                      : ", ",
                         season->fields[scouting->fields[i].field].name);
        sb_text_addf(&words, " first: worth ");
        sb_words_money(&words, season, scouting->first_worth);
        double rest =
            scouting->n_first < scouting->n_fields ? scouting->fields[scouting->n_first].worth : 0;
        if (rest > 0) {
            sb_text_addf(&words, "; no other field is worth more than ");
            sb_words_money(&words, season, rest);
            sb_text_addf(&words, ".");
        } else if (!scouting->stopped) {
            sb_text_addf(&words, "; the other ratings cannot change the plan.");
        } else {
            sb_text_addf(&words, ".");
        }
        if (scouting->stopped)
            sb_text_addf(&words,
                         " Stopped before everything that may be found was ordered: walks may "
                         "be worth more than is said here, and others something too.");
    }
    sb_columns_wrap(text, sb_text_get(&words), 0, 0);
    text->failed |= words.failed;
    sb_text_release(&words);
}

static void row(const sb_season *season, const sb_walk_worth *walk, sb_text *text)
{
    sb_text money = {0};
    sb_words_money(&money, season, walk->worth);
    sb_columns_add(text, season->fields[walk->field].name, NAME, false);
    sb_text_add(text, " ", 1);
    sb_columns_add(text, walk->weed < 0 ? "all weeds" : season->setup.weeds[walk->weed].name, WEED,
                   false);
    sb_text_add(text, " ", 1);
    sb_columns_add(text, sb_text_get(&money), WORTH, true);
    sb_text_addf(text, " %8zu\n", walk->orders);
    text->failed |= money.failed;
    sb_text_release(&money);
}

static bool worth_a_line(const sb_walk_worth *walks, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (walks[i].worth >= LEAST_WORTH)
            return true;
    return false;
}

static void add_table(const sb_season *season, const sb_scouting *scouting, sb_text *text)
{
    if (!worth_a_line(scouting->fields, scouting->n_fields) &&
        !worth_a_line(scouting->ratings, scouting->n_ratings))
        return;
    sb_text_addf(text, "\n%-*s %-*s %*s %8s\n", NAME, "Field", WEED, "To be counted", WORTH,
                 "worth", "plans");
    for (size_t i = 0; i < scouting->n_fields; i++)
        if (scouting->fields[i].worth >= LEAST_WORTH)
            row(season, &scouting->fields[i], text);
    for (size_t i = 0; i < scouting->n_ratings; i++)
        if (scouting->ratings[i].worth >= LEAST_WORTH)
            row(season, &scouting->ratings[i], text);
}

static void render_text(const sb_season *season, const sb_scouting *scouting, sb_text *text)
{
    sb_text words = {0};
    headline(season, scouting, text);
    add_table(season, scouting, text);
    size_t idle = 0;
    for (size_t i = 0; i < scouting->n_ratings; i++)
        idle += scouting->ratings[i].orders <= 1;
    sb_text_addf(&words,
                 "Worth: by how much the mean cost falls when the rating is known before the plan "
                 "is made. Plans: how many are best for what may be found. ");
    if (!scouting->stopped)
        sb_text_addf(&words, "%zu of %zu uncertain ratings cannot change the plan by themselves. ",
                     idle, scouting->n_ratings);
    sb_text_addf(
        &words,
        "%zu plans were compared over %zu seasons for each outcome, seed %llu. A field that "
        "nobody rated is taken as clean here: walk it too.",
        scouting->plans, scouting->seasons, (unsigned long long)scouting->seed);
    if (scouting->machines > 1)
        sb_text_addf(&words,
                     " Plans of all %zu machines together were looked for by annealing, without a "
                     "proof: a walk may be worth more.",
                     scouting->machines);
    sb_text_add(text, "   ", 3);
    sb_columns_wrap(text, sb_text_get(&words), 3, 3);
    text->failed |= words.failed;
    sb_text_release(&words);
}

static json_t *walks_json(const sb_season *season, const sb_walk_worth *walks, size_t n, bool *ok)
{
    json_t *array = json_array();
    for (size_t i = 0; i < n; i++) {
        json_t *walk = json_object();
        sb_json_put(walk, "field", sb_json_text(season->fields[walks[i].field].name), ok);
        if (walks[i].weed >= 0)
            sb_json_put(walk, "weed", sb_json_text(season->setup.weeds[walks[i].weed].id), ok);
        sb_json_put(walk, "worth", sb_json_number(walks[i].worth), ok);
        sb_json_put(walk, "plans", json_integer((json_int_t)walks[i].orders), ok);
        sb_json_append(array, walk, ok);
    }
    return array;
}

static sb_status render_json(const sb_season *season, const sb_scouting *scouting, sb_text *text)
{
    bool ok = true;
    json_t *root = json_object(), *first = json_object();
    sb_json_put(first, "fields", walks_json(season, scouting->fields, scouting->n_first, &ok), &ok);
    sb_json_put(first, "worth", sb_json_number(scouting->first_worth), &ok);
    sb_json_put(root, "format", json_string("seedbreak-scout"), &ok);
    sb_json_put(root, "version", json_integer(1), &ok);
    sb_json_put(root, "currency", sb_json_text(season->setup.currency), &ok);
    sb_json_put(root, "seed", json_integer((json_int_t)scouting->seed), &ok);
    sb_json_put(root, "stopped", json_boolean(scouting->stopped), &ok);
    sb_json_put(root, "machines", json_integer((json_int_t)scouting->machines), &ok);
    sb_json_put(root, "mean_cost", sb_json_number(scouting->mean_cost), &ok);
    sb_json_put(root, "first", first, &ok);
    sb_json_put(root, "fields", walks_json(season, scouting->fields, scouting->n_fields, &ok), &ok);
    sb_json_put(root, "ratings", walks_json(season, scouting->ratings, scouting->n_ratings, &ok),
                &ok);
    return sb_json_finish(root, ok, text);
}

static sb_status print(const sb_season *season, const sb_scouting *scouting, FILE *stream,
                       bool json)
{
    if (season == NULL || scouting == NULL || stream == NULL)
        return SB_ERR_ARG;
    sb_text text = {0};
    sb_status status = SB_OK;
    if (json)
        status = render_json(season, scouting, &text);
    else
        render_text(season, scouting, &text);
    if (status == SB_OK)
        status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    return status;
}

sb_status sb_print_scouting(const sb_season *season, const sb_scouting *scouting, FILE *stream)
{
    return print(season, scouting, stream, false);
}

sb_status sb_print_scouting_json(const sb_season *season, const sb_scouting *scouting, FILE *stream)
{
    return print(season, scouting, stream, true);
}
