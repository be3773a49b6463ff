/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/csv_out.h"

#include <string.h>

void sb_csv_value(sb_text *text, const char *value)
{
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
