/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The board as text, 80 columns wide: under each day what every machine does. */
#include <string.h>

#include "plan/board.h"
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
    if (span->activity == SB_WAITING)
        return;
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

static size_t same_day(const sb_board *board, size_t first, bool same_machine)
{
    size_t n = 1;
    while (first + n < board->n_spans && board->spans[first + n].day == board->spans[first].day &&
           (!same_machine || board->spans[first + n].route == board->spans[first].route))
        n++;
    return n;
}

static bool all_wait(const sb_board *board, size_t first, size_t n)
{
    for (size_t i = first; i < first + n; i++)
        if (board->spans[i].activity != SB_WAITING)
            return false;
    return true;
}

static void add_waiting(int from_day, int to_day, sb_text *text)
{
    sb_words_day(text, from_day);
    if (to_day != from_day) {
        sb_text_addf(text, " to ");
        sb_words_day(text, to_day);
    }
    sb_text_addf(text, "\n%*s%s\n", INDENT, "", "waiting");
}

static void add_days(const sb_season *season, const sb_plan *plan, const sb_board *board,
                     sb_text *text)
{
    for (size_t i = 0, n; i < board->n_spans; i += n) {
        n = same_day(board, i, false);
        if (all_wait(board, i, n)) {
            int from_day = board->spans[i].day, to_day = from_day;
            while (i + n < board->n_spans &&
                   all_wait(board, i + n, same_day(board, i + n, false))) {
                to_day = board->spans[i + n].day;
                n += same_day(board, i + n, false);
            }
            add_waiting(from_day, to_day, text);
            continue;
        }
        sb_words_day(text, board->spans[i].day);
        sb_text_addf(text, "\n");
        for (size_t k = i; k < i + n; k += same_day(board, k, true))
            add_machine(season, plan, board, k, same_day(board, k, true), text);
    }
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
