/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a joined season answers. */
#include "season/season.h"

#include <math.h>

#include "base/mem.h"
#include "base/near.h"

void sb_field_release(sb_field *field)
{
    sb_free(field->name);
    sb_free(field->whole);
    for (size_t i = 0; i < field->n_parts; i++)
        sb_part_release(&field->parts[i]);
    sb_free(field->parts);
    sb_free(field->after);
    sb_free(field->after_at);
    sb_free(field->only);
    sb_free(field->apart);
    for (size_t i = 0; i < field->n_points; i++)
        sb_free(field->points[i].name);
    sb_free(field->points);
    *field = (sb_field){0};
}

bool sb_has_own_name(const sb_machine *machine)
{
    return sb_edits_between(machine->name, machine->id) > 0;
}

static void release_warning(sb_warning *warning)
{
    sb_free(warning->file);
    sb_free(warning->text);
}

bool sb_season_keep_warning(sb_season *season, const char *file, size_t line, const char *text)
{
    sb_warning warning = {.line = line, .text = sb_strdup(text)};
    if (file != NULL)
        warning.file = sb_strdup(file);
    if (warning.text != NULL && (file == NULL || warning.file != NULL) &&
        SB_PUSH(&season->warnings, warning))
        return true;
    release_warning(&warning);
    return false;
}

void sb_season_free(sb_season *season)
{
    if (season == NULL)
        return;
    sb_setup_release(&season->setup);
    for (size_t i = 0; i < season->n_growers; i++)
        sb_free(season->growers[i]);
    sb_free(season->growers);
    sb_free(season->grower_most);
    for (size_t i = 0; i < season->n_fields; i++)
        sb_field_release(&season->fields[i]);
    sb_free(season->fields);
    for (size_t i = 0; i < season->n_yards; i++)
        sb_free(season->yards[i].name);
    sb_free(season->yards);
    sb_free(season->km);
    sb_free(season->joins);
    sb_free(season->cut_since);
    for (size_t i = 0; i < season->assumptions.count; i++) {
        sb_free(season->assumptions.items[i].text);
        sb_free(season->assumptions.items[i].source);
    }
    sb_free(season->assumptions.items);
    for (size_t i = 0; i < season->warnings.count; i++)
        release_warning(&season->warnings.items[i]);
    sb_free(season->warnings.items);
    for (size_t i = 0; i < season->files.count; i++)
        sb_free(season->files.items[i]);
    sb_free(season->files.items);
    sb_lessons_release(&season->lessons);
    sb_factors_release(&season->learned);
    for (size_t i = 0; i < season->patches.count; i++) {
        sb_free(season->patches.items[i].name);
        sb_free(season->patches.items[i].field);
    }
    sb_free(season->patches.items);
    sb_free(season);
}

size_t sb_season_field_count(const sb_season *season)
{
    return season->n_fields;
}

size_t sb_season_machine_count(const sb_season *season)
{
    return season->setup.n_machines;
}

static sb_lonlat place(const sb_season *season, int at)
{
    size_t i = (size_t)at;
    return i < season->n_fields ? season->fields[i].place
                                : season->yards[i - season->n_fields].place;
}

double sb_season_km(const sb_season *season, int from, int to)
{
    if (season->km != NULL)
        return season->km[(size_t)from * season->n_places + (size_t)to];
    if (from == to)
        return 0;
    /* Smaller index first: there and back are the same to the last bit. */
    sb_lonlat a = place(season, from < to ? from : to), b = place(season, from < to ? to : from);
    return sb_distance_m(a, b) / 1000 * season->setup.detour;
}

int sb_season_yard_place(const sb_season *season, int machine)
{
    return (int)season->n_fields + season->joins[machine].yard;
}

int sb_season_start_place(const sb_season *season, int machine)
{
    return (int)season->n_fields + season->joins[machine].start;
}

double sb_season_cutting_hours(const sb_season *season, int machine, int field)
{
    const sb_machine *m = &season->setup.machines[machine];
    const sb_field *f = &season->fields[field];
    double rate = m->crop_ha_per_hour != NULL ? m->crop_ha_per_hour[f->crop] : NAN;
    return f->area_ha / (isnan(rate) ? m->ha_per_hour : rate);
}

double sb_season_travel_cost(const sb_season *season, int machine, double km)
{
    const sb_machine *m = &season->setup.machines[machine];
    if (isnan(km))
        return INFINITY;
    return km * m->cost_per_km + km / m->road_km_h * m->cost_per_hour;
}

double sb_season_cleanout_cost(const sb_season *season, int cleanout)
{
    const sb_setup *setup = &season->setup;
    const sb_cleanout *level = &setup->cleanouts[cleanout];
    double per_hour = level->people * setup->wage_per_hour + setup->lost_time_per_hour;
    return level->supplies_cost + level->minutes / 60 * per_hour;
}

double sb_season_ground_share(const sb_season *season, int machine, int section, int weed)
{
    const sb_section *s = &season->setup.machines[machine].sections[section];
    return 1 - (season->setup.weeds[weed].large_seed ? s->tank_share_large : s->tank_share_small);
}

double sb_season_grower_most(const sb_season *season, int grower)
{
    double most = season->setup.limits.loss_per_grower;
    return grower >= 0 && season->grower_most != NULL ? fmin(most, season->grower_most[grower])
                                                      : most;
}

bool sb_season_satisfies(const sb_season *season, int done, int demanded)
{
    if (demanded < 0)
        return true;
    /* Nothing on record is level 0: it keeps everything. */
    const sb_cleanout *have = &season->setup.cleanouts[done < 0 ? 0 : done];
    const sb_cleanout *need = &season->setup.cleanouts[demanded];
    for (size_t s = 0; s < season->setup.n_sections; s++)
        if (have->keep_loose[s] > need->keep_loose[s] ||
            have->keep_lodged[s] > need->keep_lodged[s])
            return false;
    return true;
}

bool sb_season_clears(const sb_season *season, int done, const sb_apart *apart)
{
    if (apart->cleanout >= 0)
        return sb_season_satisfies(season, done, apart->cleanout);
    return done >= 0 && season->setup.cleanouts[done].full;
}

bool sb_season_starts_after(const sb_season *season, int machine, const sb_apart *apart)
{
    const struct sb_machine_join *join = &season->joins[machine];
    size_t at = (size_t)machine * season->n_growers + (size_t)apart->grower;
    if (apart->grower >= 0 && season->cut_since != NULL &&
        (season->cut_since[at] >> sb_apart_slot(apart) & 1))
        return true;
    return season->setup.machines[machine].start == SB_START_FIELD &&
           join->start_grower == apart->grower &&
           !sb_season_clears(season, join->start_cleanout, apart);
}

double sb_season_delay_cost(const sb_season *season, int field, double finish_h)
{
    const sb_field *f = &season->fields[field];
    if (f->best_before_day == SB_NO_DAY)
        return 0;
    int late = sb_calendar_day(&season->setup.calendar, finish_h, true) - f->best_before_day;
    return late > 0 ? late * f->delay_cost_per_day : 0;
}

double sb_season_ready_h(const sb_season *season, int field)
{
    int day = season->fields[field].ready_day;
    double ready_h = day == SB_NO_DAY ? 0 : sb_calendar_hours_before(&season->setup.calendar, day);
    return fmax(ready_h, season->fields[field].not_before_h);
}

double sb_season_latest_h(const sb_season *season, int field)
{
    int day = season->fields[field].latest_day;
    return day == SB_NO_DAY ? INFINITY : sb_calendar_hours_through(&season->setup.calendar, day);
}

bool sb_season_has_weed(const sb_season *season, size_t weed)
{
    for (size_t i = 0; i < season->n_fields; i++)
        if (season->fields[i].ratings[weed].density_plants_m2 > 0)
            return true;
    for (size_t m = 0; m < season->setup.n_machines; m++)
        for (size_t pool = 0; pool < 2 * season->setup.n_sections; pool++)
            if (season->joins[m].start_seeds[pool * SB_MAX_WEEDS + weed] > 0)
                return true;
    return false;
}
