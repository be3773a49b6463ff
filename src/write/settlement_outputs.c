/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The public calls that print a settlement or put it on the disk. */
#include "write/file.h"
#include "write/settlement.h"
#include "write/stream.h"

typedef sb_status renderer(const sb_season *season, const sb_settlement *settlement, sb_text *text);

static sb_status print(const sb_season *season, const sb_settlement *settlement, FILE *stream,
                       renderer *render)
{
    if (season == NULL || settlement == NULL || stream == NULL)
        return SB_ERR_ARG;
    sb_text text = {0};
    sb_status status = render(season, settlement, &text);
    if (status == SB_OK)
        status = sb_stream_text(&text, stream);
    sb_text_release(&text);
    return status;
}

sb_status sb_print_settlement(const sb_season *season, const sb_settlement *settlement,
                              FILE *stream)
{
    return print(season, settlement, stream, sb_render_settlement_text);
}

sb_status sb_print_settlement_json(const sb_season *season, const sb_settlement *settlement,
                                   FILE *stream)
{
    return print(season, settlement, stream, sb_render_settlement_json);
}

static const struct {
    const char *name;
    renderer *render;
} outputs[] = {
    {"settlement.json", sb_render_settlement_json},
    {"settlement.csv", sb_render_settlement_csv},
    {"exchange.csv", sb_render_exchange_csv},
};
#define N_OUTPUTS (sizeof outputs / sizeof *outputs)

/* All are written before the first gets its name, so that they are always of one settlement. */
sb_status sb_write_settlement(const sb_season *season, const sb_settlement *settlement,
                              const char *folder, sb_report *report)
{
    if (season == NULL || settlement == NULL || folder == NULL)
        return SB_ERR_ARG;
    sb_prepared_file files[N_OUTPUTS];
    sb_text text = {0};
    size_t prepared = 0;
    sb_status status = sb_make_folder(folder, report);
    for (; status == SB_OK && prepared < N_OUTPUTS; prepared++) {
        sb_text_clear(&text);
        status = outputs[prepared].render(season, settlement, &text);
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
