/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "geo/geo.h"
#include "geo/unwrap.h"

/* Counts the edges that a ray eastwards from the place crosses: an odd number means inside. */
static bool ring_contains(const sb_ring *ring, sb_lonlat place)
{
    if (ring->count < 3)
        return false;
    bool inside = false;
    const sb_lonlat *last = &ring->items[ring->count - 1];
    double lon_a = sb_unwrap_deg(last->lon_deg, place.lon_deg), lat_a = last->lat_deg;
    for (size_t i = 0; i < ring->count; i++) {
        double lon_b = sb_unwrap_deg(ring->items[i].lon_deg, lon_a);
        double lat_b = ring->items[i].lat_deg;
        if ((lat_a > place.lat_deg) != (lat_b > place.lat_deg)) {
            double share = (place.lat_deg - lat_a) / (lat_b - lat_a);
            if (place.lon_deg < lon_a + share * (lon_b - lon_a))
                inside = !inside;
        }
        lon_a = lon_b;
        lat_a = lat_b;
    }
    return inside;
}

bool sb_part_contains(const sb_part *part, sb_lonlat place)
{
    if (!ring_contains(&part->outer, place))
        return false;
    for (size_t i = 0; i < part->n_holes; i++)
        if (ring_contains(&part->holes[i], place))
            return false;
    return true;
}
