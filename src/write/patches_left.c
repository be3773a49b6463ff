/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/columns.h"
#include "write/json_out.h"
#include "write/patches_out.h"
#include "write/words.h"

void sb_patches_left_text(const sb_season *season, sb_text *text)
{
    sb_text words = {0};
    double given_up = 0;
    for (size_t i = 0; i < season->patches.count; i++) {
        const sb_patch *patch = &season->patches.items[i];
        if (patch->fate != SB_PATCH_LEAVE)
            continue;
        sb_text_addf(&words, "%s'%s' of '%s', ",
                     words.count > 0 ? "; " : "Left standing: ", patch->name, patch->field);
        sb_words_area(&words, patch->area_ha);
        sb_text_addf(&words, " with %.3g t", patch->grain_t);
        given_up += patch->worth;
    }
    if (words.count > 0) {
        sb_text_addf(&words, ". The total does not contain that grain, ");
        sb_words_money(&words, season, given_up);
        sb_text_addf(&words, ".");
        sb_columns_wrap(text, sb_text_get(&words), 0, 0);
    }
    text->failed |= words.failed;
    sb_text_release(&words);
}

json_t *sb_patches_json(const sb_season *season, bool *ok)
{
    json_t *array = json_array();
    for (size_t i = 0; i < season->patches.count; i++) {
        const sb_patch *patch = &season->patches.items[i];
        json_t *object = json_object();
        sb_json_put(object, "name", sb_json_text(patch->name), ok);
        sb_json_put(object, "field", sb_json_text(patch->field), ok);
        sb_json_put(object, "patch", json_string(sb_patch_fate_word(patch->fate)), ok);
        sb_json_put(object, "area_ha", sb_json_number(patch->area_ha), ok);
        sb_json_put(object, "grain_t", sb_json_number(patch->grain_t), ok);
        sb_json_put(object, "worth", sb_json_number(patch->worth), ok);
        sb_json_append(array, object, ok);
    }
    return array;
}
