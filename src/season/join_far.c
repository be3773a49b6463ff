/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fields and yards that lie far from the others, and numbers that look swapped: read the other way
 * round they would lie beside them. */
#include <math.h>
#include <stdio.h>
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

static double km_between(sb_lonlat a, sb_lonlat b)
{
    return sb_distance_m(a, b) / 1000;
}

/* Does a place lie far from another, but beside it with longitude and latitude swapped? */
static bool swap_fits(sb_lonlat beside, sb_lonlat place)
{
    sb_lonlat swapped = {place.lat_deg, place.lon_deg};
    double km = km_between(beside, place);
    return fabs(swapped.lat_deg) <= 90 && km > ISLAND_KM &&
           km_between(beside, swapped) * SWAPPED_TIMES < km;
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

/* What is looked at: all fields, and those of them whose numbers look swapped. */
typedef struct view {
    sb_joining *join;
    bool *swapped; /* by field */
    size_t n_swapped;
    double *values; /* room for a number of each field */
    sb_lonlat centre;
    double usual_km; /* from the centre to a field */
} view;

/* ---- Several fields swapped ---- */

/* Those whose numbers, swapped, would lie beside this field. */
static void mark_beside(view *v, size_t field)
{
    const sb_season *season = v->join->season;
    v->n_swapped = 0;
    for (size_t i = 0; i < season->n_fields; i++) {
        v->swapped[i] = swap_fits(season->fields[field].place, season->fields[i].place);
        v->n_swapped += v->swapped[i];
    }
}

/* Marks the smaller part of the fields where they lie in two places that swapping makes one. */
static void mark_swapped(view *v)
{
    size_t n = v->join->season->n_fields, other = 0;
    mark_beside(v, 0);
    if (2 * v->n_swapped <= n)
        return;
    while (!v->swapped[other])
        other++;
    mark_beside(v, other);
}

static void tell_swapped(const view *v)
{
    const sb_season *season = v->join->season;
    size_t first = 0, beside = 0;
    while (!v->swapped[first])
        first++;
    while (v->swapped[beside])
        beside++;
    const sb_field *field = &season->fields[first], *other = &season->fields[beside];
    char more[40] = "";
    if (v->n_swapped > 1)
        snprintf(more, sizeof more, " and %zu more", v->n_swapped - 1);
    sb_say(v->join->report, SB_WARNING, field->file, field->line,
           "field '%s'%s lie%s %.0f km from '%s'%s: longitude and latitude look swapped%s",
           field->name, more, v->n_swapped == 1 ? "s" : "", km_between(other->place, field->place),
           other->name, season->n_fields - v->n_swapped > 1 ? " and the others" : "",
           2 * v->n_swapped == season->n_fields ? ", in these or in those" : "");
}

/* ---- Far from the middle ---- */

/* Middle longitude and latitude of those that do not look swapped: unlike the mean, one stray
 * field does not move it. */
static void find_centre(view *v)
{
    const sb_season *season = v->join->season;
    double origin_deg = season->fields[0].place.lon_deg;
    size_t n = 0;
    for (size_t i = 0; i < season->n_fields; i++)
        if (!v->swapped[i])
            v->values[n++] = remainder(season->fields[i].place.lon_deg - origin_deg, 360);
    v->centre.lon_deg = remainder(origin_deg + middle(v->values, n), 360);
    n = 0;
    for (size_t i = 0; i < season->n_fields; i++)
        if (!v->swapped[i])
            v->values[n++] = season->fields[i].place.lat_deg;
    v->centre.lat_deg = middle(v->values, n);
    n = 0;
    for (size_t i = 0; i < season->n_fields; i++)
        if (!v->swapped[i])
            v->values[n++] = km_between(v->centre, season->fields[i].place);
    v->usual_km = middle(v->values, n);
}

static void warn_islands(const view *v)
{
    const sb_season *season = v->join->season;
    for (size_t i = 0; i < season->n_fields && season->n_fields >= 3; i++) {
        const sb_field *field = &season->fields[i];
        double km = km_between(v->centre, field->place);
        if (!v->swapped[i] && km > ISLAND_KM && km > ISLAND_TIMES * v->usual_km)
            sb_say(v->join->report, SB_WARNING, field->file, field->line,
                   "field '%s' lies %.0f km from the middle of the fields, more than %.0f times "
                   "the usual %.1f km: %s",
                   field->name, km, ISLAND_TIMES, v->usual_km,
                   swap_fits(v->centre, field->place) ? "longitude and latitude look swapped"
                                                      : "are its coordinates right");
    }
}

/* A yard tells as much about the fields as they do about it; scouting points decide. */
static void warn_far_yards(const view *v)
{
    const sb_joining *join = v->join;
    for (size_t i = 0; i < join->n_yards; i++) {
        const sb_yard *yard = &join->season->yards[i];
        double km = km_between(v->centre, yard->place);
        if (km <= FAR_YARD_KM || km <= ISLAND_TIMES * v->usual_km)
            continue;
        const char *doubt = "are its coordinates right";
        if (swap_fits(v->centre, yard->place))
            doubt = join->points_swapped
                        ? "longitude and latitude look swapped, those of the fields: scouting "
                          "points do not lie in them either"
                        : "longitude and latitude look swapped, its own or those of the fields";
        sb_say(join->report, SB_WARNING, join->yards[i]->file, join->yards[i]->line,
               "yard '%s' lies %.0f km from the fields: %s", yard->name, km, doubt);
    }
}

sb_status sb_join_doubt_places(sb_joining *join)
{
    view v = {.join = join};
    size_t n = join->season->n_fields;
    v.swapped = sb_alloc(n, sizeof *v.swapped);
    v.values = sb_alloc(n, sizeof *v.values);
    bool fine = v.swapped != NULL && v.values != NULL;
    if (fine) {
        mark_swapped(&v);
        if (v.n_swapped > 1 || (v.n_swapped == 1 && n == 2))
            tell_swapped(&v);
        else /* a single one is told as an island */
            memset(v.swapped, 0, n * sizeof *v.swapped);
        find_centre(&v);
        warn_islands(&v);
        warn_far_yards(&v);
    }
    sb_free(v.swapped);
    sb_free(v.values);
    return fine ? SB_OK : SB_ERR_NOMEM;
}
