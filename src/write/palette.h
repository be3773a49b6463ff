/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Colours for ratings and amounts: light to dark, so that they keep their order in grey print and
 * for every kind of colour vision. Never the only sign: labels and textures stand beside them. */
#ifndef SB_WRITE_PALETTE_H
#define SB_WRITE_PALETTE_H

#include <stddef.h>

typedef struct sb_colour {
    unsigned char red, green, blue;
} sb_colour;

/** Of a share from 0 (little, pale) to 1 (much, dark); values outside are clamped. */
sb_colour sb_palette_share(double share);
/** Of class i of n: class 0 (none) has a colour of its own, the others go from pale to dark. */
sb_colour sb_palette_class(int i, size_t n);

#endif
