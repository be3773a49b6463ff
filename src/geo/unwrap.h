/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Longitudes without the jump at 180 degrees, for plane geometry on small outlines. */
#ifndef SB_GEO_UNWRAP_H
#define SB_GEO_UNWRAP_H

#include <math.h>

/** The longitude next to `beside_deg` (within 180 degrees) that is the same meridian as lon_deg. */
static inline double sb_unwrap_deg(double lon_deg, double beside_deg)
{
    return beside_deg + remainder(lon_deg - beside_deg, 360);
}

#endif
