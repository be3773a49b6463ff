/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/kml_out.h"

#include "write/words.h"

void sb_kml_data(sb_xml_out *out, const char *key, const char *value)
{
    sb_xml_open(out, "Data");
    sb_xml_attribute(out, "name", key);
    sb_xml_element(out, "value", value);
    sb_xml_close(out);
}

void sb_kml_number(sb_xml_out *out, const char *key, double value)
{
    sb_text digits = {0};
    sb_words_exact(&digits, value);
    sb_kml_data(out, key, sb_text_get(&digits));
    sb_xml_release(out, &digits);
}

void sb_kml_place(sb_text *coordinates, sb_lonlat place)
{
    sb_text_addf(coordinates, "%s%.7f,%.7f", coordinates->count > 0 ? " " : "", place.lon_deg,
                 place.lat_deg);
}

/* A closed ring in the winding asked for: outer rings anti-clockwise, holes clockwise. */
static void add_ring(sb_xml_out *out, const char *boundary, const sb_ring *ring, bool clockwise)
{
    sb_text coordinates = {0};
    bool reverse = clockwise != (sb_ring_winding(ring) < 0);
    for (size_t i = 0; i <= ring->count; i++) {
        size_t at = i % ring->count;
        sb_kml_place(&coordinates, ring->items[reverse ? (ring->count - at) % ring->count : at]);
    }
    sb_xml_open(out, boundary);
    sb_xml_open(out, "LinearRing");
    sb_xml_element(out, "coordinates", sb_text_get(&coordinates));
    sb_xml_close(out);
    sb_xml_close(out);
    sb_xml_release(out, &coordinates);
}

void sb_kml_parts(sb_xml_out *out, const sb_part *parts, size_t n)
{
    if (n > 1)
        sb_xml_open(out, "MultiGeometry");
    for (size_t i = 0; i < n; i++) {
        sb_xml_open(out, "Polygon");
        add_ring(out, "outerBoundaryIs", &parts[i].outer, false);
        for (size_t h = 0; h < parts[i].n_holes; h++)
            add_ring(out, "innerBoundaryIs", &parts[i].holes[h], true);
        sb_xml_close(out);
    }
    if (n > 1)
        sb_xml_close(out);
}
