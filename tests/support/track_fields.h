/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The fields that tracks of tests run over. */
#ifndef SUPPORT_TRACK_FIELDS_H
#define SUPPORT_TRACK_FIELDS_H

/** KML: two squares of 0.004 degree side by side, and one on the meridian of 180 degrees. */
#define SUPPORT_TRACK_FIELDS                                                                       \
    "<kml><Document>"                                                                              \
    "<Placemark><name>West</name><Polygon><outerBoundaryIs><LinearRing><coordinates>"              \
    "0,0 0.004,0 0.004,0.004 0,0.004 0,0</coordinates></LinearRing></outerBoundaryIs></Polygon>"   \
    "</Placemark>"                                                                                 \
    "<Placemark><name>East</name><Polygon><outerBoundaryIs><LinearRing><coordinates>"              \
    "0.004,0 0.008,0 0.008,0.004 0.004,0.004 0.004,0</coordinates></LinearRing></outerBoundaryIs>" \
    "</Polygon></Placemark>"                                                                       \
    "<Placemark><name>Date Line</name><Polygon><outerBoundaryIs><LinearRing><coordinates>"         \
    "179.998,0 -179.998,0 -179.998,0.004 179.998,0.004 179.998,0</coordinates></LinearRing>"       \
    "</outerBoundaryIs></Polygon></Placemark></Document></kml>"
enum { WEST, EAST, DATE_LINE, N_TRACK_FIELDS };

#endif
