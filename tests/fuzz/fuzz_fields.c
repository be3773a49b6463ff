/* SPDX-License-Identifier: GPL-3.0-or-later */
/* KML, GPX and TASKDATA, told apart by their root: three corpora, one harness. */
#include "fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    fuzz_reading reading = fuzz_read((const char *)bytes, n);
    fuzz_check_reading(&reading);
    if (reading.status == SB_OK && reading.draft.season_file == NULL)
        fuzz_check_round_trip(&reading.draft);
    fuzz_release(&reading);
    return 0;
}
