/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reads files into a draft and says how many features and vertices there were: what the bench of
 * reading times. Not a test. */
#include <stdio.h>

#include "read/read.h"

int main(int argc, char **argv)
{
    sb_draft draft;
    sb_report *report = sb_report_new();
    if (report == NULL || sb_draft_init(&draft) != SB_OK)
        return 4;
    sb_status status =
        sb_draft_read(&draft, (const char *const *)argv + 1, (size_t)argc - 1, NULL, report);
    size_t vertices = 0;
    for (size_t i = 0; i < draft.features.count; i++)
        for (size_t p = 0; p < draft.features.items[i].parts.count; p++)
            vertices += draft.features.items[i].parts.items[p].outer.count;
    printf("%s: %zu features, %zu vertices\n", sb_status_text(status), draft.features.count,
           vertices);
    for (size_t i = 0; i < sb_report_count(report); i++)
        printf("%zu: %s\n", sb_report_get(report, i).line, sb_report_get(report, i).text);
    sb_report_free(report);
    sb_draft_release(&draft);
    return status == SB_OK ? 0 : 3;
}
