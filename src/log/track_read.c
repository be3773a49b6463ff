/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Timed tracks in GPX. */
#include <libxml/parser.h>
#include <stdlib.h>
#include <string.h>

#include "base/date.h"
#include "base/mem.h"
#include "base/report.h"
#include "log/track.h"
#include "read/coordinates.h"
#include "read/xml.h"

#define DAY_S 86400LL

typedef struct gpx_track {
    sb_reading reading;
    sb_track *track;
    sb_fix fix;  /* the open point */
    bool timed;  /* it has a time */
    bool begins; /* a segment, with the next point */
} gpx_track;

/* ---- Times ------------------------------------------------------------------------------------
 */

static bool digits(const char **at, int count, int most, int *value)
{
    *value = 0;
    for (; count > 0; count--, ++*at) {
        if (**at < '0' || **at > '9')
            return false;
        *value = *value * 10 + (**at - '0');
    }
    return *value <= most;
}

/* "Z", "+02:00" or nothing, which is UTC as well. */
static bool read_zone(const char *at, long long *seconds)
{
    int sign = *at == '+' ? 1 : *at == '-' ? -1 : 0, hours, minutes;
    if (*at == '\0' || strcmp(at, "Z") == 0)
        return true;
    if (sign == 0)
        return false;
    at++;
    if (!digits(&at, 2, 14, &hours) || *at++ != ':' || !digits(&at, 2, 59, &minutes))
        return false;
    *seconds -= sign * (hours * 3600LL + minutes * 60LL);
    return *at == '\0';
}

/* "2026-08-06T15:04:05Z"; fractions of seconds are dropped. */
static bool read_time(char *text, long long *seconds)
{
    static const char blanks[] = " \t\r\n";
    text += strspn(text, blanks);
    size_t length = strlen(text);
    while (length > 0 && strchr(blanks, text[length - 1]) != NULL)
        text[--length] = '\0';
    char date[11] = "";
    int day, hours, minutes, whole;
    if (length < 19 || text[10] != 'T')
        return false;
    memcpy(date, text, 10);
    const char *at = text + 11;
    if (!sb_date_parse(date, &day) || !digits(&at, 2, 23, &hours) || *at++ != ':' ||
        !digits(&at, 2, 59, &minutes) || *at++ != ':' || !digits(&at, 2, 60, &whole))
        return false;
    if (*at == '.') {
        size_t fraction = strspn(at + 1, "0123456789");
        if (fraction == 0)
            return false;
        at += 1 + fraction;
    }
    *seconds = day * DAY_S + hours * 3600LL + minutes * 60LL + whole;
    return read_zone(at, seconds);
}

/* ---- Points -----------------------------------------------------------------------------------
 */

static sb_status read_degrees(gpx_track *g, const sb_xml_element *element, const char *name,
                              double *value)
{
    char excerpt[SB_EXCERPT_BYTES];
    const char *text = sb_xml_attribute_value(element, name);
    if (text != NULL && sb_parse_double(text, value))
        return SB_OK;
    return sb_bad(g->reading.report, g->reading.file, element->line,
                  "track point with %s '%s', expected decimal degrees", name,
                  sb_excerpt(text != NULL ? text : "", excerpt));
}

static sb_status begin_point(gpx_track *g, const sb_xml_element *element)
{
    g->fix = (sb_fix){.line = element->line, .number = g->track->fixes.count, .begins = g->begins};
    g->timed = false;
    sb_status status = read_degrees(g, element, "lat", &g->fix.place.lat_deg);
    if (status == SB_OK)
        status = read_degrees(g, element, "lon", &g->fix.place.lon_deg);
    if (status == SB_OK)
        status = sb_place_check(&g->reading, g->fix.place, element->line);
    return status;
}

static sb_status end_point(gpx_track *g)
{
    const sb_track *track = g->track;
    const sb_fix *before =
        track->fixes.count > 0 ? &track->fixes.items[track->fixes.count - 1] : NULL;
    if (!g->timed)
        return sb_bad(g->reading.report, g->reading.file, g->fix.line,
                      "track point without a time, expected when the machine was there");
    if (before != NULL && !g->begins && g->fix.seconds < before->seconds)
        return sb_bad(g->reading.report, g->reading.file, g->fix.line,
                      "track point earlier than the one before it, expected them in order");
    g->begins = false;
    return SB_PUSH(&g->track->fixes, g->fix) ? SB_OK : SB_ERR_NOMEM;
}

static sb_status start(void *context, const sb_xml_element *element, sb_xml_interest *interest)
{
    gpx_track *g = context;
    char excerpt[SB_EXCERPT_BYTES];
    const char *name = element->name;
    if (element->depth == 1) {
        *interest = SB_XML_ENTER;
        return strcmp(name, "gpx") == 0
                   ? SB_OK
                   : sb_bad(g->reading.report, g->reading.file, element->line,
                            "root element '%s', expected 'gpx' with a timed track",
                            sb_excerpt(name, excerpt));
    }
    if (element->depth == 2 && strcmp(name, "trk") == 0)
        *interest = SB_XML_ENTER;
    if (element->depth == 3 && strcmp(name, "trkseg") == 0) {
        *interest = SB_XML_ENTER;
        g->begins = true;
    }
    if (element->depth == 4 && strcmp(name, "trkpt") == 0) {
        *interest = SB_XML_ENTER;
        return begin_point(g, element);
    }
    if (element->depth == 5 && strcmp(name, "time") == 0)
        *interest = SB_XML_TEXT;
    return SB_OK;
}

static sb_status end(void *context, size_t depth, char *text, size_t length, size_t line)
{
    (void)length;
    gpx_track *g = context;
    char excerpt[SB_EXCERPT_BYTES];
    if (depth == 4)
        return end_point(g);
    if (depth != 5)
        return SB_OK;
    if (!read_time(text, &g->fix.seconds))
        return sb_bad(g->reading.report, g->reading.file, line,
                      "time '%s' of a track point, expected one as 2026-08-06T15:04:05Z",
                      sb_excerpt(text, excerpt));
    g->timed = true;
    return SB_OK;
}

/* ---- The whole --------------------------------------------------------------------------------
 */

static int by_time(const void *a, const void *b)
{
    const sb_fix *one = a, *other = b;
    if (one->seconds != other->seconds)
        return one->seconds < other->seconds ? -1 : 1;
    return one->number < other->number ? -1 : one->number > other->number;
}

/* Segments may stand in any order, but not in each other's time. */
static sb_status sort_segments(const gpx_track *g)
{
    sb_fix *fixes = g->track->fixes.items;
    size_t n = g->track->fixes.count;
    if (n == 0)
        return sb_bad(g->reading.report, g->reading.file, 0, "no track, expected a timed one");
    qsort(fixes, n, sizeof *fixes, by_time);
    for (size_t i = 1; i < n; i++)
        if (fixes[i].number != fixes[i - 1].number + 1 && !fixes[i].begins)
            return sb_bad(g->reading.report, g->reading.file, fixes[i].line,
                          "two segments of the track at the same time, expected one machine");
    return SB_OK;
}

static void say_nothing(void *context, const char *format, ...)
{
    (void)context, (void)format;
}

sb_status sb_track_read(const char *path, sb_report *report, sb_track *track)
{
    static const sb_xml_handler handler = {start, end};
    gpx_track g = {.reading = {.file = path, .report = report}, .track = track};
    sb_source source;
    *track = (sb_track){0};
    xmlInitParser();
    sb_status status = sb_source_open(&source, path, report);
    if (status != SB_OK)
        return status;
    xmlGenericErrorFunc printer = xmlGenericError;
    void *printer_context = xmlGenericErrorContext;
    xmlSetGenericErrorFunc(NULL, say_nothing);
    sb_xml_repair repair = SB_XML_AS_IS;
    status = sb_xml_read(&source, &repair, &handler, &g, report);
    xmlSetGenericErrorFunc(printer_context, printer);
    source.close(&source);
    return status == SB_OK ? sort_segments(&g) : status;
}

void sb_track_release(sb_track *track)
{
    sb_free(track->fixes.items);
    *track = (sb_track){0};
}
