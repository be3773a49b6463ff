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

static const struct {
    const char *name;
    renderer *render;
} outputs[] = {
    {"plan.json", sb_render_plan_json},     {"ledger.csv", sb_render_ledger_csv},
    {"route.gpx", sb_render_route_gpx},     {"map.kml", sb_render_map_kml},
    {"season.html", sb_render_season_html},
};
#define N_OUTPUTS (sizeof outputs / sizeof *outputs)

/* All are written before the first gets its name: a full disk leaves the old plan's files all there
 * and all of one plan. */
static sb_status write_all(const sb_season *season, const sb_plan *plan, const char *folder,
                           sb_report *report)
{
    sb_prepared_file files[N_OUTPUTS];
    sb_text text = {0};
    size_t prepared = 0;
    sb_status status = SB_OK;
    for (; status == SB_OK && prepared < N_OUTPUTS; prepared++) {
        sb_text_clear(&text);
        status = outputs[prepared].render(season, plan, &text);
        if (status != SB_OK)
            break;
        status = sb_file_prepare(&files[prepared], folder, outputs[prepared].name, text.bytes,
                                 text.count, report);
    }
    for (size_t i = 0; status == SB_OK && i < N_OUTPUTS; i++)
        status = sb_file_place(&files[i], report);
    for (size_t i = 0; i < prepared; i++)
        sb_file_release(&files[i]);
    sb_text_release(&text);
    return status;
}

sb_status sb_write_outputs(const sb_season *season, const sb_plan *plan, const char *folder,
                           sb_report *report)
{
    if (season == NULL || plan == NULL || folder == NULL)
        return SB_ERR_ARG;
    sb_plan *copy = NULL;
    const sb_plan *explained;
    sb_status status = sb_plan_explained(season, plan, &copy, &explained);
    if (status == SB_OK)
        status = sb_make_folder(folder, report);
    if (status == SB_OK)
        status = write_all(season, explained, folder, report);
    sb_plan_free(copy);
    return status;
}
