/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How far it is from place to place, and which field lies far from all others. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "season/join.h"

/* A field is an island when it lies this many times further from the middle than the middle field
 * does, and further than any machine is driven for one field without thinking twice. */
#define ISLAND_TIMES 10.0
#define ISLAND_KM 50.0
/* A yard this far from the fields is doubtful, unless they lie as far apart themselves. */
#define FAR_YARD_KM 200.0
/* Swapped numbers would bring a place this many times nearer: it was meant the other way round. */
#define SWAPPED_TIMES 10.0

sb_lonlat sb_join_centre(const sb_lonlat *places, size_t n)
{
    double east = 0, north = 0;
    for (size_t i = 0; i < n; i++) {
        east += remainder(places[i].lon_deg - places[0].lon_deg, 360);
        north += places[i].lat_deg;
    }
    double lon_deg = remainder(places[0].lon_deg + east / (double)n, 360);
    return (sb_lonlat){lon_deg, north / (double)n};
}

static int ascending(const void *a, const void *b)
{
    double first = *(const double *)a, second = *(const double *)b;
    return (first > second) - (first < second);
}

/* The middle of a list; sorts it. */
static double middle(double *values, size_t n)
{
    qsort(values, n, sizeof *values, ascending);
    return n % 2 ? values[n / 2] : (values[n / 2 - 1] + values[n / 2]) / 2;
}

/* Middle longitude and latitude: unlike the mean, one stray field does not move it. */
static sb_lonlat middle_place(const sb_season *season, double *values)
{
    double origin_deg = season->fields[0].place.lon_deg;
    for (size_t i = 0; i < season->n_fields; i++)
        values[i] = remainder(season->fields[i].place.lon_deg - origin_deg, 360);
    double lon_deg = remainder(origin_deg + middle(values, season->n_fields), 360);
    for (size_t i = 0; i < season->n_fields; i++)
        values[i] = season->fields[i].place.lat_deg;
    return (sb_lonlat){lon_deg, middle(values, season->n_fields)};
}

static double km_between(sb_lonlat a, sb_lonlat b)
{
    return sb_distance_m(a, b) / 1000;
}

/* What may be wrong with a place that lies far from the middle of the fields. */
static const char *doubt(sb_lonlat centre, sb_lonlat place)
{
    sb_lonlat swapped = {place.lat_deg, place.lon_deg};
    bool fits = fabs(swapped.lat_deg) <= 90 &&
                km_between(centre, swapped) * SWAPPED_TIMES < km_between(centre, place);
    return fits ? "longitude and latitude look swapped" : "are its coordinates right";
}

static void warn_islands(sb_joining *join, sb_lonlat centre, double usual_km)
{
    const sb_season *season = join->season;
    for (size_t i = 0; i < season->n_fields && season->n_fields >= 3; i++) {
        const sb_field *field = &season->fields[i];
        double km = km_between(centre, field->place);
        if (km > ISLAND_KM && km > ISLAND_TIMES * usual_km)
            sb_say(join->report, SB_WARNING, field->file, field->line,
                   "field '%s' lies %.0f km from the middle of the fields, more than %.0f times "
                   "the usual %.1f km: %s",
                   field->name, km, ISLAND_TIMES, usual_km, doubt(centre, field->place));
    }
}

static void warn_far_yards(sb_joining *join, sb_lonlat centre, double usual_km)
{
    const sb_season *season = join->season;
    for (size_t i = 0; i < join->n_yards; i++) {
        const sb_yard *yard = &season->yards[i];
        double km = km_between(centre, yard->place);
        if (km > FAR_YARD_KM && km > ISLAND_TIMES * usual_km)
            sb_say(join->report, SB_WARNING, join->yards[i]->file, join->yards[i]->line,
                   "yard '%s' lies %.0f km from the fields: %s", yard->name, km,
                   doubt(centre, yard->place));
    }
}

static sb_status warn_far_places(sb_joining *join)
{
    const sb_season *season = join->season;
    double *values = sb_alloc(season->n_fields, sizeof *values);
    if (values == NULL)
        return SB_ERR_NOMEM;
    sb_lonlat centre = middle_place(season, values);
    for (size_t i = 0; i < season->n_fields; i++)
        values[i] = km_between(centre, season->fields[i].place);
    double usual_km = middle(values, season->n_fields);
    sb_free(values);
    warn_islands(join, centre, usual_km);
    warn_far_yards(join, centre, usual_km);
    return SB_OK;
}

/* ---- Distances ---- */

static const char *place_name(const sb_season *season, size_t place)
{
    return place < season->n_fields ? season->fields[place].name
                                    : season->yards[place - season->n_fields].name;
}

static bool is_used(const sb_season *season, size_t place)
{
    if (place < season->n_fields)
        return true;
    for (size_t m = 0; m < season->setup.n_machines; m++)
        if ((size_t)season->joins[m].yard == place - season->n_fields)
            return true;
    return false;
}

/* The row of a place in the travel table, or SIZE_MAX. */
static size_t table_row(const sb_travel_table *table, const char *name)
{
    for (size_t i = 0; i < table->n; i++)
        if (strcmp(table->names[i], name) == 0)
            return i;
    return SIZE_MAX;
}

static sb_status km_from_table(sb_joining *join)
{
    sb_season *season = join->season;
    const sb_travel_table *table = &join->draft->travel;
    size_t n = season->n_places;
    size_t *rows = sb_alloc(n, sizeof *rows);
    season->km = sb_alloc(n * n, sizeof *season->km);
    season->km_from_table = true;
    if (rows == NULL || season->km == NULL) {
        sb_free(rows);
        return SB_ERR_NOMEM;
    }
    for (size_t i = 0; i < n; i++) {
        rows[i] = table_row(table, place_name(season, i));
        if (i < season->n_fields && rows[i] == SIZE_MAX && season->fields[i].whole != NULL)
            rows[i] = table_row(table, season->fields[i].whole);
        if (rows[i] == SIZE_MAX && is_used(season, i))
            SB_JOIN_BAD(join, table->file, 1, "the travel table does not name the %s '%s'",
                        i < season->n_fields ? "field" : "yard", place_name(season, i));
    }
    for (size_t from = 0; from < n; from++)
        for (size_t to = 0; to < n; to++) {
            bool known = rows[from] != SIZE_MAX && rows[to] != SIZE_MAX;
            double km = known ? table->km[rows[from] * table->n + rows[to]] : NAN;
            season->km[from * n + to] = from == to ? 0 : km;
        }
    sb_free(rows);
    return SB_OK;
}

static sb_status km_from_geodesics(sb_season *season)
{
    size_t n = season->n_places;
    if (n > SB_MAX_KM_PLACES)
        return SB_OK;
    double *km = sb_alloc(n * n, sizeof *km);
    if (km == NULL)
        return SB_ERR_NOMEM;
    for (size_t from = 0; from < n; from++)
        for (size_t to = 0; to < from; to++)
            km[from * n + to] = km[to * n + from] = sb_season_km(season, (int)from, (int)to);
    season->km = km;
    return SB_OK;
}

sb_status sb_join_places(sb_joining *join)
{
    sb_season *season = join->season;
    season->n_places = season->n_fields + season->n_yards;
    sb_status status = join->draft->travel.n > 0 ? km_from_table(join) : km_from_geodesics(season);
    return status == SB_OK ? warn_far_places(join) : status;
}
