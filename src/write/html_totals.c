/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the season comes to: the bill as a bar, the counts, and how good the plan is. */
#include <math.h>

#include "write/fairness.h"
#include "write/html_text.h"
#include "write/page.h"
#include "write/trade.h"
#include "write/why.h"
#include "write/words.h"

#define BAR_WIDTH 1000.0

/* One share of the bill: a colour, a word, money. */
typedef struct share {
    const char *class_name, *what;
    double money;
} share;

static void add_bar(const share *shares, size_t n, double total, sb_text *text)
{
    if (!(total > 0) || !isfinite(total))
        return;
    sb_text_addf(text,
                 "<svg class=\"bill\" viewBox=\"0 0 %.0f 20\" preserveAspectRatio=\"none\" "
                 "aria-hidden=\"true\">",
                 BAR_WIDTH);
    double x = 0;
    for (size_t i = 0; i < n; i++) {
        double width = shares[i].money / total * BAR_WIDTH;
        if (width > 0)
            sb_text_addf(text, "<rect class=\"%s\" x=\"%.1f\" width=\"%.1f\" height=\"20\"/>",
                         shares[i].class_name, x, width);
        x += width;
    }
    sb_text_addf(text, "</svg>\n");
}

static void add_bill(const sb_page *page, sb_text *text)
{
    const sb_cost *cost = &page->plan->cost;
    const share shares[] = {{"b-travel", "travel", cost->travel},
                            {"b-clean", "cleanouts", cost->cleanout},
                            {"b-spread", "spread: expected loss", cost->spread},
                            {"b-delay", "delay", cost->delay}};
    size_t n = sizeof shares / sizeof *shares;
    sb_text_addf(text, "<div class=\"total\"><b>");
    sb_words_money(text, page->season, cost->total);
    sb_text_addf(text, "</b> <span>in all</span></div>\n");
    add_bar(shares, n, cost->total, text);
    sb_text_addf(text, "<ul class=\"facts\">\n");
    for (size_t i = 0; i < n; i++) {
        sb_text_addf(text, "<li class=\"%s\"><b>", shares[i].class_name);
        sb_words_money(text, page->season, shares[i].money);
        sb_text_addf(text, "</b><span>%s</span></li>\n", shares[i].what);
    }
}

static void add_counts(const sb_page *page, sb_text *text)
{
    const sb_plan *plan = page->plan;
    double seeds = 0, km = 0, minutes = 0;
    size_t cleanouts = 0, full = 0;
    for (size_t r = 0; r < plan->n_routes; r++) {
        const sb_route *route = &plan->routes[r];
        km += route->km_total;
        for (size_t i = 0; i <= route->n_stops; i++) {
            int level = sb_page_level(route, i);
            cleanouts += level > 0;
            full += level > 0 && page->season->setup.cleanouts[level].full;
            minutes += level > 0 ? page->season->setup.cleanouts[level].minutes : 0;
            for (int k = 0; i < route->n_stops && k < SB_MAX_WEEDS; k++)
                seeds += route->stops[i].trace.ground[k];
        }
    }
    sb_text_addf(text, "<li><b>%zu</b><span>fields</span></li>\n<li><b>", page->n_stops);
    sb_words_km(text, km);
    sb_text_addf(text,
                 "</b><span>on the road, way home included</span></li>\n<li><b>%zu</b><span>"
                 "cleanouts",
                 cleanouts);
    if (full > 0) {
        sb_text_addf(text, " (%zu full: ", full);
        sb_words_full_cleanouts(text, page->season, sb_html_name);
        sb_text_addf(text, ")");
    }
    sb_text_addf(text, ", ");
    sb_words_minutes(text, minutes);
    sb_text_addf(text, " in all</span></li>\n<li><b>");
    sb_words_seeds(text, seeds);
    sb_text_addf(text, "</b><span>weed seeds brought into other fields</span></li>\n</ul>\n");
}

/* The plan on the curve that pays most; its own search is not kept with it. */
static void add_curve_proof(const sb_curve *curve, sb_text *text)
{
    const sb_trade *trade = &curve->points.items[curve->best].trade;
    if (trade->proven)
        sb_text_addf(text, "Proven best of its kind: no plan that keeps the rules costs less at "
                           "the weights of spread that it is shown for below.");
    else
        sb_text_addf(text,
                     "The best plan found of its kind: %.2g %% of its cost, at the weight that "
                     "suits it best, might be saved by one that was not found.",
                     100 * trade->gap);
}

sb_status sb_draw_totals(const sb_page *page, sb_text *text)
{
    sb_text proof = {0};
    add_bill(page, text);
    add_counts(page, text);
    sb_text_addf(text, "<p class=\"soft\">");
    if (page->curve != NULL)
        add_curve_proof(page->curve, &proof);
    else
        sb_proof_words(page->season, page->plan, &proof);
    sb_html_escape(text, sb_text_get(&proof));
    sb_text_addf(text, "</p>\n");
    if (page->plan->fairness.n_takers > 0) {
        sb_text_addf(text, "<p class=\"soft\">");
        sb_fairness_words(page->season, page->plan, sb_html_name, text);
        sb_text_addf(text, " <a href=\"#matrix\">What each grower loses</a></p>\n");
    }
    text->failed |= proof.failed;
    sb_text_release(&proof);
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
