/* SPDX-License-Identifier: GPL-3.0-or-later */
/* plan.json, ours or handmade: what was read prices to a number or to infinity, and once written
 * and read again costs the same. */
#define _POSIX_C_SOURCE 200809L
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"

static const char fields[] = "<kml><Document>"
#define FIELD(name, lon, rating)                                                             \
    "<Placemark><name>" name "</name><ExtendedData><Data name='weed:kochia'><value>" rating  \
    "</value></Data></ExtendedData><Polygon><outerBoundaryIs><LinearRing><coordinates>-" lon \
    "0,47 -" lon "1,47 -" lon "1,47.01 -" lon "0,47.01 -" lon                                \
    "0,47</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>"
    FIELD("A", "100.0", "0") FIELD("B", "100.1", "3") FIELD("C", "100.2", "1") "</Document></kml>";

static sb_season *season_of_three(void)
{
    static sb_season *season;
    if (season == NULL) {
        const char *path = fuzz_file(fields, sizeof fields - 1);
        sb_report *report = sb_report_new();
        HOLDS(sb_season_read(&path, 1, NULL, report, &season) == SB_OK);
        sb_report_free(report);
    }
    return season;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    const sb_season *season = season_of_three();
    sb_report *report = sb_report_new();
    sb_plan *plan = NULL, *again = NULL;
    sb_status status = sb_plan_read(season, fuzz_file(bytes, n), report, &plan);
    HOLDS(status == SB_OK || status == SB_ERR_INPUT);
    HOLDS((status == SB_OK) == (plan != NULL));
    if (status == SB_OK) {
        sb_cost cost = sb_plan_cost(plan);
        HOLDS(!isnan(cost.total));
        char *text = NULL;
        size_t size = 0;
        FILE *stream = open_memstream(&text, &size);
        HOLDS(stream != NULL && sb_print_plan_json(season, plan, stream) == SB_OK);
        HOLDS(fclose(stream) == 0);
        HOLDS(sb_plan_read(season, fuzz_file(text, size), report, &again) == SB_OK);
        HOLDS(sb_plan_cost(again).total == cost.total);
        free(text);
    }
    sb_plan_free(plan);
    sb_plan_free(again);
    sb_report_free(report);
    return 0;
}
