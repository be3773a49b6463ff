/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Pieces of KML 2.2 that every map of ours is made of. */
#ifndef SB_WRITE_KML_OUT_H
#define SB_WRITE_KML_OUT_H

#include "write/xml_out.h"

/** A `Data` of ExtendedData. */
void sb_kml_data(sb_xml_out *out, const char *key, const char *value);
/** The same with a number, exactly. */
void sb_kml_number(sb_xml_out *out, const char *key, double value);
/** Adds a place to a list of coordinates. */
void sb_kml_place(sb_text *coordinates, sb_lonlat place);
/** A Polygon, or a MultiGeometry of several: outer rings anti-clockwise, holes clockwise. */
void sb_kml_parts(sb_xml_out *out, const sb_part *parts, size_t n);

#endif
