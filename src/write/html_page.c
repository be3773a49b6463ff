/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheet.html: the crew's sheet, one file that needs nothing else: no scripts, no fetches. */
#include <math.h>

#include "write/html_text.h"
#include "write/sheet.h"
#include "write/why.h"
#include "write/words.h"
#include "write/write.h"

static void add_fact(sb_text *text, const char *what, const sb_text *value)
{
    sb_text_addf(text, "<li><b>%s</b><span>%s</span></li>\n", sb_text_get(value), what);
    text->failed |= value->failed;
}

static double seeds_brought(const sb_plan *plan, size_t *cleanouts, double *km)
{
    double seeds = 0;
    for (size_t r = 0; r < plan->n_routes; r++) {
        const sb_route *route = &plan->routes[r];
        *km += route->km_total;
        *cleanouts += route->final_cleanout > 0;
        for (size_t i = 0; i < route->n_stops; i++) {
            *cleanouts += route->stops[i].cleanout > 0;
            for (int k = 0; k < SB_MAX_WEEDS; k++)
                seeds += route->stops[i].trace.ground[k];
        }
    }
    return seeds;
}

static void add_totals(const sb_sheet *sheet, sb_text *text)
{
    const sb_season *season = sheet->season;
    const sb_cost *cost = &sheet->plan->cost;
    const struct {
        const char *what;
        double money;
    } costs[] = {{"total cost", cost->total},
                 {"travel", cost->travel},
                 {"cleanouts", cost->cleanout},
                 {"spread: expected loss", cost->spread},
                 {"delay", cost->delay}};
    size_t cleanouts = 0;
    double km = 0;
    double seeds = seeds_brought(sheet->plan, &cleanouts, &km);
    sb_text value = {0};
    sb_text_addf(text, "<ul class=\"facts\">\n");
    sb_text_addf(&value, "%zu", season->n_fields);
    add_fact(text, "fields", &value);
    sb_text_clear(&value);
    sb_words_km(&value, km);
    add_fact(text, "on the road, way home included", &value);
    sb_text_clear(&value);
    sb_text_addf(&value, "%zu", cleanouts);
    add_fact(text, "cleanouts", &value);
    sb_text_clear(&value);
    sb_words_seeds(&value, seeds);
    add_fact(text, "weed seeds brought into other fields", &value);
    sb_text_addf(text, "</ul>\n<ul class=\"facts\">\n");
    for (size_t i = 0; i < sizeof costs / sizeof *costs; i++) {
        sb_text_clear(&value);
        sb_words_money(&value, season, costs[i].money);
        add_fact(text, costs[i].what, &value);
    }
    sb_text_addf(text, "</ul>\n");
    text->failed |= value.failed;
    sb_text_release(&value);
}

void sb_html_summary(const sb_sheet *sheet, sb_text *text)
{
    const sb_season *season = sheet->season;
    sb_text_addf(text, "<header><h1>Harvest sheet</h1>\n");
    for (size_t r = 0; r < sheet->plan->n_routes; r++) {
        const sb_route *route = &sheet->plan->routes[r];
        sb_text_addf(text, "<p><b>");
        sb_html_name(text, season->setup.machines[route->machine].name);
        sb_text_addf(text, "</b>, %zu fields", route->n_stops);
        if (route->n_stops > 0) {
            sb_text_addf(text, ", from ");
            sb_words_moment(text, &season->setup.calendar, sb_work_begin_h(season, route, 0),
                            false);
            sb_text_addf(text, " to ");
            sb_words_moment(text, &season->setup.calendar, route->end_h, true);
        }
        sb_text_addf(text, ", yard ");
        sb_html_name(text, season->yards[season->joins[route->machine].yard].name);
        sb_text_addf(text, "</p>\n");
    }
    add_totals(sheet, text);
    sb_text_addf(text, "<p class=\"soft\">");
    sb_text proof = {0};
    sb_proof_words(season, sheet->plan, &proof);
    sb_html_escape(text, sb_text_get(&proof));
    text->failed |= proof.failed;
    sb_text_release(&proof);
    sb_text_addf(text, "</p></header>\n");
}

void sb_html_assumptions(const sb_sheet *sheet, sb_text *text)
{
    const sb_season *season = sheet->season;
    sb_text_addf(text, "<p>Seeds and money are computed from these; where one is wrong for your "
                       "season, say so in the season file.</p>\n<ul class=\"assumed\">\n");
    for (size_t i = 0; i < season->assumptions.count; i++) {
        sb_text_addf(text, "<li>");
        sb_html_name(text, season->assumptions.items[i].text);
        sb_text_addf(text, " <span class=\"soft\">");
        sb_html_name(text, season->assumptions.items[i].source);
        sb_text_addf(text, "</span></li>\n");
    }
    sb_text_addf(text, "</ul>\n");
}

static void add_head(sb_text *text)
{
    sb_text_addf(text, "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\n"
                       "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                       "style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n"
                       "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                       "<meta name=\"color-scheme\" content=\"light dark\">\n"
                       "<title>Harvest sheet</title>\n<style>\n");
    for (size_t i = 0; sb_sheet_style[i] != NULL; i++)
        sb_text_addf(text, "%s", sb_sheet_style[i]);
    sb_html_ledger_style(text);
    sb_text_addf(text, "</style></head>\n<body>\n");
}

static void open_machine(const sb_sheet *sheet, size_t r, const char *heading,
                         const char *class_name, sb_text *text)
{
    sb_text_addf(text, "<h2%s>%s", class_name, heading);
    if (sheet->plan->n_routes > 1) {
        sb_text_addf(text, ": ");
        sb_html_name(text, sheet->season->setup.machines[sheet->plan->routes[r].machine].name);
    }
    sb_text_addf(text, "</h2>\n");
}

sb_status sb_render_sheet_html(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    sb_sheet sheet = {.season = season, .plan = plan};
    for (int k = 0; k < (int)season->setup.n_weeds; k++)
        if (sb_weed_in_play(season, k))
            sheet.weeds[sheet.n_weeds++] = k;
    sb_status status = SB_OK;
    add_head(text);
    sb_svg_textures(&sheet, text);
    sb_text_addf(text, "<main><section class=\"wide\">\n");
    sb_html_summary(&sheet, text);
    for (size_t r = 0; status == SB_OK && r < plan->n_routes; r++) {
        open_machine(&sheet, r, "The season ribbon", "", text);
        status = sb_svg_ribbon(&sheet, r, text);
    }
    sb_text_addf(text, "</section><section class=\"wide page\"><h2>The map</h2>\n");
    sb_svg_map(&sheet, text);
    sb_text_addf(text, "</section>\n");
    for (size_t r = 0; r < plan->n_routes; r++) {
        open_machine(&sheet, r, "The stops, day by day", " class=\"list\"", text);
        sb_html_stops(&sheet, r, text);
    }
    sb_text_addf(text, "<section class=\"page\"><h2>Cleanouts and supplies</h2>\n");
    sb_html_supplies(&sheet, text);
    sb_text_addf(text, "<h2>Who gives what to whom</h2>\n");
    sb_html_ledger(&sheet, text);
    sb_text_addf(text, "<h2>What was assumed</h2>\n");
    sb_html_assumptions(&sheet, text);
    sb_text_addf(text, "</section></main></body></html>\n");
    return status != SB_OK ? status : text->failed ? SB_ERR_NOMEM : SB_OK;
}
