/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The board as pictures: a row for every day on which something moves, in it a bar for every
 * machine, from the first working hour to the last. Each picture is as wide as a phone; as many
 * stand side by side as the screen is wide, and three on paper, their legend below the last. */
#include <math.h>

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
#define NOTE 17.0 /* a line of text between days */
#define BESIDE_NUMBER 6.0
#define TICK 22.0         /* units from one clock time to the next */
#define MOST_HEIGHT 660.0 /* of a picture, as high as a sheet where three are as wide as one */

typedef struct picture {
    const sb_page *page;
    const sb_board *board;
    double height;
    sb_text *text;
} picture;

static const char *const classes[] = {"break", "wait", "drive", "cut"};

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

/* Spans of the day that begins at `first`; busy: a machine does more than wait. */
static size_t spans_of_day(const sb_board *board, size_t first, bool *busy)
{
    size_t n = 0;
    *busy = false;
    for (; first + n < board->n_spans && board->spans[first + n].day == board->spans[first].day;
         n++)
        *busy |= board->spans[first + n].activity != SB_WAITING;
    return n;
}

static void add_note(const picture *p, int days, double y)
{
    sb_text_addf(p->text, "<text class=\"tiny\" x=\"%.1f\" y=\"%.1f\">%d day%s of waiting</text>\n",
                 LEFT, y + 11, days, days == 1 ? "" : "s");
}

/* The n spans of one day, under its date, each machine's bar beside its letter. */
static void add_day(const picture *p, size_t first, size_t n, double top)
{
    size_t n_routes = p->board->n_routes;
    sb_text_addf(p->text, "<text class=\"end\" x=\"%.1f\" y=\"%.1f\">",
                 LEFT - 5 - (n_routes > 1 ? LETTER : 0), top + BAR / 2 + 4);
    sb_words_day(p->text, p->board->spans[first].day);
    sb_text_addf(p->text, "</text>");
    for (size_t r = 0; r < n_routes && sb_words_letter(n_routes, r); r++)
        sb_text_addf(p->text, "<text class=\"tiny end\" x=\"%.1f\" y=\"%.1f\">%c</text>", LEFT - 4,
                     top + (double)r * BAR + BAR / 2 + 4, sb_words_letter(n_routes, r));
    sb_text_addf(p->text, "\n");
    for (size_t k = first; k < first + n; k++)
        add_span(p, &p->board->spans[k], top + (double)p->board->spans[k].route * BAR);
}

/* Draws rows from a span on until the picture is full, or with draw = false only adds up their
 * height.
 * @param next [out] the span that the next picture begins with */
static double add_rows(const picture *p, size_t first, size_t *next, bool draw)
{
    double y = HEAD, row = (double)p->board->n_routes * BAR + ROW_GAP;
    int waiting = 0;
    *next = first; /* behind the last day that was busy */
    for (size_t i = first; i < p->board->n_spans;) {
        bool busy;
        size_t n = spans_of_day(p->board, i, &busy);
        if (busy && y > HEAD && y + row + (waiting > 0 ? NOTE : 0) > MOST_HEIGHT)
            return y;
        waiting = busy ? waiting : waiting + 1;
        if (busy && waiting > 0) {
            if (draw)
                add_note(p, waiting, y);
            y += NOTE;
            waiting = 0;
        }
        if (busy && draw)
            add_day(p, i, n, y);
        y += busy ? row : 0;
        i += n;
        *next = busy ? i : *next;
    }
    *next = p->board->n_spans;
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

static void add_legend(const sb_page *page, sb_text *text)
{
    static const char *const words[] = {"cleaning", "waiting", "moving",
                                        "cutting, with the number of the stop"};
    static const double insets[] = {0, 6, 5, 0};
    sb_text_addf(text, "<ul class=\"legend\">\n");
    for (int a = SB_N_ACTIVITIES - 1; a >= 0; a--)
        sb_text_addf(text,
                     "<li><svg width=\"26\" height=\"16\" aria-hidden=\"true\"><rect "
                     "class=\"%s\" y=\"%.0f\" width=\"26\" height=\"%.0f\"/></svg> %s</li>\n",
                     classes[a], insets[a], 16 - 2 * insets[a], words[a]);
    for (size_t r = 0; page->plan->n_routes > 1 && r < page->plan->n_routes; r++) {
        sb_text_addf(text, "<li>");
        if (sb_words_letter(page->plan->n_routes, r))
            sb_text_addf(text, "%c, ", sb_words_letter(page->plan->n_routes, r));
        else
            sb_text_addf(text, "below, ");
        sb_words_machine(text, page->season, page->plan->routes[r].machine, sb_html_name);
        sb_text_addf(text, "</li>\n");
    }
    sb_text_addf(text, "</ul>\n");
}

/* The same in numbers, for everyone who cannot see the bars. */
static void add_hours(const sb_page *page, const sb_board *board, sb_text *text)
{
    sb_html_open_scroll(text, "Hours of each machine", "");
    sb_text_addf(text, "<table class=\"plain\"><caption>Working hours</caption><thead><tr><th "
                       "scope=\"col\" class=\"name\">Machine</th>");
    for (int a = SB_N_ACTIVITIES - 1; a >= 0; a--)
        sb_text_addf(text, "<th scope=\"col\">%s</th>", sb_activity_word((sb_activity)a));
    sb_text_addf(text, "</tr></thead><tbody>\n");
    for (size_t r = 0; r < board->n_routes; r++) {
        sb_text_addf(text, "<tr><th scope=\"row\" class=\"name\">");
        sb_html_name(text, page->season->setup.machines[page->plan->routes[r].machine].name);
        sb_text_addf(text, "</th>");
        for (int a = SB_N_ACTIVITIES - 1; a >= 0; a--)
            sb_text_addf(text, "<td class=\"num\">%.1f h</td>", board->hours[r][a]);
        sb_text_addf(text, "</tr>\n");
    }
    sb_text_addf(text, "</tbody></table></div>\n");
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
    sb_text_addf(text, "</div></div>\n");
    sb_board_release(&board);
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
