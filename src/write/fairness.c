/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/fairness.h"

#include <math.h>

#include "base/mem.h"
#include "write/html_text.h"
#include "write/receipts.h"
#include "write/words.h"

#define BAR 120.0 /* units: the highest loss or the cap */

static void add_taker(const sb_season *season, const sb_taker *taker, sb_add_name *add_name,
                      sb_text *text)
{
    if (taker->grower >= 0)
        add_name(text, season->growers[taker->grower]);
    else
        sb_text_addf(text, "the fields that name no grower");
}

bool sb_fairness_names(const sb_fairness *fairness)
{
    for (size_t g = 0; g < fairness->n_takers; g++)
        if (fairness->takers[g].most < fairness->most)
            return true;
    return false;
}

/* "To let no grower lose more than 1,000 USD, Ash 500 USD and Birch 700 USD". */
static void add_caps(const sb_season *season, const sb_fairness *fairness, sb_add_name *add_name,
                     sb_text *text)
{
    size_t left = 0;
    for (size_t g = 0; g < fairness->n_takers; g++)
        left += fairness->takers[g].most < fairness->most;
    sb_text_addf(text, "To let ");
    if (isfinite(fairness->most)) {
        sb_text_addf(text, "no grower lose more than ");
        sb_words_money(text, season, fairness->most);
        if (left > 0)
            sb_text_addf(text, left > 1 ? ", " : " and ");
    }
    for (size_t g = 0; g < fairness->n_takers; g++) {
        const sb_taker *taker = &fairness->takers[g];
        if (!(taker->most < fairness->most))
            continue;
        add_taker(season, taker, add_name, text);
        sb_text_addf(text, isfinite(fairness->most) ? " " : " lose no more than ");
        sb_words_money(text, season, taker->most);
        left--;
        sb_text_addf(text, left > 1 ? ", " : left == 1 ? " and " : "");
    }
}

void sb_fairness_words(const sb_season *season, const sb_plan *plan, sb_add_name *add_name,
                       sb_text *text)
{
    const sb_fairness *fairness = &plan->fairness;
    const sb_taker *worst = fairness->takers;
    if (fairness->n_takers == 0)
        return;
    for (size_t g = 1; g < fairness->n_takers; g++)
        if (fairness->takers[g].loss > worst->loss)
            worst = &fairness->takers[g];
    if (fairness->least_worst) {
        sb_text_addf(text, "Who loses most, ");
        add_taker(season, worst, add_name, text);
        sb_text_addf(text, ", loses ");
        sb_words_money(text, season, worst->loss);
        if (worst->loss > 0 && !(fairness->worst_bound > 0)) {
            sb_text_addf(text, "; how far a plan could bring that down was not found out in time");
        } else {
            sb_text_addf(text, "; no plan can bring that below ");
            sb_words_money(text, season, fairness->worst_bound);
        }
        sb_text_addf(text, ". That");
    } else {
        add_caps(season, fairness, add_name, text);
    }
    sb_text_addf(text, " costs ");
    sb_words_money(text, season, sb_plan_weighed_cost(plan) - fairness->free_cost);
    sb_text_addf(text, " more than the cheapest plan found without the rule, ");
    sb_words_money(text, season, fairness->free_cost);
    sb_text_addf(text, ".");
}

/* ---- The table ---- */

/* One grower, or the fields that name none. */
typedef struct line {
    bool has_fields;
    double loss, from_others;
    double most;           /* the cap; INFINITY: none */
    const sb_taker *taker; /* NULL: the plan says nothing about the rule */
} line;

typedef struct table {
    const sb_page *page;
    line *lines; /* by grower, then for fields that name none */
    size_t n_lines;
    bool capped;    /* has some grower a cap? */
    double most;    /* the cap that all have; INFINITY: they differ */
    double longest; /* bar */
    sb_text *text;
} table;

static size_t line_of(const table *t, size_t field)
{
    int grower = t->page->season->fields[field].grower;
    return grower >= 0 ? (size_t)grower : t->n_lines - 1;
}

/* Of a field's loss, what another one's seeds cause. */
static double loss_from(const sb_page *page, size_t from, size_t to)
{
    double loss = 0;
    for (int k = 0; k < page->n_weeds; k++)
        loss += sb_given(&page->plan->ledger, from, (int)to, page->weeds[k]) *
                page->season->fields[to].loss_per_seed[page->weeds[k]];
    return loss;
}

static void fill(table *t)
{
    const sb_season *season = t->page->season;
    const sb_fairness *fairness = &t->page->plan->fairness;
    for (size_t s = 0; s < t->page->n_stops; s++) {
        const sb_page_stop *at = &t->page->stops[s];
        line *l = &t->lines[line_of(t, (size_t)at->field)];
        l->has_fields = true;
        l->loss += t->page->plan->routes[at->route].stops[at->i].loss;
        for (size_t from = 0; from < season->n_fields; from++)
            if (line_of(t, from) != line_of(t, (size_t)at->field))
                l->from_others += loss_from(t->page, from, (size_t)at->field);
    }
    for (size_t l = 0; l < t->n_lines; l++)
        t->lines[l].most = sb_season_grower_most(season, l + 1 < t->n_lines ? (int)l : -1);
    for (size_t g = 0; g < fairness->n_takers; g++) {
        const sb_taker *taker = &fairness->takers[g];
        line *l = &t->lines[taker->grower >= 0 ? (size_t)taker->grower : t->n_lines - 1];
        l->taker = taker;
        l->most = fmin(l->most, taker->most);
    }
    double least = INFINITY, largest = 0;
    for (size_t l = 0; l < t->n_lines; l++) {
        const line *at = &t->lines[l];
        if (!at->has_fields)
            continue;
        least = fmin(least, at->most);
        largest = fmax(largest, at->most);
        t->longest = fmax(t->longest, fmax(at->loss, isfinite(at->most) ? at->most : 0));
    }
    t->capped = isfinite(least);
    t->most = least == largest ? least : INFINITY;
}

static void add_cap_head(const table *t)
{
    sb_text_addf(t->text, "<th scope=\"col\">May lose");
    if (isfinite(t->most)) {
        sb_text_addf(t->text, " ");
        sb_words_money(t->text, t->page->season, t->most);
    }
    sb_text_addf(t->text, "</th>");
}

static void add_head(const table *t)
{
    sb_text_addf(t->text, "<table class=\"plain losses\"><caption>Expected loss of each "
                          "grower</caption><thead><tr><th scope=\"col\" "
                          "class=\"name\">Grower</th><th scope=\"col\">Loses</th><th "
                          "scope=\"col\">Of it from others</th>");
    if (t->capped)
        add_cap_head(t);
    if (t->page->plan->fairness.n_takers > 0)
        sb_text_addf(t->text, "<th scope=\"col\">Without the rule</th><th scope=\"col\">Of it "
                              "from others</th>");
    sb_text_addf(t->text, "<th scope=\"col\">As a bar</th></tr></thead><tbody>\n");
}

static void add_money(const table *t, double money)
{
    sb_text_addf(t->text, "<td class=\"num\">");
    sb_words_money(t->text, t->page->season, money);
    sb_text_addf(t->text, "</td>");
}

/* What is left of the cap, or by how much it is passed; which cap, where they differ. */
static void add_room(const table *t, const line *l)
{
    bool over = l->loss > l->most * (1 + SB_RULE_SLACK);
    if (!isfinite(l->most)) {
        sb_text_addf(t->text, "<td class=\"num\">any</td>");
        return;
    }
    sb_text_addf(t->text, "<td class=\"num\"><span class=\"%s\">", over ? "broken" : "kept");
    sb_words_money(t->text, t->page->season, fabs(l->most - l->loss));
    sb_text_addf(t->text, over ? " too much" : " left");
    if (!isfinite(t->most)) {
        sb_text_addf(t->text, over ? ", of " : " of ");
        sb_words_money(t->text, t->page->season, l->most);
    }
    sb_text_addf(t->text, "</span></td>");
}

/* The loss as a bar, of it from others in full colour, and a stroke at the cap. */
static void add_bar(const table *t, const line *l)
{
    double unit = t->longest > 0 ? BAR / t->longest : 0;
    sb_text_addf(t->text,
                 "<td><svg width=\"%.0f\" height=\"14\" aria-hidden=\"true\"><rect "
                 "class=\"received pale\" width=\"%.1f\" y=\"2\" height=\"10\"/><rect "
                 "class=\"received\" width=\"%.1f\" y=\"2\" height=\"10\"/>",
                 BAR + 4, l->loss * unit, l->from_others * unit);
    if (isfinite(l->most))
        sb_text_addf(t->text, "<path class=\"bar\" d=\"M%.1f 0v14\"/>", l->most * unit + 1);
    sb_text_addf(t->text, "</svg></td>");
}

static void add_line(const table *t, size_t at)
{
    const line *l = &t->lines[at];
    sb_text_addf(t->text, "<tr><th scope=\"row\" class=\"name\">");
    if (at + 1 < t->n_lines)
        sb_html_name(t->text, t->page->season->growers[at]);
    else
        sb_text_addf(t->text, "no grower named");
    sb_text_addf(t->text, "</th>");
    add_money(t, l->loss);
    add_money(t, l->from_others);
    if (t->capped)
        add_room(t, l);
    if (t->page->plan->fairness.n_takers > 0) {
        add_money(t, l->taker != NULL ? l->taker->free_loss : 0);
        add_money(t, l->taker != NULL ? l->taker->free_from_others : 0);
    }
    add_bar(t, l);
    sb_text_addf(t->text, "</tr>\n");
}

sb_status sb_html_losses(const sb_page *page, sb_text *text)
{
    table t = {.page = page, .n_lines = page->season->n_growers + 1, .text = text};
    const sb_season *season = page->season;
    bool capped = page->plan->fairness.n_takers > 0 || season->grower_most != NULL ||
                  isfinite(season->setup.limits.loss_per_grower);
    if (season->n_growers < 2 && !capped)
        return SB_OK;
    t.lines = sb_alloc(t.n_lines, sizeof *t.lines);
    if (t.lines == NULL)
        return SB_ERR_NOMEM;
    fill(&t);
    sb_html_open_scroll(text, "What each grower is expected to lose", "");
    add_head(&t);
    for (size_t at = 0; at < t.n_lines; at++)
        if (t.lines[at].has_fields)
            add_line(&t, at);
    sb_text_addf(text,
                 "</tbody></table></div>\n<p class=\"soft\">From all seeds that are brought, "
                 "also from a grower's own fields. The dark part of a bar comes from others' "
                 "fields%s.</p>\n",
                 t.capped ? ", the stroke is what each may lose" : "");
    sb_free(t.lines);
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
