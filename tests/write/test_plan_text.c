/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "plans.h"
#include "seasons.h"
#include "write/columns.h"
#include "write/why.h"
#include "write/words.h"
#include "write/write.h"

static void expect_words(void (*words)(sb_text *, double), double value, const char *expected)
{
    sb_text text = {0};
    words(&text, value);
    assert_string_equal(sb_text_get(&text), expected);
    sb_text_release(&text);
}

static void seeds_have_no_more_figures_than_anyone_can_count(void **state)
{
    (void)state;
    expect_words(sb_words_seeds, 0, "0");
    expect_words(sb_words_seeds, 0.04, "~0");
    expect_words(sb_words_seeds, 0.431, "~0");
    expect_words(sb_words_seeds, 7.52, "7.5");
    expect_words(sb_words_seeds, 9.96, "10");
    expect_words(sb_words_seeds, 80.9, "81");
    expect_words(sb_words_seeds, 99.6, "100");
    expect_words(sb_words_some_seeds, 0.431, "fewer than 1 seed");
    expect_words(sb_words_some_seeds, 0, "0 seeds");
    expect_words(sb_words_some_seeds, 41234, "41.2k seeds");
    expect_words(sb_words_area, 64.31, "64.3 ha");
    expect_words(sb_words_area, 0.05, "0.1 ha");
    expect_words(sb_words_area, 0.0364, "364 m²");
    expect_words(sb_words_seeds, 999.4, "999");
    expect_words(sb_words_seeds, 999.6, "1k");
    expect_words(sb_words_seeds, 41000, "41k");
    expect_words(sb_words_seeds, 41234, "41.2k");
    expect_words(sb_words_seeds, 999600, "1M");
    expect_words(sb_words_seeds, 1.7e6, "1.7M");
}

static void minutes_and_ways_are_said_as_people_do(void **state)
{
    (void)state;
    expect_words(sb_words_minutes, 22, "22 min");
    expect_words(sb_words_minutes, 120, "2 h");
    expect_words(sb_words_minutes, 315, "5 h 15 min");
    expect_words(sb_words_metres, 64.4, "64 m");
    expect_words(sb_words_metres, 1234, "1.2 km");
    expect_words(sb_words_km, NAN, "no way");
    expect_words(sb_words_exact, 0.1, "0.1");
    expect_words(sb_words_exact, 1.0 / 3, "0.3333333333333333");
}

static void money_is_grouped_and_its_currency_harmless(void **state)
{
    (void)state;
    sb_season *season = support_season_new(1, 1);
    static const struct {
        double money;
        const char *expected;
    } cases[] = {{0, "0.00 USD"},       {12.345, "12.35 USD"},      {99.999, "100 USD"},
                 {1234.5, "1,234 USD"}, {1234567, "1,234,567 USD"}, {-55, "-55.00 USD"},
                 {INFINITY, "unknown"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        sb_text text = {0};
        sb_words_money(&text, season, cases[i].money);
        assert_string_equal(sb_text_get(&text), cases[i].expected);
        sb_text_release(&text);
    }
    sb_free(season->setup.currency);
    season->setup.currency = sb_strdup("<b>€\x01");
    sb_text text = {0};
    sb_words_money(&text, season, 1);
    assert_string_equal(sb_text_get(&text), "1.00 b€");
    sb_text_release(&text);
    sb_season_free(season);
}

static void moments_name_their_weekday(void **state)
{
    (void)state;
    sb_season *season = support_season_new(1, 1); /* from Saturday 2026-08-01, 9 to 19 o'clock */
    sb_text text = {0};
    sb_words_moment(&text, &season->setup.calendar, 12.5, false);
    assert_string_equal(sb_text_get(&text), "Sun  2 Aug 11:30");
    sb_text_clear(&text);
    sb_words_moment(&text, &season->setup.calendar, 10, true);
    assert_string_equal(sb_text_get(&text), "Sat  1 Aug 19:00");
    sb_text_clear(&text);
    sb_words_moment(&text, &season->setup.calendar, INFINITY, true);
    assert_string_equal(sb_text_get(&text), "unknown");
    sb_text_release(&text);
    sb_season_free(season);
}

static void expect_80_columns(const char *text)
{
    while (*text != '\0') {
        size_t n = strcspn(text, "\n");
        char line[1024];
        assert_true(n < sizeof line && text[n] == '\n');
        memcpy(line, text, n);
        line[n] = '\0';
        if (sb_columns_width(line) > SB_PAGE_COLUMNS)
            fail_msg("%d columns: %s", sb_columns_width(line), line);
        text += n + 1;
    }
}

static sb_text printed(const sb_season *season, const sb_plan *plan)
{
    sb_text text = {0};
    assert_int_equal(sb_render_plan_text(season, plan, &text), SB_OK);
    return text;
}

static void no_line_is_wider_than_80_columns(void **state)
{
    (void)state;
    static const char *const names[] = {
        "Gård nr. 14 ved Åsen, det store stykke bag den gamle mølle og lidt længere mod nord",
        "北の畑北の畑北の畑北の畑北の畑北の畑北の畑北の畑北の畑北の畑北の畑北の畑北の畑北の畑北の"
        "畑",
        "مزرعة الشمال الكبيرة بجانب النهر القديم وخلف التلة العالية مع الطريق الطويل المؤدي إليها",
        "Xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx"
        "x",
        "\x1b[31mred\xE2\x80\xAE turned"};
    support_options options = support_every_rule();
    for (options.n_weeds = 1; options.n_weeds <= 5; options.n_weeds++) {
        sb_season *season = support_random_season(options.n_weeds, 12, &options);
        for (size_t i = 0; i < season->n_fields; i++)
            support_name_field(season, i, names[i % 5]);
        sb_free(season->yards[0].name);
        season->yards[0].name = sb_strdup(names[1]);
        sb_plan *plan = support_plan(season);
        sb_text text = printed(season, plan);
        expect_80_columns(text.bytes);
        assert_null(strchr(text.bytes, '\x1b'));
        assert_null(strstr(text.bytes, "\xE2\x80\xAE"));
        sb_text_release(&text);
        sb_plan_free(plan);
        sb_season_free(season);
    }
}

/* Two fields, the first full of a weed; a blow-down between them. */
static sb_season *two_fields(void)
{
    sb_season *season = support_season_new(2, 1);
    support_set_density(season, 0, 0, 1);
    return season;
}

static void a_stop_shows_what_the_crew_asks(void **state)
{
    (void)state;
    sb_season *season = two_fields();
    sb_plan *plan = support_plan(season);
    sb_text text = printed(season, plan), seeds = {0};
    sb_words_seeds(&seeds, plan->routes[0].stops[1].trace.ground[0]);
    const char *line = strstr(text.bytes, "\n 2 Field 2 ");
    assert_non_null(line);
    char row[128];
    snprintf(row, sizeof row, "%.*s", (int)strcspn(line + 1, "\n"), line + 1);
    assert_non_null(strstr(row, "blowdown 22 min"));
    assert_non_null(strstr(row, " 5.0 Sat  1 Aug 14:52"));
    assert_non_null(strstr(row, sb_text_get(&seeds)));
    sb_text_release(&seeds);
    sb_text_release(&text);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void the_rule_on_growers_is_told_by_whose_loss_would_rise(void **state)
{
    (void)state;
    sb_season *season = two_fields();
    int ash = support_add_grower(season, "Ash");
    sb_plan *plan = support_plan(season);
    plan->routes[0].reasons[1] = (sb_reason){.cost = 600,
                                             .limit = true,
                                             .growers = true,
                                             .without = {ash, 150, 320, 200, false},
                                             .next_best = INFINITY,
                                             .next_level = -1,
                                             .barred = 1,
                                             .barred_saves = 350,
                                             .over = {-1, 80, 290, 272, true}};
    sb_text why = {0};
    sb_why(season, &plan->routes[0], 1, sb_add_plain_name, &why);
    assert_string_equal(
        sb_text_get(&why),
        "The rule on the growers' losses asks for it: without it Ash would be expected to lose "
        "320 USD instead of 150 USD, and may lose 200 USD. It costs 600 USD and saves nothing: no "
        "later field would lose more without it. No other level keeps the rules. Blow down would "
        "make the plan 350 USD cheaper, but the fields that name no grower would be expected to "
        "lose 290 USD instead of 80.00 USD, and nobody is to lose more than 272 USD.");
    sb_text_release(&why);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void reasons_are_made_of_the_numbers_of_the_plan(void **state)
{
    (void)state;
    sb_season *season = two_fields();
    sb_plan *plan = support_plan(season);
    plan->routes[0].reasons[1] = (sb_reason){.cost = 55,
                                             .saves = 1480.4,
                                             .stops_seeds = 38000,
                                             .weed = 0,
                                             .field = 1,
                                             .field_share = 0.62,
                                             .next_best = 12,
                                             .next_level = 0,
                                             .barred = -1};
    sb_text why = {0};
    sb_why(season, &plan->routes[0], 1, sb_add_plain_name, &why);
    assert_string_equal(
        sb_text_get(&why),
        "It costs 55.00 USD; without it the season would lose 1,480 USD more, 62 % of it in Field "
        "2. It keeps 38k seeds of Waterhemp off the fields that follow. The next best, no "
        "cleanout, would make the plan 12.00 USD dearer.");
    sb_text_clear(&why);
    plan->routes[0].reasons[1].limit = true;
    plan->routes[0].reasons[1].breach[0] =
        (sb_breach){SB_BROKEN_SEED_LIMIT, 1, 0, .allowed = 2000, .found = 12345};
    plan->routes[0].reasons[1].breach[2] =
        (sb_breach){SB_BROKEN_FULL_CLEANOUTS, -1, 0, .allowed = 1, .found = 2};
    plan->routes[0].reasons[1].more[2] = -310;
    plan->routes[0].reasons[1].next_best = INFINITY;
    plan->routes[0].reasons[1].next_level = -1;
    plan->routes[0].reasons[1].saves = 0;
    sb_why(season, &plan->routes[0], 1, sb_add_plain_name, &why);
    assert_string_equal(
        sb_text_get(&why),
        "Without it Field 2 would receive 12.3k seeds/ha of Waterhemp, its limit is "
        "2000. It costs 55.00 USD and saves nothing: no later field would lose "
        "more without it. No other level keeps the rules. Thorough clean would "
        "make the plan 310 USD cheaper, but there would be 2 full cleanouts, the "
        "limit is 1.");
    sb_text_clear(&why);
    season->fields[1].entry = 1;
    plan->routes[0].reasons[1].demanded = true;
    sb_why(season, &plan->routes[0], 1, sb_add_plain_name, &why);
    assert_memory_equal(sb_text_get(&why), "The entry rule of Field 2 demands Blow down. ", 45);
    sb_text_clear(&why);
    sb_why(season, &plan->routes[0], 0, sb_add_plain_name, &why); /* no cleanout, no reason */
    assert_string_equal(sb_text_get(&why), "");
    sb_text_release(&why);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* A field that nothing hurries stands for weeks; the table must not hide it. */
static void long_standing_is_told_with_what_it_costs(void **state)
{
    (void)state;
    sb_season *season = two_fields();
    season->fields[1].ready_day = season->setup.calendar.start_day - 20;
    sb_plan *plan = support_plan(season);
    sb_text text = printed(season, plan);
    assert_non_null(strstr(text.bytes, "\n   Ripe before they are cut: Field 2 20 days. Standing "
                                       "costs nothing in them: no\n   best-before date is given."));
    sb_text_clear(&text);
    season->fields[1].best_before_day = season->setup.calendar.start_day;
    assert_int_equal(sb_render_plan_text(season, plan, &text), SB_OK);
    assert_non_null(strstr(text.bytes, "\n   Ripe before they are cut: Field 2 20 days\n"));
    sb_text_clear(&text);
    season->fields[1].ready_day = season->setup.calendar.start_day - 6;
    assert_int_equal(sb_render_plan_text(season, plan, &text), SB_OK);
    assert_null(strstr(text.bytes, "Ripe before"));
    sb_text_release(&text);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Two heads once read "wild_…" both; and assumptions ended in an ellipsis. */
static void nothing_the_reader_needs_is_cut_off(void **state)
{
    (void)state;
    sb_season *season = support_season_new(2, 4);
    static const char *const names[] = {"Wild oat", "Wild radish", "Ryegrass", "Giant ragweed"};
    for (int k = 0; k < 4; k++) {
        sb_free(season->setup.weeds[k].name);
        season->setup.weeds[k].name = sb_strdup(names[k]);
        support_set_density(season, 0, k, 1);
    }
    sb_assumption assumption = {
        sb_strdup("something that is assumed in so many words that they would fill more than one "
                  "line of the page and end"),
        sb_strdup("nobody")};
    assert_true(SB_PUSH(&season->assumptions, assumption));
    sb_plan *plan = support_plan(season);
    sb_text text = printed(season, plan);
    assert_non_null(strstr(text.bytes, "   Wild   Wild            Giant\n"));
    assert_non_null(strstr(text.bytes, "    oat radish Ryegrass ragweed\n"));
    assert_non_null(strstr(text.bytes, "\n- something that"));
    assert_non_null(strstr(text.bytes, "page and end\n"));
    assert_null(strstr(text.bytes, "…"));
    sb_text_release(&text);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void expect_proof(const sb_season *season, const sb_plan *plan, const char *expected)
{
    sb_text text = {0};
    sb_proof_words(season, plan, &text);
    assert_string_equal(sb_text_get(&text), expected);
    sb_text_release(&text);
}

static void nothing_is_called_cheapest_without_a_proof(void **state)
{
    (void)state;
    sb_season *season = two_fields();
    sb_plan *plan = support_plan(season);
    plan->proof = (sb_proof){.bound = -INFINITY};
    expect_proof(season, plan, "Priced as given: whether a cheaper plan exists was not asked.");
    plan->cost.total = 2000;
    plan->proof = (sb_proof){.bound = 1900, .seconds = 3, .method = "time limit"};
    expect_proof(season, plan,
                 "Stopped after 3.0 s with the best plan found. No plan can cost less than 1,900 "
                 "USD, so at most 5 % of its cost could be saved.");
    plan->fairness.searched_out = true;
    plan->fairness.searches = 12;
    expect_proof(season, plan,
                 "The best plan found: after 3.0 s every search that the rule on losses calls for "
                 "was done (12), and more time would find no other. No plan can cost less than "
                 "1,900 USD, so at most 5 % of its cost could be saved.");
    plan->fairness.searched_out = false;
    plan->proof.bound = -INFINITY;
    expect_proof(season, plan,
                 "Stopped after 3.0 s with the best plan found, before a bound was known: how far "
                 "it is from the cheapest cannot be said.");
    plan->proof = (sb_proof){.bound = -INFINITY, .seconds = 3, .method = SB_METHOD_ORDER_GIVEN};
    expect_proof(season, plan, "The order was given; its cleanouts are the cheapest for it.");
    plan->proof = (sb_proof){.optimal = true, .bound = 2000, .seconds = 3, .method = "closed"};
    expect_proof(season, plan,
                 "Proven cheapest: no plan that keeps the rules can cost less (3.0 s; closed).");
    sb_plan_free(plan);
    sb_season_free(season);
}

static void printing_explains_a_plan_that_was_only_priced(void **state)
{
    (void)state;
    sb_season *season = two_fields();
    sb_plan *plan = support_plan(season), *bare;
    assert_int_equal(sb_plan_new_single(season, 0, 2, &bare), SB_OK);
    for (int i = 0; i < 2; i++) {
        bare->routes[0].stops[i].field = i;
        bare->routes[0].stops[i].cleanout = i;
    }
    assert_int_equal(sb_plan_price(season, bare), SB_OK);
    assert_null(bare->routes[0].reasons);
    char *out = NULL;
    size_t n = 0;
    FILE *stream = open_memstream(&out, &n);
    assert_int_equal(sb_print_plan(season, bare, stream), SB_OK);
    fclose(stream);
    sb_text text = printed(season, plan);
    assert_string_equal(out, text.bytes);
    free(out);
    sb_text_release(&text);
    sb_plan_free(bare);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void a_full_disk_is_a_status(void **state)
{
    (void)state;
    FILE *full = fopen("/dev/full", "w");
    if (full == NULL)
        skip();
    sb_season *season = two_fields();
    sb_plan *plan = support_plan(season);
    assert_int_equal(sb_print_plan(season, plan, full), SB_ERR_SYSTEM);
    fclose(full);
    sb_plan_free(plan);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(seeds_have_no_more_figures_than_anyone_can_count),
        cmocka_unit_test(minutes_and_ways_are_said_as_people_do),
        cmocka_unit_test(money_is_grouped_and_its_currency_harmless),
        cmocka_unit_test(moments_name_their_weekday),
        cmocka_unit_test(no_line_is_wider_than_80_columns),
        cmocka_unit_test(a_stop_shows_what_the_crew_asks),
        cmocka_unit_test(reasons_are_made_of_the_numbers_of_the_plan),
        cmocka_unit_test(the_rule_on_growers_is_told_by_whose_loss_would_rise),
        cmocka_unit_test(long_standing_is_told_with_what_it_costs),
        cmocka_unit_test(nothing_the_reader_needs_is_cut_off),
        cmocka_unit_test(nothing_is_called_cheapest_without_a_proof),
        cmocka_unit_test(printing_explains_a_plan_that_was_only_priced),
        cmocka_unit_test(a_full_disk_is_a_status),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
