/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The public calls that print a plan or put it on the disk. */
#include <stdio.h>

#include "write/file.h"
#include "write/stream.h"
#include "write/why.h"
#include "write/write.h"

typedef sb_status renderer(const sb_season *season, const sb_plan *plan, sb_text *text);

static sb_status print(const sb_season *season, const sb_plan *plan, FILE *stream, renderer *render)
{
    if (season == NULL || plan == NULL || stream == NULL)
        return SB_ERR_ARG;
    sb_text text = {0};
    sb_plan *copy = NULL;
    const sb_plan *explained;
    sb_explain how = render == sb_render_plan_json ? SB_EXPLAIN_SOME : SB_EXPLAIN_CLEANOUTS;
    sb_status status = sb_plan_explained(season, plan, how, &copy, &explained);
    if (status == SB_OK)
        status = render(season, explained, &text);
    if (status == SB_OK)
        status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    sb_plan_free(copy);
    return status;
}

sb_status sb_print_plan(const sb_season *season, const sb_plan *plan, FILE *stream)
{
    return print(season, plan, stream, sb_render_plan_text);
}

sb_status sb_print_plan_json(const sb_season *season, const sb_plan *plan, FILE *stream)
{
    return print(season, plan, stream, sb_render_plan_json);
}

sb_status sb_print_board(const sb_season *season, const sb_plan *plan, FILE *stream)
{
    return print(season, plan, stream, sb_render_board_text);
}

static const char *const names[] = {
    "plan.json", "ledger.csv",     "schedule.csv", "calendar.ics",
    "route.gpx", "fields.geojson", "map.kml",      "season.html",
};
static renderer *const renderers[] = {
    sb_render_plan_json, sb_render_ledger_csv,     sb_render_schedule_csv, sb_render_calendar_ics,
    sb_render_route_gpx, sb_render_fields_geojson, sb_render_map_kml,      sb_render_season_html,
};

typedef struct written_plan {
    const sb_season *season;
    const sb_plan *plan;
} written_plan;

static sb_status render_output(const void *context, size_t i, sb_text *text)
{
    const written_plan *written = context;
    return renderers[i](written->season, written->plan, text);
}

sb_status sb_write_outputs(const sb_season *season, const sb_plan *plan, const char *folder,
                           sb_report *report)
{
    if (season == NULL || plan == NULL || folder == NULL)
        return SB_ERR_ARG;
    sb_plan *copy = NULL;
    written_plan written = {.season = season};
    sb_status status = sb_plan_explained(season, plan, SB_EXPLAIN_SOME, &copy, &written.plan);
    sb_file_set set = {.n = sizeof names / sizeof *names,
                       .names = names,
                       .render = render_output,
                       .context = &written};
    if (status == SB_OK)
        status = sb_write_set(&set, folder, report);
    sb_plan_free(copy);
    return status;
}
