/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The board as text, 80 columns wide: under each day what every machine does. A wait is told once,
 * when it begins; days on which nobody works are a break. */
#include <string.h>

#include "plan/board.h"
#include "write/board_words.h"
#include "write/columns.h"
#include "write/stream.h"
#include "write/why.h"
#include "write/words.h"
#include "write/write.h"

#define INDENT 4
#define MACHINE_COLUMNS 16
#define LEAST_HOURS_NAME 20 /* columns of a machine with its id, before its hours */
#define MOST_HOURS_NAME 40

static void add_clock(sb_text *line, const sb_calendar *calendar, double hours)
{
    char stamp[17];
    sb_calendar_stamp(calendar, hours, false, stamp);
    sb_text_addf(line, "%s ", stamp + 11);
}

/* "14:08 moving to 4 Oat Slough" */
static void add_span(const sb_season *season, const sb_plan *plan, const sb_span *span,
                     sb_text *line)
{
    const sb_route *route = &plan->routes[span->route];
    bool home = span->stop == route->n_stops;
    int level = home ? route->final_cleanout : route->stops[span->stop].cleanout;
    add_clock(line, &season->setup.calendar, span->begin_h);
    sb_text_addf(line, "%s", sb_activity_word(span->activity));
    if (span->activity == SB_CLEANING) {
        sb_text_addf(line, " (%s)", season->setup.cleanouts[level].id);
        return;
    }
    if (span->activity == SB_WAITING) {
        sb_wait_words(season, plan, &span->wait, sb_add_plain_name, line);
        return;
    }
    sb_text_addf(line, span->activity == SB_MOVING ? " to " : " ");
    if (home)
        sb_text_addf(line, "%s", season->yards[season->joins[route->machine].yard].name);
    else
        sb_text_addf(line, "%zu %s", span->stop + 1,
                     season->fields[route->stops[span->stop].field].name);
}

/* What one machine does on one day: spans first .. first + n - 1. */
static void add_machine(const sb_season *season, const sb_plan *plan, const sb_board *board,
                        size_t first, size_t n, sb_text *text)
{
    sb_text line = {0};
    const sb_route *route = &plan->routes[board->spans[first].route];
    if (sb_wait_goes_on(&board->spans[first])) {
        first++;
        n--;
    }
    sb_text_addf(text, "%*s", INDENT, "");
    sb_columns_add(text, season->setup.machines[route->machine].name, MACHINE_COLUMNS, false);
    sb_text_addf(text, " ");
    for (size_t i = first; i < first + n; i++) {
        sb_text_addf(&line, i > first ? ", " : "");
        add_span(season, plan, &board->spans[i], &line);
    }
    sb_columns_wrap(text, sb_text_get(&line), INDENT + MACHINE_COLUMNS + 1,
                    INDENT + MACHINE_COLUMNS + 1);
    text->failed |= line.failed;
    sb_text_release(&line);
}

/* Machine by machine, what the spans from first up to end tell. */
static void add_machines(const sb_season *season, const sb_plan *plan, const sb_board *board,
                         size_t first, size_t end, sb_text *text)
{
    for (size_t i = first, n; i < end; i += n) {
        bool told;
        n = sb_board_machine(board, i, &told);
        if (told)
            add_machine(season, plan, board, i, n, text);
    }
}

static void add_break(const sb_season *season, int before, int after, sb_text *text)
{
    sb_text_addf(text, "%*s---- ", INDENT, "");
    sb_words_days_between(text, &season->setup.calendar, before, after);
    sb_text_addf(text, " ----\n");
}

static void add_days(const sb_season *season, const sb_plan *plan, const sb_board *board,
                     sb_text *text)
{
    int last = SB_NO_DAY; /* on which somebody worked */
    size_t told = 0;      /* spans told until then */
    for (size_t i = 0, n; i < board->n_spans; i += n) {
        bool busy;
        int day = board->spans[i].day;
        n = sb_board_day(board, i, &busy);
        if (!busy)
            continue;
        if (last != SB_NO_DAY && day - last > 1)
            add_break(season, last, day, text);
        add_machines(season, plan, board, told, i, text); /* waits that began in the break */
        sb_words_day(text, day);
        sb_text_addf(text, "\n");
        add_machines(season, plan, board, i, i + n, text);
        last = day;
        told = i + n;
    }
    if (board->n_routes > 1)
        sb_columns_wrap(text, SB_BOARD_LEFT_OUT, 0, 0);
}

/* A machine with its id, of which nothing is cut off: its name is, when both are too long. */
static void add_machine_name(const sb_season *season, int machine, sb_text *name)
{
    sb_words_machine(name, season, machine, sb_add_plain_name);
    int over = sb_columns_width(sb_text_get(name)) - MOST_HOURS_NAME;
    const sb_machine *m = &season->setup.machines[machine];
    int whole = sb_columns_width(m->name);
    if (over <= 0 || over >= whole)
        return;
    sb_text cut = {0};
    sb_columns_cut(&cut, m->name, whole - over);
    sb_text_addf(&cut, "%s", sb_text_get(name) + strlen(m->name));
    sb_text_clear(name);
    sb_text_addf(name, "%s", sb_text_get(&cut));
    name->failed |= cut.failed;
    sb_text_release(&cut);
}

static void add_hours(const sb_season *season, const sb_plan *plan, const sb_board *board,
                      sb_text *text)
{
    sb_text name = {0};
    int width = LEAST_HOURS_NAME;
    for (size_t r = 0; r < board->n_routes; r++) {
        sb_text_clear(&name);
        add_machine_name(season, plan->routes[r].machine, &name);
        int wanted = sb_columns_width(sb_text_get(&name));
        width = wanted > width ? wanted : width;
    }
    width = width < MOST_HOURS_NAME ? width : MOST_HOURS_NAME;
    sb_text_addf(text, "\n");
    sb_columns_add(text, "Hours", width, false);
    sb_text_addf(text, " cutting  moving  cleaning  waiting\n");
    for (size_t r = 0; r < board->n_routes; r++) {
        const double *hours = board->hours[r];
        sb_text_clear(&name);
        add_machine_name(season, plan->routes[r].machine, &name);
        sb_columns_add(text, sb_text_get(&name), width, false);
        sb_text_addf(text, " %7.1f %7.1f %9.1f %8.1f\n", hours[SB_CUTTING], hours[SB_MOVING],
                     hours[SB_CLEANING], hours[SB_WAITING]);
    }
    text->failed |= name.failed;
    sb_text_release(&name);
}

sb_status sb_render_board_text(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    sb_board board;
    sb_status status = sb_board_init(season, plan, &board);
    if (status != SB_OK)
        return status;
    add_days(season, plan, &board, text);
    add_hours(season, plan, &board, text);
    sb_board_release(&board);
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
