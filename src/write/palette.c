/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/palette.h"

#include <math.h>

/* From straw to dark plum; lightness falls evenly (CIE L* 92, 79, 63, 41, 24). */
static const sb_colour ramp[] = {
    {0xFB, 0xE8, 0xB0}, {0xF2, 0xBA, 0x6B}, {0xDC, 0x82, 0x4C},
    {0xA2, 0x3F, 0x57}, {0x58, 0x24, 0x5C},
};
static const sb_colour none = {0xF0, 0xF5, 0xF1};

static unsigned char mix(unsigned char a, unsigned char b, double share)
{
    return (unsigned char)lround(a + share * (b - a));
}

sb_colour sb_palette_share(double share)
{
    int last = (int)(sizeof ramp / sizeof *ramp) - 1;
    double at = fmin(fmax(share, 0), 1) * last;
    int i = (int)at < last ? (int)at : last - 1;
    return (sb_colour){mix(ramp[i].red, ramp[i + 1].red, at - i),
                       mix(ramp[i].green, ramp[i + 1].green, at - i),
                       mix(ramp[i].blue, ramp[i + 1].blue, at - i)};
}

sb_colour sb_palette_class(int i, size_t n)
{
    if (i <= 0)
        return none;
    return sb_palette_share(n > 2 ? (i - 1) / (double)(n - 2) : 1);
}
