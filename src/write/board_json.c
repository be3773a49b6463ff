/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The board as a part of plan.json. */
#include "plan/board.h"
#include "write/json_out.h"

/* For what it waits; null where the plan does not say. */
static json_t *wait_json(const sb_season *season, const sb_plan *plan, const sb_wait *wait,
                         bool *ok)
{
    static const char *const causes[] = {
        [SB_WAIT_RIPE] = "ripe", [SB_WAIT_EARLIER] = "earlier", [SB_WAIT_SHARED] = "shared"};
    if (wait->cause == SB_WAIT_UNKNOWN)
        return json_null();
    json_t *object = json_object();
    sb_json_put(object, "cause", json_string(causes[wait->cause]), ok);
    if (wait->cause == SB_WAIT_SHARED)
        sb_json_put(object, "resource", json_string(season->setup.resources[wait->which].id), ok);
    else
        sb_json_put(object, "field", json_string(season->fields[wait->which].name), ok);
    if (wait->cause != SB_WAIT_RIPE) {
        int machine = plan->routes[wait->route].machine;
        sb_json_put(object, "machine", json_string(season->setup.machines[machine].id), ok);
    }
    return object;
}

static json_t *span_json(const sb_season *season, const sb_plan *plan, const sb_span *span,
                         bool *ok)
{
    const sb_route *route = &plan->routes[span->route];
    char begin[17], end[17];
    json_t *object = json_object();
    sb_calendar_stamp(&season->setup.calendar, span->begin_h, false, begin);
    sb_calendar_stamp(&season->setup.calendar, span->end_h, true, end);
    sb_json_put(object, "machine", json_string(season->setup.machines[route->machine].id), ok);
    sb_json_put(object, "activity", json_string(sb_activity_word(span->activity)), ok);
    sb_json_put(object, "begin", json_string(begin), ok);
    sb_json_put(object, "end", json_string(end), ok);
    sb_json_put(object, "hours", sb_json_number(span->end_h - span->begin_h), ok);
    sb_json_put(object, "field",
                span->stop < route->n_stops
                    ? json_string(season->fields[route->stops[span->stop].field].name)
                    : json_null(),
                ok);
    if (span->activity == SB_WAITING)
        sb_json_put(object, "waits_for", wait_json(season, plan, &span->wait, ok), ok);
    return object;
}

json_t *sb_board_json(const sb_season *season, const sb_plan *plan, bool *ok)
{
    sb_board board;
    json_t *array = json_array();
    if (sb_board_init(season, plan, &board) != SB_OK) {
        *ok = false;
        return array;
    }
    for (size_t i = 0; i < board.n_spans; i++)
        sb_json_append(array, span_json(season, plan, &board.spans[i], ok), ok);
    sb_board_release(&board);
    return array;
}
