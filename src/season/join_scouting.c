/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Scouting points go to the field that contains them. */
#include <math.h>

#include "base/mem.h"
#include "season/join.h"
#include "season/join_weeds.h"

static bool contains(const sb_field *field, sb_lonlat place)
{
    for (size_t i = 0; i < field->n_parts; i++)
        if (sb_part_contains(&field->parts[i], place))
            return true;
    return false;
}

static sb_field *field_around(const sb_joining *join, sb_lonlat place)
{
    for (size_t i = 0; i < join->season->n_fields; i++)
        if (contains(&join->season->fields[i], place))
            return &join->season->fields[i];
    for (size_t i = 0; i < join->n_cut; i++)
        if (contains(&join->cut[i], place))
            return &join->cut[i];
    return NULL;
}

static sb_status add_point(sb_field *field, const sb_feature *feature, const sb_rating *ratings)
{
    sb_scout_point *grown = sb_resize(field->points, field->n_points + 1, sizeof *field->points);
    if (grown == NULL)
        return SB_ERR_NOMEM;
    field->points = grown;
    sb_scout_point *point = &field->points[field->n_points];
    *point = (sb_scout_point){.place = feature->place};
    point->name = sb_strdup(feature->name != NULL ? feature->name : "");
    if (point->name == NULL)
        return SB_ERR_NOMEM;
    field->n_points++;
    for (size_t w = 0; w < SB_MAX_WEEDS; w++)
        point->density_plants_m2[w] =
            ratings[w].source != SB_RATING_NONE ? ratings[w].density_plants_m2 : NAN;
    return SB_OK;
}

/* A scouted area (role `scout` on an outline) counts as the point in its middle. */
static sb_status place_of(sb_feature *feature)
{
    if (feature->kind != SB_FEATURE_AREA || feature->parts.count == 0)
        return SB_OK;
    return sb_parts_place(feature->parts.items, feature->parts.count, &feature->place);
}

/* Swapped numbers that both make a latitude cannot be told in a file alone. */
static bool swap_fits(const sb_joining *join, sb_lonlat place)
{
    sb_lonlat swapped = {place.lat_deg, place.lon_deg};
    return fabs(swapped.lat_deg) <= 90 && field_around(join, swapped) != NULL;
}

static void tell_outside(const sb_joining *join, const sb_feature *feature)
{
    sb_say(join->report, SB_WARNING, feature->file, feature->line,
           "scouting point '%s' at longitude %.7f, latitude %.7f lies in no field: not used%s",
           feature->name != NULL ? feature->name : "", feature->place.lon_deg,
           feature->place.lat_deg,
           swap_fits(join, feature->place) ? " (longitude and latitude look swapped)" : "");
}

/* Points that lie in no field, each by itself; in one message where none lies in any, and all do
 * once they are swapped. */
static void tell_all_outside(sb_joining *join, const bool *outside)
{
    size_t n = 0, n_swapped = 0;
    for (size_t i = 0; i < join->n_scouts; i++) {
        n += outside[i];
        n_swapped += outside[i] && swap_fits(join, join->scouts[i]->place);
    }
    join->points_swapped = n_swapped > 0 && n_swapped == join->n_scouts;
    if (join->points_swapped && n > 1) {
        const sb_feature *first = join->scouts[0];
        sb_say(join->report, SB_WARNING, first->file, first->line,
               "none of the %zu scouting points lies in a field: not used; longitude and latitude "
               "look swapped, theirs or those of the fields",
               n);
        return;
    }
    for (size_t i = 0; i < join->n_scouts; i++)
        if (outside[i])
            tell_outside(join, join->scouts[i]);
}

sb_status sb_join_scouting(sb_joining *join)
{
    bool *outside = sb_alloc(join->n_scouts, sizeof *outside);
    sb_status status = outside != NULL ? SB_OK : SB_ERR_NOMEM;
    for (size_t i = 0; i < join->n_scouts && status == SB_OK; i++) {
        sb_feature *feature = join->scouts[i];
        sb_rating ratings[SB_MAX_WEEDS] = {0};
        sb_join_stated_ratings(join, feature, ratings);
        status = place_of(feature);
        sb_field *field = status == SB_OK ? field_around(join, feature->place) : NULL;
        outside[i] = field == NULL;
        if (field != NULL)
            status = add_point(field, feature, ratings);
    }
    if (status == SB_OK)
        tell_all_outside(join, outside);
    sb_free(outside);
    return status;
}
