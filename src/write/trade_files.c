/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The public calls that print a trade-off curve or put it on the disk. */
#include "write/file.h"
#include "write/stream.h"
#include "write/trade.h"

typedef sb_status renderer(const sb_season *season, const sb_curve *curve, sb_text *text);

static sb_status print(const sb_season *season, const sb_curve *curve, FILE *stream,
                       renderer *render)
{
    if (season == NULL || curve == NULL || stream == NULL)
        return SB_ERR_ARG;
    sb_text text = {0};
    sb_status status = render(season, curve, &text);
    if (status == SB_OK)
        status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    return status;
}

sb_status sb_print_curve(const sb_season *season, const sb_curve *curve, FILE *stream)
{
    return print(season, curve, stream, sb_render_curve_text);
}

sb_status sb_print_curve_json(const sb_season *season, const sb_curve *curve, FILE *stream)
{
    return print(season, curve, stream, sb_render_curve_json);
}

static const char *const names[] = {"curve.json", "curve.csv", "curve.svg", "season.html"};
static renderer *const renderers[] = {sb_render_curve_json, sb_render_curve_csv,
                                      sb_render_curve_svg, sb_render_curve_html};

typedef struct written_curve {
    const sb_season *season;
    const sb_curve *curve;
} written_curve;

static sb_status render_file(const void *context, size_t i, sb_text *text)
{
    const written_curve *written = context;
    return renderers[i](written->season, written->curve, text);
}

sb_status sb_write_curve(const sb_season *season, const sb_curve *curve, const char *folder,
                         sb_report *report)
{
    if (season == NULL || curve == NULL || folder == NULL)
        return SB_ERR_ARG;
    written_curve written = {season, curve};
    sb_file_set set = {.n = sizeof names / sizeof *names,
                       .names = names,
                       .render = render_file,
                       .context = &written};
    return sb_write_set(&set, folder, report);
}
