/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `check --json`: what was read, and every number the model will use, so that anyone can work out
 * a plan by hand (docs/formats.md). */
#include <math.h>

#include "base/report.h"
#include "season/service.h"
#include "write/json_out.h"
#include "write/stream.h"

/* The table of distances is left out (null) beyond this many places: it would be larger than
 * anybody reads, 100 MB and more. */
#define MOST_PLACES 2000

static json_t *date(int day)
{
    if (day == SB_NO_DAY)
        return json_null();
    char text[11];
    sb_date_format(day, text);
    return json_string(text);
}

static json_t *level(const sb_season *season, int cleanout)
{
    return cleanout < 0 ? json_null() : sb_json_text(season->setup.cleanouts[cleanout].id);
}

/* ---- What was read ---- */

/* A class label as a number when it is one, else as it stands. */
static json_t *label(const char *text)
{
    double value;
    if (!sb_parse_double(text, &value))
        return sb_json_text(text);
    return value == floor(value) && fabs(value) < 1e9 ? json_integer((json_int_t)value)
                                                      : json_real(value);
}

static json_t *ratings(const sb_season *season, const sb_field *field, bool *ok)
{
    json_t *object = json_object();
    for (size_t w = 0; w < season->setup.n_weeds; w++) {
        const sb_rating *rating = &field->ratings[w];
        if (rating->source != SB_RATING_NONE)
            sb_json_put(object, season->setup.weeds[w].id,
                        label(season->setup.scale.labels[rating->class_index]), ok);
    }
    return object;
}

static json_t *rating_details(const sb_season *season, const sb_field *field, bool *ok)
{
    static const char *const sources[] = {"none", "class", "density", "scouted"};
    json_t *object = json_object();
    for (size_t w = 0; w < season->setup.n_weeds; w++) {
        const sb_rating *rating = &field->ratings[w];
        if (rating->source == SB_RATING_NONE)
            continue;
        json_t *detail = json_object();
        sb_json_put(detail, "source", json_string(sources[rating->source]), ok);
        sb_json_put(detail, "plants_m2", sb_json_number(rating->density_plants_m2), ok);
        sb_json_put(detail, "low", sb_json_number(rating->low), ok);
        sb_json_put(detail, "high", sb_json_number(rating->high), ok);
        sb_json_put(detail, "sd", sb_json_number(rating->sd), ok);
        sb_json_put(detail, "points", json_integer((json_int_t)rating->n_points), ok);
        sb_json_put(object, season->setup.weeds[w].id, detail, ok);
    }
    return object;
}

static json_t *field_read(const sb_season *season, const sb_field *field, bool *ok)
{
    size_t holes = 0, vertices = 0;
    for (size_t p = 0; p < field->n_parts; p++) {
        const sb_part *part = &field->parts[p];
        holes += part->n_holes;
        vertices += part->outer.count;
        for (size_t h = 0; h < part->n_holes; h++)
            vertices += part->holes[h].count;
    }
    json_t *object = json_object();
    sb_json_put(object, "name", sb_json_text(field->name), ok);
    sb_json_put(object, "grower",
                sb_json_text(field->grower < 0 ? NULL : season->growers[field->grower]), ok);
    sb_json_put(object, "area_ha", sb_json_number(field->area_ha), ok);
    sb_json_put(object, "stated_area_ha", sb_json_number(field->stated_area_ha), ok);
    sb_json_put(object, "parts", json_integer((json_int_t)field->n_parts), ok);
    sb_json_put(object, "holes", json_integer((json_int_t)holes), ok);
    sb_json_put(object, "vertices", json_integer((json_int_t)vertices), ok);
    sb_json_put(object, "crop", sb_json_text(season->setup.crops[field->crop].id), ok);
    sb_json_put(object, "crop_assumed", json_boolean(field->crop_assumed), ok);
    sb_json_put(object, "ratings", ratings(season, field, ok), ok);
    sb_json_put(object, "rating_details", rating_details(season, field, ok), ok);
    sb_json_put(object, "lon", sb_json_number(field->place.lon_deg), ok);
    sb_json_put(object, "lat", sb_json_number(field->place.lat_deg), ok);
    sb_json_put(object, "file", sb_json_text(field->file), ok);
    sb_json_put(object, "line", json_integer((json_int_t)field->line), ok);
    return object;
}

static json_t *yards(const sb_season *season, bool *ok)
{
    json_t *array = json_array();
    for (size_t y = 0; y < season->n_yards; y++) {
        json_t *object = json_object();
        sb_json_put(object, "name", sb_json_text(season->yards[y].name), ok);
        sb_json_put(object, "lon", sb_json_number(season->yards[y].place.lon_deg), ok);
        sb_json_put(object, "lat", sb_json_number(season->yards[y].place.lat_deg), ok);
        sb_json_append(array, object, ok);
    }
    return array;
}

static json_t *assumptions(const sb_season *season, bool *ok)
{
    json_t *array = json_array();
    for (size_t i = 0; i < season->assumptions.count; i++) {
        const sb_assumption *assumption = &season->assumptions.items[i];
        json_t *object = json_object();
        sb_json_put(object, "text", sb_json_text(assumption->text), ok);
        sb_json_put(object, "source", sb_json_text(assumption->source), ok);
        sb_json_append(array, object, ok);
    }
    return array;
}

/* ---- The numbers of the model ---- */

static json_t *by_weed(const sb_season *season, const double *values, bool *ok)
{
    json_t *object = json_object();
    for (size_t w = 0; w < season->setup.n_weeds; w++)
        sb_json_put(object, season->setup.weeds[w].id, sb_json_number(values[w]), ok);
    return object;
}

static json_t *weeds(const sb_season *season, bool *ok)
{
    json_t *object = json_object();
    for (size_t w = 0; w < season->setup.n_weeds; w++) {
        const sb_weed *weed = &season->setup.weeds[w];
        json_t *one = json_object();
        sb_json_put(one, "name", sb_json_text(weed->name), ok);
        sb_json_put(one, "seeds_per_plant", sb_json_number(weed->seeds_per_plant), ok);
        sb_json_put(one, "retained", sb_json_number(weed->retained), ok);
        sb_json_put(one, "header_loss", sb_json_number(weed->header_loss), ok);
        sb_json_put(one, "seed", json_string(weed->large_seed ? "large" : "small"), ok);
        sb_json_put(one, "viability", sb_json_number(weed->viability), ok);
        sb_json_put(one, "emergence", sb_json_number(weed->emergence), ok);
        sb_json_put(one, "survival", sb_json_number(weed->survival), ok);
        sb_json_put(one, "control", sb_json_number(weed->control), ok);
        sb_json_put(one, "cost_per_plant", sb_json_number(weed->cost_per_plant), ok);
        sb_json_put(one, "crowding_plants_m2", sb_json_number(weed->crowding_plants_m2), ok);
        sb_json_put(object, weed->id, one, ok);
    }
    return object;
}

static json_t *field_dates(const sb_season *season, int i, json_t *object, bool *ok)
{
    const sb_field *field = &season->fields[i];
    sb_json_put(object, "ready", date(field->ready_day), ok);
    sb_json_put(object, "latest", date(field->latest_day), ok);
    sb_json_put(object, "best_before", date(field->best_before_day), ok);
    sb_json_put(object, "ready_h", sb_json_number(sb_season_ready_h(season, i)), ok);
    sb_json_put(object, "latest_h", sb_json_number(sb_season_latest_h(season, i)), ok);
    sb_json_put(object, "delay_cost_per_day", sb_json_number(field->delay_cost_per_day), ok);
    return object;
}

/* Who may cut it, and after whom it may not be cut. */
static void field_service(const sb_season *season, int i, json_t *object, bool *ok)
{
    const sb_field *field = &season->fields[i];
    json_t *machines = json_array(), *apart = json_array();
    for (size_t m = 0; m < season->setup.n_machines; m++)
        if (sb_season_may_cut(season, (int)m, i))
            sb_json_append(machines, sb_json_text(season->setup.machines[m].id), ok);
    for (size_t a = 0; a < field->n_apart; a++) {
        json_t *rule = json_object();
        sb_json_put(rule, "grower", sb_json_text(season->growers[field->apart[a].grower]), ok);
        sb_json_put(rule, "cleanout", level(season, field->apart[a].cleanout), ok);
        sb_json_append(apart, rule, ok);
    }
    sb_json_put(object, "machines", machines, ok);
    sb_json_put(object, "apart", apart, ok);
    sb_json_put(object, "gate_m", sb_json_number(field->gate_m > 0 ? field->gate_m : NAN), ok);
    sb_json_put(object, "slope_percent", sb_json_number(field->slope_percent), ok);
    sb_json_put(object, "part_of", sb_json_text(field->whole), ok);
}

static json_t *field_numbers(const sb_season *season, int i, bool *ok)
{
    const sb_field *field = &season->fields[i];
    json_t *object = json_object(), *after = json_array();
    for (size_t a = 0; a < field->n_after; a++)
        sb_json_append(after, sb_json_text(season->fields[field->after[a]].name), ok);
    double density[SB_MAX_WEEDS];
    for (size_t w = 0; w < SB_MAX_WEEDS; w++)
        density[w] = field->ratings[w].density_plants_m2;
    sb_json_put(object, "name", sb_json_text(field->name), ok);
    sb_json_put(object, "area_ha", sb_json_number(field->area_ha), ok);
    sb_json_put(object, "yield_t_ha", sb_json_number(field->yield_t_ha), ok);
    sb_json_put(object, "grain_t", sb_json_number(field->grain_t), ok);
    sb_json_put(object, "material_kg_ha", sb_json_number(field->material_kg_ha), ok);
    sb_json_put(object, "plants_m2", by_weed(season, density, ok), ok);
    sb_json_put(object, "seeds_per_kg", by_weed(season, field->seeds_per_kg, ok), ok);
    sb_json_put(object, "worth", sb_json_number(field->worth), ok);
    sb_json_put(object, "occupied", by_weed(season, field->occupied, ok), ok);
    sb_json_put(object, "loss_per_seed", by_weed(season, field->loss_per_seed, ok), ok);
    sb_json_put(object, "entry", level(season, field->entry), ok);
    sb_json_put(object, "after", after, ok);
    field_service(season, i, object, ok);
    sb_json_put(object, "limit_seeds_ha", by_weed(season, field->limit_seeds_ha, ok), ok);
    sb_json_put(object, "tank_limit_seeds_kg", sb_json_number(field->tank_limit_seeds_kg), ok);
    return field_dates(season, i, object, ok);
}

static json_t *sections(const sb_season *season, int m, bool *ok)
{
    const sb_machine *machine = &season->setup.machines[m];
    const double *start = season->joins[m].start_seeds;
    json_t *array = json_array();
    for (size_t s = 0; s < season->setup.n_sections; s++) {
        const sb_section *section = &machine->sections[s];
        double ground[SB_MAX_WEEDS];
        for (size_t w = 0; w < season->setup.n_weeds; w++)
            ground[w] = sb_season_ground_share(season, m, (int)s, (int)w);
        json_t *object = json_object();
        sb_json_put(object, "id", sb_json_text(section->id), ok);
        sb_json_put(object, "kg", sb_json_number(section->kg), ok);
        sb_json_put(object, "lodged_share", sb_json_number(section->lodged_share), ok);
        sb_json_put(object, "tau_loose_t", sb_json_number(section->tau_loose_t), ok);
        sb_json_put(object, "tau_lodged_t", sb_json_number(section->tau_lodged_t), ok);
        sb_json_put(object, "ground_share", by_weed(season, ground, ok), ok);
        sb_json_put(object, "start_loose_seeds",
                    by_weed(season, start + sb_pool((int)s, false) * SB_MAX_WEEDS, ok), ok);
        sb_json_put(object, "start_lodged_seeds",
                    by_weed(season, start + sb_pool((int)s, true) * SB_MAX_WEEDS, ok), ok);
        sb_json_append(array, object, ok);
    }
    return array;
}

static json_t *machine_numbers(const sb_season *season, int m, bool *ok)
{
    const sb_setup *setup = &season->setup;
    const sb_machine *machine = &setup->machines[m];
    json_t *object = json_object(), *rates = json_object();
    for (size_t c = 0; machine->crop_ha_per_hour != NULL && c < setup->n_crops; c++)
        if (!isnan(machine->crop_ha_per_hour[c]))
            sb_json_put(rates, setup->crops[c].id, sb_json_number(machine->crop_ha_per_hour[c]),
                        ok);
    sb_json_put(object, "id", sb_json_text(machine->id), ok);
    sb_json_put(object, "yard", sb_json_text(season->yards[season->joins[m].yard].name), ok);
    sb_json_put(object, "ha_per_hour", sb_json_number(machine->ha_per_hour), ok);
    sb_json_put(object, "crop_ha_per_hour", rates, ok);
    sb_json_put(object, "road_km_h", sb_json_number(machine->road_km_h), ok);
    sb_json_put(object, "cost_per_km", sb_json_number(machine->cost_per_km), ok);
    sb_json_put(object, "cost_per_hour", sb_json_number(machine->cost_per_hour), ok);
    sb_json_put(object, "season_hours", sb_json_number(machine->season_hours), ok);
    sb_window window = sb_season_window(season, m);
    json_t *crops = json_array();
    for (size_t c = 0; c < setup->n_crops; c++)
        if (machine->cuts_crop == NULL || machine->cuts_crop[c])
            sb_json_append(crops, sb_json_text(setup->crops[c].id), ok);
    sb_json_put(object, "from", date(machine->from_day), ok);
    sb_json_put(object, "to", date(machine->to_day), ok);
    sb_json_put(object, "from_h", sb_json_number(window.from_h), ok);
    sb_json_put(object, "to_h", sb_json_number(window.to_h), ok);
    sb_json_put(object, "crops", crops, ok);
    sb_json_put(object, "most_slope_percent", sb_json_number(machine->most_slope_percent), ok);
    sb_json_put(object, "header_m", sb_json_number(machine->header_m), ok);
    sb_json_put(object, "start_cleanout", level(season, season->joins[m].start_cleanout), ok);
    sb_json_put(object, "final_cleanout", level(season, season->joins[m].final_cleanout), ok);
    sb_json_put(object, "sections", sections(season, m, ok), ok);
    return object;
}

static json_t *cleanout_numbers(const sb_season *season, int c, bool *ok)
{
    const sb_setup *setup = &season->setup;
    const sb_cleanout *cleanout = &setup->cleanouts[c];
    json_t *object = json_object(), *keep = json_array(), *needs = json_array();
    for (size_t r = 0; r < setup->n_resources; r++)
        if (cleanout->needs >> r & 1)
            sb_json_append(needs, sb_json_text(setup->resources[r].id), ok);
    for (size_t s = 0; s < setup->n_sections; s++) {
        json_t *one = json_object();
        sb_json_put(one, "section", sb_json_text(setup->machines[0].sections[s].id), ok);
        sb_json_put(one, "loose", sb_json_number(cleanout->keep_loose[s]), ok);
        sb_json_put(one, "lodged", sb_json_number(cleanout->keep_lodged[s]), ok);
        sb_json_append(keep, one, ok);
    }
    sb_json_put(object, "id", sb_json_text(cleanout->id), ok);
    sb_json_put(object, "minutes", sb_json_number(cleanout->minutes), ok);
    sb_json_put(object, "people", sb_json_number(cleanout->people), ok);
    sb_json_put(object, "supplies_cost", sb_json_number(cleanout->supplies_cost), ok);
    sb_json_put(object, "full", json_boolean(cleanout->full), ok);
    sb_json_put(object, "cost", sb_json_number(sb_season_cleanout_cost(season, c)), ok);
    sb_json_put(object, "needs", needs, ok);
    sb_json_put(object, "keep", keep, ok);
    return object;
}

static json_t *resource_numbers(const sb_setup *setup, bool *ok)
{
    json_t *array = json_array();
    for (size_t r = 0; r < setup->n_resources; r++) {
        json_t *object = json_object();
        sb_json_put(object, "id", sb_json_text(setup->resources[r].id), ok);
        sb_json_put(object, "name", sb_json_text(setup->resources[r].name), ok);
        sb_json_put(object, "count", json_integer(setup->resources[r].count), ok);
        sb_json_append(array, object, ok);
    }
    return array;
}

static json_t *distances(const sb_season *season, bool *ok)
{
    if (season->n_places > MOST_PLACES)
        return json_null();
    json_t *rows = json_array();
    for (size_t from = 0; from < season->n_places; from++) {
        json_t *row = json_array();
        for (size_t to = 0; to < season->n_places; to++)
            sb_json_append(row, sb_json_number(sb_season_km(season, (int)from, (int)to)), ok);
        sb_json_append(rows, row, ok);
    }
    return rows;
}

static json_t *places(const sb_season *season, bool *ok)
{
    json_t *array = json_array();
    for (size_t i = 0; i < season->n_fields; i++)
        sb_json_append(array, sb_json_text(season->fields[i].name), ok);
    for (size_t i = 0; i < season->n_yards; i++)
        sb_json_append(array, sb_json_text(season->yards[i].name), ok);
    return array;
}

static json_t *calendar_numbers(const sb_calendar *calendar, bool *ok)
{
    json_t *object = json_object(), *blocked = json_array();
    for (size_t i = 0; i < calendar->n_blocked; i++)
        sb_json_append(blocked, date(calendar->blocked[i]), ok);
    sb_json_put(object, "start", date(calendar->start_day), ok);
    sb_json_put(object, "end", date(calendar->end_day), ok);
    sb_json_put(object, "hours_per_day", sb_json_number(calendar->hours_per_day), ok);
    sb_json_put(object, "day_starts_h", sb_json_number(calendar->day_starts_h), ok);
    sb_json_put(object, "blocked", blocked, ok);
    return object;
}

static json_t *limit_numbers(const sb_season *season, bool *ok)
{
    const sb_limits *limits = &season->setup.limits;
    json_t *object = json_object(), *growers = json_object();
    for (size_t g = 0; season->grower_most != NULL && g < season->n_growers; g++)
        if (isfinite(season->grower_most[g]))
            sb_json_put(growers, season->growers[g], sb_json_number(season->grower_most[g]), ok);
    sb_json_put(object, "full_cleanouts", sb_json_number(limits->full_cleanouts), ok);
    sb_json_put(object, "cleaning_cost", sb_json_number(limits->cleaning_cost), ok);
    sb_json_put(object, "loss_per_grower", sb_json_number(limits->loss_per_grower), ok);
    sb_json_put(object, "loss_of_grower", growers, ok);
    return object;
}

static json_t *season_numbers(const sb_season *season, bool *ok)
{
    const sb_setup *setup = &season->setup;
    json_t *fields = json_array(), *machines = json_array(), *cleanouts = json_array();
    for (size_t i = 0; i < season->n_fields; i++)
        sb_json_append(fields, field_numbers(season, (int)i, ok), ok);
    for (size_t m = 0; m < setup->n_machines; m++)
        sb_json_append(machines, machine_numbers(season, (int)m, ok), ok);
    for (size_t c = 0; c < setup->n_cleanouts; c++)
        sb_json_append(cleanouts, cleanout_numbers(season, (int)c, ok), ok);
    json_t *object = json_object();
    sb_json_put(object, "currency", sb_json_text(setup->currency), ok);
    sb_json_put(object, "calendar", calendar_numbers(&setup->calendar, ok), ok);
    sb_json_put(object, "weeds", weeds(season, ok), ok);
    sb_json_put(object, "fields", fields, ok);
    sb_json_put(object, "machines", machines, ok);
    sb_json_put(object, "cleanouts", cleanouts, ok);
    sb_json_put(object, "resources", resource_numbers(setup, ok), ok);
    sb_json_put(object, "wage_per_hour", sb_json_number(setup->wage_per_hour), ok);
    sb_json_put(object, "lost_time_per_hour", sb_json_number(setup->lost_time_per_hour), ok);
    sb_json_put(object, "limits", limit_numbers(season, ok), ok);
    sb_json_put(object, "detour",
                season->km_from_table ? json_null() : sb_json_number(setup->detour), ok);
    sb_json_put(object, "places", places(season, ok), ok);
    sb_json_put(object, "km", distances(season, ok), ok);
    return object;
}

static sb_status render(const sb_season *season, const sb_report *report, sb_text *text)
{
    bool ok = true;
    json_t *fields = json_array();
    for (size_t i = 0; i < season->n_fields; i++)
        sb_json_append(fields, field_read(season, &season->fields[i], &ok), &ok);
    json_t *root = json_object();
    sb_json_put(root, "fields", fields, &ok);
    sb_json_put(root, "yards", yards(season, &ok), &ok);
    sb_json_put(root, "warnings", sb_messages_json(report, SB_WARNING, &ok), &ok);
    sb_json_put(root, "notes", sb_messages_json(report, SB_NOTE, &ok), &ok);
    sb_json_put(root, "assumptions", assumptions(season, &ok), &ok);
    sb_json_put(root, "season", season_numbers(season, &ok), &ok);
    return sb_json_finish(root, ok, text);
}

sb_status sb_print_check_json(const sb_season *season, const sb_report *report, FILE *stream)
{
    if (season == NULL || stream == NULL)
        return SB_ERR_ARG;
    sb_text text = {0};
    sb_status status = render(season, report, &text);
    if (status == SB_OK)
        status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    return status;
}
