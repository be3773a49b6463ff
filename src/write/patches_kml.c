/* SPDX-License-Identifier: GPL-3.0-or-later */
/* patches.kml: the patches that scouting points outline, so that the files of the season have them
 * from then on. */
#include <math.h>
#include <string.h>

#include "order/patches.h"
#include "write/file.h"
#include "write/kml_out.h"

static void add_densities(sb_xml_out *out, const sb_season *season, const sb_scouted_patch *patch)
{
    for (size_t w = 0; w < season->setup.n_weeds; w++) {
        sb_text key = {0};
        if (isnan(patch->plants_m2[w]))
            continue;
        sb_text_addf(&key, "weed:%s:plants_m2", season->setup.weeds[w].id);
        sb_kml_number(out, sb_text_get(&key), patch->plants_m2[w]);
        sb_xml_release(out, &key);
    }
}

static void add_patch(sb_xml_out *out, const sb_season *season, const sb_scouted_patch *patch,
                      sb_patch_fate fate)
{
    sb_xml_open(out, "Placemark");
    sb_xml_element(out, "name", patch->name);
    sb_xml_open(out, "ExtendedData");
    sb_kml_data(out, "role", "patch");
    sb_kml_data(out, "field", patch->field);
    sb_kml_data(out, "patch", sb_patch_fate_word(fate));
    add_densities(out, season, patch);
    sb_xml_close(out);
    sb_kml_parts(out, patch->parts, patch->n_parts);
    sb_xml_close(out);
}

static sb_patch_fate fate_of(const sb_season *season, const char *name)
{
    sb_patch_fate fate = SB_PATCH_CUT;
    for (size_t i = 0; i < season->patches.count; i++)
        if (strcmp(season->patches.items[i].name, name) == 0)
            fate = season->patches.items[i].fate;
    return fate;
}

static sb_status render(const sb_patches *patches, sb_text *text)
{
    sb_xml_out *out = sb_xml_out_new();
    if (out == NULL)
        return SB_ERR_NOMEM;
    sb_xml_open(out, "kml");
    sb_xml_attribute(out, "xmlns", "http://www.opengis.net/kml/2.2");
    sb_xml_open(out, "Document");
    sb_xml_element(out, "name", "Patches from scouting points");
    for (size_t i = 0; i < patches->scouted.count; i++) {
        const sb_scouted_patch *patch = &patches->scouted.items[i];
        add_patch(out, patches->season, patch, fate_of(patches->season, patch->name));
    }
    sb_xml_close(out);
    sb_xml_close(out);
    return sb_xml_out_finish(out, text);
}

sb_status sb_write_patches(const sb_patches *patches, const char *folder, sb_report *report)
{
    if (patches == NULL || folder == NULL || report == NULL)
        return SB_ERR_ARG;
    if (patches->scouted.count == 0)
        return SB_OK;
    sb_text text = {0};
    sb_status status = render(patches, &text);
    if (status == SB_OK)
        status = sb_make_folder(folder, report);
    if (status == SB_OK)
        status = sb_write_file(folder, "patches.kml", text.bytes, text.count, report);
    sb_text_release(&text);
    return status;
}
