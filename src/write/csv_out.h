/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Values of a CSV file (RFC 4180). */
#ifndef SB_WRITE_CSV_OUT_H
#define SB_WRITE_CSV_OUT_H

#include "base/text.h"

/** Appends a text as one value, in quotes where it needs them. An apostrophe goes before one that a
 * spreadsheet would compute. */
void sb_csv_value(sb_text *text, const char *value);

#endif
