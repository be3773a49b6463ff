/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/report.h"
#include "read/read.h"
#include "season/season.h"

/* The page and plan.json tell them to whoever does not see the messages. */
static sb_status keep_warnings(sb_season *season, const sb_report *report, size_t from)
{
    for (size_t i = from; report != NULL && i < sb_report_count(report); i++) {
        sb_message message = sb_report_get(report, i);
        if (message.severity == SB_WARNING &&
            !sb_season_keep_warning(season, message.file, message.line, message.text))
            return SB_ERR_NOMEM;
    }
    return SB_OK;
}

sb_status sb_season_read_changed(const char *const *paths, size_t n_paths,
                                 const sb_read_options *options, sb_draft_change *change,
                                 const void *context, sb_report *report, sb_season **season)
{
    if (season == NULL)
        return SB_ERR_ARG;
    *season = NULL;
    sb_draft draft;
    sb_status status = sb_draft_init(&draft);
    if (status != SB_OK)
        return status;
    size_t said = report != NULL ? sb_report_count(report) : 0;
    status = sb_draft_read(&draft, paths, n_paths, options, report);
    if (status == SB_OK && change != NULL)
        status = change(&draft, context, report);
    if (status == SB_OK)
        status = sb_season_join(&draft, report, season);
    sb_report_sort(report, said);
    sb_draft_release(&draft);
    if (status == SB_OK)
        status = keep_warnings(*season, report, said);
    status = sb_report_settle(report, status);
    if (status != SB_OK) {
        sb_season_free(*season);
        *season = NULL;
    }
    return status;
}

sb_status sb_season_read(const char *const *paths, size_t n_paths, const sb_read_options *options,
                         sb_report *report, sb_season **season)
{
    return sb_season_read_changed(paths, n_paths, options, NULL, NULL, report, season);
}
