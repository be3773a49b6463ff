/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Coordinates as text: "lon,lat lon,lat,alt ..." in decimal degrees. */
#ifndef SB_READ_COORDINATES_H
#define SB_READ_COORDINATES_H

#include "read/format.h"

/** Reads all tuples of a KML coordinates text and puts their places into the ring, emptied
 * first.
 * Repaired with a warning: blanks around commas; one run of numbers without blanks. Altitudes are
 * ignored. Lines of messages count from `line`, where the text begins.
 * @param text  length bytes, NUL-terminated; changed by the repairs
 * @return SB_OK; SB_ERR_INPUT (reported); SB_ERR_NOMEM */
sb_status sb_coordinates_read(const sb_reading *reading, char *text, size_t length, size_t line,
                              sb_ring *ring);

/** Is the place on the globe? Says "looks swapped" when exchanging the two would put it there.
 * @return SB_OK; SB_ERR_INPUT (reported) */
sb_status sb_place_check(const sb_reading *reading, sb_lonlat place, size_t line);

#endif
