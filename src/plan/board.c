/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/board.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

typedef struct builder {
    const sb_season *season;
    const sb_plan *plan;
    sb_board *board;
    struct {
        sb_span *items;
        size_t count, capacity;
    } spans;
} builder;

const char *sb_activity_word(sb_activity activity)
{
    static const char *const words[] = {"cutting", "moving", "cleaning", "waiting"};
    return words[activity];
}

/* A span of an activity, cut at the evenings. */
static bool add_parts(builder *b, sb_span span)
{
    const sb_calendar *calendar = &b->season->setup.calendar;
    double begin_h = fmax(span.begin_h, 0), end_h = span.end_h;
    while (end_h - begin_h > SB_SAME_TIME_H) {
        int day = sb_calendar_day(calendar, begin_h, false);
        double evening_h = sb_calendar_hours_through(calendar, day);
        double until_h = end_h - evening_h > SB_SAME_TIME_H ? evening_h : end_h;
        if (!(until_h > begin_h))
            break;
        span.day = day;
        span.begin_h = begin_h;
        span.end_h = until_h;
        if (!SB_PUSH(&b->spans, span))
            return false;
        b->board->hours[span.route][span.activity] += until_h - begin_h;
        begin_h = until_h;
    }
    return true;
}

static bool add(builder *b, size_t route, sb_activity activity, size_t stop, double begin_h,
                double end_h)
{
    return add_parts(b, (sb_span){.route = route,
                                  .activity = activity,
                                  .stop = stop,
                                  .begin_h = begin_h,
                                  .end_h = end_h});
}

static bool add_wait(builder *b, size_t route, size_t stop, sb_wait wait)
{
    return add_parts(b, (sb_span){.route = route,
                                  .activity = SB_WAITING,
                                  .stop = stop,
                                  .begin_h = wait.begin_h,
                                  .end_h = wait.end_h,
                                  .wait = wait});
}

static bool add_stop(builder *b, size_t r, size_t i, const sb_stop *stop)
{
    sb_wait to_clean = sb_wait_to_clean(b->season, b->plan, r, i);
    sb_wait to_drive = sb_wait_to_drive(b->season, b->plan, r, i);
    return add_wait(b, r, i, to_clean) &&
           add(b, r, SB_CLEANING, i, to_clean.end_h, to_drive.begin_h) &&
           add_wait(b, r, i, to_drive) && add(b, r, SB_MOVING, i, stop->leave_h, stop->arrive_h) &&
           add(b, r, SB_CUTTING, i, stop->arrive_h, stop->finish_h);
}

static bool add_route(builder *b, size_t r, const sb_route *route)
{
    if (!sb_route_moves(b->season, route) || !isfinite(route->end_h))
        return true;
    for (size_t i = 0; i < route->n_stops; i++)
        if (!add_stop(b, r, i, &route->stops[i]))
            return false;
    double free_h = route->n_stops > 0 ? route->stops[route->n_stops - 1].finish_h : route->start_h;
    return add(b, r, SB_MOVING, route->n_stops, free_h, route->home_h) &&
           add_wait(b, r, route->n_stops,
                    sb_wait_to_clean(b->season, b->plan, r, route->n_stops)) &&
           add(b, r, SB_CLEANING, route->n_stops, route->final_clean_h, route->end_h);
}

static int by_day(const void *a, const void *b)
{
    const sb_span *first = a, *second = b;
    if (first->day != second->day)
        return first->day < second->day ? -1 : 1;
    if (first->route != second->route)
        return first->route < second->route ? -1 : 1;
    return first->begin_h < second->begin_h ? -1 : first->begin_h > second->begin_h;
}

sb_status sb_board_init(const sb_season *season, const sb_plan *plan, sb_board *board)
{
    *board = (sb_board){.n_routes = plan->n_routes};
    builder b = {.season = season, .plan = plan, .board = board};
    board->hours = sb_alloc(plan->n_routes, sizeof *board->hours);
    bool fine = board->hours != NULL;
    for (size_t r = 0; fine && r < plan->n_routes; r++)
        fine = add_route(&b, r, &plan->routes[r]);
    board->spans = b.spans.items;
    board->n_spans = b.spans.count;
    if (!fine) {
        sb_board_release(board);
        return SB_ERR_NOMEM;
    }
    if (board->n_spans > 0)
        qsort(board->spans, board->n_spans, sizeof *board->spans, by_day);
    return SB_OK;
}

size_t sb_board_day(const sb_board *board, size_t first, bool *busy)
{
    size_t n = 0;
    bool more = false;
    for (; first + n < board->n_spans && board->spans[first + n].day == board->spans[first].day;
         n++)
        more |= board->spans[first + n].activity != SB_WAITING;
    if (busy != NULL)
        *busy = more;
    return n;
}

size_t sb_board_machine(const sb_board *board, size_t first, bool *told)
{
    size_t n = 0;
    *told = false;
    for (const sb_span *span = &board->spans[first];
         first + n < board->n_spans && span[n].day == span->day && span[n].route == span->route;
         n++)
        *told |= !sb_wait_goes_on(&span[n]);
    return n;
}

bool sb_wait_goes_on(const sb_span *span)
{
    return span->activity == SB_WAITING && span->begin_h - span->wait.begin_h > SB_SAME_TIME_H;
}

void sb_board_release(sb_board *board)
{
    sb_free(board->spans);
    sb_free(board->hours);
    *board = (sb_board){0};
}
