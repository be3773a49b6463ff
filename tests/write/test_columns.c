/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "write/columns.h"

static void expect_cell(const char *name, int width, bool right, const char *expected)
{
    sb_text text = {0};
    sb_columns_add(&text, name, width, right);
    assert_string_equal(sb_text_get(&text), expected);
    assert_int_equal(sb_columns_width(sb_text_get(&text)), width);
    sb_text_release(&text);
}

static void widths_count_what_a_terminal_shows(void **state)
{
    (void)state;
    assert_int_equal(sb_columns_width(""), 0);
    assert_int_equal(sb_columns_width("Møllemarken"), 11);
    assert_int_equal(sb_columns_width("北の畑"), 6);
    assert_int_equal(sb_columns_width("e\xCC\x81"), 1);        /* e and a combining acute */
    assert_int_equal(sb_columns_width("\xE2\x80\xAEwest"), 4); /* right-to-left override */
    assert_int_equal(sb_columns_width("a\xFFz"), 3);           /* a byte that is no UTF-8 */
}

static void cells_have_their_width_exactly(void **state)
{
    (void)state;
    expect_cell("Hill", 6, false, "Hill  ");
    expect_cell("Hill", 6, true, "  Hill");
    expect_cell("Hill", 4, true, "Hill");
    expect_cell("Hilltop", 5, false, "Hill…");
    expect_cell("Hilltop", 5, true, "Hill…");
    expect_cell("Hilltop", 1, false, "…");
    /* A wide character that does not fit before the ellipsis leaves a blank behind it. */
    expect_cell("北の畑", 4, false, "北… ");
}

static void terminals_get_no_control_characters(void **state)
{
    (void)state;
    expect_cell("a\x1b[2Jb", 6, false, "a?[2Jb");
    expect_cell("a\nb", 3, false, "a b");
    expect_cell("\xE2\x80\xAEtsew", 4, false, "tsew");
}

static void wrapped_lines_fit_and_keep_every_word(void **state)
{
    (void)state;
    char words[400];
    memset(words, 'x', sizeof words - 1);
    words[sizeof words - 1] = '\0';
    for (size_t i = 7; i < 200; i += 8)
        words[i] = ' ';
    sb_text text = {0};
    sb_columns_wrap(&text, words, 10, 4);
    size_t kept = 0;
    const char *line = sb_text_get(&text);
    for (int first = 1; *line != '\0'; first = 0) {
        size_t n = strcspn(line, "\n");
        assert_true(n + (first ? 10 : 0) <= SB_PAGE_COLUMNS);
        for (size_t i = 0; i < n; i++)
            kept += line[i] == 'x';
        line += n + 1;
    }
    size_t expected = 0;
    for (size_t i = 0; words[i] != '\0'; i++)
        expected += words[i] == 'x';
    assert_int_equal(kept, expected);
    sb_text_release(&text);
}

static void expect_split(const char *name, int width, const char *expected)
{
    sb_text lines[3] = {0}, all = {0};
    int used = sb_columns_split(name, width, lines, 3);
    for (int i = 0; i < used; i++) {
        assert_true(sb_columns_width(sb_text_get(&lines[i])) <= width);
        sb_text_addf(&all, "%s%s", i > 0 ? "|" : "", sb_text_get(&lines[i]));
    }
    assert_string_equal(sb_text_get(&all), expected);
    for (int i = 0; i < 3; i++)
        sb_text_release(&lines[i]);
    sb_text_release(&all);
}

static void heads_are_split_rather_than_cut(void **state)
{
    (void)state;
    expect_split("Kochia", 6, "Kochia");
    expect_split("Wild oat", 8, "Wild oat");
    expect_split("Wild radish", 6, "Wild|radish");
    expect_split("Waterhemp", 6, "Water-|hemp");
    expect_split("Giant ragweed", 6, "Giant|ragw-|eed");
    expect_split("One two three four five", 5, "One|two|thre…");
    expect_split("", 6, "");
    expect_split("a\x1b[2J", 6, "a?[2J");
    expect_split("北の畑の草", 6, "北の-|畑の-|草");
}

/* "97" and "%" once stood on two lines. */
static void a_number_stays_with_its_unit(void **state)
{
    (void)state;
    sb_text text = {0};
    sb_columns_wrap(&text, "more, 97 % of it", 72, 4);
    assert_string_equal(sb_text_get(&text), "more,\n    97 % of it\n");
    sb_text_release(&text);
}

/* RFC 3629: no overlong forms, no surrogates, nothing beyond U+10FFFF, nothing cut off. */
static void only_proper_utf8_is_whole(void **state)
{
    (void)state;
    static const char *const whole[] = {
        "", "plain", "M\xC3\xBChlfeld", "\xEF\xBF\xBF", "\xF4\x8F\xBF\xBF", "\xED\x9F\xBF"};
    static const char *const broken[] = {"M\xFChlfeld",      "\xC3",         "a\xC3(",
                                         "\xC0\x80",         "\xE0\x80\x80", "\xED\xA0\x80",
                                         "\xF4\x90\x80\x80", "\x80",         "\xFF"};
    for (size_t i = 0; i < sizeof whole / sizeof *whole; i++)
        assert_true(sb_columns_whole(whole[i]));
    for (size_t i = 0; i < sizeof broken / sizeof *broken; i++)
        assert_false(sb_columns_whole(broken[i]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(widths_count_what_a_terminal_shows),
        cmocka_unit_test(cells_have_their_width_exactly),
        cmocka_unit_test(terminals_get_no_control_characters),
        cmocka_unit_test(wrapped_lines_fit_and_keep_every_word),
        cmocka_unit_test(heads_are_split_rather_than_cut),
        cmocka_unit_test(a_number_stays_with_its_unit),
        cmocka_unit_test(only_proper_utf8_is_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
