/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/growers.h"

#include "base/mem.h"
#include "write/html_text.h"
#include "write/receipts.h"
#include "write/words.h"

/* Groups: the growers, then fields without one, then (as a giver only) the start of the season. */
static size_t group_of(const sb_season *season, size_t origin)
{
    if (origin == season->n_fields)
        return season->n_growers + 1;
    int grower = season->fields[origin].grower;
    return grower >= 0 ? (size_t)grower : season->n_growers;
}

static void add_group_name(const sb_season *season, size_t group, sb_text *text)
{
    if (group < season->n_growers)
        sb_html_name(text, season->growers[group]);
    else
        sb_text_addf(text, group == season->n_growers ? "no grower named" : "start of the season");
}

static void sum_up(const sb_page *page, int weed, double *sums, size_t groups)
{
    const sb_season *season = page->season;
    for (size_t from = 0; from <= season->n_fields; from++)
        for (size_t to = 0; to < season->n_fields; to++)
            sums[group_of(season, from) * groups + group_of(season, to)] +=
                sb_given(&page->plan->ledger, from, (int)to, weed);
}

static double total(const double *sums, size_t groups, size_t first, size_t step)
{
    double sum = 0;
    for (size_t i = 0; i < groups; i++)
        sum += sums[first + i * step];
    return sum;
}

static void add_amount(double seeds, sb_text *text)
{
    sb_text_addf(text, "<td>");
    if (seeds >= SB_SEEDS_SHOWN)
        sb_words_seeds(text, seeds);
    else
        sb_text_addf(text, "·");
    sb_text_addf(text, "</td>");
}

/* A group that neither gives nor gets is not worth a line. */
static bool idle(const double *sums, size_t groups, size_t group)
{
    return !(total(sums, groups, group * groups, 1) + total(sums, groups, group, groups) >=
             SB_SEEDS_SHOWN);
}

static void add_rows(const sb_page *page, const double *sums, size_t groups, sb_text *text)
{
    for (size_t from = 0; from < groups; from++) {
        if (idle(sums, groups, from))
            continue;
        sb_text_addf(text, "<tr><th scope=\"row\" class=\"name\">");
        add_group_name(page->season, from, text);
        sb_text_addf(text, "</th>");
        for (size_t to = 0; to + 1 < groups; to++)
            if (!idle(sums, groups, to))
                add_amount(sums[from * groups + to], text);
        add_amount(total(sums, groups, from * groups, 1), text);
        sb_text_addf(text, "</tr>\n");
    }
    sb_text_addf(text, "</tbody><tfoot><tr><th scope=\"row\" class=\"name\">receives</th>");
    double all = 0;
    for (size_t to = 0; to + 1 < groups; to++) {
        all += total(sums, groups, to, groups);
        if (!idle(sums, groups, to))
            add_amount(total(sums, groups, to, groups), text);
    }
    add_amount(all, text);
}

void sb_html_growers(const sb_page *page, int weed, sb_text *text)
{
    const sb_season *season = page->season;
    size_t groups = season->n_growers + 2;
    if (season->n_growers < 2)
        return;
    double *sums = sb_alloc(groups * groups, sizeof *sums);
    if (sums == NULL) {
        text->failed = true;
        return;
    }
    sum_up(page, weed, sums, groups);
    sb_html_open_scroll(text, "From grower to grower", "");
    sb_text_addf(text, "<table class=\"growers\"><caption>From grower (row) to grower (column), "
                       "seeds</caption><thead><tr><th scope=\"col\" class=\"name\">from</th>");
    for (size_t to = 0; to + 1 < groups; to++) {
        if (idle(sums, groups, to))
            continue;
        sb_text_addf(text, "<th scope=\"col\">");
        add_group_name(season, to, text);
        sb_text_addf(text, "</th>");
    }
    sb_text_addf(text, "<th scope=\"col\">gives</th></tr></thead><tbody>\n");
    add_rows(page, sums, groups, text);
    sb_text_addf(text, "</tr></tfoot></table></div>\n");
    sb_free(sums);
}
