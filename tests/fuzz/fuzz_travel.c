/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A travel table holds a km >= 0 or no way for every pair, and reads the same once written. */
#include <math.h>
#include <string.h>

#include "fuzz.h"
#include "read/travel_csv.h"

static void add_quoted(sb_text *csv, const char *name)
{
    sb_text_add(csv, "\"", 1);
    for (; *name != '\0'; name++) {
        if (*name == '"')
            sb_text_add(csv, "\"", 1);
        sb_text_add(csv, name, 1);
    }
    sb_text_add(csv, "\"", 1);
}

static void write_table(const sb_travel_table *table, sb_text *csv)
{
    for (size_t i = 0; i < table->n; i++) {
        sb_text_addf(csv, ",");
        add_quoted(csv, table->names[i]);
    }
    sb_text_addf(csv, "\n");
    for (size_t i = 0; i < table->n; i++) {
        add_quoted(csv, table->names[i]);
        for (size_t k = 0; k < table->n; k++)
            if (isnan(table->km[i * table->n + k]))
                sb_text_addf(csv, ",");
            else
                sb_text_addf(csv, ",%.17g", table->km[i * table->n + k]);
        sb_text_addf(csv, "\n");
    }
}

static void check_same(const sb_travel_table *a, const sb_travel_table *b)
{
    HOLDS(a->n == b->n);
    for (size_t i = 0; i < a->n; i++) {
        HOLDS(strcmp(a->names[i], b->names[i]) == 0);
        for (size_t k = 0; k < a->n; k++) {
            double km_a = a->km[i * a->n + k], km_b = b->km[i * a->n + k];
            HOLDS(km_a == km_b || (isnan(km_a) && isnan(km_b)));
            HOLDS(isnan(km_a) || (km_a >= 0 && isfinite(km_a)));
            HOLDS(i != k || km_a == 0 || isnan(km_a));
        }
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    sb_draft draft, again;
    sb_report *report = sb_report_new();
    HOLDS(sb_draft_init(&draft) == SB_OK && sb_draft_init(&again) == SB_OK);
    sb_status status = sb_travel_read(&draft, fuzz_file(bytes, n), report);
    HOLDS(status == SB_OK || status == SB_ERR_INPUT);
    HOLDS(status == SB_OK || sb_report_count(report) > 0);
    if (status == SB_OK) {
        sb_text csv = {0};
        write_table(&draft.travel, &csv);
        HOLDS(sb_travel_read(&again, fuzz_file(csv.bytes, csv.count), report) == SB_OK);
        check_same(&draft.travel, &again.travel);
        sb_text_release(&csv);
    }
    sb_report_free(report);
    sb_draft_release(&draft);
    sb_draft_release(&again);
    return 0;
}
