/* SPDX-License-Identifier: GPL-3.0-or-later */
/* schedule.csv: the board as a table, one line for each thing that a machine does on a day. */
#include "plan/board.h"
#include "write/csv_out.h"
#include "write/write.h"

static void add_span(const sb_season *season, const sb_plan *plan, const sb_span *span,
                     sb_text *text)
{
    const sb_route *route = &plan->routes[span->route];
    bool home = span->stop == route->n_stops;
    int level = home ? route->final_cleanout : route->stops[span->stop].cleanout;
    char begin[17], end[17];
    sb_calendar_stamp(&season->setup.calendar, span->begin_h, false, begin);
    sb_calendar_stamp(&season->setup.calendar, span->end_h, true, end);
    sb_csv_value(text, season->setup.machines[route->machine].id);
    sb_text_addf(text, ",%s,%s,%s,", sb_activity_word(span->activity), begin, end);
    sb_text_addf(text, "%.4f,", span->end_h - span->begin_h);
    if (!home)
        sb_text_addf(text, "%zu", span->stop + 1);
    sb_text_addf(text, ",");
    sb_csv_value(text, home ? season->yards[season->joins[route->machine].yard].name
                            : season->fields[route->stops[span->stop].field].name);
    sb_text_addf(text, ",");
    if (span->activity == SB_CLEANING)
        sb_csv_value(text, season->setup.cleanouts[level].id);
    sb_text_addf(text, "\r\n");
}

sb_status sb_render_schedule_csv(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    sb_board board;
    sb_status status = sb_board_init(season, plan, &board);
    if (status != SB_OK)
        return status;
    sb_text_addf(text, "machine,activity,begin,end,hours,stop,place,cleanout\r\n");
    for (size_t i = 0; i < board.n_spans; i++)
        add_span(season, plan, &board.spans[i], text);
    sb_board_release(&board);
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
