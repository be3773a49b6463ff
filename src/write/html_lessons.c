/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was learned, on the page: what was found, and each number before and now as two bands. */
#include <math.h>

#include "write/html_text.h"
#include "write/lessons.h"
#include "write/words.h"

#define WIDE 240.0 /* units of a picture of two bands */
#define HIGH 26.0

static void add_counted(sb_text *text, double value)
{
    sb_text_addf(text, "<td>");
    if (value < 1000)
        sb_text_addf(text, "%.3g", value);
    else
        sb_words_seeds(text, value);
    sb_text_addf(text, "</td>");
}

static void add_found(const sb_lessons *lessons, sb_text *text)
{
    sb_html_open_scroll(text, "What was found", NULL);
    sb_text_addf(text, "<table class=\"learned\"><thead><tr><th scope=\"col\">What was found</th>"
                       "<th scope=\"col\">found</th><th scope=\"col\">expected</th>"
                       "<th scope=\"col\">expected now</th></tr></thead><tbody>\n");
    for (size_t i = 0; i < lessons->found.count; i++) {
        const sb_lesson_found *found = &lessons->found.items[i];
        sb_text_addf(text, "<tr><th scope=\"row\">");
        sb_html_name(text, found->what);
        sb_text_addf(text, "</th>");
        add_counted(text, found->found);
        add_counted(text, found->expected_before);
        add_counted(text, found->expected_now);
        sb_text_addf(text, "</tr>\n");
    }
    sb_text_addf(text, "</tbody></table></div>\n");
}

/* Limits on a log scale that both bands share. */
static double across(const double ends[2], double value)
{
    double low = log(ends[0]), high = log(ends[1]);
    return high > low ? (log(value) - low) / (high - low) * WIDE : WIDE / 2;
}

static void add_band(const double ends[2], const double *limits, const char *class_name, double y,
                     sb_text *text)
{
    double left = across(ends, limits[0]), right = across(ends, limits[2]);
    sb_text_addf(text,
                 "<rect class=\"%s\" x=\"%.1f\" y=\"%.0f\" width=\"%.1f\" height=\"8\"/>"
                 "<path class=\"line\" d=\"M%.1f %.0fv12\"/>",
                 class_name, left, y, fmax(right - left, 1), across(ends, limits[1]), y - 2);
}

static void add_picture(const sb_lesson *lesson, sb_text *text)
{
    const double ends[2] = {fmin(lesson->before[0], lesson->after[0]),
                            fmax(lesson->before[2], lesson->after[2])};
    sb_text_addf(text,
                 "<td><svg viewBox=\"-2 0 %.0f %.0f\" width=\"%.0f\" height=\"%.0f\" "
                 "aria-hidden=\"true\">",
                 WIDE + 4, HIGH, WIDE, HIGH);
    if (ends[0] > 0) {
        add_band(ends, lesson->before, "b-before", 2, text);
        add_band(ends, lesson->after, "b-now", 16, text);
    }
    sb_text_addf(text, "</svg></td>");
}

static void add_limits(const sb_lesson *lesson, const double *limits, sb_text *text)
{
    sb_text_addf(text, "<td>");
    for (size_t q = 0; q < 3; q++) {
        sb_text_addf(text, q == 0 ? "" : q == 1 ? " <b>" : "</b> ");
        sb_lesson_value(lesson, limits[q], text);
    }
    sb_text_addf(text, "</td>");
}

static void add_numbers(const sb_lessons *lessons, sb_text *text)
{
    sb_html_open_scroll(text, "What that teaches", NULL);
    sb_text_addf(text, "<table class=\"learned\"><thead><tr><th scope=\"col\">Number</th>"
                       "<th scope=\"col\">before: 5, 50, 95 %%</th>"
                       "<th scope=\"col\">now: 5, 50, 95 %%</th>"
                       "<th scope=\"col\">before above, now below</th></tr></thead><tbody>\n");
    for (size_t i = 0; i < lessons->numbers.count; i++) {
        const sb_lesson *lesson = &lessons->numbers.items[i];
        sb_text_addf(text, "<tr><th scope=\"row\">");
        sb_html_name(text, lesson->name);
        sb_text_addf(text, "</th>");
        add_limits(lesson, lesson->before, text);
        add_limits(lesson, lesson->after, text);
        add_picture(lesson, text);
        sb_text_addf(text, "</tr>\n");
    }
    sb_text_addf(text, "</tbody></table></div>\n");
}

void sb_html_lessons(const sb_season *season, sb_text *text)
{
    const sb_lessons *lessons = &season->lessons;
    if (lessons->samples == 0)
        return;
    sb_text_addf(text,
                 "<section id=\"learned\"><h2>What was learned</h2>\n"
                 "<p>Counts from the log, and what they say about the numbers of the model. This "
                 "plan uses the new middles%s. %zu samples count as %.0f.",
                 sb_lessons_have_times(lessons, SIZE_MAX) ? "; x means times the number used before"
                                                          : "",
                 lessons->samples, lessons->effective);
    sb_lessons_share(lessons, text);
    sb_text_addf(text, "</p>\n");
    add_found(lessons, text);
    if (lessons->numbers.count > 0)
        add_numbers(lessons, text);
    sb_text_addf(text, "</section>\n");
}
