/* SPDX-License-Identifier: GPL-3.0-or-later */
/* curve.svg: the trade-off curve as a picture that a phone held upright can show. Above, spread
 * over money with a mark for each plan, its shape telling the number of full cleanouts; below, what
 * each further full cleanout makes of the total. Shapes, textures and words tell everything; the
 * colours (dark blue and ochre, far apart in lightness) only help. */
#include <math.h>

#include "write/trade.h"
#include "write/words.h"

#define WIDTH 480.0
#define LEFT 70.0
#define RIGHT 22.0
#define TOP 62.0
#define PLOT 290.0
#define AXIS 54.0 /* below the plot: ticks and title */
#define LEGEND 46.0
#define LEGEND_LINE 24.0 /* one more line of it */
#define BAR 24.0
#define BAR_STEP 34.0
#define BAR_HEAD 52.0
#define FOOT 30.0
#define MOST_TICKS 5
#define LABEL_APART 15.0 /* numbers nearer than this would lie on each other */
#define MARK 6.0
#define SHAPES 5 /* the last is for so many full cleanouts or more */

typedef struct picture {
    const sb_season *season;
    const sb_curve *curve;
    sb_text *text;
    double least_money, most_money, most_spread; /* what the axes span */
    double height;
} picture;

static double legend(const sb_curve *curve)
{
    return LEGEND + (curve->every_plan ? LEGEND_LINE : 0);
}

static double x_of(const picture *p, double money)
{
    return LEFT +
           (money - p->least_money) / (p->most_money - p->least_money) * (WIDTH - LEFT - RIGHT);
}

static double y_of(const picture *p, double spread)
{
    return TOP + PLOT - spread / p->most_spread * PLOT;
}

/* 1, 2 or 5 times a power of ten, at least span / MOST_TICKS. */
static double tick_step(double span)
{
    double least = span / MOST_TICKS, power = pow(10, floor(log10(least)));
    return least <= power       ? power
           : least <= 2 * power ? 2 * power
           : least <= 5 * power ? 5 * power
                                : 10 * power;
}

static void span_axes(picture *p)
{
    const sb_curve_points *points = &p->curve->points;
    double least = points->items[0].trade.money;
    double most = points->items[points->count - 1].trade.money;
    double spread = points->items[0].trade.spread;
    double step = tick_step(fmax(most - least, fmax(most * 0.1, 1)));
    p->least_money = fmax(floor(least / step - 0.25) * step, 0);
    p->most_money = ceil(most / step + 0.15) * step;
    step = tick_step(fmax(spread, 1));
    p->most_spread = ceil(spread / step + 0.15) * step;
}

static void add_number(const picture *p, double number)
{
    if (number >= 1e4)
        sb_text_addf(p->text, "%gk", number / 1000);
    else
        sb_text_addf(p->text, "%g", number);
}

static void add_axes(const picture *p)
{
    double step = tick_step(p->most_money - p->least_money);
    for (double at = p->least_money; at <= p->most_money + step / 2; at += step) {
        sb_text_addf(p->text,
                     "<path class=\"rule\" d=\"M%.1f %.1fV%.1f\"/><text class=\"mid\" x=\"%.1f\" "
                     "y=\"%.1f\">",
                     x_of(p, at), TOP, TOP + PLOT, x_of(p, at), TOP + PLOT + 21);
        add_number(p, at);
        sb_text_addf(p->text, "</text>\n");
    }
    step = tick_step(p->most_spread);
    for (double at = 0; at <= p->most_spread + step / 2; at += step) {
        sb_text_addf(p->text,
                     "<path class=\"rule\" d=\"M%.1f %.1fH%.1f\"/><text class=\"end\" x=\"%.1f\" "
                     "y=\"%.1f\">",
                     LEFT, y_of(p, at), WIDTH - RIGHT, LEFT - 7, y_of(p, at) + 5);
        add_number(p, at);
        sb_text_addf(p->text, "</text>\n");
    }
    sb_text_addf(p->text, "<text class=\"mid\" x=\"%.1f\" y=\"%.1f\">", (LEFT + WIDTH - RIGHT) / 2,
                 TOP + PLOT + 43);
    sb_words_currency(p->text, p->season);
    sb_text_addf(p->text,
                 " spent: driving, cleaning, delay</text>\n"
                 "<text x=\"10\" y=\"%.1f\">expected loss from spread, ",
                 TOP - 15);
    sb_words_currency(p->text, p->season);
    sb_text_addf(p->text, "</text>\n");
}

/* The line through the plans that a weight picks, and the ground below it that no plan reaches. */
static void add_hull(const picture *p)
{
    const sb_curve_points *points = &p->curve->points;
    double first = x_of(p, points->items[0].trade.money);
    for (int line = 0; line < 2; line++) {
        sb_text_addf(p->text, "<path class=\"%s\" d=\"", line ? "curve" : "never");
        if (!line)
            sb_text_addf(p->text, "M%.1f %.1f", first, y_of(p, 0));
        for (size_t i = 0; i < points->count; i++) {
            const sb_trade *trade = &points->items[i].trade;
            if (!trade->between)
                sb_text_addf(p->text, "%c%.1f %.1f", line && i == 0 ? 'M' : 'L',
                             x_of(p, trade->money), y_of(p, trade->spread));
        }
        if (!line)
            sb_text_addf(p->text, "V%.1fz", y_of(p, 0));
        sb_text_addf(p->text, "\"/>\n");
    }
}

/* Where money and spread together come to what the best plan comes to. */
static void add_same_total(const picture *p)
{
    const sb_trade *best = &p->curve->points.items[p->curve->best].trade;
    double weight = p->curve->weight, total = best->money + weight * best->spread;
    double left = fmax(p->least_money, total - weight * p->most_spread);
    double right = fmin(p->most_money, total);
    sb_text_addf(p->text, "<path class=\"same\" d=\"M%.1f %.1fL%.1f %.1f\"/>\n", x_of(p, left),
                 y_of(p, (total - left) / weight), x_of(p, right),
                 y_of(p, (total - right) / weight));
}

/* Circle, square, triangle, diamond, cross: for none, one, two, three, more full cleanouts. */
static void add_mark(const picture *p, double x, double y, int full)
{
    double r = MARK;
    switch (full < SHAPES - 1 ? full : SHAPES - 1) {
    case 0:
        sb_text_addf(p->text, "<circle class=\"mark\" cx=\"%.1f\" cy=\"%.1f\" r=\"%.1f\"/>", x, y,
                     r);
        break;
    case 1:
        sb_text_addf(p->text, "<path class=\"mark\" d=\"M%.1f %.1fh%.1fv%.1fh%.1fz\"/>",
                     x - 0.9 * r, y - 0.9 * r, 1.8 * r, 1.8 * r, -1.8 * r);
        break;
    case 2:
        sb_text_addf(p->text, "<path class=\"mark\" d=\"M%.1f %.1fl%.1f %.1fh%.1fz\"/>", x,
                     y - 1.3 * r, 1.25 * r, 2.2 * r, -2.5 * r);
        break;
    case 3:
        sb_text_addf(p->text,
                     "<path class=\"mark\" d=\"M%.1f %.1fl%.1f %.1f%.1f %.1f%.1f %.1fz\"/>", x,
                     y - 1.35 * r, 1.35 * r, 1.35 * r, -1.35 * r, 1.35 * r, -1.35 * r, -1.35 * r);
        break;
    default:
        sb_text_addf(p->text,
                     "<path class=\"cross\" d=\"M%.1f %.1fl%.1f %.1fM%.1f %.1fl%.1f %.1f\"/>",
                     x - r, y - r, 2 * r, 2 * r, x - r, y + r, 2 * r, -2 * r);
    }
}

static void add_marks(const picture *p)
{
    const sb_curve_points *points = &p->curve->points;
    const sb_trade *best = &points->items[p->curve->best].trade;
    double best_x = x_of(p, best->money), best_y = y_of(p, best->spread);
    sb_text_addf(p->text, "<circle class=\"ring\" cx=\"%.1f\" cy=\"%.1f\" r=\"12\"/>\n", best_x,
                 best_y);
    double last_x = -INFINITY, last_y = -INFINITY;
    for (size_t i = 0; i < points->count; i++) {
        const sb_trade *trade = &points->items[i].trade;
        double x = x_of(p, trade->money), y = y_of(p, trade->spread);
        sb_text_addf(
            p->text,
            "<g%s data-plan=\"%zu\"><title>plan %zu: money %.0f, spread %.0f, full cleanouts "
            "%d%s</title>",
            trade->between ? " class=\"between\"" : "", i, i + 1, trade->money, trade->spread,
            trade->full_cleanouts, trade->between ? ", only under a limit on money" : "");
        add_mark(p, x, y, trade->full_cleanouts);
        sb_text_addf(p->text, "</g>");
        bool is_best = i == p->curve->best;
        bool clear = hypot(x - last_x, y - last_y) >= LABEL_APART &&
                     (i > p->curve->best || hypot(x - best_x, y - best_y) >= LABEL_APART);
        if (is_best || clear) {
            sb_text_addf(p->text, "<text class=\"%s\" x=\"%.1f\" y=\"%.1f\">%zu%s</text>",
                         is_best ? "strong" : "label", x + (is_best ? 13 : 7),
                         y - (is_best ? 10 : 8), i + 1, is_best ? " order's plan" : "");
            last_x = x;
            last_y = y;
        }
        sb_text_addf(p->text, "\n");
    }
}

static void add_legend(const picture *p)
{
    static const char *const words[SHAPES] = {"none", "1", "2", "3", "more"};
    static const double at[SHAPES] = {150, 226, 274, 322, 370}; /* units: the words have room */
    double y = TOP + PLOT + AXIS + 10;
    if (p->curve->every_plan) {
        sb_text_addf(p->text, "<g class=\"between\">");
        add_mark(p, 27, y + 48, 0);
        sb_text_addf(p->text,
                     "</g><text x=\"50\" y=\"%.1f\">hollow: only under a limit on "
                     "money</text>\n",
                     y + 53);
    }
    sb_text_addf(p->text, "<text x=\"10\" y=\"%.1f\">full cleanouts:</text>\n", y + 5);
    for (int shape = 0; shape < SHAPES; shape++) {
        add_mark(p, at[shape], y, shape);
        sb_text_addf(p->text, "<text x=\"%.1f\" y=\"%.1f\">%s</text>\n", at[shape] + 12, y + 5,
                     words[shape]);
    }
    sb_text_addf(p->text,
                 "<path class=\"same\" d=\"M10 %.1fh34\"/><text x=\"50\" y=\"%.1f\">same total%s"
                 "</text>\n<rect class=\"never\" x=\"250\" y=\"%.1f\" width=\"30\" height=\"16\"/>"
                 "<text x=\"287\" y=\"%.1f\">no plan gets there</text>\n",
                 y + 24, y + 29, p->curve->weight != 1 ? ", as weighed" : "", y + 16, y + 29);
}

/* One bar for each number of full cleanouts: money, then spread as weighed. */
static void add_bars(const picture *p, double top)
{
    const sb_curve_points *full = &p->curve->full;
    double weight = p->curve->weight, most = 0;
    for (size_t i = 0; i < full->count; i++)
        most = fmax(most, full->items[i].trade.money + weight * full->items[i].trade.spread);
    double unit = (WIDTH - 40 - 100) / fmax(most, 1);
    sb_text_addf(p->text,
                 "<text class=\"head\" x=\"10\" y=\"%.1f\">What one more full cleanout "
                 "buys</text>\n<text x=\"10\" y=\"%.1f\">full cleanouts: <tspan "
                 "class=\"strong\">money</tspan> and spread%s, total at the end</text>\n",
                 top + 18, top + 38, weight != 1 ? " as weighed" : "");
    for (size_t i = 0; i < full->count; i++) {
        const sb_trade *trade = &full->items[i].trade;
        double y = top + BAR_HEAD + (double)i * BAR_STEP, money = trade->money * unit;
        double spread = weight * trade->spread * unit;
        sb_text_addf(p->text,
                     "<text class=\"end\" x=\"30\" y=\"%.1f\">%d</text><rect class=\"money\" "
                     "x=\"40\" y=\"%.1f\" width=\"%.1f\" height=\"%.0f\"/><rect class=\"spread\" "
                     "x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.0f\"/><text x=\"%.1f\" "
                     "y=\"%.1f\">%.0f</text>\n",
                     y + BAR * 0.7, trade->full_cleanouts, y, money, BAR, 40 + money, y, spread,
                     BAR, 40 + money + spread + 7, y + BAR * 0.7,
                     trade->money + weight * trade->spread);
    }
}

static void open_picture(const picture *p)
{
    sb_text_addf(
        p->text,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %.0f %.0f\" role=\"img\" "
        "aria-labelledby=\"title text\">\n<title id=\"title\">Money against spread</title>\n"
        "<desc id=\"text\">Every plan that no other beats in both money spent and expected loss "
        "from spread; curve.csv has the numbers.</desc>\n"
        "<style>svg{background:#fdfcf7}text{font:14px system-ui,sans-serif;fill:#1d2733}"
        ".head{font-size:18px;font-weight:650}.mid{text-anchor:middle}.end{text-anchor:end}"
        ".strong{font-weight:650}.label{font-size:13px;fill:#45515e}"
        ".rule{stroke:#d9d6ca;stroke-width:1}.never{fill:url(#n)}"
        ".curve{fill:none;stroke:#1b4f8a;stroke-width:2.5;stroke-linejoin:round}"
        ".same{fill:none;stroke:#a8620a;stroke-width:2;stroke-dasharray:7 5}"
        ".mark{fill:#1b4f8a;stroke:#fdfcf7;stroke-width:1.2}"
        ".cross{fill:none;stroke:#1b4f8a;stroke-width:3.2}"
        ".between .mark{fill:#fdfcf7;stroke:#1b4f8a;stroke-width:2}"
        ".between .cross{stroke-width:1.6}"
        ".ring{fill:#fdfcf7;stroke:#a8620a;stroke-width:3}.money{fill:#1b4f8a}"
        ".spread{fill:url(#s);stroke:#a8620a;stroke-width:1}</style>\n"
        "<defs><pattern id=\"n\" width=\"9\" height=\"9\" patternUnits=\"userSpaceOnUse\" "
        "patternTransform=\"rotate(45)\"><path d=\"M0 0h9\" stroke=\"#e4dfcd\" "
        "stroke-width=\"3\"/></pattern>"
        "<pattern id=\"s\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\" "
        "patternTransform=\"rotate(-45)\"><rect width=\"7\" height=\"7\" fill=\"#f6dfb8\"/><path "
        "d=\"M0 0h7\" stroke=\"#a8620a\" stroke-width=\"3\"/></pattern></defs>\n",
        WIDTH, p->height);
    sb_text_addf(p->text,
                 "<rect width=\"%.0f\" height=\"%.0f\" fill=\"#fdfcf7\"/>\n<text "
                 "class=\"head\" x=\"10\" y=\"24\">Money against spread, ",
                 WIDTH, p->height);
    sb_words_currency(p->text, p->season);
    sb_text_addf(p->text, "</text>\n");
}

static void draw_plot(const picture *p)
{
    add_axes(p);
    add_hull(p);
    add_same_total(p);
    add_marks(p);
    add_legend(p);
}

void sb_svg_curve_plot(const sb_season *season, const sb_curve *curve, sb_text *text)
{
    picture p = {.season = season, .curve = curve, .text = text};
    p.height = TOP + PLOT + AXIS + legend(curve);
    span_axes(&p);
    sb_text_addf(
        text,
        "<svg class=\"trade\" viewBox=\"0 %.0f %.0f %.0f\" aria-hidden=\"true\"><defs><pattern "
        "id=\"n\" width=\"9\" height=\"9\" patternUnits=\"userSpaceOnUse\" "
        "patternTransform=\"rotate(45)\"><path class=\"hatch\" d=\"M0 0h9\"/></pattern>"
        "</defs>\n",
        TOP - 31, WIDTH, p.height - TOP + 31);
    draw_plot(&p);
    sb_text_addf(text, "</svg>\n");
}

sb_status sb_render_curve_svg(const sb_season *season, const sb_curve *curve, sb_text *text)
{
    picture p = {.season = season, .curve = curve, .text = text};
    double bars = TOP + PLOT + AXIS + legend(curve);
    bool with_bars = curve->full.count > 1;
    p.height = bars + (with_bars ? BAR_HEAD + (double)curve->full.count * BAR_STEP : 0) + FOOT;
    span_axes(&p);
    open_picture(&p);
    draw_plot(&p);
    if (with_bars)
        add_bars(&p, bars + 14);
    sb_text_addf(text, "</svg>\n");
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
