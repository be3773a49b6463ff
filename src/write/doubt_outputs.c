/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The public calls that print a study or put its samples on the disk. */
#include <stdio.h>

#include "write/doubt_out.h"
#include "write/file.h"
#include "write/stream.h"

typedef sb_status renderer(const sb_season *season, const sb_doubt *doubt,
                           const sb_findings *findings, sb_text *text);

static sb_status print(const sb_season *season, const sb_doubt *doubt, FILE *stream,
                       renderer *render)
{
    if (season == NULL || doubt == NULL || stream == NULL)
        return SB_ERR_ARG;
    sb_text text = {0};
    sb_findings findings;
    sb_status status = sb_findings_of(doubt, &findings);
    if (status != SB_OK)
        return status;
    status = render(season, doubt, &findings, &text);
    if (status == SB_OK)
        status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    sb_findings_release(&findings);
    return status;
}

sb_status sb_print_doubt(const sb_season *season, const sb_doubt *doubt, FILE *stream)
{
    return print(season, doubt, stream, sb_render_doubt_text);
}

sb_status sb_print_doubt_json(const sb_season *season, const sb_doubt *doubt, FILE *stream)
{
    return print(season, doubt, stream, sb_render_doubt_json);
}

/* Columns are numbered, fields as `check` lists them: names would need quoting. */
static void heading(const sb_doubt *doubt, sb_text *text)
{
    static const char *const kinds[SB_SAMPLED_KINDS] = {"seeds", "plants", "loss"};
    sb_text_addf(text, "study,sample");
    for (size_t i = 0; i < doubt->n_fields; i++)
        for (int kind = 0; kind < SB_SAMPLED_KINDS; kind++)
            sb_text_addf(text, ",field_%zu_%s", i + 1, kinds[kind]);
    for (size_t w = 0; w < doubt->n_weeds; w++)
        for (int kind = 0; kind < SB_SAMPLED_KINDS; kind++)
            sb_text_addf(text, ",weed_%d_%s", doubt->weed[w] + 1, kinds[kind]);
    for (size_t r = 0; r < doubt->n_rivals; r++)
        sb_text_addf(text, ",rival_%zu_loss", r + 1);
    sb_text_addf(text, "\r\n");
}

static void rows(const sb_doubt *doubt, sb_text *text)
{
    for (size_t k = 0; k < sb_doubt_samples(doubt); k++) {
        sb_text_addf(text, "%016llx,%llu", (unsigned long long)doubt->id,
                     (unsigned long long)(doubt->first + k));
        for (size_t c = 0; c < doubt->width; c++)
            sb_text_addf(text, ",%.17g", doubt->table[k * doubt->width + c]);
        sb_text_addf(text, "\r\n");
    }
}

sb_status sb_doubt_write_samples(const sb_season *season, const sb_doubt *doubt, const char *folder,
                                 sb_report *report)
{
    if (season == NULL || doubt == NULL || folder == NULL)
        return SB_ERR_ARG;
    char name[64];
    sb_text text = {0};
    snprintf(name, sizeof name, "samples-%llu-%llu.csv", (unsigned long long)doubt->first,
             (unsigned long long)doubt->last);
    heading(doubt, &text);
    rows(doubt, &text);
    sb_status status = text.failed ? SB_ERR_NOMEM : sb_make_folder(folder, report);
    if (status == SB_OK)
        status = sb_write_file(folder, name, text.bytes, text.count, report);
    sb_text_release(&text);
    return status;
}

sb_status sb_doubt_write_page(const sb_season *season, const sb_plan *plan, const sb_doubt *doubt,
                              int threads, const char *folder, sb_report *report)
{
    if (season == NULL || plan == NULL || doubt == NULL || folder == NULL)
        return SB_ERR_ARG;
    sb_text text = {0};
    sb_load_band band;
    sb_status status = sb_load_band_of(season, plan, doubt, threads, &band);
    if (status == SB_OK)
        status = sb_render_banded_html(season, plan, &band, &text);
    if (status == SB_OK)
        status = sb_make_folder(folder, report);
    if (status == SB_OK)
        status = sb_write_file(folder, "season.html", text.bytes, text.count, report);
    sb_load_band_release(&band);
    sb_text_release(&text);
    return status;
}
