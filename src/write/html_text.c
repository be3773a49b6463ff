/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/html_text.h"

#include <limits.h>

#include "write/columns.h"

void sb_html_escape(sb_text *text, const char *value)
{
    for (; *value != '\0'; value++) {
        unsigned char c = (unsigned char)*value;
        switch (c) {
        case '&':
            sb_text_addf(text, "&amp;");
            break;
        case '<':
            sb_text_addf(text, "&lt;");
            break;
        case '>':
            sb_text_addf(text, "&gt;");
            break;
        case '"':
            sb_text_addf(text, "&quot;");
            break;
        case '\'':
            sb_text_addf(text, "&#39;");
            break;
        default:
            sb_text_add(text, (c < 0x20 && c != '\n' && c != '\t') || c == 0x7F ? "?" : value, 1);
        }
    }
}

void sb_html_name(sb_text *text, const char *name)
{
    sb_text_addf(text, "<bdi>");
    sb_html_escape(text, name);
    sb_text_addf(text, "</bdi>");
}

void sb_svg_name(sb_text *text, const char *name, int columns)
{
    sb_text cut = {0};
    sb_columns_cut(&cut, name, columns);
    sb_html_escape(text, sb_text_get(&cut));
    text->failed |= cut.failed;
    sb_text_release(&cut);
}

void sb_svg_title_name(sb_text *text, const char *name)
{
    sb_svg_name(text, name, INT_MAX);
}

void sb_html_open_scroll(sb_text *text, const char *label, const char *class_name)
{
    sb_text_addf(text, "<div class=\"scroll %s\" tabindex=\"0\" role=\"region\" aria-label=\"%s\">",
                 class_name, label);
}
