/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "read/outline.h"

#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"

static bool same(sb_lonlat a, sb_lonlat b)
{
    return a.lon_deg == b.lon_deg && a.lat_deg == b.lat_deg;
}

size_t sb_outline_drop_repeats(sb_ring *ring)
{
    size_t kept = 0;
    for (size_t i = 0; i < ring->count; i++)
        if (kept == 0 || !same(ring->items[i], ring->items[kept - 1]))
            ring->items[kept++] = ring->items[i];
    while (kept > 1 && same(ring->items[kept - 1], ring->items[0]))
        kept--;
    size_t dropped = ring->count - kept;
    ring->count = kept;
    return dropped;
}

/* A spike runs out to a vertex and straight back to the one before: no area, only trouble.
 * Needs a ring without repeats and leaves one. *tip is the end of the last one found. @return
 * vertices dropped */
static size_t drop_spikes(sb_ring *ring, sb_lonlat *tip)
{
    size_t kept = 0;
    for (size_t i = 0; i < ring->count; i++) {
        ring->items[kept++] = ring->items[i];
        while (kept >= 3 && same(ring->items[kept - 1], ring->items[kept - 3])) {
            *tip = ring->items[kept - 2];
            kept -= 2;
        }
    }
    size_t first = 0;
    /* Spikes whose tip is the first or the last vertex. */
    while (kept - first >= 3) {
        if (same(ring->items[first + 1], ring->items[kept - 1])) {
            *tip = ring->items[first++];
            kept--;
        } else if (same(ring->items[first], ring->items[kept - 2])) {
            *tip = ring->items[kept - 1];
            kept -= 2;
        } else {
            break;
        }
    }
    size_t dropped = ring->count - (kept - first);
    memmove(ring->items, ring->items + first, (kept - first) * sizeof *ring->items);
    ring->count = kept - first;
    return dropped;
}

/* A vertex this far from the others (degrees, longitude and latitude together) belongs to no field;
 * swapped numbers that bring it so many times nearer were meant the other way round. */
#define FAR_DEG 1.0
#define SWAPPED_TIMES 10.0

static bool looks_swapped(sb_lonlat beside, sb_lonlat vertex)
{
    double apart = fabs(vertex.lon_deg - beside.lon_deg) + fabs(vertex.lat_deg - beside.lat_deg);
    double swapped = fabs(vertex.lat_deg - beside.lon_deg) + fabs(vertex.lon_deg - beside.lat_deg);
    return apart > FAR_DEG && swapped * SWAPPED_TIMES < apart;
}

/* How many look swapped beside one of them, and the first that does. */
static size_t count_swapped(const sb_ring *ring, size_t beside, size_t *first)
{
    size_t n = 0;
    for (size_t i = 0; i < ring->count; i++)
        if (looks_swapped(ring->items[beside], ring->items[i]) && n++ == 0)
            *first = i;
    return n;
}

/* Some vertices the other way round than the rest. Told before such a ring is found to cross
 * itself or to hold a county. */
static void doubt_vertices(const sb_reading *reading, const sb_ring *ring, size_t line)
{
    size_t first = 0, other = 0, n = count_swapped(ring, 0, &first);
    if (2 * n > ring->count) /* then it is the first, and those like it */
        n = count_swapped(ring, first, &other);
    else
        other = first;
    if (n > 0)
        sb_say(reading->report, SB_WARNING, reading->file, line,
               "vertex %.10g,%.10g of the ring%s: longitude and latitude look swapped beside the "
               "others",
               ring->items[other].lon_deg, ring->items[other].lat_deg,
               n > 1 ? ", not the only one" : "");
}

sb_status sb_outline_finish(const sb_reading *reading, sb_ring *listed, bool must_close,
                            size_t line, sb_ring *ring)
{
    size_t n_listed = listed->count;
    bool closed = n_listed > 1 && same(listed->items[0], listed->items[n_listed - 1]);
    if (closed)
        listed->count--;
    size_t repeats = sb_outline_drop_repeats(listed);
    sb_lonlat tip = {0, 0};
    size_t spikes = listed->count < 3 ? 0 : drop_spikes(listed, &tip);
    if (listed->count < 3)
        return sb_bad(reading->report, reading->file, line,
                      "ring with %zu distinct %s, expected at least 3", listed->count,
                      listed->count == 1 ? "vertex" : "vertices");
    if (!closed && must_close)
        sb_say(reading->report, SB_WARNING, reading->file, line,
               "ring not closed, expected its first vertex at the end: closed");
    if (repeats > 0)
        sb_say(reading->report, SB_WARNING, reading->file, line, "ring repeats %zu %s: dropped",
               repeats, repeats == 1 ? "vertex" : "vertices");
    if (spikes > 0)
        sb_say(reading->report, SB_WARNING, reading->file, line,
               "ring has a spike out to %.7g,%.7g and back: dropped %zu vertices", tip.lon_deg,
               tip.lat_deg, spikes);
    doubt_vertices(reading, listed, line);
    ring->items = sb_alloc(listed->count, sizeof *ring->items);
    if (ring->items == NULL)
        return SB_ERR_NOMEM;
    memcpy(ring->items, listed->items, listed->count * sizeof *ring->items);
    ring->count = ring->capacity = listed->count;
    ring->line = line;
    return SB_OK;
}

sb_ring *sb_part_add_hole(sb_part *part)
{
    if (!sb_grow((void **)&part->holes, &part->hole_capacity, part->n_holes, sizeof *part->holes))
        return NULL;
    sb_ring *hole = &part->holes[part->n_holes++];
    *hole = (sb_ring){0};
    return hole;
}
