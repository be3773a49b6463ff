/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The board: every hour of a machine's season is on it once, on the right day. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "plan/board.h"
#include "plans.h"
#include "seasons.h"

static bool near(double a, double b)
{
    return fabs(a - b) < 1e-6;
}

/* From the first work to back and clean, without a hole and without a day on which nobody works. */
static void check_spans(const sb_season *season, const sb_plan *plan, const sb_board *board)
{
    const sb_calendar *calendar = &season->setup.calendar;
    const sb_route *route = &plan->routes[0];
    double now_h = sb_work_begin_h(route, 0);
    for (size_t i = 0; i < board->n_spans; i++) {
        const sb_span *span = &board->spans[i];
        assert_true(near(span->begin_h, now_h));
        assert_true(span->end_h > span->begin_h);
        assert_true(span->begin_h >= sb_calendar_hours_before(calendar, span->day) - 1e-6);
        assert_true(span->end_h <= sb_calendar_hours_through(calendar, span->day) + 1e-6);
        for (size_t k = 0; k < calendar->n_blocked; k++)
            assert_int_not_equal(calendar->blocked[k], span->day);
        if (i > 0)
            assert_true(span->stop >= board->spans[i - 1].stop);
        if (span->activity == SB_WAITING) { /* a machine alone waits for nothing else */
            assert_int_equal(span->wait.cause, SB_WAIT_RIPE);
            assert_int_equal(span->wait.which, route->stops[span->stop].field);
            assert_true(span->wait.begin_h <= span->begin_h + 1e-6);
            assert_true(span->wait.end_h >= span->end_h - 1e-6);
        }
        now_h = span->end_h;
    }
    assert_true(near(now_h, route->end_h));
}

static void check_hours(const sb_season *season, const sb_plan *plan, const sb_board *board)
{
    const sb_route *route = &plan->routes[0];
    double cutting = 0, cleaning = 0,
           moving = route->home_h - route->stops[route->n_stops - 1].finish_h;
    for (size_t i = 0; i < route->n_stops; i++) {
        cutting += sb_season_cutting_hours(season, 0, route->stops[i].field);
        cleaning += season->setup.cleanouts[route->stops[i].cleanout].minutes / 60;
        moving += route->stops[i].arrive_h - route->stops[i].leave_h;
    }
    if (route->final_cleanout >= 0)
        cleaning += season->setup.cleanouts[route->final_cleanout].minutes / 60;
    assert_true(near(board->hours[0][SB_CUTTING], cutting));
    assert_true(near(board->hours[0][SB_CLEANING], cleaning));
    assert_true(near(board->hours[0][SB_MOVING], moving));
    double all = route->end_h - sb_work_begin_h(route, 0);
    assert_true(near(board->hours[0][SB_WAITING], all - cutting - cleaning - moving));
}

static void every_hour_is_on_the_board_once(void **state)
{
    (void)state;
    double waited = 0;
    for (uint64_t seed = 1; seed <= 40; seed++) {
        support_options options = support_every_rule();
        options.missing_ways = false;
        sb_season *season = support_random_season(seed, 8, &options);
        sb_plan *plan = support_plan(season);
        sb_board board;
        assert_int_equal(sb_board_init(season, plan, &board), SB_OK);
        check_spans(season, plan, &board);
        check_hours(season, plan, &board);
        waited += board.hours[0][SB_WAITING];
        sb_board_release(&board);
        sb_plan_free(plan);
        sb_season_free(season);
    }
    assert_true(waited > 10); /* the seasons drawn must have made machines wait */
}

static void work_goes_on_next_morning(void **state)
{
    (void)state;
    sb_season *season = support_season_new(3, 1); /* 10 hours a day; a field takes 5 */
    sb_plan *plan = support_plan(season);
    sb_board board;
    assert_int_equal(sb_board_init(season, plan, &board), SB_OK);
    size_t parts = 0;
    for (size_t i = 0; i < board.n_spans; i++)
        parts += board.spans[i].activity == SB_CUTTING && board.spans[i].stop == 1;
    assert_int_equal(parts, 2);
    sb_board_release(&board);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void a_plan_without_dates_has_an_empty_board(void **state)
{
    (void)state;
    sb_season *season = support_season_new(2, 1);
    sb_plan *plan = support_plan(season);
    plan->routes[0].end_h = INFINITY;
    sb_board board;
    assert_int_equal(sb_board_init(season, plan, &board), SB_OK);
    assert_int_equal(board.n_spans, 0);
    sb_board_release(&board);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void days_of_waiting_are_told_once(void **state)
{
    (void)state;
    sb_season *season = support_season_new(2, 1); /* 10 hours a day; a field takes 5 */
    int start = season->setup.calendar.start_day;
    season->fields[1].ready_day = start + 3;
    sb_plan *plan = support_plan(season);
    sb_board board;
    assert_int_equal(sb_board_init(season, plan, &board), SB_OK);
    size_t told_days = 0, busy_days = 0, days = 0;
    for (size_t i = 0, n; i < board.n_spans; i += n, days++) {
        bool told, busy;
        n = sb_board_day(&board, i, &busy);
        assert_int_equal(sb_board_machine(&board, i, &told), n); /* it is alone */
        told_days += told;
        busy_days += busy;
    }
    /* Cut and begin to wait; go on waiting; wait and drive off; cut and go home. */
    assert_int_equal(days, 4);
    assert_int_equal(told_days, 3);
    assert_int_equal(busy_days, 3);
    sb_board_release(&board);
    sb_plan_free(plan);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_hour_is_on_the_board_once),
        cmocka_unit_test(work_goes_on_next_morning),
        cmocka_unit_test(days_of_waiting_are_told_once),
        cmocka_unit_test(a_plan_without_dates_has_an_empty_board),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
