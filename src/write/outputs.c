/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The public calls that print a plan or put it on the disk. */
#include <stdio.h>

#include "base/report.h"
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
    sb_status status = sb_plan_explained(season, plan, &copy, &explained);
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

sb_status sb_write_outputs(const sb_season *season, const sb_plan *plan, const char *folder,
                           sb_report *report)
{
    static const struct {
        const char *name;
        renderer *render;
    } outputs[] = {
        {"plan.json", sb_render_plan_json},   {"ledger.csv", sb_render_ledger_csv},
        {"route.gpx", sb_render_route_gpx},   {"map.kml", sb_render_map_kml},
        {"sheet.html", sb_render_sheet_html},
    };
    if (season == NULL || plan == NULL || folder == NULL)
        return SB_ERR_ARG;
    sb_plan *copy = NULL;
    const sb_plan *explained;
    sb_text text = {0};
    sb_status status = sb_plan_explained(season, plan, &copy, &explained);
    if (status == SB_OK)
        status = sb_make_folder(folder, report);
    for (size_t i = 0; status == SB_OK && i < sizeof outputs / sizeof *outputs; i++) {
        sb_text_clear(&text);
        status = outputs[i].render(season, explained, &text);
        if (status == SB_OK)
            status = sb_write_file(folder, outputs[i].name, text.bytes, text.count, report);
    }
    sb_text_release(&text);
    sb_plan_free(copy);
    return status;
}
