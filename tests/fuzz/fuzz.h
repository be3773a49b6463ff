/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What every fuzz harness needs. A harness is one function; run under libFuzzer (tests/fuzz/run)
 * it meets made-up input, in the ordinary tests (replay.c) the seeds and everything once found.
 *
 * Each checks a property, not only that nothing crashes; a broken one aborts. */
#ifndef FUZZ_FUZZ_H
#define FUZZ_FUZZ_H

#include <stdint.h>

#include "base/text.h"
#include "read/read.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/** Aborts, naming the property, unless it holds. */
#define HOLDS(property) ((property) ? (void)0 : fuzz_broken(#property, __FILE__, __LINE__))
void fuzz_broken(const char *property, const char *file, int line);

/** A document from memory into a fresh draft; release it with fuzz_release. */
typedef struct fuzz_reading {
    sb_draft draft;
    sb_report *report;
    sb_status status;
} fuzz_reading;
fuzz_reading fuzz_read(const char *bytes, size_t n);
void fuzz_release(fuzz_reading *reading);

/** The draft's features as KML, coordinates to the last digit. */
void fuzz_write_kml(const sb_draft *draft, sb_text *kml);

/** What holds of every draft that was read: an error is told if and only if it failed; a failed
 * one is empty; places lie on the globe; rings have 3 vertices and measure the same from any
 * vertex and in either direction; the place of a sound outline lies inside it. */
void fuzz_check_reading(const fuzz_reading *reading);
/** Written as KML and read again, the features are the same. */
void fuzz_check_round_trip(const sb_draft *draft);

/** A file with these bytes, the same path each time. */
const char *fuzz_file(const void *bytes, size_t n);

#endif
