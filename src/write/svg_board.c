/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The board as pictures: a row for every day on which somebody works, in it a bar for every
 * machine that has something to do, from the first working hour to the last; other days are a
 * break. Each picture is as wide as a phone; as many stand side by side as the screen is wide, and
 * three on paper, their legend below the last. */
#include <math.h>

#include "write/board_words.h"
#include "write/html_text.h"
#include "write/page.h"
#include "write/words.h"

#define WIDTH 334.0
#define LEFT 90.0
#define LETTER 11.0 /* of a machine, between the day and its bar */
#define RIGHT 10.0
#define HEAD 22.0
#define BAR 14.0 /* of one machine */
#define ROW_GAP 5.0
#define BREAK 17.0 /* days without work, in words */
#define BESIDE_NUMBER 6.0
#define TEETH 6           /* of the line that stands for days left out */
#define TICK 22.0         /* units from one clock time to the next */
#define MOST_HEIGHT 660.0 /* of a picture, as high as a sheet where three are as wide as one */

typedef struct picture {
    const sb_page *page;
    const sb_board *board;
    double height;
    sb_text *text;
} picture;

static const char *const classes[] = {"cut", "drive", "break", "wait"};

static double x_of(const picture *p, int day, double hours)
{
    const sb_calendar *calendar = &p->page->season->setup.calendar;
    double worked = hours - sb_calendar_hours_before(calendar, day);
    return LEFT + worked / calendar->hours_per_day * (WIDTH - LEFT - RIGHT);
}

static void add_clock(const picture *p)
{
    double tick_h = 1;
    const sb_calendar *calendar = &p->page->season->setup.calendar;
    double per_hour = (WIDTH - LEFT - RIGHT) / calendar->hours_per_day;
    /* Clock hours, whatever minute the day begins at; as many as have room. */
    while (tick_h * per_hour < TICK)
        tick_h *= 2;
    for (double clock = ceil(calendar->day_starts_h);
         clock <= calendar->day_starts_h + calendar->hours_per_day; clock += tick_h) {
        double x = LEFT + (clock - calendar->day_starts_h) * per_hour;
        sb_text_addf(p->text,
                     "<path class=\"rule\" d=\"M%.1f %.1fV%.1f\"/><text class=\"tiny mid\" "
                     "x=\"%.1f\" y=\"%.1f\">%.0f</text>",
                     x, HEAD - 4, p->height, x, HEAD - 9, fmod(clock, 24));
    }
    sb_text_addf(p->text, "<text class=\"tiny end\" x=\"%.1f\" y=\"%.1f\">hour</text>\n", LEFT - 12,
                 HEAD - 9);
}

static void add_span(const picture *p, const sb_span *span, double top)
{
    const sb_page *page = p->page;
    double x = x_of(p, span->day, span->begin_h), right = x_of(p, span->day, span->end_h);
    double high = span->activity == SB_MOVING ? 4 : span->activity == SB_WAITING ? 1 : BAR - 2;
    sb_text_addf(p->text, "<rect class=\"%s\" data-s=\"", classes[span->activity]);
    sb_page_key(p->text, span->route, span->stop);
    sb_text_addf(p->text, "\" x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.0f\"/>", x,
                 top + (BAR - high) / 2, fmax(right - x, 1), high);
    if (span->activity == SB_CLEANING)
        sb_text_addf(p->text, "<path class=\"clean\" d=\"M%.1f %.1fl5 5-5 5-5-5z\"/>",
                     (x + right) / 2, top + BAR / 2 - 5);
    if (span->activity == SB_CUTTING &&
        right - x > sb_page_number_width(page, span->route, span->stop) + BESIDE_NUMBER) {
        sb_text_addf(p->text, "<text class=\"mid strong\" x=\"%.1f\" y=\"%.1f\">", (x + right) / 2,
                     top + BAR / 2 + 4);
        sb_page_number(p->text, page, span->route, span->stop);
        sb_text_addf(p->text, "</text>");
    }
    sb_text_addf(p->text, "\n");
}

/* The clock's rules stop where days are left out. */
static void add_break(const picture *p, int before, int after, double y)
{
    sb_text_addf(p->text,
                 "<rect class=\"cover\" x=\"0\" y=\"%.1f\" width=\"%.0f\" height=\"%.0f\"/>"
                 "<path class=\"skip\" d=\"M6 %.1f",
                 y - 1, WIDTH, BREAK - 1, y + BREAK / 2);
    for (int tooth = 0; tooth < TEETH; tooth++)
        sb_text_addf(p->text, "l3-3 6 6 3-3");
    sb_text_addf(p->text, "\"/><text class=\"tiny\" x=\"%.1f\" y=\"%.1f\">", LEFT, y + 12);
    sb_words_days_between(p->text, &p->page->season->setup.calendar, before, after);
    sb_text_addf(p->text, "</text>\n");
}

/* Machines that a day tells of. */
static size_t machines_of_day(const sb_board *board, size_t first, size_t n)
{
    size_t machines = 0;
    for (size_t k = first, of_one; k < first + n; k += of_one) {
        bool told;
        of_one = sb_board_machine(board, k, &told);
        machines += told;
    }
    return machines;
}

/* A machine's letter, or its number where there are more machines than letters; with one machine
 * nothing. */
static void add_mark(const sb_page *page, size_t route, sb_text *text)
{
    char letter = sb_words_letter(page->plan->n_routes, route);
    if (letter)
        sb_text_addf(text, "%c", letter);
    else if (page->plan->n_routes > 1)
        sb_text_addf(text, "%zu", route + 1);
}

/* The n spans of one machine's day, beside its mark. */
static void add_machine(const picture *p, size_t first, size_t n, double top)
{
    sb_text_addf(p->text, "<text class=\"tiny end\" x=\"%.1f\" y=\"%.1f\">", LEFT - 4,
                 top + BAR / 2 + 4);
    add_mark(p->page, p->board->spans[first].route, p->text);
    sb_text_addf(p->text, "</text>\n");
    for (size_t k = first; k < first + n; k++)
        add_span(p, &p->board->spans[k], top);
}

/* The n spans of one day, under its date. A machine that goes on waiting is left out. */
static void add_day(const picture *p, size_t first, size_t n, double top)
{
    sb_text_addf(p->text, "<text class=\"end\" x=\"%.1f\" y=\"%.1f\">",
                 LEFT - 5 - (p->board->n_routes > 1 ? LETTER : 0), top + BAR / 2 + 4);
    sb_words_day(p->text, p->board->spans[first].day);
    sb_text_addf(p->text, "</text>");
    for (size_t k = first, of_one; k < first + n; k += of_one) {
        bool told;
        of_one = sb_board_machine(p->board, k, &told);
        if (!told)
            continue;
        add_machine(p, k, of_one, top);
        top += BAR;
    }
}

/* Draws rows from a span on until the picture is full, or with draw = false only adds up their
 * height.
 * @param next [out] the span that the next picture begins with */
static double add_rows(const picture *p, size_t first, size_t *next, bool draw)
{
    const sb_board *board = p->board;
    double y = HEAD;
    int last = first > 0 ? board->spans[first - 1].day : SB_NO_DAY; /* on which somebody worked */
    *next = first;                                                  /* behind that day */
    for (size_t i = first, n; i < board->n_spans; i += n) {
        bool busy;
        int day = board->spans[i].day;
        n = sb_board_day(board, i, &busy);
        if (!busy)
            continue;
        double row = (double)machines_of_day(board, i, n) * BAR + ROW_GAP;
        double skipped = last != SB_NO_DAY && day - last > 1 ? BREAK : 0;
        if (y > HEAD && y + skipped + row > MOST_HEIGHT)
            return y;
        if (draw && skipped > 0)
            add_break(p, last, day, y);
        if (draw)
            add_day(p, i, n, y + skipped);
        y += skipped + row;
        last = day;
        *next = i + n;
    }
    *next = board->n_spans;
    return y;
}

static void add_pictures(const sb_page *page, const sb_board *board, sb_text *text)
{
    picture p = {.page = page, .board = board, .text = text};
    for (size_t first = 0, next; first < board->n_spans; first = next) {
        p.height = add_rows(&p, first, &next, false);
        sb_text_addf(text,
                     "<div class=\"frame\"><svg class=\"board\" viewBox=\"0 0 %.0f %.0f\" "
                     "aria-hidden=\"true\">\n",
                     WIDTH, p.height);
        add_clock(&p);
        add_rows(&p, first, &next, true);
        sb_text_addf(text, "</svg></div>\n");
    }
}

static void add_machine_letters(const sb_page *page, sb_text *text)
{
    size_t n_routes = page->plan->n_routes;
    for (size_t r = 0; n_routes > 1 && r < n_routes; r++) {
        sb_text_addf(text, "<li>");
        add_mark(page, r, text);
        sb_text_addf(text, ", ");
        sb_words_machine(text, page->season, page->plan->routes[r].machine, sb_html_name);
        sb_text_addf(text, "</li>\n");
    }
    if (n_routes > 1)
        sb_text_addf(text, "<li>" SB_BOARD_LEFT_OUT "</li>\n");
}

static void add_legend(const sb_page *page, sb_text *text)
{
    static const char *const words[] = {"cutting, with the number of the stop", "moving",
                                        "cleaning", "waiting"};
    static const double insets[] = {0, 5, 0, 6};
    sb_text_addf(text, "<ul class=\"legend\">\n");
    for (int a = 0; a < SB_N_ACTIVITIES; a++)
        sb_text_addf(text,
                     "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect "
                     "class=\"%s\" y=\"%.0f\" width=\"26\" height=\"%.0f\"/></svg> %s</li>\n",
                     classes[a], insets[a], 16 - 2 * insets[a], words[a]);
    sb_text_addf(text,
                 "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><path "
                 "class=\"skip\" d=\"M1 8l3-3 6 6 6-6 6 6 3-3\"/></svg> days left out</li>\n");
    add_machine_letters(page, text);
    sb_text_addf(text, "</ul>\n");
}

/* The same in numbers, for everyone who cannot see the bars. A machine's name stands above its
 * hours, so that they have room on a phone. */
static void add_hours(const sb_page *page, const sb_board *board, sb_text *text)
{
    sb_html_open_scroll(text, "Hours of each machine", "");
    sb_text_addf(text, "<table class=\"plain hours\"><caption>Working hours</caption><thead><tr>");
    for (int a = 0; a < SB_N_ACTIVITIES; a++)
        sb_text_addf(text, "<th scope=\"col\">%s</th>", sb_activity_word((sb_activity)a));
    sb_text_addf(text, "</tr></thead>\n");
    for (size_t r = 0; r < board->n_routes; r++) {
        sb_text_addf(text, "<tbody><tr><th scope=\"rowgroup\" colspan=\"%d\">", SB_N_ACTIVITIES);
        sb_words_machine(text, page->season, page->plan->routes[r].machine, sb_html_name);
        sb_text_addf(text, "</th></tr>\n<tr>");
        for (int a = 0; a < SB_N_ACTIVITIES; a++)
            sb_text_addf(text, "<td class=\"num\">%.1f</td>", board->hours[r][a]);
        sb_text_addf(text, "</tr></tbody>\n");
    }
    sb_text_addf(text, "</table></div>\n");
}

static bool is_long_wait(const sb_page *page, const sb_span *span)
{
    return span->activity == SB_WAITING && !sb_wait_goes_on(span) &&
           sb_wait_days(&page->season->setup.calendar, &span->wait) > 0;
}

static void add_wait(const sb_page *page, const sb_span *span, sb_text *text)
{
    sb_text_addf(text, "<li><b>");
    add_mark(page, span->route, text);
    sb_text_addf(text, "</b> from ");
    sb_words_moment(text, &page->season->setup.calendar, span->wait.begin_h, true);
    sb_wait_words(page->season, page->plan, &span->wait, sb_html_name, text);
    sb_text_addf(text, "</li>\n");
}

/* For what machines wait a day or more. */
static void add_waits(const sb_page *page, const sb_board *board, sb_text *text)
{
    bool any = false;
    for (size_t i = 0; i < board->n_spans; i++) {
        if (!is_long_wait(page, &board->spans[i]))
            continue;
        if (!any)
            sb_text_addf(text, "<p>Waits of a day and more:</p>\n<ul class=\"waits\">\n");
        any = true;
        add_wait(page, &board->spans[i], text);
    }
    sb_text_addf(text, any ? "</ul>\n" : "");
}

sb_status sb_draw_board(const sb_page *page, sb_text *text)
{
    sb_board board;
    sb_status status = sb_board_init(page->season, page->plan, &board);
    if (status != SB_OK)
        return status;
    sb_text_addf(text, "<div class=\"boards\">");
    add_pictures(page, &board, text);
    sb_text_addf(text, "<div class=\"key\">\n");
    add_legend(page, text);
    add_hours(page, &board, text);
    add_waits(page, &board, text);
    sb_text_addf(text, "</div></div>\n");
    sb_board_release(&board);
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
