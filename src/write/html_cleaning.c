/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One cleaning job: cautions first, then the steps to tick off, then what should lie on the tarp;
 * and what all jobs of the season need together. */
#include <math.h>

#include "write/cautions.h"
#include "write/html_text.h"
#include "write/needs.h"
#include "write/page.h"
#include "write/words.h"

static void add_cautions(sb_text *text)
{
    sb_text_addf(text, "<div class=\"care\"><h6>⚠ Before anyone touches the machine</h6><p>");
    sb_html_escape(text, sb_caution_first);
    sb_text_addf(text, "</p><ul>\n");
    for (size_t i = 0; i < sb_n_cautions; i++) {
        sb_text_addf(text, "<li>");
        sb_html_escape(text, sb_cautions[i]);
        sb_text_addf(text, "\n");
    }
    sb_text_addf(text, "</ul></div>\n");
}

static void add_steps(const sb_season *season, const sb_cleanout *level, sb_cleaning_place place,
                      sb_text *text)
{
    sb_text_addf(text, "<ul class=\"ticks\">\n<li>Park %s",
                 place.is_yard ? "where cleaning is done in the yard, "
                               : "in the field just cut, ");
    sb_html_name(text, place.name);
    sb_text_addf(text, ".\n");
    for (size_t i = 0; i < level->n_steps; i++) {
        const sb_step *step = &level->steps[i];
        int section = sb_find_section(&season->setup, step->section);
        const char *caution = sb_step_caution(step->section);
        sb_text_addf(text, "<li><span>");
        sb_words_minutes(text, step->minutes);
        sb_text_addf(text, "</span>");
        if (section >= 0) {
            sb_text_addf(text, "<b>");
            sb_html_escape(text, season->setup.machines[0].sections[section].name);
            sb_text_addf(text, ":</b> ");
        }
        sb_html_escape(text, step->text);
        if (caution != NULL) {
            sb_text_addf(text, " <i>⚠ ");
            sb_html_escape(text, caution);
            sb_text_addf(text, "</i>");
        }
        sb_text_addf(text, "\n");
    }
    sb_text_addf(text, "<li>Debris gathered and destroyed, or left only where seedlings will be "
                       "watched and killed.\n"
                       "<li>A second person has looked over the machine: ____________</ul>\n");
}

static void add_tarp(const sb_page *page, const sb_stop_trace *trace, sb_text *text)
{
    sb_text_addf(text, "<p>Expected on the tarp: about %.1f kg of material, with it ",
                 trace->tarp_kg);
    bool any = false;
    for (int i = 0; i < page->n_weeds; i++) {
        double seeds = trace->on_tarp[page->weeds[i]];
        if (!(seeds >= SB_SEEDS_SHOWN))
            continue;
        sb_text_addf(text, any ? ", " : "");
        sb_words_some_seeds(text, seeds);
        sb_text_addf(text, " of ");
        sb_html_name(text, page->season->setup.weeds[page->weeds[i]].name);
        any = true;
    }
    sb_text_addf(text, any ? ". A prediction that you can check.</p>\n" : "no weed seeds.</p>\n");
}

/* ". Begin Sun 9 Aug 18:53, go on Mon 10 Aug 09:00, done Mon 10 Aug 14:07" */
static void add_job_times(const sb_calendar *calendar, double begin_h, double hours, sb_text *text)
{
    double end_h = begin_h + hours;
    if (!isfinite(end_h))
        return;
    int first = sb_calendar_day(calendar, begin_h, false);
    sb_text_addf(text, ". Begin <b>");
    sb_words_moment(text, calendar, begin_h, false);
    sb_text_addf(text, "</b>, ");
    if (sb_calendar_day(calendar, end_h, true) > first) {
        sb_text_addf(text, "go on <b>");
        sb_words_moment(text, calendar, sb_calendar_hours_through(calendar, first), false);
        sb_text_addf(text, "</b>, ");
    }
    sb_text_addf(text, "done <b>");
    sb_words_moment(text, calendar, end_h, true);
    sb_text_addf(text, "</b>");
}

void sb_html_cleaning(const sb_page *page, int cleanout, sb_cleaning_place place, double begin_h,
                      const sb_stop_trace *trace, sb_text *text)
{
    const sb_cleanout *level = &page->season->setup.cleanouts[cleanout];
    sb_text_addf(text, "<p><b>");
    sb_words_minutes(text, level->minutes);
    sb_text_addf(text, ", %.3g %s</b>", level->people, level->people == 1 ? "person" : "people");
    add_job_times(&page->season->setup.calendar, begin_h, level->minutes / 60, text);
    sb_text ready = {0};
    sb_supplies_words(&ready, level, sb_html_name);
    if (ready.count > 0)
        sb_text_addf(text, "<span class=\"ready\">. Have ready: %s</span>", sb_text_get(&ready));
    text->failed |= ready.failed;
    sb_text_release(&ready);
    sb_text_addf(text,
                 ".</p>\n<details class=\"how\" open><summary>⚠ Cautions and %zu steps"
                 "</summary><div class=\"two\"><div>",
                 level->n_steps);
    add_cautions(text);
    sb_text_addf(text, "</div><div>");
    add_steps(page->season, level, place, text);
    add_tarp(page, trace, text);
    sb_text_addf(text, "</div></div></details>\n");
}

void sb_html_needs(const sb_needs *needs, sb_text *text)
{
    if (needs->n_supplies == 0)
        return;
    sb_text_addf(text, "<ul class=\"ticks\">\n");
    for (size_t i = 0; i < needs->n_supplies; i++) {
        sb_text_addf(text, "<li>");
        sb_need_words(text, &needs->supplies[i], sb_html_name);
        sb_text_addf(text, "\n");
    }
    sb_text_addf(text, "</ul>");
}

/* The cells of a row that follow its name; each time: NULL where there is nothing to say. */
static void add_cells(const sb_page *page, const sb_needs *needs, const sb_cleanout *each,
                      sb_text *text)
{
    sb_text_addf(text, "</th><td class=\"num\">%.0f</td><td class=\"num\">", needs->times);
    sb_words_minutes(text, needs->minutes);
    sb_text_addf(text, "</td><td class=\"num\">");
    sb_words_minutes(text, needs->person_minutes);
    sb_text_addf(text, "</td><td>");
    if (each != NULL)
        sb_supplies_words(text, each, sb_html_name);
    sb_text_addf(text, "</td><td class=\"num\">");
    sb_words_money(text, page->season, needs->money);
    sb_text_addf(text, "</td></tr>\n");
}

static sb_status add_rows(const sb_page *page, sb_text *text)
{
    const sb_plan *plan = page->plan;
    sb_status status = SB_OK;
    for (int level = 1; status == SB_OK && level < (int)page->season->setup.n_cleanouts; level++) {
        const sb_cleanout *cleanout = &page->season->setup.cleanouts[level];
        sb_needs needs = {0};
        status = sb_needs_of_routes(&needs, page->season, plan->routes, plan->n_routes, level);
        if (needs.times > 0) {
            sb_text_addf(text, "<tr><th scope=\"row\" class=\"name\">");
            sb_html_name(text, cleanout->name);
            add_cells(page, &needs, cleanout, text);
        }
        sb_needs_release(&needs);
    }
    return status;
}

sb_status sb_draw_supplies(const sb_page *page, sb_text *text)
{
    const sb_plan *plan = page->plan;
    sb_needs whole = {0};
    sb_status status = sb_needs_of_routes(&whole, page->season, plan->routes, plan->n_routes, 0);
    sb_html_open_scroll(text, "Supplies", "");
    sb_text_addf(text,
                 "<table class=\"plain\"><caption>Cleanouts of the "
                 "season and what they need</caption><thead><tr><th scope=\"col\" "
                 "class=\"name\">Cleanout</th><th scope=\"col\">Times</th><th scope=\"col\">"
                 "Time</th><th scope=\"col\">People's time</th><th scope=\"col\">Supplies, "
                 "each time</th><th scope=\"col\">Supplies, money</th></tr></thead><tbody>\n");
    if (status == SB_OK)
        status = add_rows(page, text);
    sb_text_addf(text, "</tbody><tfoot><tr><th scope=\"row\" class=\"name\">Together");
    add_cells(page, &whole, NULL, text);
    sb_text_addf(text, "</tfoot></table></div>\n");
    if (whole.n_supplies > 0) {
        sb_text_addf(text, "<p>To have ready for the whole season:</p>\n");
        sb_html_needs(&whole, text);
        sb_text_addf(text, "\n");
    }
    sb_needs_release(&whole);
    return status != SB_OK ? status : text->failed ? SB_ERR_NOMEM : SB_OK;
}
