/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/xml_out.h"

#include <string.h>

#include "base/mem.h"

struct sb_xml_out {
    sb_text text;
    struct {
        const char **items;
        size_t count, capacity;
    } open;              /* elements not closed yet */
    bool start_tag_open; /* its '>' is still to come */
    bool failed;
};

sb_xml_out *sb_xml_out_new(void)
{
    sb_xml_out *out = sb_alloc(1, sizeof *out);
    if (out != NULL)
        sb_text_addf(&out->text, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    return out;
}

sb_status sb_xml_out_finish(sb_xml_out *out, sb_text *text)
{
    while (!out->failed && out->open.count > 0)
        sb_xml_close(out);
    bool failed = out->failed || out->text.failed;
    if (!failed)
        sb_text_add(text, out->text.bytes, out->text.count);
    sb_text_release(&out->text);
    sb_free(out->open.items);
    sb_free(out);
    return failed || text->failed ? SB_ERR_NOMEM : SB_OK;
}

/* XML has no way to write most control characters, not even escaped. Blanks `by_number` are those
 * that a reader would change. */
static void add_escaped(sb_text *text, const char *value, const char *by_number)
{
    for (const char *c = value; *c != '\0'; c++) {
        if (strchr(by_number, *c) != NULL) {
            sb_text_addf(text, "&#%d;", *c);
            continue;
        }
        switch (*c) {
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
        case '\t':
        case '\n':
            sb_text_add(text, c, 1);
            break;
        default:
            sb_text_add(text, (unsigned char)*c < 0x20 ? "?" : c, 1);
        }
    }
}

/* Where a child begins: behind its parent's start tag, on a line of its own. */
static void begin_line(sb_xml_out *out)
{
    if (out->start_tag_open)
        sb_text_addf(&out->text, ">\n");
    out->start_tag_open = false;
    sb_text_addf(&out->text, "%*s", (int)out->open.count, "");
}

void sb_xml_open(sb_xml_out *out, const char *name)
{
    begin_line(out);
    sb_text_addf(&out->text, "<%s", name);
    out->start_tag_open = true;
    out->failed |= !SB_PUSH(&out->open, name);
}

void sb_xml_close(sb_xml_out *out)
{
    if (out->failed)
        return; /* an element may be missing from those open */
    const char *name = out->open.items[--out->open.count];
    if (out->start_tag_open) {
        sb_text_addf(&out->text, "/>\n");
        out->start_tag_open = false;
    } else {
        begin_line(out);
        sb_text_addf(&out->text, "</%s>\n", name);
    }
}

void sb_xml_attribute(sb_xml_out *out, const char *name, const char *value)
{
    sb_text_addf(&out->text, " %s=\"", name);
    add_escaped(&out->text, value, "\t\n\r");
    sb_text_add(&out->text, "\"", 1);
}

void sb_xml_element(sb_xml_out *out, const char *name, const char *value)
{
    begin_line(out);
    sb_text_addf(&out->text, "<%s>", name);
    add_escaped(&out->text, value, "\r");
    sb_text_addf(&out->text, "</%s>\n", name);
}

void sb_xml_release(sb_xml_out *out, sb_text *text)
{
    out->failed |= text->failed;
    sb_text_release(text);
}

void sb_xml_lat_lon(sb_xml_out *out, sb_lonlat place)
{
    sb_text number = {0};
    sb_text_addf(&number, "%.7f", place.lat_deg);
    sb_xml_attribute(out, "lat", sb_text_get(&number));
    sb_text_clear(&number);
    /* Rounded to 7 decimals first: 179.99999999 would be written as the forbidden 180. */
    double lon = place.lon_deg >= 180 - 5e-8 ? place.lon_deg - 360 : place.lon_deg;
    sb_text_addf(&number, "%.7f", lon < -180 ? -180 : lon);
    sb_xml_attribute(out, "lon", sb_text_get(&number));
    sb_xml_release(out, &number);
}
