/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "read/coordinates.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"

static bool is_blank(char c)
{
    return c == ' ' || c == '\n' || c == '\t' || c == '\r';
}

static bool ends_number(char c)
{
    return c == ',' || c == '\0' || is_blank(c);
}

/* A number by the general reader, for the few that the quick way does not take. */
static bool read_number_slowly(const char *start, const char **end, double *value)
{
    char copy[512];
    size_t n = 0;
    while (!ends_number(start[n])) {
        if (n == sizeof copy - 1)
            return false;
        copy[n] = start[n];
        n++;
    }
    copy[n] = '\0';
    *end = start + n;
    return sb_parse_double(copy, value);
}

/* Plain decimals of up to 15 digits: the digits fit a double exactly, and so does the power of
 * ten, so one division rounds correctly. Files of 100 MB are made of these. */
static bool read_number(const char *start, const char **end, double *value)
{
    static const double ten_to[] = {1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                    1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};
    const char *c = start;
    bool negative = *c == '-';
    c += negative || *c == '+';
    uint64_t digits = 0;
    const char *first = c;
    while (*c >= '0' && *c <= '9')
        digits = digits * 10 + (uint64_t)(*c++ - '0');
    size_t n_digits = (size_t)(c - first), n_decimals = 0;
    if (*c == '.') {
        const char *point = c++;
        while (*c >= '0' && *c <= '9')
            digits = digits * 10 + (uint64_t)(*c++ - '0');
        n_decimals = (size_t)(c - point) - 1;
        n_digits += n_decimals;
    }
    if (n_digits == 0 || n_digits > 15 || !ends_number(*c))
        return read_number_slowly(start, end, value);
    double magnitude = (double)digits / ten_to[n_decimals];
    *value = negative ? -magnitude : magnitude;
    *end = c;
    return true;
}

/* Everything up to the end of the tuple: an altitude is not ours to judge. */
static bool pass_altitude(const char *c, const char **end)
{
    while (!ends_number(*c))
        c++;
    *end = c;
    return *c != ',';
}

/* One tuple, "lon,lat" or "lon,lat,altitude" up to a blank or the end. */
static bool read_tuple(const char *start, const char **end, sb_lonlat *place)
{
    const char *c = start;
    if (!read_number(c, &c, &place->lon_deg) || *c != ',')
        return false;
    if (!read_number(c + 1, &c, &place->lat_deg))
        return false;
    if (*c == ',' && !pass_altitude(c + 1, &c))
        return false;
    *end = c;
    return true;
}

sb_status sb_place_check(const sb_reading *reading, sb_lonlat place, size_t line)
{
    double lon_deg = place.lon_deg, lat_deg = place.lat_deg;
    if (fabs(lat_deg) <= 90 && fabs(lon_deg) <= 180)
        return SB_OK;
    bool swapped = fabs(lon_deg) <= 90 && fabs(lat_deg) <= 180;
    const char *hint = swapped ? " (longitude and latitude look swapped)" : "";
    if (fabs(lat_deg) > 90)
        return sb_bad(reading->report, reading->file, line,
                      "latitude %.10g, expected -90 to 90 degrees%s", lat_deg, hint);
    return sb_bad(reading->report, reading->file, line,
                  "longitude %.10g, expected -180 to 180 degrees%s", lon_deg, hint);
}

static size_t line_of(const char *text, const char *at, size_t line)
{
    for (; text < at; text++)
        line += *text == '\n';
    return line;
}

/* Reads tuples until one fails. @return NULL when all were read, else the tuple that failed */
static const char *read_tuples(const char *text, sb_ring *ring, sb_status *status)
{
    const char *c = text;
    for (;;) {
        while (is_blank(*c))
            c++;
        if (*c == '\0')
            return NULL;
        sb_lonlat place;
        const char *end;
        if (!read_tuple(c, &end, &place))
            return c;
        if (!SB_PUSH(ring, place)) {
            *status = SB_ERR_NOMEM;
            return NULL;
        }
        c = end;
    }
}

/* "5.0, 52.0, 0 5.1, 52.0, 0" -> "5.0,52.0,0 5.1,52.0,0", in place. Line breaks that go with the
 * blanks are lost, so errors found afterwards name the first line. */
static void close_up_commas(char *text)
{
    char *out = text;
    for (const char *c = text; *c != '\0'; c++) {
        if (*c == ',')
            while (out > text && is_blank(out[-1]))
                out--;
        *out++ = *c;
        if (*c == ',')
            while (is_blank(c[1]))
                c++;
    }
    *out = '\0';
}

/* "5,52,0,5.1,52,0": every third comma parts two tuples. @return false: not of that kind */
static bool part_triples(char *text)
{
    char *trimmed = sb_trim(text);
    size_t commas = 0;
    for (const char *c = trimmed; *c != '\0'; c++) {
        if (is_blank(*c))
            return false;
        commas += *c == ',';
    }
    if (commas < 5 || commas % 3 != 2)
        return false;
    size_t seen = 0;
    for (char *c = trimmed; *c != '\0'; c++)
        if (*c == ',' && ++seen % 3 == 0)
            *c = ' ';
    return true;
}

/* Where the tuple of that number begins. */
static const char *find_tuple(const char *text, size_t number)
{
    for (size_t seen = 0;; seen++) {
        while (is_blank(*text))
            text++;
        if (seen == number)
            return text;
        while (*text != '\0' && !is_blank(*text))
            text++;
    }
}

static sb_status check_places(const sb_reading *reading, const char *text, size_t line,
                              const sb_ring *ring)
{
    for (size_t i = 0; i < ring->count; i++)
        if (fabs(ring->items[i].lat_deg) > 90 || fabs(ring->items[i].lon_deg) > 180)
            return sb_place_check(reading, ring->items[i],
                                  line_of(text, find_tuple(text, i), line));
    return SB_OK;
}

sb_status sb_coordinates_read(const sb_reading *reading, char *text, size_t length, size_t line,
                              sb_ring *ring)
{
    if (strlen(text) != length)
        return sb_bad(reading->report, reading->file, line,
                      "coordinates with a NUL character, expected 'lon,lat'");
    sb_status status = SB_OK;
    ring->count = 0;
    const char *failed = read_tuples(text, ring, &status);
    if (failed != NULL) {
        size_t failed_line = line_of(text, failed, line), n = strcspn(failed, " \t\r\n");
        char token[SB_EXCERPT_BYTES] = {0}, excerpt[SB_EXCERPT_BYTES];
        memcpy(token, failed, n < sizeof token ? n : sizeof token - 1);
        const char *repair = "blanks around commas in coordinates, expected none: closed up";
        close_up_commas(text);
        ring->count = 0;
        failed = read_tuples(text, ring, &status);
        if (failed != NULL && part_triples(text)) {
            repair = "coordinates without blanks between tuples: parted after every third number";
            ring->count = 0;
            failed = read_tuples(text, ring, &status);
        }
        if (failed != NULL)
            return sb_bad(
                reading->report, reading->file, failed_line,
                "coordinate '%s', expected 'lon,lat' or 'lon,lat,altitude' in decimal degrees",
                sb_excerpt(token, excerpt));
        sb_say(reading->report, SB_WARNING, reading->file, failed_line, "%s", repair);
    }
    return status == SB_OK ? check_places(reading, text, line, ring) : status;
}
