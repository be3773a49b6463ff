/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The crew's list: a section for every day, a card for every stop, the way home at the end. */
#include <math.h>
#include <string.h>

#include "write/html_text.h"
#include "write/page.h"
#include "write/receipts.h"
#include "write/why.h"
#include "write/words.h"

/* From then on the day before is called its evening, as people say. */
#define EVENING "16:00"

static int day_of(const sb_season *season, double hours)
{
    return isfinite(hours) ? sb_calendar_day(&season->setup.calendar, fmax(hours, 0), false)
                           : SB_NO_DAY;
}

int sb_sheet_day(const sb_season *season, const sb_route *route, size_t i)
{
    return day_of(season,
                  i < route->n_stops ? route->stops[i].arrive_h : sb_work_begin_h(route, i));
}

/* Work for a sheet that begins on an earlier day says so: ", begun the evening before", ", begun on
 * Wed 16 Sep".
 * @param verb "begun "; "": the date stands before it, and needs no saying twice */
static void add_day_before(const sb_season *season, const char *verb, double begin_h, int sheet_day,
                           sb_text *text)
{
    int day = day_of(season, begin_h), before = sheet_day - day;
    char stamp[17];
    if (day == SB_NO_DAY || before <= 0)
        return;
    sb_calendar_stamp(&season->setup.calendar, fmax(begin_h, 0), false, stamp);
    if (before == 1) {
        sb_text_addf(text, ", %sthe %s before", verb,
                     strcmp(stamp + 11, EVENING) >= 0 ? "evening" : "day");
    } else if (*verb != '\0') {
        sb_text_addf(text, ", %son ", verb);
        sb_words_day(text, day);
    }
}

/* A machine may also start in a field that it cut before. */
static sb_cleaning_place place_before(const sb_season *season, const sb_route *route, size_t i)
{
    const struct sb_machine_join *join = &season->joins[route->machine];
    if (i > 0)
        return (sb_cleaning_place){season->fields[route->stops[i - 1].field].name, false};
    return (sb_cleaning_place){season->yards[join->start].name, join->start == join->yard};
}

/* Here and in the cleaning jobs, which make up most of the page, stand no end tags that HTML lets
 * one leave out: those of dt, dd and li. */
static void open_fact(sb_text *text, const char *what)
{
    sb_text_addf(text, "<div><dt>%s<dd>", what);
}

static void close_fact(sb_text *text)
{
    sb_text_addf(text, "</div>");
}

static void add_times(const sb_page *page, const sb_route *route, size_t i, sb_text *text)
{
    const sb_stop *stop = &route->stops[i];
    const sb_calendar *calendar = &page->season->setup.calendar;
    open_fact(text, "Drive off");
    sb_words_moment(text, calendar, stop->leave_h, false);
    add_day_before(page->season, "", stop->leave_h, sb_sheet_day(page->season, route, i), text);
    close_fact(text);
    open_fact(text, "Way");
    sb_words_km(text, stop->km);
    sb_text_addf(text, " from ");
    sb_html_name(text, place_before(page->season, route, i).name);
    close_fact(text);
    open_fact(text, "Cutting starts");
    sb_words_moment(text, calendar, stop->arrive_h, false);
    int ripe = sb_days_ripe(page->season, stop);
    if (ripe > 0)
        sb_text_addf(text, ", ripe for %d day%s", ripe, ripe == 1 ? "" : "s");
    close_fact(text);
    open_fact(text, "Done");
    sb_words_moment(text, calendar, stop->finish_h, true);
    close_fact(text);
}

static void add_field_facts(const sb_page *page, const sb_field *field, sb_text *text)
{
    const sb_season *season = page->season;
    open_fact(text, "Crop");
    sb_html_name(text, season->setup.crops[field->crop].name);
    sb_text_addf(text, ", ");
    sb_words_area(text, field->area_ha);
    close_fact(text);
    open_fact(text, "Grower");
    if (field->grower >= 0)
        sb_html_name(text, season->growers[field->grower]);
    else
        sb_text_addf(text, "not named");
    close_fact(text);
    open_fact(text, "Ratings");
    bool any = false;
    for (int i = 0; i < page->n_weeds; i++) {
        const sb_rating *rating = &field->ratings[page->weeds[i]];
        if (rating->source == SB_RATING_NONE)
            continue;
        sb_text_addf(text, any ? ", " : "");
        sb_html_name(text, season->setup.weeds[page->weeds[i]].name);
        sb_text_addf(text, "\u00a0");
        sb_html_name(text, season->setup.scale.labels[rating->class_index]);
        any = true;
    }
    sb_text_addf(text, any ? "" : "none: taken as clean");
    close_fact(text);
}

static void add_job_of_stop(const sb_page *page, const sb_route *route, size_t i, sb_text *text)
{
    const sb_stop *stop = &route->stops[i];
    const sb_cleanout *level = &page->season->setup.cleanouts[stop->cleanout];
    sb_cleaning_place place = place_before(page->season, route, i);
    sb_text_addf(text, "<div class=\"job\"><h5>Before leaving ");
    sb_html_name(text, place.name);
    sb_text_addf(text, ": ");
    sb_html_name(text, level->name);
    add_day_before(page->season, "begun ", stop->clean_h, sb_sheet_day(page->season, route, i),
                   text);
    sb_text_addf(text, "</h5>\n");
    if (route->reasons != NULL) {
        sb_text_addf(text, "<p>Why here: ");
        sb_why(page->season, route, i, sb_html_name, text);
        sb_text_addf(text, "</p>\n");
    }
    sb_html_cleaning(page, stop->cleanout, place, sb_work_begin_h(route, i), &stop->trace, text);
    sb_text_addf(text, "</div>\n");
}

/* Where to look next spring. */
static void add_strip(const sb_stop_trace *trace, sb_text *text)
{
    if (!(trace->strip90_m > 0))
        return;
    sb_text_addf(text,
                 "<p>Next spring scout the first pass from the gate: half of the loose seeds lie "
                 "in ");
    sb_words_metres(text, trace->strip50_m);
    sb_text_addf(text, ", 90 %% in ");
    sb_words_metres(text, trace->strip90_m);
    sb_text_addf(text, ".</p>\n");
}

/* The keys of all stops to which, or from which, at least a seed passes. */
static void add_partners(const sb_page *page, int field, bool gives, sb_text *text)
{
    bool any = false;
    sb_text_addf(text, gives ? "\" data-gives=\"" : "\" data-gets=\"");
    for (size_t s = 0; s < page->n_stops; s++) {
        int other = page->stops[s].field;
        double most = 0;
        for (int k = 0; k < page->n_weeds; k++)
            most = fmax(
                most, gives ? sb_given(&page->plan->ledger, (size_t)field, other, page->weeds[k])
                            : sb_given(&page->plan->ledger, (size_t)other, field, page->weeds[k]));
        if (!(most >= SB_SEEDS_TOLD))
            continue;
        sb_text_addf(text, any ? " " : "");
        sb_page_key(text, page->stops[s].route, page->stops[s].i);
        any = true;
    }
}

static void open_card(const sb_page *page, size_t r, size_t i, sb_text *text)
{
    const sb_route *route = &page->plan->routes[r];
    sb_text_addf(text, "<article class=\"stop\" id=\"s");
    sb_page_key(text, r, i);
    if (i < route->n_stops) {
        add_partners(page, route->stops[i].field, true, text);
        add_partners(page, route->stops[i].field, false, text);
    }
    sb_text_addf(text, "\"><div class=\"title\">");
}

static void add_stop(const sb_page *page, size_t r, size_t i, sb_text *text)
{
    const sb_route *route = &page->plan->routes[r];
    const sb_stop *stop = &route->stops[i];
    const sb_field *field = &page->season->fields[stop->field];
    open_card(page, r, i, text);
    sb_text_addf(text, "<b>");
    sb_page_number(text, page, r, i);
    sb_text_addf(text, "</b><h4>");
    sb_html_name(text, field->name);
    sb_text_addf(text, "</h4></div>\n");
    if (stop->cleanout > 0)
        add_job_of_stop(page, route, i, text);
    sb_text_addf(text, "<dl class=\"grid\">\n");
    add_times(page, route, i, text);
    add_field_facts(page, field, text);
    sb_text_addf(text, "</dl>\n");
    if (stop->cleanout <= 0)
        sb_text_addf(text, "<p>No cleanout before this move.</p>\n");
    sb_text_addf(text, "<p class=\"gets\">");
    sb_receipt_words(page->season, page->plan, stop->field, sb_html_name, text);
    sb_text_addf(text, "</p>\n");
    add_strip(&stop->trace, text);
    sb_text_addf(text, "<ul class=\"ticks\"><li>Field cut, at ______ h, by ____________</ul>\n"
                       "</article>\n");
}

static void add_way_home(const sb_page *page, size_t r, sb_text *text)
{
    const sb_route *route = &page->plan->routes[r];
    const sb_calendar *calendar = &page->season->setup.calendar;
    open_card(page, r, route->n_stops, text);
    sb_text_addf(text, "<h4>Home to ");
    sb_cleaning_place yard = {page->season->yards[page->season->joins[route->machine].yard].name,
                              true};
    sb_html_name(text, yard.name);
    sb_text_addf(text, "</h4></div>\n<dl class=\"grid\">\n");
    open_fact(text, "Way");
    sb_words_km(text, route->km_home);
    close_fact(text);
    open_fact(text, "Back in the yard");
    sb_words_moment(text, calendar, route->home_h, true);
    close_fact(text);
    open_fact(text, "Back and clean");
    sb_words_moment(text, calendar, route->end_h, true);
    close_fact(text);
    sb_text_addf(text, "</dl>\n");
    if (route->final_cleanout > 0) {
        sb_text_addf(text, "<div class=\"job\"><h5>In the yard: ");
        sb_html_name(text, page->season->setup.cleanouts[route->final_cleanout].name);
        sb_text_addf(text, "</h5>\n<p>The machine's season ends clean.</p>\n");
        sb_html_cleaning(page, route->final_cleanout, yard, route->final_clean_h,
                         &route->final_trace, text);
        sb_text_addf(text, "</div>\n");
    }
    sb_text_addf(text, "</article>\n");
}

/* What the service truck carries for that day's stops, of which stop i is the first: supplies of
 * all their cleanouts. */
static void add_truck(const sb_page *page, size_t r, size_t first, int day, sb_text *text)
{
    const sb_setup *setup = &page->season->setup;
    const sb_route *route = &page->plan->routes[r];
    sb_needs needs = {0};
    sb_status status = SB_OK;
    for (int level = 1; status == SB_OK && level < (int)setup->n_cleanouts; level++) {
        double times = 0;
        for (size_t i = 0; i <= route->n_stops; i++)
            times +=
                sb_page_level(route, i) == level && sb_sheet_day(page->season, route, i) == day;
        status = sb_needs_add(&needs, &setup->cleanouts[level], times);
    }
    if (needs.minutes > 0) {
        sb_text_addf(text, "<div class=\"truck\"><p>For the service truck, cleaning takes ");
        sb_words_minutes(text, needs.minutes);
        if (sb_page_level(route, first) > 0)
            add_day_before(page->season, "begun ", sb_work_begin_h(route, first), day, text);
        sb_text_addf(text, ":</p>");
        sb_html_needs(&needs, text);
        sb_text_addf(text, "</div>\n");
    }
    text->failed |= status != SB_OK;
    sb_needs_release(&needs);
}

/* Ends a day's sheet. What the machine does that evening for a stop of the next sheet stands there,
 * and is named here. */
static void close_day(const sb_page *page, size_t r, size_t next, sb_text *text)
{
    const sb_season *season = page->season;
    const sb_route *route = &page->plan->routes[r];
    const sb_calendar *calendar = &season->setup.calendar;
    int day = sb_sheet_day(season, route, next);
    double begin_h = sb_work_begin_h(route, next);
    if (next < route->n_stops && day != SB_NO_DAY && day_of(season, begin_h) < day) {
        const sb_stop *stop = &route->stops[next];
        sb_text_addf(text, "<p class=\"ahead\">Then, for the sheet of ");
        sb_words_day(text, day);
        sb_text_addf(text, ": ");
        if (stop->cleanout > 0) {
            sb_html_name(text, season->setup.cleanouts[stop->cleanout].name);
            sb_text_addf(text, " from <b>");
            sb_words_moment(text, calendar, stop->clean_h, false);
            sb_text_addf(text, "</b>, ");
        }
        sb_text_addf(text, "drive off <b>");
        sb_words_moment(text, calendar, stop->leave_h, false);
        sb_text_addf(text, "</b> to <a href=\"#s");
        sb_page_key(text, r, next);
        sb_text_addf(text, "\">");
        sb_page_number(text, page, r, next);
        sb_text_addf(text, " ");
        sb_html_name(text, season->fields[stop->field].name);
        sb_text_addf(text, "</a>.</p>\n");
    }
    sb_text_addf(text, "</section>\n");
}

/* The sheet that stop i is the first of. */
static void open_day(const sb_page *page, const sb_route *route, size_t i, int day, sb_text *text)
{
    int begins = day_of(page->season, sb_work_begin_h(route, i));
    if (day == SB_NO_DAY) {
        sb_text_addf(text, "<section class=\"day\"><h3>No date");
    } else {
        sb_text_addf(text, "<section class=\"day\" data-day=\"%d\" data-begins=\"%d\"><h3>", day,
                     begins);
        sb_words_day(text, day);
    }
    sb_text_addf(text, " <small>");
    sb_words_machine(text, page->season, route->machine, sb_html_name);
    sb_text_addf(text, "</small></h3>\n");
}

static void add_route(const sb_page *page, size_t r, sb_text *text)
{
    const sb_route *route = &page->plan->routes[r];
    for (size_t i = 0; route->n_stops > 0 && i <= route->n_stops; i++) {
        int day = sb_sheet_day(page->season, route, i);
        if (i == 0 || day != sb_sheet_day(page->season, route, i - 1)) {
            if (i > 0)
                close_day(page, r, i, text);
            open_day(page, route, i, day, text);
            add_truck(page, r, i, day, text);
        }
        if (i < route->n_stops)
            add_stop(page, r, i, text);
        else
            add_way_home(page, r, text);
    }
    sb_text_addf(text, route->n_stops > 0 ? "</section>\n" : "");
}

sb_status sb_draw_stops(const sb_page *page, sb_text *text)
{
    for (size_t r = 0; r < page->plan->n_routes; r++)
        add_route(page, r, text);
    return text->failed ? SB_ERR_NOMEM : SB_OK;
}
