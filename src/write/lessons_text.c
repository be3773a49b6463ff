/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/columns.h"
#include "write/lessons.h"
#include "write/words.h"

/* Column widths, each with a blank before it but the first. */
#define NAME 32
#define NAME_LINES 3
#define LIMIT 7
#define WHAT 50
#define COUNT 9

#define MOST_NUMBERS 12 /* told; the page has them all */

void sb_lesson_value(const sb_lesson *lesson, double value, sb_text *text)
{
    if (lesson->times)
        sb_text_addf(text, "x%.2f", value);
    else if (value < 0.01)
        sb_text_addf(text, "%.2g", value);
    else if (value < 1000)
        sb_text_addf(text, "%.3g", value);
    else
        sb_words_seeds(text, value);
}

static void add_cell(sb_text *text, const sb_text *content, int width)
{
    sb_text_add(text, " ", 1);
    sb_columns_add(text, sb_text_get(content), width, true);
    text->failed |= content->failed;
}

static void add_counted(sb_text *text, double value)
{
    sb_text cell = {0};
    if (value < 1000)
        sb_text_addf(&cell, "%.3g", value);
    else
        sb_words_seeds(&cell, value);
    add_cell(text, &cell, COUNT);
    sb_text_release(&cell);
}

/* A name too long for its column goes on in a second line, with the numbers behind it. */
static void add_what(const char *what, sb_text *text)
{
    sb_text lines[2] = {{0}, {0}};
    int n = sb_columns_split(what, WHAT, lines, 2);
    if (n == 2) {
        sb_columns_cut(text, sb_text_get(&lines[0]), WHAT);
        sb_text_addf(text, "\n");
    }
    sb_columns_add(text, sb_text_get(&lines[n - 1]), WHAT, false);
    for (int i = 0; i < 2; i++) {
        text->failed |= lines[i].failed;
        sb_text_release(&lines[i]);
    }
}

static void add_found(const sb_lessons *lessons, sb_text *text)
{
    sb_columns_add(text, "What was found", WHAT, false);
    sb_text_addf(text, " %*s %*s %*s\n", COUNT, "found", COUNT, "expected", COUNT, "now");
    for (size_t i = 0; i < lessons->found.count; i++) {
        const sb_lesson_found *found = &lessons->found.items[i];
        add_what(found->what, text);
        add_counted(text, found->found);
        add_counted(text, found->expected_before);
        add_counted(text, found->expected_now);
        sb_text_addf(text, "\n");
    }
}

static void add_limits(const sb_lesson *lesson, const double *limits, sb_text *text)
{
    for (size_t q = 0; q < 3; q++) {
        sb_text cell = {0};
        sb_lesson_value(lesson, limits[q], &cell);
        add_cell(text, &cell, LIMIT);
        sb_text_release(&cell);
    }
}

/* A name too long for its column goes on below, behind the numbers' line. */
static void add_number(const sb_lesson *lesson, sb_text *text)
{
    sb_text lines[NAME_LINES] = {{0}};
    int n = sb_columns_split(lesson->name, NAME - 2, lines, NAME_LINES);
    sb_columns_add(text, sb_text_get(&lines[0]), NAME, false);
    add_limits(lesson, lesson->before, text);
    add_limits(lesson, lesson->after, text);
    sb_text_addf(text, "\n");
    for (int i = 1; i < n; i++)
        sb_text_addf(text, "  %s\n", sb_text_get(&lines[i]));
    for (int i = 0; i < NAME_LINES; i++) {
        text->failed |= lines[i].failed;
        sb_text_release(&lines[i]);
    }
}

static void add_numbers(const sb_lessons *lessons, sb_text *text)
{
    size_t n = lessons->numbers.count, told = n < MOST_NUMBERS ? n : MOST_NUMBERS;
    if (n == 0) {
        sb_text_addf(text, "It says nothing new about any number.\n");
        return;
    }
    sb_columns_add(text, "What that teaches", NAME, false);
    sb_text_addf(text, " %23s %23s\n", "before", "now");
    sb_columns_add(text, "  lower with a chance of", NAME, false);
    for (int i = 0; i < 6; i++)
        sb_text_addf(text, " %*s", LIMIT, i % 3 == 0 ? "5 %" : i % 3 == 1 ? "50 %" : "95 %");
    sb_text_addf(text, "\n");
    for (size_t i = 0; i < told; i++)
        add_number(&lessons->numbers.items[i], text);
    if (told < n)
        sb_text_addf(text, "and %zu more numbers, told on the page.\n", n - told);
}

void sb_lessons_share(const sb_lessons *lessons, sb_text *text)
{
    if (lessons->share < 1)
        sb_text_addf(text,
                     " The findings contradict each other or the model: they count for %.2g %% of "
                     "their worth.",
                     100 * lessons->share);
}

bool sb_lessons_have_times(const sb_lessons *lessons, size_t told)
{
    for (size_t i = 0; i < lessons->numbers.count && i < told; i++)
        if (lessons->numbers.items[i].times)
            return true;
    return false;
}

void sb_lessons_text(const sb_season *season, sb_text *text)
{
    const sb_lessons *lessons = &season->lessons;
    sb_text words = {0};
    if (lessons->samples == 0)
        return;
    add_found(lessons, text);
    add_numbers(lessons, text);
    if (sb_lessons_have_times(lessons, MOST_NUMBERS))
        sb_text_addf(&words, "x: times the number used. ");
    sb_text_addf(&words, "From here on the plan uses the new middles. %zu samples count as %.0f.",
                 lessons->samples, lessons->effective);
    sb_lessons_share(lessons, &words);
    sb_columns_wrap(text, sb_text_get(&words), 0, 0);
    text->failed |= words.failed;
    sb_text_release(&words);
}
