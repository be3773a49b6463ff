/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/xml_out.h"

#include <libxml/xmlwriter.h>

#include "base/mem.h"

struct sb_xml_out {
    xmlBufferPtr buffer;
    xmlTextWriterPtr writer;
    bool failed;
};

static void free_out(sb_xml_out *out)
{
    if (out->writer != NULL)
        xmlFreeTextWriter(out->writer);
    if (out->buffer != NULL)
        xmlBufferFree(out->buffer);
    sb_free(out);
}

sb_xml_out *sb_xml_out_new(void)
{
    sb_xml_out *out = sb_alloc(1, sizeof *out);
    if (out == NULL)
        return NULL;
    out->buffer = xmlBufferCreate();
    out->writer = out->buffer != NULL ? xmlNewTextWriterMemory(out->buffer, 0) : NULL;
    if (out->writer == NULL || xmlTextWriterSetIndent(out->writer, 1) < 0 ||
        xmlTextWriterSetIndentString(out->writer, BAD_CAST " ") < 0 ||
        xmlTextWriterStartDocument(out->writer, NULL, "UTF-8", NULL) < 0) {
        free_out(out);
        return NULL;
    }
    return out;
}

sb_status sb_xml_out_finish(sb_xml_out *out, sb_text *text)
{
    if (xmlTextWriterEndDocument(out->writer) < 0 || xmlTextWriterFlush(out->writer) < 0)
        out->failed = true;
    if (!out->failed)
        sb_text_add(text, (const char *)xmlBufferContent(out->buffer),
                    (size_t)xmlBufferLength(out->buffer));
    bool failed = out->failed || text->failed;
    free_out(out);
    return failed ? SB_ERR_NOMEM : SB_OK;
}

void sb_xml_open(sb_xml_out *out, const char *name)
{
    out->failed |= xmlTextWriterStartElement(out->writer, BAD_CAST name) < 0;
}

void sb_xml_close(sb_xml_out *out)
{
    out->failed |= xmlTextWriterEndElement(out->writer) < 0;
}

/* XML has no way to write most control characters, not even escaped. NULL: out of memory. */
static char *writable(const char *value)
{
    char *copy = sb_strdup(value);
    for (char *c = copy; c != NULL && *c != '\0'; c++)
        if ((unsigned char)*c < 0x20 && *c != '\t' && *c != '\n' && *c != '\r')
            *c = '?';
    return copy;
}

void sb_xml_attribute(sb_xml_out *out, const char *name, const char *value)
{
    char *safe = writable(value);
    if (safe == NULL || xmlTextWriterWriteAttribute(out->writer, BAD_CAST name, BAD_CAST safe) < 0)
        out->failed = true;
    sb_free(safe);
}

void sb_xml_element(sb_xml_out *out, const char *name, const char *value)
{
    char *safe = writable(value);
    if (safe == NULL || xmlTextWriterWriteElement(out->writer, BAD_CAST name, BAD_CAST safe) < 0)
        out->failed = true;
    sb_free(safe);
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
