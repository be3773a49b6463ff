/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/html_text.h"

#include <limits.h>
#include <string.h>

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

/* Only letters beyond ASCII may be written from right to left. */
static bool may_turn(const char *name)
{
    while (*name != '\0' && (unsigned char)*name < 0x80)
        name++;
    return *name != '\0';
}

void sb_html_name(sb_text *text, const char *name)
{
    bool turns = may_turn(name);
    sb_text_addf(text, turns ? "<bdi>" : "");
    sb_html_escape(text, name);
    sb_text_addf(text, turns ? "</bdi>" : "");
}

void sb_svg_name(sb_text *text, const char *name, int columns)
{
    sb_text cut = {0};
    sb_columns_cut(&cut, name, columns);
    sb_html_escape(text, sb_text_get(&cut));
    text->failed |= cut.failed;
    sb_text_release(&cut);
}

/* A letter of average width, and what wide ones take besides: shares of the letter size, in bold.
 */
#define LETTER 0.66
#define CAPITAL 0.13
#define WIDEST 0.46
#define LIGHT                                                                          \
    0.84 /* of that in letters of ordinary weight: what is narrower is never stretched \
          */

double sb_svg_name_width(const char *name, int columns, double size)
{
    sb_text cut = {0};
    sb_columns_cut(&cut, name, columns);
    double letters = LETTER * sb_columns_width(sb_text_get(&cut));
    for (const char *c = sb_text_get(&cut); *c != '\0'; c++) {
        if (strchr("WMwm@%&", *c) != NULL)
            letters += WIDEST;
        else if (*c >= 'A' && *c <= 'Z')
            letters += CAPITAL;
    }
    sb_text_release(&cut);
    return letters * size;
}

void sb_svg_squeeze(sb_text *text, const char *name, int columns, double size, double most)
{
    if (LIGHT * sb_svg_name_width(name, columns, size) > most)
        sb_text_addf(text, " textLength=\"%.0f\" lengthAdjust=\"spacingAndGlyphs\"", most);
}

void sb_svg_title_name(sb_text *text, const char *name)
{
    sb_svg_name(text, name, INT_MAX);
}

void sb_html_open_scroll(sb_text *text, const char *label, const char *class_name)
{
    sb_text_addf(text, "<div class=\"scroll %s\" tabindex=\"0\" role=\"group\" aria-label=\"%s\">",
                 class_name, label);
}
