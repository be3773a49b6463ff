/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How far it is from place to place. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "season/join.h"

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
    return status == SB_OK ? sb_join_doubt_places(join) : status;
}
