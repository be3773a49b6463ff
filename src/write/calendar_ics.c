/* SPDX-License-Identifier: GPL-3.0-or-later */
/* calendar.ics: every move, every cleanout and every field cut, day by day, for the calendar on a
 * phone (iCalendar, RFC 5545). Times are local and carry no zone: the season file names none. */
#include <string.h>

#include "plan/board.h"
#include "write/columns.h"
#include "write/needs.h"
#include "write/receipts.h"
#include "write/why.h"
#include "write/words.h"
#include "write/write.h"

/* Octets in a line of the file; longer ones go on behind a blank in the next. */
#define MOST_OCTETS 75

/* Ends a content line: folds it, never inside a character. */
static void add_line(sb_text *text, const sb_text *line)
{
    size_t used = 0;
    for (size_t at = 0; at < line->count;) {
        size_t n = 1;
        while (at + n < line->count && ((unsigned char)line->bytes[at + n] & 0xC0) == 0x80)
            n++;
        if (used + n > MOST_OCTETS) {
            sb_text_add(text, "\r\n ", 3);
            used = 1;
        }
        sb_text_add(text, line->bytes + at, n);
        used += n;
        at += n;
    }
    sb_text_add(text, "\r\n", 2);
    text->failed |= line->failed;
}

/* TEXT of RFC 5545 section 3.3.11; control characters and broken bytes become '?'. */
static void add_text(sb_text *line, const char *value)
{
    bool whole = sb_columns_whole(value);
    for (; *value != '\0'; value++) {
        unsigned char c = (unsigned char)*value;
        if (c == '\\' || c == ';' || c == ',')
            sb_text_addf(line, "\\%c", *value);
        else if (c == '\n')
            sb_text_addf(line, "\\n");
        else
            sb_text_add(line, c < 0x20 || c == 0x7F || (c >= 0x80 && !whole) ? "?" : value, 1);
    }
}

/* "DTSTART:20260806T090000" from "2026-08-06T09:00". */
static void add_moment(const char *what, const char *stamp, sb_text *text)
{
    sb_text line = {0};
    sb_text_addf(&line, "%s:%.4s%.2s%.2sT%.2s%.2s00", what, stamp, stamp + 5, stamp + 8, stamp + 11,
                 stamp + 14);
    add_line(text, &line);
    sb_text_release(&line);
}

/* FNV-1a over the names of machine and field: events of different seasons must differ in their ids
 * though their numbers agree. */
static uint64_t mixed(uint64_t hash, const char *name)
{
    for (; *name != '\0'; name++)
        hash = (hash ^ (unsigned char)*name) * 1099511628211u;
    return hash;
}

static void add_id(const sb_season *season, const sb_plan *plan, const sb_span *span,
                   const char *place, sb_text *text)
{
    static const char letters[] = {'c', 'w', 'm', 'f'};
    const char *machine = season->setup.machines[plan->routes[span->route].machine].id;
    char begin[17];
    sb_text line = {0};
    sb_calendar_stamp(&season->setup.calendar, span->begin_h, false, begin);
    sb_text_addf(&line, "UID:%zu-%zu-%c-%.10s@%016llx.seedbreak", span->route + 1, span->stop + 1,
                 letters[span->activity], begin,
                 (unsigned long long)mixed(mixed(14695981039346656037u, machine), place));
    add_line(text, &line);
    sb_text_release(&line);
}

static const char *place_of(const sb_season *season, const sb_route *route, size_t stop)
{
    return stop < route->n_stops ? season->fields[route->stops[stop].field].name
                                 : season->yards[season->joins[route->machine].yard].name;
}

/* "Cut 3 Salt Flat", "Move to 4 Oat Slough, 24.2 km", "Deep clean with a flush". */
static void add_summary(const sb_season *season, const sb_plan *plan, const sb_span *span,
                        sb_text *text)
{
    const sb_route *route = &plan->routes[span->route];
    bool home = span->stop == route->n_stops;
    sb_text line = {0}, words = {0};
    sb_text_addf(&line, "SUMMARY:");
    if (plan->n_routes > 1)
        sb_text_addf(&words, "%s: ", season->setup.machines[route->machine].name);
    if (span->activity == SB_CLEANING) {
        int level = home ? route->final_cleanout : route->stops[span->stop].cleanout;
        sb_text_addf(&words, "%s", season->setup.cleanouts[level].name);
    } else {
        sb_text_addf(&words, span->activity == SB_CUTTING ? "Cut " : "Move to ");
        if (!home)
            sb_text_addf(&words, "%zu ", span->stop + 1);
        sb_text_addf(&words, "%s", place_of(season, route, span->stop));
        if (span->activity == SB_MOVING) {
            sb_text_addf(&words, ", ");
            sb_words_km(&words, home ? route->km_home : route->stops[span->stop].km);
        }
    }
    add_text(&line, sb_text_get(&words));
    line.failed |= words.failed;
    add_line(text, &line);
    sb_text_release(&words);
    sb_text_release(&line);
}

/* For a cleanout what to have ready, for a field what it receives. */
static void add_description(const sb_season *season, const sb_plan *plan, const sb_span *span,
                            sb_text *text)
{
    const sb_route *route = &plan->routes[span->route];
    bool home = span->stop == route->n_stops;
    sb_text line = {0}, words = {0}, ready = {0};
    if (span->activity == SB_CLEANING) {
        int level = home ? route->final_cleanout : route->stops[span->stop].cleanout;
        const sb_cleanout *cleanout = &season->setup.cleanouts[level];
        sb_words_minutes(&words, cleanout->minutes);
        sb_text_addf(&words, " in all, %.3g %s.", cleanout->people,
                     cleanout->people == 1 ? "person" : "people");
        sb_supplies_words(&ready, cleanout, sb_add_plain_name);
        if (ready.count > 0)
            sb_text_addf(&words, " Have ready: %s.", sb_text_get(&ready));
    } else if (!home) {
        sb_receipt_words(season, plan, route->stops[span->stop].field, sb_add_plain_name, &words);
    }
    if (words.count > 0) {
        sb_text_addf(&line, "DESCRIPTION:");
        add_text(&line, sb_text_get(&words));
        add_line(text, &line);
    }
    text->failed |= words.failed || ready.failed;
    sb_text_release(&ready);
    sb_text_release(&words);
    sb_text_release(&line);
}

static void add_event(const sb_season *season, const sb_plan *plan, const sb_span *span,
                      const char *made, sb_text *text)
{
    const sb_route *route = &plan->routes[span->route];
    char begin[17], end[17];
    /* A cleanout before a move is done where the machine stands: in the place before. */
    size_t stop = span->activity != SB_CLEANING || span->stop == route->n_stops ? span->stop
                  : span->stop > 0                                              ? span->stop - 1
                                                                                : route->n_stops;
    sb_text line = {0};
    sb_calendar_stamp(&season->setup.calendar, span->begin_h, false, begin);
    sb_calendar_stamp(&season->setup.calendar, span->end_h, true, end);
    sb_text_addf(text, "BEGIN:VEVENT\r\n");
    add_id(season, plan, span, place_of(season, route, span->stop), text);
    sb_text_addf(text, "DTSTAMP:%s\r\n", made);
    add_moment("DTSTART", begin, text);
    add_moment("DTEND", end, text);
    add_summary(season, plan, span, text);
    sb_text_addf(&line, "LOCATION:");
    add_text(&line, place_of(season, route, stop));
    add_line(text, &line);
    add_description(season, plan, span, text);
    sb_text_addf(text, "CATEGORIES:%s\r\nEND:VEVENT\r\n", sb_activity_word(span->activity));
    sb_text_release(&line);
}

sb_status sb_render_calendar_ics(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    sb_board board;
    sb_status status = sb_board_init(season, plan, &board);
    char date[11], made[17];
    if (status != SB_OK)
        return status;
    /* The same plan gives the same file: the stamp is the season's first morning, not this one. */
    sb_date_format(season->setup.calendar.start_day, date);
    snprintf(made, sizeof made, "%.4s%.2s%.2sT000000Z", date, date + 5, date + 8);
    sb_text_addf(text, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//seedbreak//harvest "
                       "season//EN\r\nCALSCALE:GREGORIAN\r\n");
    for (size_t i = 0; i < board.n_spans; i++)
        if (board.spans[i].activity != SB_WAITING)
            add_event(season, plan, &board.spans[i], made, text);
    sb_text_addf(text, "END:VCALENDAR\r\n");
    sb_board_release(&board);
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
