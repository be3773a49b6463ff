/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log is sound, or says what is wrong with it; a sound one can be replayed on any season without
 * harm, and its entries written as XML are the same log. */
#include <string.h>

#include "fuzz.h"
#include "log/season.h"

static const char fields[] =
    "<kml><Placemark><name>A</name><Polygon><outerBoundaryIs><LinearRing><coordinates>5,52 5.01,52 "
    "5.01,52.01 5,52.01 5,52</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>"
    "</kml>";

static void check_again(const sb_log *log)
{
    sb_text text = {0};
    sb_text_addf(&text, "<log xmlns=\"" SB_LOG_NAMESPACE "\">");
    for (size_t i = 0; i < log->entries.count; i++)
        sb_log_entry_xml(&log->entries.items[i], &text);
    sb_text_addf(&text, "</log>");
    sb_report *report = sb_report_new();
    sb_log *again = NULL;
    HOLDS(sb_log_read(fuzz_file(text.bytes, text.count), report, &again) == SB_OK);
    HOLDS(again->entries.count == log->entries.count);
    HOLDS(strcmp(sb_log_last_seal(again), sb_log_last_seal(log)) == 0);
    sb_log_free(again);
    sb_report_free(report);
    sb_text_release(&text);
}

/* The log's own file is gone by now: another file has its name. */
static void check_replay(const sb_log *log)
{
    const char *path = fuzz_file(fields, sizeof fields - 1);
    sb_report *report = sb_report_new();
    sb_season *season = NULL;
    sb_status status = sb_season_read_log(log, &path, 1, NULL, report, &season);
    HOLDS(status == SB_OK || status == SB_ERR_INPUT);
    if (status == SB_OK) {
        sb_log_state state;
        status = sb_log_replay(season, log, report, &state);
        HOLDS(status == SB_OK || status == SB_ERR_INPUT);
        for (size_t i = 0; i < season->n_fields; i++)
            HOLDS(state.fields[i].cut_share >= 0 && state.fields[i].cut_share <= 1 + 1e-9);
        sb_log_state_release(&state);
    }
    sb_season_free(season);
    sb_report_free(report);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    sb_report *report = sb_report_new();
    sb_log *log = NULL;
    sb_status status = sb_log_read(fuzz_file(bytes, n), report, &log);
    HOLDS(status == SB_OK || status == SB_ERR_INPUT);
    HOLDS((status == SB_OK) == (log != NULL));
    if (status == SB_OK) {
        check_again(log);
        check_replay(log);
    }
    sb_log_free(log);
    sb_report_free(report);
    return 0;
}
