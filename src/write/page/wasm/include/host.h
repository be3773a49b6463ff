/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the browser does for the model: printing of numbers, which JavaScript rounds as C does, and
 * the functions of math.h that page.js hands over. */
#ifndef HOST_H
#define HOST_H

/** Writes value with so many decimals, or significant digits as printf's %g does, into out.
 * @return bytes written, without a NUL; fewer than HOST_NUMBER_BYTES */
#define HOST_NUMBER_BYTES 400
int host_fixed(double value, int decimals, char *out);
int host_general(double value, int digits, char *out);

/** Forgets everything allocated since the mark was set. */
void memory_mark(void);
void memory_reset(void);

#endif
