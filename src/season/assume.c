/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the answer will rest on that no file said. */
#include "season/assume.h"

#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/mem.h"

/* What every built-in price counts in. */
#define BUILT_IN_CURRENCY "USD"

void sb_assume_begin(sb_assuming *a, const char *head)
{
    sb_text_clear(&a->text);
    sb_text_addf(&a->text, "%s: ", head);
    a->started = false;
    a->kind = NULL;
}

void sb_assume_part(sb_assuming *a, const char *format, ...)
{
    if (a->started)
        sb_text_add(&a->text, ", ", 2);
    a->started = true;
    va_list args;
    va_start(args, format);
    sb_text_vaddf(&a->text, format, args);
    va_end(args);
}

void sb_assume_of_section(sb_assuming *a, const char *kind, const char *section, double value)
{
    bool same = a->kind != NULL && strcmp(a->kind, kind) == 0;
    if (a->started)
        sb_text_addf(&a->text, same ? ", " : "; ");
    if (!same)
        sb_text_addf(&a->text, "%s ", kind);
    sb_text_addf(&a->text, "%s %.6g", section, value);
    a->started = true;
    a->kind = kind;
}

sb_status sb_assume_end(sb_assuming *a, const char *source)
{
    if (a->text.failed)
        return SB_ERR_NOMEM;
    if (!a->started)
        return SB_OK;
    sb_assumption assumption = {sb_strdup(a->text.bytes), sb_strdup(source)};
    if (assumption.text != NULL && assumption.source != NULL &&
        SB_PUSH(&a->join->season->assumptions, assumption))
        return SB_OK;
    sb_free(assumption.text);
    sb_free(assumption.source);
    return SB_ERR_NOMEM;
}

/* ---- Fields ---- */

static sb_status assume_crop_of_fields(sb_assuming *a)
{
    sb_season *season = a->join->season;
    size_t n = 0;
    for (size_t i = 0; i < season->n_fields; i++)
        n += season->fields[i].crop_assumed;
    sb_assume_begin(a, "crop");
    if (n > 0)
        sb_assume_part(a, "%s in the %zu field%s that name%s none", season->setup.crops[0].name, n,
                       n == 1 ? "" : "s", n == 1 ? "s" : "");
    return sb_assume_end(a, "assumed: the first crop of the list");
}

static sb_status assume_clean(sb_assuming *a)
{
    sb_season *season = a->join->season;
    sb_assume_begin(a, "taken as clean because unrated");
    for (size_t w = 0; w < season->setup.n_weeds; w++) {
        size_t n = 0;
        for (size_t i = 0; i < season->n_fields; i++)
            n += season->fields[i].ratings[w].source == SB_RATING_NONE;
        if (n > 0 && n < season->n_fields)
            sb_assume_part(a, "%s in %zu of %zu fields", season->setup.weeds[w].name, n,
                           season->n_fields);
    }
    return sb_assume_end(a, "assumed");
}

/* What the machine did before decides whether an entry rule asks for a cleanout at its first stop.
 */
static sb_status assume_start(sb_assuming *a)
{
    sb_season *season = a->join->season;
    const sb_setup *setup = &season->setup;
    bool rules = false;
    for (size_t i = 0; i < season->n_fields; i++)
        rules = rules || season->fields[i].entry >= 0;
    sb_assume_begin(a, "starts clean, no cleanout on record for entry rules");
    for (size_t m = 0; rules && m < setup->n_machines; m++)
        if (!setup->machines[m].start_given)
            sb_assume_part(a, "%s", setup->machines[m].name);
    return sb_assume_end(a, "assumed: no `start` in the season file says otherwise");
}

static sb_status assume_scale(sb_assuming *a)
{
    sb_season *season = a->join->season;
    const sb_scale *scale = &season->setup.scale;
    bool used = false;
    for (size_t i = 0; i < season->n_fields; i++)
        for (size_t w = 0; w < season->setup.n_weeds; w++)
            used = used || season->fields[i].ratings[w].source == SB_RATING_CLASS;
    for (size_t i = 0; i < season->n_fields; i++)
        used = used || season->fields[i].n_points > 0;
    sb_scale known = {0};
    sb_status status = sb_scale_builtin(scale->id, &known);
    bool own = status != SB_OK || strcmp(scale->source, known.source) != 0;
    sb_scale_release(&known);
    if (own || !used)
        return status == SB_ERR_NOMEM ? status : SB_OK;
    sb_assume_begin(a, "rating scale, plants/m2");
    for (size_t i = 0; i < scale->n_classes; i++)
        sb_assume_part(a, "%s = %.3g", scale->labels[i], scale->density_plants_m2[i]);
    return sb_assume_end(a, scale->source);
}

/* Fields named before they are only counted. */
#define NAMED_FIELDS 8

/* Without a best-before date the order may leave a field standing for weeks, at no price. */
static sb_status assume_no_delay(sb_assuming *a)
{
    sb_season *season = a->join->season;
    size_t n = 0, named = 0;
    for (size_t i = 0; i < season->n_fields; i++)
        n += season->fields[i].best_before_day == SB_NO_DAY;
    sb_assume_begin(a, "no best_before date, standing ripe costs nothing");
    if (n == season->n_fields && n > 0)
        sb_assume_part(a, "all %zu field%s", n, n == 1 ? "" : "s");
    for (size_t i = 0; i < season->n_fields && n < season->n_fields && named < NAMED_FIELDS; i++)
        if (season->fields[i].best_before_day == SB_NO_DAY) {
            sb_assume_part(a, "%s", season->fields[i].name);
            named++;
        }
    if (named > 0 && n > named)
        sb_assume_part(a, "%zu more of the %zu fields", n - named, season->n_fields);
    return sb_assume_end(a, "assumed");
}

/* ---- Yard and calendar ---- */

static sb_status assume_yard(sb_assuming *a)
{
    sb_assume_begin(a, "yard");
    if (a->join->yard_assumed)
        sb_assume_part(a, "the centre of the fields");
    return sb_assume_end(a, "assumed: no file gives a yard");
}

static bool any_ready(const sb_season *season)
{
    for (size_t i = 0; i < season->n_fields; i++)
        if (season->fields[i].ready_day != SB_NO_DAY)
            return true;
    return false;
}

static sb_status assume_calendar(sb_assuming *a)
{
    sb_season *season = a->join->season;
    const sb_calendar *calendar = &season->setup.calendar;
    sb_assume_begin(a, "calendar");
    if (a->join->start_assumed) {
        char start[11];
        sb_date_format(calendar->start_day, start);
        sb_assume_part(a, "starts on %s", start);
    }
    sb_status status = sb_assume_end(
        a, any_ready(season) ? "assumed: a season without a stated start begins on its first "
                               "`ready` day"
                             : "assumed: neither a start nor a `ready` day is stated");
    if (status != SB_OK)
        return status;
    sb_assume_begin(a, "working day");
    if ((season->setup.given & SB_GIVEN_BIT(offsetof(sb_setup, calendar.hours_per_day))) == 0)
        sb_assume_part(a, "%g hours", calendar->hours_per_day);
    if ((season->setup.given & SB_GIVEN_BIT(offsetof(sb_setup, calendar.day_starts_h))) == 0)
        sb_assume_part(a, "from %g o'clock", calendar->day_starts_h);
    return sb_assume_end(a, "assumed: dew has to dry first");
}

/* A number that was learned, called as in the other lines. */
static const char *learned_words(sb_doubtful what)
{
    switch (what) {
    case SB_DOUBT_SEEDS_PER_PLANT:
        return "seeds per plant";
    case SB_DOUBT_HEADER_LOSS:
        return "header loss";
    case SB_DOUBT_CROWDING:
        return "crowding plants/m2";
    case SB_DOUBT_HELD:
        return "kg held in every section";
    case SB_DOUBT_LODGED:
        return "lodged share in every section";
    case SB_DOUBT_TAU_LOOSE:
        return "loose purge constant of every section";
    case SB_DOUBT_TAU_LODGED:
        return "lodged purge constant of every section";
    case SB_DOUBT_TANK_SMALL:
        return "share of small seed to the tank";
    case SB_DOUBT_TANK_LARGE:
        return "share of large seed to the tank";
    case SB_DOUBT_KEEP:
        return "kept of loose and lodged seed in every section";
    default:
        return sb_number_key(what); /* a word: "retained", "viability" */
    }
}

/* Whose it is: the name of the weed or the cleanout. */
static const char *learned_of(const sb_setup *setup, const sb_factor *factor)
{
    if (factor->of == NULL)
        return "Machine";
    int found = factor->what == SB_DOUBT_KEEP ? sb_find_cleanout(setup, factor->of)
                                              : sb_find_weed(setup, factor->of);
    if (found < 0)
        return factor->of;
    return factor->what == SB_DOUBT_KEEP ? setup->cleanouts[found].name : setup->weeds[found].name;
}

/* What earlier seasons taught: as good as what it was learned from. */
static sb_status assume_learned(sb_assuming *a)
{
    const sb_season *season = a->join->season;
    const sb_factors *learned = &season->learned;
    sb_status status = SB_OK;
    sb_text source = {0};
    sb_text_addf(&source, "learned from '%s'", learned->from != NULL ? learned->from : "");
    for (size_t i = 0; i < learned->count && status == SB_OK; i++) {
        const sb_factor *factor = &learned->items[i];
        sb_assume_begin(a, learned_of(&season->setup, factor));
        if (isnan(factor->used))
            sb_assume_part(a, "%s, %.3g times %s it was", learned_words(factor->what),
                           factor->times, sb_number_is_share(factor->what) ? "the odds" : "what");
        else
            sb_assume_part(a, "%s %.5g instead of %.5g", learned_words(factor->what),
                           sb_number_is_share(factor->what)
                               ? sb_times_odds(factor->used, factor->times)
                               : factor->used * factor->times,
                           factor->used);
        status = sb_assume_end(a, sb_text_get(&source));
    }
    if (source.failed)
        status = SB_ERR_NOMEM;
    sb_text_release(&source);
    return status;
}

static sb_status assume_all(sb_assuming *a)
{
    static sb_status (*const steps[])(sb_assuming *) = {
        assume_crop_of_fields, assume_clean,   assume_start, assume_no_delay, assume_scale,
        sb_assume_numbers,     assume_learned, assume_yard,  assume_calendar,
    };
    sb_status status = SB_OK;
    for (size_t i = 0; i < sizeof steps / sizeof *steps && status == SB_OK; i++)
        status = steps[i](a);
    return status;
}

/* Another currency only gives the built-in prices its name. */
static void doubt_currency(const sb_assuming *a)
{
    const sb_setup *setup = &a->join->season->setup;
    if (a->dollars.count == 0 || strcasecmp(setup->currency, BUILT_IN_CURRENCY) == 0)
        return;
    char currency[SB_EXCERPT_BYTES];
    sb_excerpt(setup->currency, currency);
    sb_say(a->join->report, SB_WARNING, setup->currency_at.file, setup->currency_at.line,
           "the currency is %s, but these prices are built in: they are US dollars and count as so "
           "many %s. State your own in the season file (element: attribute): %s",
           currency, currency, a->dollars.bytes);
}

sb_status sb_join_assumptions(sb_joining *join)
{
    sb_assuming a = {.join = join};
    sb_status status = sb_setup_builtin(&a.builtin);
    if (status == SB_OK)
        status = assume_all(&a);
    if (status == SB_OK && a.dollars.failed)
        status = SB_ERR_NOMEM;
    if (status == SB_OK)
        doubt_currency(&a);
    sb_text_release(&a.text);
    sb_text_release(&a.dollars);
    sb_setup_release(&a.builtin);
    return status;
}
