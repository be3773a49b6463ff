/* SPDX-License-Identifier: GPL-3.0-or-later */
/** The travel table: km between places, as CSV (RFC 4180). */
#ifndef SB_READ_TRAVEL_CSV_H
#define SB_READ_TRAVEL_CSV_H

#include "season/draft.h"

#define SB_TRAVEL_MAX_PLACES 2000

/** Reads a travel table into the draft. First row and first column name the places, in any order;
 * a cell is the km from its row to its column, empty where there is no way. The diagonal is 0.
 * @return SB_OK; SB_ERR_INPUT (reported); SB_ERR_SYSTEM; SB_ERR_NOMEM */
sb_status sb_travel_read(sb_draft *draft, const char *path, sb_report *report);

#endif
