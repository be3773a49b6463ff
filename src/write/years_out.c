/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Years ahead, as a table 80 columns wide and as JSON. */
#include <math.h>
#include <stdio.h>

#include "doubt/years.h"
#include "write/columns.h"
#include "write/json_out.h"
#include "write/stream.h"
#include "write/words.h"

#define NAME 25
#define WEED 16
#define CELL 11

static const char *const names[SB_ROUTINES] = {"no cleaning", "this plan", "reordered"};
static const char *const keys[SB_ROUTINES] = {"no_cleaning", "this_plan", "reordered"};

/* Is the field clean of the weed now, and is the weed anywhere at all? */
static bool to_be_watched(const sb_season *season, const sb_years *years, size_t field, size_t weed)
{
    return sb_weed_in_play(season, (int)weed) && sb_years_weedy(years, 0, field, weed) > 0;
}

static void year_cell(const sb_years *years, size_t year, sb_text *text)
{
    if (year > years->years)
        sb_text_addf(text, " %*s", CELL, "-");
    else
        sb_text_addf(text, " %*s%2zu", CELL - 2, "year ", year);
}

static void row(const sb_season *season, const sb_years *years, size_t field, size_t weed,
                sb_text *text)
{
    sb_columns_add(text, season->fields[field].name, NAME, false);
    sb_text_add(text, " ", 1);
    sb_columns_add(text, season->setup.weeds[weed].name, WEED, false);
    for (int routine = 0; routine < SB_ROUTINES; routine++)
        year_cell(years, sb_years_weedy(years, routine, field, weed), text);
    sb_text_addf(text, "\n");
}

/* Years of the routine that orders anew whose plan is not proven cheapest. */
static size_t unproven_years(const sb_years *years)
{
    size_t n = 0;
    for (size_t year = 0; year < years->years; year++)
        n += years->unproven[(size_t)SB_ROUTINE_REORDERED * years->years + year];
    return n;
}

static void add_unproven(const sb_years *years, sb_text *words)
{
    size_t n = unproven_years(years);
    if (n > 0)
        sb_text_addf(words,
                     " Reordered: in %zu year%s the search stopped before its plan was proven "
                     "cheapest (--time-limit).",
                     n, n > 1 ? "s" : "");
}

/* What all fields yield in a year, in money. */
static double harvest_worth(const sb_season *season)
{
    double worth = 0;
    for (size_t i = 0; i < season->n_fields; i++)
        if (season->fields[i].crop >= 0)
            worth +=
                season->fields[i].grain_t * season->setup.crops[season->fields[i].crop].price_per_t;
    return worth;
}

/* Losses grow with the seeds brought, without end; a harvest does not. */
static void add_beyond_harvest(const sb_season *season, const sb_years *years, sb_text *words)
{
    double most = 0, worth = harvest_worth(season);
    for (size_t i = 0; i < SB_ROUTINES * years->years; i++)
        most = fmax(most, years->spread[i]);
    if (worth <= 0 || most <= worth)
        return;
    sb_text_addf(words, " In some year the spread comes to more than the ");
    sb_words_money(words, season, worth);
    sb_text_addf(words,
                 " that a harvest is worth: it grows with the seeds brought, so that it then "
                 "tells how weedy fields are and not what they lose.");
}

static void footnotes(const sb_season *season, const sb_years *years, size_t never, sb_text *text)
{
    sb_text words = {0};
    sb_text_addf(&words,
                 "The year in which a field that is clean now has %g plants per m2 or more at "
                 "harvest; - not within %zu years; this season is year 0.",
                 SB_WEEDY_PLANTS_M2, years->years);
    if (never > 0)
        sb_text_addf(&words, " %zu clean pairs of field and weed stay clean all the same.", never);
    for (size_t year = 1; year < years->years; year++)
        if (years->kept_old[(size_t)SB_ROUTINE_REORDERED * years->years + year]) {
            sb_text_addf(&words, " From year %zu on no new plan kept the rules every year.", year);
            break;
        }
    add_unproven(years, &words);
    add_beyond_harvest(season, years, &words);
    sb_text_add(text, "   ", 3);
    sb_columns_wrap(text, sb_text_get(&words), 3, 3);
    text->failed |= words.failed;
    sb_text_release(&words);
}

/* One line of what the routines come to. */
static void add_sums(const double *sums, const char *what, sb_text *text)
{
    sb_text_addf(text, "%-*s", NAME + 1 + WEED, what);
    for (int routine = 0; routine < SB_ROUTINES; routine++) {
        sb_text cell = {0};
        sb_words_whole_amount(&cell, sums[routine]);
        sb_text_addf(text, " %*s", CELL, sb_text_get(&cell));
        text->failed |= cell.failed;
        sb_text_release(&cell);
    }
    sb_text_addf(text, "\n");
}

/* Money of all years, and the spread that a routine saves beside no cleaning. */
static void add_money(const sb_season *season, const sb_years *years, sb_text *text)
{
    double spent[SB_ROUTINES] = {0}, spread[SB_ROUTINES] = {0}, saved[SB_ROUTINES] = {0};
    double total[SB_ROUTINES];
    sb_text head = {0};
    for (int routine = 0; routine < SB_ROUTINES; routine++) {
        for (size_t year = 0; year < years->years; year++) {
            spent[routine] += years->spent[(size_t)routine * years->years + year];
            spread[routine] += years->spread[(size_t)routine * years->years + year];
        }
        saved[routine] = spread[SB_ROUTINE_NO_CLEANING] - spread[routine];
        total[routine] = spent[routine] + spread[routine];
    }
    sb_words_currency(&head, season);
    sb_text_addf(&head, " in %zu year%s", years->years, years->years > 1 ? "s" : "");
    sb_columns_add(text, sb_text_get(&head), NAME + 1 + WEED, false);
    for (int routine = 0; routine < SB_ROUTINES; routine++)
        sb_text_addf(text, " %*s", CELL, names[routine]);
    sb_text_addf(text, "\n");
    add_sums(spent, "  roads, cleaning and delay", text);
    add_sums(spread, "  spread: expected loss", text);
    add_sums(total, "  both", text);
    add_sums(saved, "  spread saved beside no cleaning", text);
    text->failed |= head.failed;
    sb_text_release(&head);
}

static void add_heads(sb_text *text)
{
    sb_text_addf(text, "%-*s %-*s", NAME, "Field", WEED, "Weed");
    for (int routine = 0; routine < SB_ROUTINES; routine++)
        sb_text_addf(text, " %*s", CELL, names[routine]);
    sb_text_addf(text, "\n");
}

static void render_text(const sb_season *season, const sb_years *years, sb_text *text)
{
    size_t never = 0, rows = 0;
    sb_text_addf(text, "When clean fields turn weedy\n");
    for (size_t i = 0; i < years->n_fields; i++)
        for (size_t w = 0; w < years->n_weeds; w++) {
            if (!to_be_watched(season, years, i, w))
                continue;
            bool turns = false;
            for (int routine = 0; routine < SB_ROUTINES; routine++)
                turns |= sb_years_weedy(years, routine, i, w) <= years->years;
            if (!turns) {
                never++;
                continue;
            }
            if (rows++ == 0)
                add_heads(text);
            row(season, years, i, w, text);
        }
    if (rows == 0)
        sb_text_addf(text, "   No field that is clean now turns weedy, whichever way.\n");
    sb_text_addf(text, "\n");
    add_money(season, years, text);
    footnotes(season, years, never, text);
}

static json_t *pair_json(const sb_season *season, const sb_years *years, size_t field, size_t weed,
                         bool *ok)
{
    json_t *pair = json_object();
    sb_json_put(pair, "field", sb_json_text(season->fields[field].name), ok);
    sb_json_put(pair, "weed", sb_json_text(season->setup.weeds[weed].id), ok);
    for (int routine = 0; routine < SB_ROUTINES; routine++) {
        json_t *course = json_object(), *densities = json_array();
        size_t weedy = sb_years_weedy(years, routine, field, weed);
        for (size_t year = 0; year <= years->years; year++)
            sb_json_append(densities,
                           sb_json_number(sb_years_density(years, routine, year, field, weed)), ok);
        sb_json_put(course, "weedy",
                    weedy <= years->years ? json_integer((json_int_t)weedy) : json_null(), ok);
        sb_json_put(course, "plants_m2", densities, ok);
        sb_json_put(pair, keys[routine], course, ok);
    }
    return pair;
}

/* Money of every year. */
static json_t *by_routine(const sb_years *years, const double *money, bool *ok)
{
    json_t *object = json_object();
    for (int routine = 0; routine < SB_ROUTINES; routine++) {
        json_t *by_year = json_array();
        for (size_t year = 0; year < years->years; year++)
            sb_json_append(by_year, sb_json_number(money[(size_t)routine * years->years + year]),
                           ok);
        sb_json_put(object, keys[routine], by_year, ok);
    }
    return object;
}

static sb_status render_json(const sb_season *season, const sb_years *years, sb_text *text)
{
    bool ok = true;
    json_t *root = json_object(), *pairs = json_array();
    for (size_t i = 0; i < years->n_fields; i++)
        for (size_t w = 0; w < years->n_weeds; w++)
            if (sb_weed_in_play(season, (int)w))
                sb_json_append(pairs, pair_json(season, years, i, w, &ok), &ok);
    sb_json_put(root, "format", json_string("seedbreak-years"), &ok);
    sb_json_put(root, "version", json_integer(1), &ok);
    sb_json_put(root, "currency", sb_json_text(season->setup.currency), &ok);
    sb_json_put(root, "years", json_integer((json_int_t)years->years), &ok);
    sb_json_put(root, "weedy_plants_m2", sb_json_number(SB_WEEDY_PLANTS_M2), &ok);
    sb_json_put(root, "unproven_years", json_integer((json_int_t)unproven_years(years)), &ok);
    sb_json_put(root, "spent", by_routine(years, years->spent, &ok), &ok);
    sb_json_put(root, "spread", by_routine(years, years->spread, &ok), &ok);
    sb_json_put(root, "fields", pairs, &ok);
    return sb_json_finish(root, ok, text);
}

static sb_status print(const sb_season *season, const sb_years *years, FILE *stream, bool json)
{
    if (season == NULL || years == NULL || stream == NULL)
        return SB_ERR_ARG;
    sb_text text = {0};
    sb_status status = SB_OK;
    if (json)
        status = render_json(season, years, &text);
    else
        render_text(season, years, &text);
    if (status == SB_OK)
        status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    return status;
}

sb_status sb_print_years(const sb_season *season, const sb_years *years, FILE *stream)
{
    return print(season, years, stream, false);
}

sb_status sb_print_years_json(const sb_season *season, const sb_years *years, FILE *stream)
{
    return print(season, years, stream, true);
}
