/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the answer will rest on that no file said: every built-in number still in place and used.
 *
 * A number counts as assumed when it is the built-in one; whoever states the very same number in a
 * season file reads it here with our source, which does no harm. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "season/builtin.h"
#include "season/join.h"

/* One assumption in the making: parts joined by commas behind a head. */
typedef struct line {
    sb_text text;
    bool started;
} line;

static void begin(line *l, const char *head)
{
    sb_text_clear(&l->text);
    sb_text_addf(&l->text, "%s: ", head);
    l->started = false;
}

static void part(line *l, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void part(line *l, const char *format, ...)
{
    if (l->started)
        sb_text_add(&l->text, ", ", 2);
    l->started = true;
    va_list args;
    va_start(args, format);
    sb_text_vaddf(&l->text, format, args);
    va_end(args);
}

/* Adds the line to the season unless nothing was put into it. */
static sb_status end(sb_season *season, line *l, const char *source)
{
    if (l->text.failed)
        return SB_ERR_NOMEM;
    if (!l->started)
        return SB_OK;
    sb_assumption assumption = {sb_strdup(l->text.bytes), sb_strdup(source)};
    if (assumption.text != NULL && assumption.source != NULL &&
        SB_PUSH(&season->assumptions, assumption))
        return SB_OK;
    sb_free(assumption.text);
    sb_free(assumption.source);
    return SB_ERR_NOMEM;
}

/* ---- Fields ---- */

static sb_status assume_crop_of_fields(sb_joining *join, line *l)
{
    sb_season *season = join->season;
    size_t n = 0;
    for (size_t i = 0; i < season->n_fields; i++)
        n += season->fields[i].crop_assumed;
    begin(l, "crop");
    if (n > 0)
        part(l, "%s in the %zu field%s that name%s none", season->setup.crops[0].name, n,
             n == 1 ? "" : "s", n == 1 ? "s" : "");
    return end(season, l, "assumed: the first crop of the list");
}

static sb_status assume_clean(sb_joining *join, line *l)
{
    sb_season *season = join->season;
    begin(l, "taken as clean because unrated");
    for (size_t w = 0; w < season->setup.n_weeds; w++) {
        size_t n = 0;
        for (size_t i = 0; i < season->n_fields; i++)
            n += season->fields[i].ratings[w].source == SB_RATING_NONE;
        if (n > 0 && n < season->n_fields)
            part(l, "%s in %zu of %zu fields", season->setup.weeds[w].name, n, season->n_fields);
    }
    return end(season, l, "assumed");
}

/* What the machine did before decides whether an entry rule asks for a cleanout at its first stop.
 */
static sb_status assume_start(sb_joining *join, line *l)
{
    sb_season *season = join->season;
    const sb_setup *setup = &season->setup;
    bool rules = false;
    for (size_t i = 0; i < season->n_fields; i++)
        rules = rules || season->fields[i].entry >= 0;
    begin(l, "starts clean, no cleanout on record for entry rules");
    for (size_t m = 0; rules && m < setup->n_machines; m++)
        if (setup->machines[m].start == SB_START_CLEAN && setup->machines[m].start_cleanout == NULL)
            part(l, "%s", setup->machines[m].name);
    return end(season, l, "assumed: no `start` in the season file says otherwise");
}

static sb_status assume_scale(sb_joining *join, line *l)
{
    sb_season *season = join->season;
    const sb_scale *scale = &season->setup.scale;
    bool used = false;
    for (size_t i = 0; i < season->n_fields; i++)
        for (size_t w = 0; w < season->setup.n_weeds; w++)
            used = used || season->fields[i].ratings[w].source == SB_RATING_CLASS;
    for (size_t i = 0; i < season->n_fields; i++)
        used = used || season->fields[i].n_points > 0;
    sb_scale known = {0};
    sb_status status = sb_scale_builtin(scale->id, &known);
    sb_scale_release(&known);
    if (status != SB_OK || !used)
        return status == SB_ERR_NOMEM ? status : SB_OK; /* a scale of the user's own */
    begin(l, "rating scale, plants/m2");
    for (size_t i = 0; i < scale->n_classes; i++)
        part(l, "%s = %.3g", scale->labels[i], scale->density_plants_m2[i]);
    return end(season, l, scale->source);
}

/* Fields named before they are only counted. */
#define NAMED_FIELDS 8

/* Without a best-before date the order may leave a field standing for weeks, at no price. */
static sb_status assume_no_delay(sb_joining *join, line *l)
{
    sb_season *season = join->season;
    size_t n = 0, named = 0;
    for (size_t i = 0; i < season->n_fields; i++)
        n += season->fields[i].best_before_day == SB_NO_DAY;
    begin(l, "no best_before date, standing ripe costs nothing");
    if (n == season->n_fields && n > 0)
        part(l, "all %zu field%s", n, n == 1 ? "" : "s");
    for (size_t i = 0; i < season->n_fields && n < season->n_fields && named < NAMED_FIELDS; i++)
        if (season->fields[i].best_before_day == SB_NO_DAY) {
            part(l, "%s", season->fields[i].name);
            named++;
        }
    if (named > 0 && n > named)
        part(l, "%zu more of the %zu fields", n - named, season->n_fields);
    return end(season, l, "assumed");
}

/* ---- Crops and weeds ---- */

static sb_status assume_crop(sb_joining *join, const sb_setup *builtin, size_t c, line *l)
{
    sb_season *season = join->season;
    const sb_crop *crop = &season->setup.crops[c];
    int known = sb_find_crop(builtin, crop->id);
    if (known < 0)
        return SB_OK;
    const sb_crop *as = &builtin->crops[known];
    bool used = false, yield_used = false, delay_used = false;
    for (size_t i = 0; i < season->n_fields; i++) {
        if (season->fields[i].crop != (int)c)
            continue;
        used = true;
        yield_used = yield_used || sb_join_attribute(join->from[i], "yield_t_ha") == NULL;
        delay_used = delay_used || season->fields[i].best_before_day != SB_NO_DAY;
    }
    begin(l, crop->name);
    if (yield_used && crop->yield_t_ha == as->yield_t_ha)
        part(l, "%g t/ha where no yield is stated", crop->yield_t_ha);
    if (used && crop->mog_per_grain == as->mog_per_grain)
        part(l, "%g kg other material per kg grain", crop->mog_per_grain);
    if (delay_used && crop->price_per_t == as->price_per_t)
        part(l, "%g %s/t", crop->price_per_t, season->setup.currency);
    if (delay_used && crop->delay_per_day == as->delay_per_day)
        part(l, "%g %% lost a day after best_before", 100 * crop->delay_per_day);
    return end(season, l, as->source);
}

static bool weed_used(const sb_season *season, size_t w)
{
    for (size_t i = 0; i < season->n_fields; i++)
        if (season->fields[i].ratings[w].density_plants_m2 > 0)
            return true;
    for (size_t m = 0; m < season->setup.n_machines; m++)
        for (size_t p = 0; p < 2 * season->setup.n_sections; p++)
            if (season->joins[m].start_seeds[p * SB_MAX_WEEDS + w] > 0)
                return true;
    return false;
}

static sb_status assume_weed(sb_joining *join, const sb_setup *builtin, size_t w, line *l)
{
    sb_season *season = join->season;
    const sb_weed *weed = &season->setup.weeds[w];
    int known = sb_find_weed(builtin, weed->id);
    if (known < 0 || !weed_used(season, w))
        return SB_OK;
    const sb_weed *as = &builtin->weeds[known];
    const struct {
        const char *what;
        double value, as;
    } numbers[] = {
        {"seeds per plant", weed->seeds_per_plant, as->seeds_per_plant},
        {"retained", weed->retained, as->retained},
        {"header loss", weed->header_loss, as->header_loss},
        {"viability", weed->viability, as->viability},
        {"emergence", weed->emergence, as->emergence},
        {"survival", weed->survival, as->survival},
        {"control", weed->control, as->control},
        {"cost per plant", weed->cost_per_plant, as->cost_per_plant},
        {"crowding plants/m2", weed->crowding_plants_m2, as->crowding_plants_m2},
    };
    begin(l, weed->name);
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        if (numbers[i].value == numbers[i].as)
            part(l, "%s %.6g", numbers[i].what, numbers[i].value);
    return end(season, l, as->source);
}

/* ---- Machines, cleanouts, costs ---- */

static sb_status assume_machine(sb_season *season, const sb_setup *builtin, size_t m, line *l)
{
    const sb_machine *machine = &season->setup.machines[m], *as = &builtin->machines[0];
    begin(l, machine->name);
    if (machine->ha_per_hour == as->ha_per_hour)
        part(l, "%g ha/h", machine->ha_per_hour);
    if (machine->header_m == as->header_m)
        part(l, "header %g m", machine->header_m);
    if (machine->road_km_h == as->road_km_h)
        part(l, "%g km/h on the road", machine->road_km_h);
    if (machine->cost_per_km == as->cost_per_km)
        part(l, "%g %s/km", machine->cost_per_km, season->setup.currency);
    if (machine->cost_per_hour == as->cost_per_hour)
        part(l, "%g %s per road hour", machine->cost_per_hour, season->setup.currency);
    sb_status status = end(season, l, SB_SOURCE_MACHINE);
    if (status != SB_OK)
        return status;
    begin(l, "held by section, kg (lodged share; purge constants loose and lodged, t grain)");
    for (size_t s = 0; s < season->setup.n_sections; s++) {
        const sb_section *section = &machine->sections[s];
        int known = sb_find_section(builtin, section->id);
        if (known < 0)
            continue;
        const sb_section *of = &as->sections[known];
        if (section->kg == of->kg && section->lodged_share == of->lodged_share &&
            section->tau_loose_t == of->tau_loose_t && section->tau_lodged_t == of->tau_lodged_t)
            part(l, "%s %g (%g; %g, %g)", section->id, section->kg, section->lodged_share,
                 section->tau_loose_t, section->tau_lodged_t);
    }
    if ((status = end(season, l, SB_SOURCE_HOLD_UP)) != SB_OK)
        return status;
    begin(l, "share to the grain tank, small / large seed");
    for (size_t s = 0; s < season->setup.n_sections; s++) {
        const sb_section *section = &machine->sections[s];
        int known = sb_find_section(builtin, section->id);
        if (known >= 0 && section->tank_share_small == as->sections[known].tank_share_small &&
            section->tank_share_large == as->sections[known].tank_share_large)
            part(l, "%s %g / %g", section->id, section->tank_share_small,
                 section->tank_share_large);
    }
    return end(season, l, SB_SOURCE_TANK_SHARE);
}

static bool same_cleanout(const sb_cleanout *a, const sb_cleanout *b, size_t n_sections)
{
    for (size_t s = 0; s < n_sections; s++)
        if (a->keep_loose[s] != b->keep_loose[s] || a->keep_lodged[s] != b->keep_lodged[s])
            return false;
    return a->minutes == b->minutes && a->people == b->people &&
           a->supplies_cost == b->supplies_cost;
}

static sb_status assume_cleanout(sb_season *season, const sb_setup *builtin, size_t c, line *l)
{
    const sb_setup *setup = &season->setup;
    const sb_cleanout *level = &setup->cleanouts[c];
    int known = sb_find_cleanout(builtin, level->id);
    if (known <= 0 || setup->n_sections != builtin->n_sections ||
        !same_cleanout(level, &builtin->cleanouts[known], setup->n_sections))
        return SB_OK;
    begin(l, level->name);
    part(l, "%g min, %g people, %g %s of supplies; kept of loose / lodged seed", level->minutes,
         level->people, level->supplies_cost, setup->currency);
    for (size_t s = 0; s < setup->n_sections; s++)
        part(l, "%s %g / %g", setup->machines[0].sections[s].id, level->keep_loose[s],
             level->keep_lodged[s]);
    return end(season, l, builtin->cleanouts[known].source);
}

static sb_status assume_hour(sb_season *season, const char *what, double value, double as,
                             const char *source, line *l)
{
    begin(l, what);
    if (value == as)
        part(l, "%g %s per hour", value, season->setup.currency);
    return end(season, l, source);
}

static sb_status assume_roads(sb_joining *join, const sb_setup *builtin, line *l)
{
    sb_season *season = join->season;
    begin(l, "roads");
    if (!season->km_from_table && season->setup.detour == builtin->detour)
        part(l, "%g times as long as the straight line", season->setup.detour);
    sb_status status = end(season, l, SB_SOURCE_DETOUR);
    if (status != SB_OK)
        return status;
    begin(l, "yard");
    if (join->yard_assumed)
        part(l, "the centre of the fields");
    return end(season, l, "assumed: no file gives a yard");
}

static bool any_ready(const sb_season *season)
{
    for (size_t i = 0; i < season->n_fields; i++)
        if (season->fields[i].ready_day != SB_NO_DAY)
            return true;
    return false;
}

static sb_status assume_calendar(sb_joining *join, const sb_setup *builtin, line *l)
{
    sb_season *season = join->season;
    const sb_calendar *calendar = &season->setup.calendar;
    begin(l, "calendar");
    if (join->start_assumed) {
        char start[11];
        sb_date_format(calendar->start_day, start);
        part(l, "starts on %s", start);
    }
    sb_status status =
        end(season, l,
            any_ready(season) ? "assumed: a season without a stated start begins on its first "
                                "`ready` day"
                              : "assumed: neither a start nor a `ready` day is stated");
    if (status != SB_OK)
        return status;
    begin(l, "working day");
    if (calendar->hours_per_day == builtin->calendar.hours_per_day)
        part(l, "%g hours", calendar->hours_per_day);
    if (calendar->day_starts_h == builtin->calendar.day_starts_h)
        part(l, "from %g o'clock", calendar->day_starts_h);
    return end(season, l, "assumed: dew has to dry first");
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
static sb_status assume_learned(sb_season *season, line *l)
{
    const sb_factors *learned = &season->learned;
    sb_status status = SB_OK;
    sb_text source = {0};
    sb_text_addf(&source, "learned from '%s'", learned->from != NULL ? learned->from : "");
    for (size_t i = 0; i < learned->count && status == SB_OK; i++) {
        const sb_factor *factor = &learned->items[i];
        begin(l, learned_of(&season->setup, factor));
        if (isnan(factor->used))
            part(l, "%s, %.3g times %s it was", learned_words(factor->what), factor->times,
                 sb_number_is_share(factor->what) ? "the odds" : "what");
        else
            part(l, "%s %.5g instead of %.5g", learned_words(factor->what),
                 sb_number_is_share(factor->what) ? sb_times_odds(factor->used, factor->times)
                                                  : factor->used * factor->times,
                 factor->used);
        status = end(season, l, sb_text_get(&source));
    }
    if (source.failed)
        status = SB_ERR_NOMEM;
    sb_text_release(&source);
    return status;
}

static sb_status assume_all(sb_joining *join, const sb_setup *builtin, line *l)
{
    sb_season *season = join->season;
    const sb_setup *setup = &season->setup;
    sb_status status = assume_crop_of_fields(join, l);
    if (status == SB_OK)
        status = assume_clean(join, l);
    if (status == SB_OK)
        status = assume_start(join, l);
    if (status == SB_OK)
        status = assume_no_delay(join, l);
    if (status == SB_OK)
        status = assume_scale(join, l);
    for (size_t c = 0; c < setup->n_crops && status == SB_OK; c++)
        status = assume_crop(join, builtin, c, l);
    for (size_t w = 0; w < setup->n_weeds && status == SB_OK; w++)
        status = assume_weed(join, builtin, w, l);
    for (size_t m = 0; m < setup->n_machines && status == SB_OK; m++)
        status = assume_machine(season, builtin, m, l);
    for (size_t c = 0; c < setup->n_cleanouts && status == SB_OK; c++)
        status = assume_cleanout(season, builtin, c, l);
    if (status == SB_OK)
        status = assume_learned(season, l);
    if (status == SB_OK)
        status = assume_hour(season, "a person cleaning", setup->wage_per_hour,
                             builtin->wage_per_hour, SB_SOURCE_WAGE, l);
    if (status == SB_OK)
        status = assume_hour(season, "machine time lost to cleaning", setup->lost_time_per_hour,
                             builtin->lost_time_per_hour, SB_SOURCE_LOST_TIME, l);
    if (status == SB_OK)
        status = assume_roads(join, builtin, l);
    return status == SB_OK ? assume_calendar(join, builtin, l) : status;
}

sb_status sb_join_assumptions(sb_joining *join)
{
    sb_setup builtin;
    sb_status status = sb_setup_builtin(&builtin);
    if (status != SB_OK)
        return status;
    line l = {0};
    status = assume_all(join, &builtin, &l);
    sb_text_release(&l.text);
    sb_setup_release(&builtin);
    return status;
}
