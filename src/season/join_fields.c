/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One field from its feature: outline, size, crop, dates and rules that need no other field. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "season/join.h"

/* A stated area further than this from the measured one is doubtful: surveyors and terminals
 * agree within a few per cent even where headlands are counted differently. */
#define AREA_DOUBT 0.05

/* Grain yields outside of this are doubtful; from memory: the best fields of wheat and maize bring
 * some 18 and 38 t/ha. Bushels per acre and kg/ha lie outside. */
#define LEAST_YIELD_T_HA 0.05
#define MOST_YIELD_T_HA 40

#define RAD_PER_DEG 0.017453292519943295

typedef enum { AT_LEAST_ZERO, ABOVE_ZERO } range;

/* The number of a key, if it is stated and in range; otherwise *value stays. */
static bool number(sb_joining *join, const sb_feature *feature, const char *key, range allowed,
                   double *value)
{
    const sb_attribute *stated = sb_join_attribute(feature, key);
    if (stated == NULL)
        return false;
    double parsed;
    if (!sb_parse_double(stated->value, &parsed) || parsed < 0 ||
        (allowed == ABOVE_ZERO && parsed == 0)) {
        SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                    "%s of field '%s' is '%s', expected a number %s", key, feature->name,
                    stated->value, allowed == ABOVE_ZERO ? "above 0" : "of at least 0");
        return false;
    }
    *value = parsed;
    return true;
}

static int date(sb_joining *join, const sb_feature *feature, const char *key)
{
    const sb_attribute *stated = sb_join_attribute(feature, key);
    int day = SB_NO_DAY;
    if (stated != NULL && !sb_date_parse(stated->value, &day))
        SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                    "%s of field '%s' is '%s', expected a date YYYY-MM-DD", key, feature->name,
                    stated->value);
    return day;
}

static void dates(sb_joining *join, const sb_feature *feature, sb_field *field)
{
    field->ready_day = date(join, feature, "ready");
    field->latest_day = date(join, feature, "latest");
    field->best_before_day = date(join, feature, "best_before");
    field->stated[SB_STATED_READY] = sb_join_stated(feature, sb_join_attribute(feature, "ready"));
    field->stated[SB_STATED_LATEST] = sb_join_stated(feature, sb_join_attribute(feature, "latest"));
    if (field->ready_day == SB_NO_DAY)
        return;
    char ready[11], other[11];
    sb_date_format(field->ready_day, ready);
    if (field->latest_day != SB_NO_DAY && field->latest_day < field->ready_day) {
        const sb_attribute *stated = sb_join_attribute(feature, "latest");
        sb_date_format(field->latest_day, other);
        SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                    "field '%s' is ready on %s, after its latest day %s; expected ready first",
                    field->name, ready, other);
    }
    if (field->best_before_day != SB_NO_DAY && field->best_before_day < field->ready_day) {
        const sb_attribute *stated = sb_join_attribute(feature, "best_before");
        sb_date_format(field->best_before_day, other);
        sb_say(join->report, SB_WARNING, sb_join_file(feature, stated), stated->line,
               "field '%s' is best before %s but ready only on %s: every day costs", field->name,
               other, ready);
    }
}

/* Takes the outline over from the feature and judges it. */
static sb_status outline(sb_joining *join, sb_feature *feature, sb_field *field)
{
    field->n_parts = feature->parts.count;
    field->parts = feature->parts.items;
    feature->parts.items = NULL;
    feature->parts.count = feature->parts.capacity = 0;
    field->place = feature->place;
    if (field->n_parts == 0)
        return SB_OK;
    size_t line = field->parts[0].outer.line != 0 ? field->parts[0].outer.line : feature->line;
    sb_flaw flaw;
    sb_status status = sb_parts_flaw(field->parts, field->n_parts, &flaw);
    if (status != SB_OK)
        return status;
    if (flaw.found && flaw.touches_only)
        sb_say(join->report, SB_WARNING, feature->file, line,
               "field '%s': %s at longitude %.7f, latitude %.7f", field->name, flaw.reason,
               flaw.where.lon_deg, flaw.where.lat_deg);
    else if (flaw.found)
        SB_JOIN_BAD(join, feature->file, line,
                    "field '%s': %s at longitude %.7f, latitude %.7f; expected a simple outline",
                    field->name, flaw.reason, flaw.where.lon_deg, flaw.where.lat_deg);
    for (size_t i = 0; i < field->n_parts; i++)
        field->area_ha += sb_part_area_m2(&field->parts[i]) / 1e4;
    return sb_parts_place(field->parts, field->n_parts, &field->place);
}

/* A degree of longitude is as long as the latitude leaves it: swapped numbers measure another area.
 */
static double swapped_ha(const sb_field *field)
{
    double lon_deg = field->place.lon_deg, lat_deg = field->place.lat_deg;
    if (fabs(lon_deg) >= 90 || fabs(lat_deg) >= 90)
        return NAN;
    return field->area_ha * cos(lon_deg * RAD_PER_DEG) / cos(lat_deg * RAD_PER_DEG);
}

/* A stated area (NAN: none) that the outline has not. */
static void doubt_area(const sb_joining *join, const sb_feature *feature, const sb_field *field)
{
    double stated_ha = field->stated_area_ha, swapped = swapped_ha(field);
    if (!(fabs(stated_ha - field->area_ha) > AREA_DOUBT * field->area_ha))
        return;
    sb_say(join->report, SB_WARNING, feature->file, feature->line,
           "field '%s' measures %.2f ha, but %.2f ha are stated: the measured area is used%s",
           field->name, field->area_ha, stated_ha,
           fabs(stated_ha - swapped) <= AREA_DOUBT * swapped
               ? " (longitude and latitude look swapped: it would then have the stated area)"
               : "");
}

static void size_of(sb_joining *join, const sb_feature *feature, sb_field *field)
{
    field->stated_area_ha = NAN;
    size_t before = join->errors;
    number(join, feature, "area_ha", ABOVE_ZERO, &field->stated_area_ha);
    if (join->errors > before)
        return;
    bool measured = field->n_parts > 0;
    if (!measured && isnan(field->stated_area_ha))
        SB_JOIN_BAD(join, feature->file, feature->line,
                    "field '%s' has no polygon and no area, expected an outline or area_ha (a "
                    "yard or a scouting point needs its role)",
                    field->name);
    else if (!measured && feature->kind == SB_FEATURE_AREA)
        SB_JOIN_BAD(join, feature->file, feature->line,
                    "field '%s' has no place, expected an outline or a point with area_ha",
                    field->name);
    else if (measured && !(field->area_ha > 0))
        SB_JOIN_BAD(join, feature->file, feature->line,
                    "field '%s' has an area of 0 ha, expected an outline around some land",
                    field->name);
    if (!measured)
        field->area_ha = isnan(field->stated_area_ha) ? 1 : field->stated_area_ha;
    else
        doubt_area(join, feature, field);
}

static void doubt_yield(const sb_joining *join, const sb_feature *feature, const sb_field *field)
{
    const sb_attribute *stated = sb_join_attribute(feature, "yield_t_ha");
    if (field->yield_t_ha < LEAST_YIELD_T_HA || field->yield_t_ha > MOST_YIELD_T_HA)
        sb_say(join->report, SB_WARNING, sb_join_file(feature, stated), stated->line,
               "field '%s' yields %g t/ha, expected %g to %g tonnes per hectare: another unit?",
               field->name, field->yield_t_ha, LEAST_YIELD_T_HA, (double)MOST_YIELD_T_HA);
}

static void crop(sb_joining *join, const sb_feature *feature, sb_field *field)
{
    const sb_setup *setup = &join->season->setup;
    const sb_attribute *stated = sb_join_attribute(feature, "crop");
    field->crop_assumed = stated == NULL;
    if (stated != NULL) {
        int index = sb_find_crop(setup, stated->value);
        field->crop = index >= 0 ? index : 0;
        if (index < 0) {
            sb_text known = {0};
            sb_join_add_expected(&known, stated->value, setup->crops, setup->n_crops,
                                 sizeof *setup->crops);
            SB_JOIN_BAD(join, sb_join_file(feature, stated), stated->line,
                        "unknown crop '%s' of field '%s', expected %s", stated->value,
                        feature->name, sb_text_get(&known));
            sb_text_release(&known);
        }
    }
    const sb_crop *of = &setup->crops[field->crop];
    field->yield_t_ha = of->yield_t_ha;
    if (number(join, feature, "yield_t_ha", ABOVE_ZERO, &field->yield_t_ha))
        doubt_yield(join, feature, field);
}

static void rules(sb_joining *join, const sb_feature *feature, sb_field *field)
{
    field->worth = 1;
    number(join, feature, "worth", AT_LEAST_ZERO, &field->worth);
    field->tank_limit_seeds_kg = INFINITY;
    number(join, feature, "tank_limit_seeds_kg", AT_LEAST_ZERO, &field->tank_limit_seeds_kg);
    field->stated[SB_STATED_TANK_LIMIT] =
        sb_join_stated(feature, sb_join_attribute(feature, "tank_limit_seeds_kg"));
    number(join, feature, "gate_m", ABOVE_ZERO, &field->gate_m);
    number(join, feature, "slope_percent", AT_LEAST_ZERO, &field->slope_percent);
    field->entry = -1;
    const sb_attribute *entry = sb_join_attribute(feature, "entry");
    field->stated[SB_STATED_ENTRY] = sb_join_stated(feature, entry);
    if (entry != NULL)
        field->entry =
            sb_join_cleanout(join, entry->value, sb_join_file(feature, entry), entry->line);
}

/* Growers are numbered as they are met. */
static sb_status grower(sb_joining *join, const sb_feature *feature, sb_field *field)
{
    sb_season *season = join->season;
    const sb_attribute *stated = sb_join_attribute(feature, "grower");
    const char *name = stated != NULL ? stated->value : feature->folder;
    field->grower = -1;
    if (name == NULL || *name == '\0')
        return SB_OK;
    /* Of the folders around it the outermost stands for the grower. */
    size_t length = stated != NULL ? strlen(name) : strcspn(name, "/");
    for (size_t i = 0; i < season->n_growers; i++)
        if (strlen(season->growers[i]) == length &&
            strncmp(season->growers[i], name, length) == 0) {
            field->grower = (int)i;
            return SB_OK;
        }
    char **grown = sb_resize(season->growers, season->n_growers + 1, sizeof *grown);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    season->growers = grown;
    char *copy = sb_strndup(name, length);
    if (copy == NULL)
        return SB_ERR_NOMEM;
    field->grower = (int)season->n_growers;
    season->growers[season->n_growers++] = copy;
    return SB_OK;
}

sb_status sb_join_field(sb_joining *join, sb_feature *feature, sb_field *field)
{
    field->file = feature->file;
    field->line = feature->line;
    field->name = sb_strdup(feature->name);
    if (field->name == NULL)
        return SB_ERR_NOMEM;
    sb_status status = grower(join, feature, field);
    if (status == SB_OK)
        status = outline(join, feature, field);
    if (status != SB_OK)
        return status;
    size_of(join, feature, field);
    crop(join, feature, field);
    dates(join, feature, field);
    rules(join, feature, field);
    return SB_OK;
}
