/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Entries that can be true but are more likely slips of the pen. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/date.h"
#include "base/report.h"
#include "log/season.h"
#include "log/track.h"
#include "season/service.h"

/* So many times a machine's rate, or what it can hold, is doubtful: a good day is not three times
 * a usual one (common practice, no source). */
#define DOUBTFUL_TIMES 4.0
/* So many times what it holds no tarp bears: straw that was run through it is on it too (common
 * practice, no source). */
#define IMPOSSIBLE_TIMES 20.0
/* Smaller cuts say nothing of a machine's rate. */
#define LEAST_HA 0.1
/* Days outside the stated season: a machine may be cleaned in winter, but in another year it was
 * not; what is said so long before or after is more often a forgotten time. */
#define WORK_DAYS_OUTSIDE 180
#define THOUGHT_DAYS_OUTSIDE 60
/* A field added further than this from all others, but near with its numbers exchanged. */
#define FAR_KM 50.0
#define SWAPPED_TIMES 10.0

/* When the work of a cut can have begun: said so, or the end of the machine's entry before it. */
static sb_moment begin_of(const sb_log *log, size_t index)
{
    const sb_log_entry *entry = &log->entries.items[index];
    if (entry->from != SB_NO_MOMENT)
        return entry->from;
    for (size_t i = entry->happened; i-- > 0;) {
        const sb_log_entry *before = &log->entries.items[log->order.items[i]];
        if (!before->is_struck && before->machine != NULL && before->to != SB_NO_MOMENT &&
            strcmp(before->machine, entry->machine) == 0)
            return before->to;
    }
    return SB_NO_MOMENT;
}

/* When an entry's work began as far as it says so: at its end at the latest. */
static sb_moment begun_by(const sb_log_entry *entry)
{
    return entry->from != SB_NO_MOMENT ? entry->from : entry->to;
}

static void doubt_hours(const sb_log_state *state, const sb_log_step *step, sb_report *report)
{
    const sb_season *season = state->season;
    const sb_log_entry *entry = &state->log->entries.items[step->entry];
    const sb_field *field = &season->fields[step->field];
    sb_moment begin = begin_of(state->log, step->entry);
    if (begin == SB_NO_MOMENT)
        return;
    double hours = (double)(entry->to - begin) / 60, ha = step->share * field->area_ha;
    double usual_h = step->share * sb_season_cutting_hours(season, step->machine, step->field);
    if (ha < LEAST_HA || usual_h <= DOUBTFUL_TIMES * hours)
        return;
    sb_say(report, SB_WARNING, state->log->path, entry->line,
           "%.3g ha of '%s' cut in %.0f minutes%s, where '%s' cuts %.3g ha an hour: are the times "
           "right",
           ha, field->name, hours * 60,
           entry->from != SB_NO_MOMENT ? "" : " since the machine's entry before", entry->machine,
           ha / usual_h);
}

static void doubt_day(const sb_log_state *state, const sb_log_step *step, sb_report *report)
{
    const sb_log_entry *entry = &state->log->entries.items[step->entry];
    const sb_field *field = &state->season->fields[step->field];
    int day = (int)(begun_by(entry) / SB_MINUTES_PER_DAY);
    char said[11], ready[11];
    if (field->ready_day == SB_NO_DAY || day >= field->ready_day)
        return;
    sb_date_format(day, said);
    sb_date_format(field->ready_day, ready);
    sb_say(report, SB_WARNING, state->log->path, entry->line,
           "'%s' cut on %s, but the files say that it is ready on %s: is the day right",
           field->name, said, ready);
}

/* The rules that a machine has to keep before it comes into a field. */
static void doubt_entry(const sb_log_state *state, const sb_log_step *step, sb_report *report)
{
    const sb_season *season = state->season;
    const sb_log_entry *entry = &state->log->entries.items[step->entry];
    const sb_field *field = &season->fields[step->field];
    const sb_machine *machine = &season->setup.machines[step->machine];
    if (!step->enters)
        return;
    if (!sb_season_may_cut(season, step->machine, step->field))
        sb_say(report, SB_WARNING, state->log->path, entry->line,
               "'%s' cut by machine '%s', which the files do not let in there: was it another one",
               field->name, machine->id);
    if (field->entry >= 0 && !sb_season_satisfies(season, step->on_record, field->entry))
        sb_say(
            report, SB_WARNING, state->log->path, entry->line,
            "'%s' may be entered only after '%s', but no such cleanout of machine '%s' was logged "
            "before it: was one left out",
            field->name, season->setup.cleanouts[field->entry].id, machine->id);
}

static void say_apart(const sb_log_state *state, const sb_log_step *step, const sb_apart *rule,
                      const char *before, sb_report *report)
{
    const sb_setup *setup = &state->season->setup;
    bool any_full = rule->cleanout < 0;
    sb_say(report, SB_WARNING, state->log->path, state->log->entries.items[step->entry].line,
           "'%s' is kept apart from grower '%s', whose field%s%s%s machine '%s' %s, and no %s%s%s "
           "in between was logged: was one left out",
           state->season->fields[step->field].name, state->season->growers[rule->grower],
           before != NULL ? " '" : "", before != NULL ? before : "", before != NULL ? "'" : "",
           setup->machines[step->machine].id, before != NULL ? "cut before" : "comes from",
           any_full ? "full cleanout" : "cleanout '",
           any_full ? "" : setup->cleanouts[rule->cleanout].id, any_full ? "" : "'");
}

/* Growers kept apart: looks back over what the machine did to the last cleanout that clears each
 * rule. */
static void doubt_apart(const sb_log_state *state, size_t at, sb_report *report)
{
    const sb_season *season = state->season;
    const sb_log_step *step = &state->steps.items[at];
    const sb_field *field = &season->fields[step->field];
    for (size_t a = 0; a < field->n_apart && step->enters; a++) {
        const sb_apart *rule = &field->apart[a];
        const char *before = NULL;
        bool cleared = false;
        for (size_t i = at; i-- > 0 && before == NULL && !cleared;) {
            const sb_log_step *earlier = &state->steps.items[i];
            if (earlier->machine != step->machine)
                continue;
            cleared = earlier->cleanout >= 0 && sb_season_clears(season, earlier->cleanout, rule);
            if (earlier->cleanout < 0 && season->fields[earlier->field].grower == rule->grower)
                before = season->fields[earlier->field].name;
        }
        if (before != NULL || (!cleared && sb_season_starts_after(season, step->machine, rule)))
            say_apart(state, step, rule, before, report);
    }
}

/* The first cut of a field by the clock, whoever's it was and wherever it stands in the log; NULL:
 * nobody cut there. */
static const sb_log_entry *first_cut(const sb_log_state *state, size_t field)
{
    const sb_log_entry *first = NULL;
    for (size_t i = 0; i < state->steps.count; i++) {
        const sb_log_step *step = &state->steps.items[i];
        const sb_log_entry *entry = &state->log->entries.items[step->entry];
        if (step->cleanout < 0 && step->field == (int)field &&
            (first == NULL || begun_by(entry) < begun_by(first)))
            first = entry;
    }
    return first;
}

/* A field was begun by this cut: was the one before it finished by then? The later of both entries
 * is doubted: it is the one that shows it. */
static void doubt_before(const sb_log_state *state, const sb_field *f, const sb_log_entry *cut,
                         size_t before, sb_report *report)
{
    const sb_log *log = state->log;
    const sb_field_state *earlier = &state->fields[before];
    const char *name = state->season->fields[before].name;
    char begun[17], finished[17];
    if (earlier->dropped)
        return;
    if (!earlier->finished) {
        sb_say(report, SB_WARNING, log->path, cut->line,
               "'%s' is to be cut after '%s', which no entry of any machine says was finished: "
               "was one left out",
               f->name, name);
        return;
    }
    const sb_log_entry *end = &log->entries.items[earlier->entry];
    if (end->to <= begun_by(cut))
        return;
    sb_moment_format(begun_by(cut), begun);
    sb_moment_format(end->to, finished);
    if (cut->number > end->number)
        sb_say(report, SB_WARNING, log->path, cut->line,
               "'%s' is to be cut after '%s', which was finished only at %s (entry %ld): are the "
               "times right",
               f->name, name, finished, end->number);
    else
        sb_say(report, SB_WARNING, log->path, end->line,
               "'%s' finished at %s, but '%s', which is to be cut after it, was %s at %s (entry "
               "%ld): are the times right",
               name, finished, f->name, cut->from != SB_NO_MOMENT ? "begun" : "cut", begun,
               cut->number);
}

/* A field begun before another that is to be cut earlier was finished, by any machine. */
static void doubt_after(const sb_log_state *state, size_t field, sb_report *report)
{
    const sb_field *f = &state->season->fields[field];
    const sb_log_entry *cut = f->n_after > 0 ? first_cut(state, field) : NULL;
    for (size_t a = 0; a < f->n_after && cut != NULL; a++)
        doubt_before(state, f, cut, (size_t)f->after[a], report);
}

/* What a finished field leaves behind that nobody will cut. */
static void doubt_rest(const sb_log_state *state, const sb_log_step *step, sb_report *report)
{
    const sb_log_entry *entry = &state->log->entries.items[step->entry];
    const sb_field *field = &state->season->fields[step->field];
    double left_ha = step->share * field->area_ha - entry->ha; /* NAN: nobody counted */
    if (!entry->part && left_ha > (1 - SB_TRACK_FINISHED) * field->area_ha)
        sb_say(report, SB_WARNING, state->log->path, entry->line,
               "'%s' is finished with %.4g ha cut; the other %.4g ha are planned no more. If they "
               "are still to do: strike %ld, then cut --part --ha %.4g",
               field->name, entry->ha, left_ha, entry->number, entry->ha);
    if (!isnan(entry->left_ha))
        sb_say(report, SB_NOTE, state->log->path, entry->line,
               "%.4g ha of '%s' stay standing and are planned no more; still to do they are with "
               "--part --ha %.4g in place of --left",
               entry->left_ha, field->name,
               isnan(entry->ha) ? step->share * field->area_ha : entry->ha);
}

/* What a machine holds when it is full. */
static double machine_kg(const sb_season *season, int machine)
{
    double kg = 0;
    for (size_t s = 0; s < season->setup.n_sections; s++)
        kg += season->setup.machines[machine].sections[s].kg;
    return kg;
}

static void doubt_tarp(const sb_log_state *state, const sb_tarp_state *tarp, sb_report *report)
{
    size_t says;
    double holds_kg = machine_kg(state->season, tarp->machine);
    double kg = sb_log_tarp_kg(state->log, tarp->entry, &says);
    if (isnan(kg) || kg <= DOUBTFUL_TIMES * holds_kg)
        return;
    sb_say(report, SB_WARNING, state->log->path, state->log->entries.items[says].line,
           "%g kg on the tarp, where '%s' holds about %.0f kg: is the weight right", kg,
           state->season->setup.machines[tarp->machine].id, holds_kg);
}

bool sb_log_add_outside(const sb_season *season, int first_day, int last_day, int most_days,
                        sb_text *text)
{
    const sb_setup *setup = &season->setup;
    const sb_calendar *calendar = &setup->calendar;
    bool early = setup->calendar_start_given && last_day < calendar->start_day - most_days;
    bool late = calendar->end_day != SB_NO_DAY && first_day > calendar->end_day + most_days;
    char said[11], bound[11];
    if (!early && !late)
        return false;
    sb_date_format(early ? last_day : first_day, said);
    sb_date_format(early ? calendar->start_day : calendar->end_day, bound);
    sb_text_addf(text, "on %s, but the season %s on %s (calendar)", said, early ? "starts" : "ends",
                 bound);
    return true;
}

/* Ratings and fields may well be thought over in winter; more often the time was left out. */
static void doubt_time(const sb_log_state *state, const sb_log_entry *entry, sb_report *report)
{
    sb_text outside = {0};
    int day = (int)(entry->at / SB_MINUTES_PER_DAY);
    bool thought = entry->kind == SB_LOG_RATING || entry->kind == SB_LOG_ADDED ||
                   entry->kind == SB_LOG_DROPPED;
    if (thought && !entry->is_struck &&
        sb_log_add_outside(state->season, day, day, THOUGHT_DAYS_OUTSIDE, &outside))
        sb_say(report, SB_WARNING, state->log->path, entry->line,
               "'%s' %s %s: is the time right (--to)", entry->field,
               entry->kind == SB_LOG_RATING ? "rated" : sb_log_kind_name(entry->kind),
               sb_text_get(&outside));
    sb_text_release(&outside);
}

void sb_log_say_doubts(const sb_log_state *state, sb_report *report)
{
    for (size_t i = 0; i < state->steps.count; i++)
        if (state->steps.items[i].cleanout < 0) {
            doubt_hours(state, &state->steps.items[i], report);
            doubt_day(state, &state->steps.items[i], report);
            doubt_entry(state, &state->steps.items[i], report);
            doubt_apart(state, i, report);
            doubt_rest(state, &state->steps.items[i], report);
        }
    for (size_t i = 0; i < state->season->n_fields; i++)
        doubt_after(state, i, report);
    for (size_t i = 0; i < state->tarps.count; i++)
        doubt_tarp(state, &state->tarps.items[i], report);
    for (size_t i = 0; i < state->log->entries.count; i++)
        doubt_time(state, &state->log->entries.items[i], report);
}

/* ---- What cannot be ---------------------------------------------------------------------------
 */

/* No machine cuts faster than it drives on the road. */
static sb_status check_speed(const sb_log_state *state, size_t index, sb_report *report)
{
    const sb_log_entry *entry = &state->log->entries.items[index];
    for (size_t s = 0; s < state->steps.count; s++) {
        const sb_log_step *step = &state->steps.items[s];
        if (step->entry != index || step->field < 0 || entry->from == SB_NO_MOMENT)
            continue;
        const sb_field *field = &state->season->fields[step->field];
        const sb_machine *machine = &state->season->setup.machines[step->machine];
        double ha = step->share * field->area_ha, minutes = (double)(entry->to - entry->from);
        double most_ha = machine->header_m * machine->road_km_h / 10 * minutes / 60;
        if (ha > LEAST_HA && ha > most_ha)
            return sb_bad(report, state->log->path, entry->line,
                          "%.3g ha of '%s' cut in %.0f minutes, expected at most %.2g: a header of "
                          "%.3g m at the %.3g km/h that '%s' drives on the road",
                          ha, field->name, minutes, most_ha, machine->header_m, machine->road_km_h,
                          machine->id);
    }
    return SB_OK;
}

static sb_status check_weight(const sb_log_state *state, size_t index, sb_report *report)
{
    const sb_log_entry *entry = &state->log->entries.items[index];
    for (size_t i = 0; i < state->tarps.count && !isnan(entry->tarp_kg); i++) {
        const sb_tarp_state *tarp = &state->tarps.items[i];
        double holds_kg = machine_kg(state->season, tarp->machine);
        bool about = tarp->entry == index || entry->counts == (long)tarp->entry + 1;
        if (about && entry->tarp_kg > IMPOSSIBLE_TIMES * holds_kg)
            return sb_bad(report, state->log->path, entry->line,
                          "%g kg on the tarp, expected at most %.0f kg: the machine holds about "
                          "%.0f kg",
                          entry->tarp_kg, IMPOSSIBLE_TIMES * holds_kg, holds_kg);
    }
    return SB_OK;
}

/* A level that takes nothing out is no cleanout. */
static sb_status check_level(const sb_log_state *state, const sb_log_entry *entry,
                             sb_report *report)
{
    return strcmp(entry->cleanout, state->season->setup.cleanouts[0].id) != 0
               ? SB_OK
               : sb_bad(report, state->log->path, entry->line,
                        "a cleanout '%s', which cleans nothing, expected what was done",
                        entry->cleanout);
}

/* The same weed by its class and by its density: which holds? */
static sb_status check_rated_once(const sb_log_state *state, const sb_log_entry *entry,
                                  sb_report *report)
{
    for (size_t i = 0; i < entry->words.count; i++) {
        char id[SB_MAX_WEED_ID], other[SB_MAX_WEED_ID + sizeof "weed:"];
        bool density;
        if (!sb_log_weed_word(&entry->words.items[i], id, &density) || !density)
            continue;
        snprintf(other, sizeof other, "weed:%s", id);
        const char *class = sb_log_entry_word(entry, other);
        if (class != NULL)
            return sb_bad(report, state->log->path, entry->line,
                          "%s of '%s' rated twice, %s and %s plants/m2, expected one of them", id,
                          entry->field, class, entry->words.items[i].value);
    }
    return SB_OK;
}

/* Nothing is dropped before it was cut in part. */
static sb_status check_dropped(const sb_log_state *state, size_t index, sb_report *report)
{
    const sb_log_entry *entry = &state->log->entries.items[index];
    char said[17], until[17];
    for (size_t i = 0; i < index; i++) {
        const sb_log_entry *cut = &state->log->entries.items[i];
        if (cut->kind != SB_LOG_CUT || cut->is_struck || cut->to <= entry->at ||
            strcmp(cut->field, entry->field) != 0)
            continue;
        sb_moment_format(entry->at, said);
        sb_moment_format(cut->to, until);
        return sb_bad(
            report, state->log->path, entry->line,
            "field '%s' dropped at %s, expected no earlier than %s, when a part of it was "
            "cut (entry %ld)",
            entry->field, said, until, cut->number);
    }
    return SB_OK;
}

static sb_status check_seedlings(const sb_log_state *state, const sb_log_entry *entry,
                                 sb_report *report)
{
    for (size_t i = 0; i < state->season->n_fields; i++) {
        if (strcmp(state->season->fields[i].name, entry->field) != 0)
            continue;
        const sb_log_entry *cut = &state->log->entries.items[state->fields[i].entry];
        char said[17], until[17];
        if (cut->kind != SB_LOG_CUT || entry->at >= cut->to)
            return SB_OK;
        sb_moment_format(entry->at, said);
        sb_moment_format(cut->to, until);
        return sb_bad(report, state->log->path, entry->line,
                      "seedlings in '%s' at %s, expected them after %s, when it was cut (entry "
                      "%ld)",
                      entry->field, said, until, cut->number);
    }
    return SB_OK;
}

sb_status sb_log_check_new(const sb_log_state *state, size_t index, sb_report *report)
{
    const sb_log_entry *entry = &state->log->entries.items[index];
    sb_text outside = {0};
    sb_status status = SB_OK;
    int day = (int)(entry->to / SB_MINUTES_PER_DAY);
    bool work = entry->kind == SB_LOG_CLEANOUT || entry->kind == SB_LOG_AWAY;
    if (work && sb_log_add_outside(state->season, day, day, WORK_DAYS_OUTSIDE, &outside))
        status = sb_bad(report, state->log->path, entry->line, "'%s' %s", entry->machine,
                        sb_text_get(&outside));
    sb_text_release(&outside);
    if (status == SB_OK && entry->kind == SB_LOG_CUT)
        status = check_speed(state, index, report);
    if (status == SB_OK)
        status = check_weight(state, index, report);
    if (status == SB_OK && entry->kind == SB_LOG_SEEDLINGS)
        status = check_seedlings(state, entry, report);
    if (status == SB_OK && entry->kind == SB_LOG_CLEANOUT)
        status = check_level(state, entry, report);
    if (status == SB_OK && (entry->kind == SB_LOG_RATING || entry->kind == SB_LOG_ADDED))
        status = check_rated_once(state, entry, report);
    if (status == SB_OK && entry->kind == SB_LOG_DROPPED)
        status = check_dropped(state, index, report);
    return status;
}

/* ---- A new field ------------------------------------------------------------------------------
 */

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
