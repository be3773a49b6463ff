/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A settlement as tables, JSON and CSV, with names that want to break them. */
#define _POSIX_C_SOURCE 200809L
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <jansson.h>

#include "base/mem.h"
#include "drafts.h"
#include "seasons.h"
#include "write/columns.h"
#include "write/settlement.h"

typedef struct settled {
    sb_season *season;
    sb_plan *plan;
    sb_settlement *settlement;
} settled;

/* A random season of n fields by growers of these names, in turn; one cleanout of each kind. */
static settled settle(size_t n, const char *const *names, size_t n_names)
{
    settled s = {0};
    support_options options = {
        .n_weeds = 5, .n_levels = 4, .start_load = true, .final_cleanout = true, .feasible = true};
    s.season = support_random_season(31, n, &options);
    s.season->growers = sb_alloc(n_names, sizeof *s.season->growers);
    s.season->n_growers = n_names;
    for (size_t g = 0; g < n_names; g++)
        assert_true(sb_copy_text(&s.season->growers[g], names[g]));
    for (size_t i = 0; i < n; i++)
        s.season->fields[i].grower = (int)(i % n_names);
    assert_int_equal(sb_plan_new_single(s.season, 0, n, &s.plan), SB_OK);
    for (size_t i = 0; i < n; i++)
        s.plan->routes[0].stops[i] = (sb_stop){.field = (int)i, .cleanout = (int)i % 4};
    s.season->fields[3].entry = 2;
    assert_int_equal(sb_plan_price(s.season, s.plan), SB_OK);
    sb_order_options how;
    sb_order_options_init(&how);
    how.threads = 1;
    assert_int_equal(sb_settle(s.season, s.plan, &how, NULL, &s.settlement), SB_OK);
    return s;
}

static void release(settled *s)
{
    sb_settlement_free(s->settlement);
    sb_plan_free(s->plan);
    sb_season_free(s->season);
}

static const char *const AWKWARD[] = {"Ash, \"Sons\" & Co", "ÅÄÖ \t\x1b[31m",
                                      "A name that is far too long for any column of the page",
                                      "<b>Birch</b>"};

static void expect_within_the_page(const char *text)
{
    while (*text != '\0') {
        size_t n = strcspn(text, "\n");
        char line[512];
        assert_in_range(n, 0, sizeof line - 1);
        memcpy(line, text, n);
        line[n] = '\0';
        assert_in_range(sb_columns_width(line), 0, SB_PAGE_COLUMNS);
        assert_null(strchr(line, '\x1b'));
        text += n + (text[n] == '\n');
    }
}

static void tables_stay_on_the_page_whatever_the_names(void **state)
{
    (void)state;
    settled s = settle(6, AWKWARD, 4);
    sb_text text = {0};
    assert_int_equal(sb_render_settlement_text(s.season, s.settlement, &text), SB_OK);
    expect_within_the_page(text.bytes);
    assert_non_null(strstr(text.bytes, "Settlement among 4 growers"));
    assert_non_null(strstr(text.bytes, "start of the season"));
    assert_non_null(strstr(text.bytes, "demanded on entry"));
    assert_non_null(strstr(text.bytes, "by hectares"));
    sb_text_release(&text);
    release(&s);
}

static void what_is_not_known_is_left_open(void **state)
{
    (void)state;
    settled s = settle(6, AWKWARD, 4);
    s.settlement->fair.known = false;
    sb_free(s.settlement->schemes[SB_SCHEME_CLEANEST_FIRST].bears);
    s.settlement->schemes[SB_SCHEME_CLEANEST_FIRST].bears = NULL;
    s.settlement->schemes[SB_SCHEME_CLEANEST_FIRST].known = false;
    sb_text text = {0}, json = {0}, csv = {0}, exchange = {0};
    assert_int_equal(sb_render_settlement_text(s.season, s.settlement, &text), SB_OK);
    expect_within_the_page(text.bytes);
    assert_null(strstr(text.bytes, "Shapley"));
    assert_int_equal(sb_render_settlement_json(s.season, s.settlement, &json), SB_OK);
    json_t *root = json_loads(json.bytes, 0, NULL);
    assert_true(json_is_null(json_object_get(json_object_get(root, "split"), "method")));
    assert_true(json_is_null(json_object_get(json_object_get(root, "exchange"), "cleanest_first")));
    json_t *first = json_array_get(json_object_get(root, "growers"), 0);
    assert_true(json_is_null(json_object_get(first, "fair_share")));
    json_decref(root);
    assert_int_equal(sb_render_settlement_csv(s.season, s.settlement, &csv), SB_OK);
    assert_non_null(strstr(csv.bytes, ",,,,,")); /* share, error, gains, pays in: nothing */
    assert_int_equal(sb_render_exchange_csv(s.season, s.settlement, &exchange), SB_OK);
    assert_non_null(strstr(exchange.bytes, ",,\r\n"));
    sb_text_release(&text);
    sb_text_release(&json);
    sb_text_release(&csv);
    sb_text_release(&exchange);
    release(&s);
}

/* The text of a settlement without line breaks. */
static void flatten(const settled *s, sb_text *text)
{
    sb_text_clear(text);
    assert_int_equal(sb_render_settlement_text(s->season, s->settlement, text), SB_OK);
    for (size_t i = 0; i < text->count; i++)
        if (text->bytes[i] == '\n')
            text->bytes[i] = ' ';
}

/* Of two growers both save the same by leaving: once only the first was named. */
static void everybody_who_would_pay_less_alone_is_named(void **state)
{
    (void)state;
    static const char *const names[] = {"Ash", "Birch"};
    settled s = settle(6, names, 2);
    sb_settlement *settlement = s.settlement;
    sb_text text = {0};
    settlement->schemes[SB_SCHEME_PLAN].cost.total = 1040;
    for (int p = 0; p < 2; p++) {
        settlement->alone[p].cost = 500;
        settlement->fair.share[p] = 520;
    }
    settlement->fair.leaving = 1;
    settlement->fair.leaving_saves = 20;
    flatten(&s, &text);
    assert_non_null(strstr(text.bytes, "By a season of its own Ash would pay 20.00 USD less, Birch "
                                       "20.00 USD less. All of them, each by a season of its own, "
                                       "would pay 40.00 USD less than the plan costs. A season "
                                       "of one's own is reckoned with the machine to oneself, as "
                                       "it stands before the season."));
    settlement->schemes[SB_SCHEME_PLAN].cost.total = 960;
    settlement->fair.share[1] = 440;
    flatten(&s, &text);
    assert_non_null(strstr(text.bytes, "Ash would pay 20.00 USD less. "));
    assert_null(strstr(text.bytes, "All of them"));
    sb_text_release(&text);
    release(&s);
}

static void a_group_that_would_leave_is_named_beside_those_alone(void **state)
{
    (void)state;
    static const char *const names[] = {"Ash", "Birch", "Cedar"};
    settled s = settle(6, names, 3);
    sb_settlement *settlement = s.settlement;
    sb_text text = {0};
    for (int p = 0; p < 3; p++) {
        settlement->alone[p].cost = 500;
        settlement->fair.share[p] = p == 2 ? 520 : 450;
    }
    settlement->schemes[SB_SCHEME_PLAN].cost.total = 1420;
    settlement->fair.leaving = 5;
    settlement->fair.leaving_saves = 70;
    settlement->fair.proven = settlement->fair.coalitions;
    flatten(&s, &text);
    assert_non_null(strstr(text.bytes, "By a season of its own Cedar would pay 20.00 USD less. By "
                                       "a season of their own Ash, Cedar would pay 70.00 USD less "
                                       "together; no group would save more."));
    settlement->fair.leaving = 4;
    settlement->fair.leaving_saves = 20;
    settlement->fair.proven--;
    flatten(&s, &text);
    assert_non_null(strstr(text.bytes, "No group of growers was found that would save more "
                                       "together."));
    sb_text_release(&text);
    release(&s);
}

/* Once "No group of growers would pay less" stood below "Stopped before all were searched". */
static void a_search_cut_short_speaks_of_what_it_searched(void **state)
{
    (void)state;
    settled s = settle(6, AWKWARD, 4);
    sb_text text = {0};
    s.settlement->fair.leaving = 0;
    s.settlement->fair.stopped = true;
    s.settlement->fair.proven = s.settlement->fair.coalitions - 1;
    flatten(&s, &text);
    assert_non_null(strstr(text.bytes, "Among the groups as far as they were searched none was "
                                       "found that would pay less by a season of its own."));
    s.settlement->fair.stopped = false;
    s.settlement->fair.proven = s.settlement->fair.coalitions;
    flatten(&s, &text);
    assert_non_null(strstr(text.bytes, "No group of growers would pay less by a season of its "
                                       "own."));
    assert_null(strstr(text.bytes, "is reckoned with"));
    sb_text_release(&text);
    release(&s);
}

static void json_says_what_the_settlement_knows(void **state)
{
    (void)state;
    settled s = settle(6, AWKWARD, 4);
    sb_text text = {0};
    assert_int_equal(sb_render_settlement_json(s.season, s.settlement, &text), SB_OK);
    json_t *root = json_loads(text.bytes, 0, NULL);
    assert_non_null(root);
    double share = 0, loss = 0, money = 0;
    size_t i;
    json_t *one;
    json_array_foreach(json_object_get(root, "growers"), i, one)
    {
        share += json_number_value(json_object_get(one, "fair_share"));
        assert_float_equal(json_number_value(json_object_get(one, "cleaning")),
                           s.settlement->cleaning[i], 1e-9);
    }
    assert_int_equal(i, 4);
    assert_float_equal(share, s.plan->cost.total, 1e-6);
    json_t *plan = json_object_get(json_object_get(root, "exchange"), "plan");
    json_array_foreach(json_object_get(plan, "pairs"), i, one) loss +=
        json_number_value(json_object_get(one, "loss"));
    assert_float_equal(loss, s.plan->cost.spread, 1e-6);
    json_array_foreach(json_object_get(root, "cleanouts"), i, one)
    {
        size_t payer;
        json_t *pays;
        json_array_foreach(json_object_get(one, "pays"), payer, pays) money +=
            json_number_value(json_object_get(pays, "money"));
    }
    assert_int_equal(i, s.settlement->n_bills);
    assert_float_equal(money, s.plan->cost.cleanout, 1e-6);
    assert_string_equal(
        json_string_value(json_object_get(json_object_get(root, "split"), "method")), "exact");
    json_decref(root);
    sb_text_release(&text);
    release(&s);
}

static void csv_quotes_names_and_has_a_line_for_everybody(void **state)
{
    (void)state;
    settled s = settle(6, AWKWARD, 4);
    sb_text text = {0};
    assert_int_equal(sb_render_settlement_csv(s.season, s.settlement, &text), SB_OK);
    assert_non_null(strstr(text.bytes, "\r\n\"Ash, \"\"Sons\"\" & Co\",2,"));
    int lines = 0;
    for (const char *c = text.bytes; (c = strstr(c, "\r\n")) != NULL; c += 2)
        lines++;
    assert_int_equal(lines, 5);
    sb_text_release(&text);
    release(&s);
}

static void sampled_shares_come_with_their_error(void **state)
{
    (void)state;
    static const char *const names[] = {"A", "B", "C", "D", "E", "F"};
    settled s = settle(6, names, 6);
    sb_text text = {0};
    s.settlement->fair.exact = false;
    s.settlement->fair.orders = 84;
    s.settlement->fair.deviation[2] = 12.5;
    assert_int_equal(sb_render_settlement_text(s.season, s.settlement, &text), SB_OK);
    expect_within_the_page(text.bytes);
    for (char *c = text.bytes; *c != '\0'; c++)
        *c = *c == '\n' ? ' ' : *c;
    assert_non_null(strstr(text.bytes, "84 orders drawn by the seed (standard error up to 12.50 "
                                       "USD)"));
    assert_non_null(strstr(text.bytes, "smaller, together")); /* more pairs than are listed */
    sb_text_release(&text);
    release(&s);
}

static char *file_text(const char *folder, const char *name)
{
    char path[2 * SUPPORT_PATH_BYTES];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "rb");
    if (file == NULL)
        return NULL;
    char *text = calloc(1, 1 << 18);
    size_t n = fread(text, 1, (1 << 18) - 1, file);
    text[n] = '\0';
    fclose(file);
    return text;
}

static void three_files_are_written_or_none(void **state)
{
    (void)state;
    settled s = settle(6, AWKWARD, 4);
    char folder[SUPPORT_PATH_BYTES];
    sb_report *report = sb_report_new();
    snprintf(folder, sizeof folder, "%s/settlement", support_folder());
    assert_int_equal(sb_write_settlement(s.season, s.settlement, folder, report), SB_OK);
    static const struct {
        const char *name;
        sb_status (*render)(const sb_season *, const sb_settlement *, sb_text *);
    } files[] = {{"settlement.json", sb_render_settlement_json},
                 {"settlement.csv", sb_render_settlement_csv},
                 {"exchange.csv", sb_render_exchange_csv}};
    for (int i = 0; i < 3; i++) {
        sb_text expected = {0};
        char *found = file_text(folder, files[i].name);
        assert_int_equal(files[i].render(s.season, s.settlement, &expected), SB_OK);
        assert_non_null(found);
        assert_string_equal(found, expected.bytes);
        free(found);
        sb_text_release(&expected);
    }
    assert_int_equal(sb_write_settlement(s.season, s.settlement, NULL, report), SB_ERR_ARG);
    assert_int_equal(sb_print_settlement(s.season, NULL, stdout), SB_ERR_ARG);
    /* A file where the folder should be. */
    char path[SUPPORT_PATH_BYTES];
    support_file("taken", "x", 1, path);
    assert_int_equal(sb_write_settlement(s.season, s.settlement, path, report), SB_ERR_SYSTEM);
    FILE *full = fopen("/dev/full", "w");
    if (full != NULL) {
        assert_int_equal(sb_print_settlement_json(s.season, s.settlement, full), SB_ERR_SYSTEM);
        fclose(full);
    }
    sb_report_free(report);
    release(&s);
}

static void no_memory_at_any_allocation_leaks_nothing(void **state)
{
    (void)state;
    settled s = settle(4, AWKWARD, 4);
    long live = sb_mem_live(), failed = 0;
    sb_status (*const render[])(const sb_season *, const sb_settlement *, sb_text *) = {
        sb_render_settlement_text, sb_render_settlement_csv, sb_render_exchange_csv};
    for (int i = 0; i < 3; i++) {
        sb_status status = SB_ERR_NOMEM;
        for (long budget = 0; status == SB_ERR_NOMEM; budget += 1 + budget / 20) {
            sb_text text = {0};
            sb_mem_set_budget(budget);
            status = render[i](s.season, s.settlement, &text);
            sb_mem_set_budget(-1);
            failed += status == SB_ERR_NOMEM;
            sb_text_release(&text);
            assert_int_equal(sb_mem_live(), live);
        }
        assert_int_equal(status, SB_OK);
    }
    assert_true(failed > 40);
    release(&s);
}

static int remove_files(void **state)
{
    (void)state;
    support_folder_remove();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tables_stay_on_the_page_whatever_the_names),
        cmocka_unit_test(what_is_not_known_is_left_open),
        cmocka_unit_test(everybody_who_would_pay_less_alone_is_named),
        cmocka_unit_test(a_group_that_would_leave_is_named_beside_those_alone),
        cmocka_unit_test(a_search_cut_short_speaks_of_what_it_searched),
        cmocka_unit_test(json_says_what_the_settlement_knows),
        cmocka_unit_test(csv_quotes_names_and_has_a_line_for_everybody),
        cmocka_unit_test(sampled_shares_come_with_their_error),
        cmocka_unit_test(three_files_are_written_or_none),
        cmocka_unit_test(no_memory_at_any_allocation_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, remove_files);
}
