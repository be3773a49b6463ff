/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/csv_out.h"

#include <string.h>

/* What a spreadsheet would compute instead of showing it. */
static bool looks_like_a_formula(const char *value)
{
    return value[0] != '\0' && strchr("=+-@\t", value[0]) != NULL;
}

void sb_csv_value(sb_text *text, const char *value)
{
    if (looks_like_a_formula(value)) {
        sb_text guarded = {0};
        sb_text_addf(&guarded, "'%s", value);
        sb_csv_value(text, sb_text_get(&guarded));
        text->failed |= guarded.failed;
        sb_text_release(&guarded);
        return;
    }
    if (strpbrk(value, ",\"\r\n") == NULL && value[0] != ' ' &&
        (value[0] == '\0' || value[strlen(value) - 1] != ' ')) {
        sb_text_addf(text, "%s", value);
        return;
    }
    sb_text_add(text, "\"", 1);
    for (; *value != '\0'; value++) {
        if (*value == '"')
            sb_text_add(text, "\"", 1);
        sb_text_add(text, value, 1);
    }
    sb_text_add(text, "\"", 1);
}
