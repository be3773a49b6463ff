/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/warnings.h"

#include "base/report.h"

/* Claims that are not true are errors, of which the checker's other callers hear. */
static void add_warnings(const sb_report *from, sb_report *to)
{
    for (size_t i = 0; i < sb_report_count(from); i++) {
        sb_message message = sb_report_get(from, i);
        if (message.severity == SB_WARNING)
            sb_say(to, SB_WARNING, message.file, message.line, "%s", message.text);
    }
}

sb_status sb_warnings_collect(const sb_season *season, const sb_plan *plan, sb_report **warnings,
                              size_t *broken)
{
    sb_report *report = sb_report_new(), *checked = sb_report_new();
    sb_status status = SB_ERR_NOMEM;
    *warnings = NULL;
    *broken = 0;
    if (report == NULL || checked == NULL)
        goto out;
    for (size_t i = 0; i < season->warnings.count; i++) {
        const sb_warning *warning = &season->warnings.items[i];
        sb_say(report, SB_WARNING, warning->file, warning->line, "%s", warning->text);
    }
    status = sb_plan_check(season, plan, SB_WARNING, checked, broken);
    add_warnings(checked, report);
    status = sb_report_settle(checked, status == SB_ERR_NOMEM ? status : SB_OK);
    status = sb_report_settle(report, status);
    if (status == SB_OK) {
        *warnings = report;
        report = NULL;
    }
out:
    sb_report_free(report);
    sb_report_free(checked);
    return status;
}
