/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "read/outline.h"

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
