/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "random.h"
#include "write/pen.h"

static void the_shortest_form_is_written(void **state)
{
    (void)state;
    sb_text text = {0};
    sb_pen pen = {.text = &text};
    sb_pen_move(&pen, 10, 20.04);
    sb_pen_line(&pen, 10.5, 19.5);
    sb_pen_line(&pen, 12, 20);
    sb_pen_line(&pen, 12.04, 20);
    sb_pen_line(&pen, 12, 30);
    sb_pen_close(&pen);
    sb_pen_box(&pen, 0, 0, 2, 3);
    assert_string_equal(sb_text_get(&text), "M10 20l.5-.5 1.5 .5v10zM0 0h2v3h-2z");
    sb_text_release(&text);
}

/* One number of a path: they may follow each other without a blank, as SVG 1.1 allows (8.3.9). */
static double number(const char **at)
{
    double sign = 1, value = 0, unit = 1;
    if (**at == ' ')
        ++*at;
    if (**at == '-') {
        sign = -1;
        ++*at;
    }
    for (; **at >= '0' && **at <= '9'; ++*at)
        value = value * 10 + (**at - '0');
    if (**at == '.')
        for (++*at; **at >= '0' && **at <= '9'; ++*at)
            value += (**at - '0') * (unit /= 10);
    return sign * value;
}

/* However many points: what a reader adds up stays within half a tenth of what was meant. */
static void errors_do_not_add_up(void **state)
{
    (void)state;
    enum { POINTS = 400 };
    support_random random = {3};
    double x[POINTS], y[POINTS];
    sb_text text = {0};
    sb_pen pen = {.text = &text};
    for (int i = 0; i < POINTS; i++) {
        x[i] = support_random_between(&random, -50, 1200);
        y[i] = i % 5 == 3 ? y[i - 1] : support_random_between(&random, -50, 700);
        if (i == 0)
            sb_pen_move(&pen, x[i], y[i]);
        else
            sb_pen_line(&pen, x[i], y[i]);
    }
    const char *at = sb_text_get(&text);
    double now_x = 0, now_y = 0;
    char command = 0;
    for (int i = 0; i < POINTS; i++) {
        if (strchr("Mlhv", *at) != NULL)
            command = *at++;
        if (command == 'M')
            now_x = now_y = 0;
        if (command != 'v')
            now_x += number(&at);
        if (command != 'h')
            now_y += number(&at);
        assert_true(fabs(now_x - x[i]) < 0.0501);
        assert_true(fabs(now_y - y[i]) < 0.0501);
    }
    assert_int_equal(*at, '\0');
    sb_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_shortest_form_is_written),
        cmocka_unit_test(errors_do_not_add_up),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
