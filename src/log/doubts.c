/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Entries that can be true but are more likely slips of the pen. */
#include <math.h>
#include <string.h>

#include "base/report.h"
#include "log/season.h"

/* So many times a machine's rate, or what it can hold, is doubtful: a good day is not three times
 * a usual one (common practice, no source). */
#define DOUBTFUL_TIMES 4.0
/* A field added further than this from all others, but near with its numbers exchanged. */
#define FAR_KM 50.0
#define SWAPPED_TIMES 10.0

static void doubt_cut(const sb_log_state *state, const sb_log_step *step, sb_report *report)
{
    const sb_season *season = state->season;
    const sb_log_entry *entry = &state->log->entries.items[step->entry];
    const sb_field *field = &season->fields[step->field];
    if (entry->from == SB_NO_MOMENT)
        return;
    double hours = (double)(entry->to - entry->from) / 60, ha = step->share * field->area_ha;
    double usual_h = step->share * sb_season_cutting_hours(season, step->machine, step->field);
    if (ha < 0.1 || usual_h <= DOUBTFUL_TIMES * hours)
        return;
    sb_say(
        report, SB_WARNING, state->log->path, entry->line,
        "%.3g ha of '%s' cut in %.0f minutes, where '%s' cuts %.3g ha an hour: are the times right",
        ha, field->name, hours * 60, entry->machine, ha / usual_h);
}

static void doubt_tarp(const sb_log_state *state, const sb_tarp_state *tarp, sb_report *report)
{
    const sb_machine *machine = &state->season->setup.machines[tarp->machine];
    size_t says;
    double holds_kg = 0, kg = sb_log_tarp_kg(state->log, tarp->entry, &says);
    for (size_t s = 0; s < state->season->setup.n_sections; s++)
        holds_kg += machine->sections[s].kg;
    if (isnan(kg) || kg <= DOUBTFUL_TIMES * holds_kg)
        return;
    sb_say(report, SB_WARNING, state->log->path, state->log->entries.items[says].line,
           "%g kg on the tarp, where '%s' holds about %.0f kg: is the weight right", kg,
           machine->id, holds_kg);
}

void sb_log_say_doubts(const sb_log_state *state, sb_report *report)
{
    for (size_t i = 0; i < state->steps.count; i++)
        if (state->steps.items[i].cleanout < 0)
            doubt_cut(state, &state->steps.items[i], report);
    for (size_t i = 0; i < state->tarps.count; i++)
        doubt_tarp(state, &state->tarps.items[i], report);
}

/* From a place to the nearest other field. */
static double nearest_km(const sb_season *season, size_t but_field, sb_lonlat place)
{
    double least_m = INFINITY;
    for (size_t i = 0; i < season->n_fields; i++)
        if (i != but_field)
            least_m = fmin(least_m, sb_distance_m(season->fields[i].place, place));
    return least_m / 1000;
}

sb_status sb_log_check_place(const sb_season *season, const sb_log *log, const sb_log_entry *entry,
                             sb_report *report)
{
    for (size_t i = 0; i < season->n_fields && sb_log_entry_word(entry, "lon") != NULL; i++) {
        const sb_field *field = &season->fields[i];
        if (strcmp(field->name, entry->field) != 0)
            continue;
        sb_lonlat swapped = {field->place.lat_deg, field->place.lon_deg};
        double km = nearest_km(season, i, field->place);
        if (!isfinite(km) || km <= FAR_KM || fabs(swapped.lat_deg) > 90 ||
            nearest_km(season, i, swapped) * SWAPPED_TIMES >= km)
            continue;
        return sb_bad(report, log->path, entry->line,
                      "field '%s' added %.0f km from every other: longitude and latitude look "
                      "swapped",
                      field->name, km);
    }
    return SB_OK;
}
