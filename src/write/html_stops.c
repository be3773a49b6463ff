/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The crew's list: a section for every day, a card for every stop, the way home at the end. */
#include <math.h>

#include "write/html_text.h"
#include "write/receipts.h"
#include "write/sheet.h"
#include "write/why.h"
#include "write/words.h"

double sb_work_begin_h(const sb_season *season, const sb_route *route, size_t i)
{
    bool home = i == route->n_stops;
    int level = home ? -1 : route->stops[i].cleanout;
    double hours;
    if (i > 0 && (home || level > 0))
        hours = route->stops[i - 1].finish_h;
    else if (level > 0)
        hours = route->stops[i].leave_h - season->setup.cleanouts[level].minutes / 60;
    else
        hours = home ? route->home_h : route->stops[i].leave_h;
    return isfinite(hours) ? fmax(hours, 0) : INFINITY;
}

int sb_work_day(const sb_season *season, const sb_route *route, size_t i)
{
    double hours = sb_work_begin_h(season, route, i);
    return isfinite(hours) ? sb_calendar_day(&season->setup.calendar, hours, false) : SB_NO_DAY;
}

static const char *place_before(const sb_season *season, const sb_route *route, size_t i)
{
    return i > 0 ? season->fields[route->stops[i - 1].field].name
                 : season->yards[season->joins[route->machine].yard].name;
}

static void open_fact(sb_text *text, const char *what)
{
    sb_text_addf(text, "<div><dt>%s</dt><dd>", what);
}

static void close_fact(sb_text *text)
{
    sb_text_addf(text, "</dd></div>\n");
}

static void add_times(const sb_sheet *sheet, const sb_route *route, size_t i, sb_text *text)
{
    const sb_stop *stop = &route->stops[i];
    const sb_calendar *calendar = &sheet->season->setup.calendar;
    open_fact(text, "Drive off");
    sb_words_moment(text, calendar, stop->leave_h, false);
    close_fact(text);
    open_fact(text, "Way");
    sb_words_km(text, stop->km);
    sb_text_addf(text, " from ");
    sb_html_name(text, place_before(sheet->season, route, i));
    close_fact(text);
    open_fact(text, "Cutting starts");
    sb_words_moment(text, calendar, stop->arrive_h, false);
    int ripe = sb_days_ripe(sheet->season, stop);
    if (ripe > 0)
        sb_text_addf(text, ", ripe for %d day%s", ripe, ripe == 1 ? "" : "s");
    close_fact(text);
    open_fact(text, "Done");
    sb_words_moment(text, calendar, stop->finish_h, true);
    close_fact(text);
}

static void add_field_facts(const sb_sheet *sheet, const sb_field *field, sb_text *text)
{
    const sb_season *season = sheet->season;
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
    for (int i = 0; i < sheet->n_weeds; i++) {
        const sb_rating *rating = &field->ratings[sheet->weeds[i]];
        if (rating->source == SB_RATING_NONE)
            continue;
        sb_text_addf(text, any ? ", " : "");
        sb_html_name(text, season->setup.weeds[sheet->weeds[i]].name);
        sb_text_addf(text, "&nbsp;");
        sb_html_name(text, season->setup.scale.labels[rating->class_index]);
        any = true;
    }
    sb_text_addf(text, any ? "" : "none: taken as clean");
    close_fact(text);
}

static void add_job_of_stop(const sb_sheet *sheet, const sb_route *route, size_t i, sb_text *text)
{
    const sb_stop *stop = &route->stops[i];
    const sb_cleanout *level = &sheet->season->setup.cleanouts[stop->cleanout];
    sb_text_addf(text, "<div class=\"job\"><h4>Before leaving ");
    sb_html_name(text, place_before(sheet->season, route, i));
    sb_text_addf(text, ": ");
    sb_html_name(text, level->name);
    sb_text_addf(text, "</h4>\n<p>Why here: ");
    sb_why(sheet->season, route, i, sb_html_name, text);
    sb_text_addf(text, "</p>\n");
    sb_html_cleaning(sheet, stop->cleanout, sb_work_begin_h(sheet->season, route, i), &stop->trace,
                     text);
    sb_text_addf(text, "</div>\n");
}

/* Where to look next spring. */
static void add_strip(const sb_stop_trace *trace, sb_text *text)
{
    if (!(trace->strip90_m > 0))
        return;
    sb_text_addf(text, "<p>Scout next spring from the gate along the first swath: half of the "
                       "loose seeds lie in the first ");
    sb_words_metres(text, trace->strip50_m);
    sb_text_addf(text, ", 90 %% in the first ");
    sb_words_metres(text, trace->strip90_m);
    sb_text_addf(text, ".</p>\n");
}

static void add_stop(const sb_sheet *sheet, size_t r, size_t i, sb_text *text)
{
    const sb_route *route = &sheet->plan->routes[r];
    const sb_stop *stop = &route->stops[i];
    const sb_field *field = &sheet->season->fields[stop->field];
    sb_text_addf(text,
                 "<article class=\"stop\" id=\"s%zu-%zu\"><div class=\"title\"><b>%zu</b><h4>",
                 r + 1, i + 1, i + 1);
    sb_html_name(text, field->name);
    sb_text_addf(text, "</h4></div>\n");
    if (stop->cleanout > 0)
        add_job_of_stop(sheet, route, i, text);
    sb_text_addf(text, "<dl class=\"grid\">\n");
    add_times(sheet, route, i, text);
    add_field_facts(sheet, field, text);
    sb_text_addf(text, "</dl>\n");
    if (stop->cleanout <= 0)
        sb_text_addf(text, "<p>No cleanout before this move.</p>\n");
    sb_text_addf(text, "<p>");
    sb_receipt_words(sheet->season, sheet->plan, stop->field, sb_html_name, text);
    sb_text_addf(text, "</p>\n");
    add_strip(&stop->trace, text);
    sb_text_addf(text, "<ul class=\"ticks\"><li>Field cut, at ______ h, by ____________</li></ul>\n"
                       "</article>\n");
}

static void add_way_home(const sb_sheet *sheet, size_t r, sb_text *text)
{
    const sb_route *route = &sheet->plan->routes[r];
    const sb_calendar *calendar = &sheet->season->setup.calendar;
    sb_text_addf(text, "<article class=\"stop\" id=\"s%zu-%zu\"><div class=\"title\"><h4>Home to ",
                 r + 1, route->n_stops + 1);
    sb_html_name(text, sheet->season->yards[sheet->season->joins[route->machine].yard].name);
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
        sb_text_addf(text, "<div class=\"job\"><h4>In the yard: ");
        sb_html_name(text, sheet->season->setup.cleanouts[route->final_cleanout].name);
        sb_text_addf(text, "</h4>\n<p>The machine's season ends clean.</p>\n");
        sb_html_cleaning(sheet, route->final_cleanout, route->home_h, &route->final_trace, text);
        sb_text_addf(text, "</div>\n");
    }
    sb_text_addf(text, "</article>\n");
}

static void open_day(const sb_sheet *sheet, const sb_route *route, int day, sb_text *text)
{
    sb_text_addf(text, "<section class=\"day\"><h3>");
    if (day == SB_NO_DAY)
        sb_text_addf(text, "No date");
    else
        sb_words_day(text, day);
    sb_text_addf(text, " <small>");
    sb_html_name(text, sheet->season->setup.machines[route->machine].name);
    sb_text_addf(text, "</small></h3>\n");
}

void sb_html_stops(const sb_sheet *sheet, size_t r, sb_text *text)
{
    const sb_route *route = &sheet->plan->routes[r];
    for (size_t i = 0; i <= route->n_stops; i++) {
        int day = sb_work_day(sheet->season, route, i);
        if (i == 0 || day != sb_work_day(sheet->season, route, i - 1)) {
            sb_text_addf(text, i > 0 ? "</section>\n" : "");
            open_day(sheet, route, day, text);
        }
        if (i < route->n_stops)
            add_stop(sheet, r, i, text);
        else
            add_way_home(sheet, r, text);
    }
    sb_text_addf(text, "</section>\n");
}
