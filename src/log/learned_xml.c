/* SPDX-License-Identifier: GPL-3.0-or-later */
/* learned.xml: what a season taught, for the seasons after it. */
#include <math.h>

#include "base/report.h"
#include "log/log.h"
#include "write/file.h"
#include "write/words.h"
#include "write/xml_out.h"

static void add_number(sb_xml_out *out, const char *name, double value)
{
    sb_text digits = {0};
    sb_words_exact(&digits, value);
    sb_xml_attribute(out, name, sb_text_get(&digits));
    sb_xml_release(out, &digits);
}

static void add_factor(sb_xml_out *out, const sb_factor *factor)
{
    sb_xml_open(out, "number");
    sb_xml_attribute(out, "name", sb_number_key(factor->what));
    if (factor->of != NULL)
        sb_xml_attribute(out, factor->what == SB_DOUBT_KEEP ? "cleanout" : "weed", factor->of);
    if (!isnan(factor->used))
        add_number(out, "used", factor->used);
    add_number(out, "times", factor->times);
    sb_xml_close(out);
}

sb_status sb_write_learned(const sb_season *season, const sb_log *log, const char *folder,
                           sb_report *report)
{
    if (season == NULL || log == NULL || folder == NULL || report == NULL)
        return SB_ERR_ARG;
    if (season->learned.count == 0)
        return SB_OK;
    sb_xml_out *out = sb_xml_out_new();
    if (out == NULL)
        return SB_ERR_NOMEM;
    sb_text text = {0};
    sb_xml_open(out, "learned");
    sb_xml_attribute(out, "xmlns", "urn:seedbreak:learned:1");
    sb_xml_attribute(out, "log", season->learned.from);
    if (season->learned.seal != NULL)
        sb_xml_attribute(out, "seal", season->learned.seal);
    for (size_t i = 0; i < season->learned.count; i++)
        add_factor(out, &season->learned.items[i]);
    sb_xml_close(out);
    sb_status status = sb_xml_out_finish(out, &text);
    if (status == SB_OK)
        status = sb_make_folder(folder, report);
    if (status == SB_OK)
        status = sb_write_file(folder, "learned.xml", text.bytes, text.count, report);
    sb_text_release(&text);
    return sb_report_settle(report, status);
}

size_t sb_season_learned_count(const sb_season *season)
{
    return season->learned.count;
}
