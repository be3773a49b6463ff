/* SPDX-License-Identifier: GPL-3.0-or-later */
/* season.html: one file that needs nothing else and fetches nothing. Style and script are files of
 * their own in page/, built into the library; the page allows these two by their digests and no
 * others. Without scripts everything is there, only not linked. */
#include <string.h>

#include "write/by_hand.h"
#include "write/deflated.h"
#include "write/doubt_out.h"
#include "write/html_text.h"
#include "write/html_trade.h"
#include "write/lessons.h"
#include "write/page.h"
#include "write/trade.h"
#include "write/warnings.h"
#include "write/why.h"
#include "write/words.h"
#include "write/write.h"

/* Made from page/ by the build. */
extern const char sb_page_style[], sb_page_style_sha256[];
extern const char sb_page_script[], sb_page_script_sha256[];

void sb_html_assumptions(const sb_page *page, sb_text *text)
{
    const sb_season *season = page->season;
    sb_text_addf(text, "<p>Seeds and money are computed from these; where one is wrong for your "
                       "season, say so in the season file.</p>\n<ul class=\"assumed\">\n");
    for (size_t i = 0; i < season->assumptions.count; i++) {
        sb_text_addf(text, "<li>");
        sb_html_name(text, season->assumptions.items[i].text);
        sb_text_addf(text, " <span>");
        sb_html_name(text, season->assumptions.items[i].source);
        sb_text_addf(text, "</span></li>\n");
    }
    sb_text_addf(text, "</ul>\n");
}

/* Whoever gets the page alone learns here what was said on the screen when it was made. */
static void add_warnings(const sb_report *warnings, sb_text *text)
{
    if (sb_report_count(warnings) == 0)
        return;
    sb_text_addf(text, "<section id=\"doubtful\"><h2>What is doubtful</h2>\n<p>Said of the files, "
                       "and of the plan, when this page was made.</p>\n<ul class=\"assumed\">\n");
    for (size_t i = 0; i < sb_report_count(warnings); i++) {
        sb_message message = sb_report_get(warnings, i);
        sb_text_addf(text, "<li>");
        sb_html_name(text, message.text);
        if (message.file != NULL) {
            const char *slash = strrchr(message.file, '/');
            sb_text_addf(text, " <span>");
            sb_html_name(text, slash != NULL ? slash + 1 : message.file);
            if (message.line > 0)
                sb_text_addf(text, ", line %zu", message.line);
            sb_text_addf(text, "</span>");
        }
        sb_text_addf(text, "</li>\n");
    }
    sb_text_addf(text, "</ul>\n</section>\n");
}

/* How many there are, where everybody begins to read. */
static void point_to_warnings(const sb_report *warnings, size_t broken, sb_text *text)
{
    size_t doubtful = sb_report_count(warnings);
    if (doubtful == 0)
        return;
    sb_text_addf(text, "<p>");
    if (broken > 0)
        sb_text_addf(text, "<b>This plan breaks %zu rule%s.</b> ", broken, broken == 1 ? "" : "s");
    sb_text_addf(text,
                 "<a href=\"#doubtful\">%zu warning%s</a> to read before you rely on it.</p>\n",
                 doubtful, doubtful == 1 ? "" : "s");
}

static void add_head(sb_text *text)
{
    sb_text_addf(
        text,
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
        "style-src 'sha256-%s'; script-src 'sha256-%s' 'wasm-unsafe-eval'; base-uri 'none'; "
        "form-action 'none'\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<meta name=\"color-scheme\" content=\"light dark\">\n"
        "<title>Harvest season</title>\n<style>",
        sb_page_style_sha256, sb_page_script_sha256);
    sb_text_addf(text, "%s</style></head>\n<body>\n", sb_page_style);
}

static void add_machines(const sb_page *page, sb_text *text)
{
    const sb_season *season = page->season;
    for (size_t r = 0; r < page->plan->n_routes; r++) {
        const sb_route *route = &page->plan->routes[r];
        sb_text_addf(text, "<p class=\"machine\"><b>");
        sb_words_machine(text, season, route->machine, sb_html_name);
        sb_text_addf(text, "</b>, %zu field%s, from ", route->n_stops,
                     route->n_stops == 1 ? "" : "s");
        sb_html_name(text, season->yards[season->joins[route->machine].start].name);
        if (route->n_stops > 0) {
            sb_text_addf(text, ": <span class=\"nobreak\">");
            sb_words_moment(text, &season->setup.calendar, sb_work_begin_h(route, 0), false);
            sb_text_addf(text, "</span> to <span class=\"nobreak\">");
            sb_words_moment(text, &season->setup.calendar, route->end_h, true);
            sb_text_addf(text, "</span>");
        } else if (sb_route_moves(season, route)) {
            sb_text_addf(text, ": home and clean <span class=\"nobreak\">");
            sb_words_moment(text, &season->setup.calendar, route->end_h, true);
            sb_text_addf(text, "</span>");
        } else {
            sb_text_addf(text, ", where it stays");
        }
        sb_text_addf(text, "</p>\n");
    }
}

/* Which weed the pictures show. Hidden until the script wakes up: without it all are shown. */
static void add_weed_choice(const sb_page *page, sb_text *text)
{
    if (page->n_weeds < 2)
        return;
    sb_text_addf(text, "<fieldset class=\"choice\" id=\"choice\" hidden><legend>Show</legend>"
                       "<label><input type=\"radio\" name=\"weed\" value=\"all\" checked> all "
                       "weeds</label>");
    for (int i = 0; i < page->n_weeds; i++) {
        sb_text_addf(text, "<label><input type=\"radio\" name=\"weed\" value=\"%d\"> ",
                     page->weeds[i]);
        sb_html_name(text, page->season->setup.weeds[page->weeds[i]].name);
        sb_text_addf(text, "</label>");
    }
    sb_text_addf(text, "</fieldset>\n");
}

static void add_top(const sb_page *page, sb_text *text)
{
    static const struct {
        const char *id, *word;
    } links[] = {{"ribbon", "Ribbon"},     {"map", "Map"},        {"stops", "Stops"},
                 {"board", "Board"},       {"load", "Load"},      {"matrix", "Who gives to whom"},
                 {"supplies", "Supplies"}, {"assumed", "Assumed"}};
    sb_text_addf(text, "<header><h1>Harvest season</h1>\n");
    add_machines(page, text);
    sb_text_addf(text, "<p id=\"today\" hidden></p>\n<nav aria-label=\"Parts of this page\">");
    for (size_t i = 0; i < sizeof links / sizeof *links; i++)
        sb_text_addf(text, "<a href=\"#%s\">%s</a>", links[i].id, links[i].word);
    if (page->curve != NULL)
        sb_text_addf(text, "<a href=\"#trade\">What cleaning buys</a>");
    if (page->season->lessons.samples > 0)
        sb_text_addf(text, "<a href=\"#learned\">Learned</a>");
    sb_text_addf(text, "<a href=\"#by-hand\" id=\"to-by-hand\" hidden>Try by hand</a></nav>\n<p "
                       "class=\"actions\" id=\"actions\" hidden><button type=\"button\" "
                       "id=\"print-crew\">Print the crew's sheets</button> <button "
                       "type=\"button\" id=\"print-all\">Print everything</button></p>\n"
                       "</header>\n");
}

static sb_status draw_part(const sb_page *page, const char *id, sb_text *text)
{
    for (size_t i = 0; i < sb_n_page_parts; i++)
        if (strcmp(sb_page_parts[i].id, id) == 0)
            return sb_page_parts[i].draw(page, text);
    return SB_ERR_INTERNAL;
}

static sb_status add_part(const sb_page *page, const char *id, sb_text *text)
{
    sb_text_addf(text, "<div class=\"part\" id=\"part-%s\">", id);
    sb_status status = draw_part(page, id, text);
    sb_text_addf(text, "</div>\n");
    return status;
}

/* What the crew can do without is packed, and unpacked by the script: a season of many fields stays
 * small enough to send. */
static sb_status add_packed_part(const sb_page *page, const char *id, sb_text *text)
{
    sb_text part = {0};
    sb_status status = draw_part(page, id, &part);
    sb_text_addf(text, "<div class=\"part\" id=\"part-%s\" data-packed=\"", id);
    if (status == SB_OK)
        status = sb_add_deflated(&part, text);
    sb_text_addf(text, "\"><noscript><p>This picture needs a browser that runs the page's script."
                       "</p></noscript></div>\n");
    sb_text_release(&part);
    return status;
}

/* The parts in their order, each under its heading; what is tried by hand stands below the ribbon,
 * which shows it. */
static sb_status add_sections(const sb_page *page, bool by_hand, sb_text *text)
{
    static const struct {
        const char *id, *heading, *class_name;
        sb_status (*add)(const sb_page *page, const char *id, sb_text *text);
    } sections[] = {{"ribbon", "The season ribbon", "wide", add_part},
                    {"map", "The map", "wide page", add_part},
                    {"stops", "The stops, day by day", "crew", add_part},
                    {"board", "The board, day by day", "wide page", add_packed_part},
                    {"load", "Load through the season", "wide page", add_packed_part},
                    {"matrix", "Who gives what to whom", "wide page", add_packed_part},
                    {"supplies", "Cleanouts and supplies", "page", add_part}};
    sb_status status = SB_OK;
    for (size_t i = 0; status == SB_OK && i < sizeof sections / sizeof *sections; i++) {
        sb_text_addf(text, "<section class=\"%s\" id=\"%s\"><h2>%s</h2>\n", sections[i].class_name,
                     sections[i].id, sections[i].heading);
        status = sections[i].add(page, sections[i].id, text);
        sb_text_addf(text, "</section>\n");
        if (i == 0 && by_hand)
            sb_by_hand_section(text);
        if (i == 0 && page->curve != NULL)
            sb_html_trade(page, text);
    }
    return status;
}

static sb_status add_body(const sb_page *page, sb_text *text)
{
    sb_report *warnings;
    size_t broken;
    sb_status status = sb_warnings_collect(page->season, page->plan, &warnings, &broken);
    if (status != SB_OK)
        return status;
    bool by_hand = sb_by_hand_possible(page);
    sb_svg_textures(page, text);
    add_top(page, text);
    sb_text_addf(text, "<main>\n");
    status = add_part(page, "totals", text);
    point_to_warnings(warnings, broken, text);
    add_weed_choice(page, text);
    if (status == SB_OK)
        status = add_sections(page, by_hand, text);
    sb_html_lessons(page->season, text);
    add_warnings(warnings, text);
    sb_report_free(warnings);
    sb_text_addf(text, "<section id=\"assumed\"><h2>What was assumed</h2>\n");
    sb_html_assumptions(page, text);
    sb_text_addf(text,
                 "</section></main>\n<aside id=\"tell\" aria-live=\"polite\" hidden></aside>\n");
    if (by_hand && status == SB_OK)
        status = sb_by_hand_data(page, text);
    sb_text_addf(text, "<script>%s</script>\n</body></html>\n", sb_page_script);
    return status;
}

static sb_status render(const sb_season *season, const sb_plan *plan, const sb_curve *curve,
                        const sb_load_band *band, sb_text *text)
{
    sb_page page;
    sb_status status = sb_page_init(&page, season, plan);
    if (status != SB_OK)
        return status;
    page.curve = curve;
    page.band = band;
    add_head(text);
    status = add_body(&page, text);
    sb_page_release(&page);
    return status != SB_OK ? status : text->failed ? SB_ERR_NOMEM : SB_OK;
}

sb_status sb_render_season_html(const sb_season *season, const sb_plan *plan, sb_text *text)
{
    return render(season, plan, NULL, NULL, text);
}

sb_status sb_render_banded_html(const sb_season *season, const sb_plan *plan,
                                const sb_load_band *band, sb_text *text)
{
    sb_plan *copy = NULL;
    const sb_plan *explained;
    sb_status status = sb_plan_explained(season, plan, SB_EXPLAIN_SOME, &copy, &explained);
    if (status == SB_OK)
        status = render(season, explained, NULL, band, text);
    sb_plan_free(copy);
    return status;
}

sb_status sb_render_curve_html(const sb_season *season, const sb_curve *curve, sb_text *text)
{
    sb_plan *copy = NULL;
    const sb_plan *explained;
    sb_status status = sb_plan_explained(season, curve->points.items[curve->best].plan,
                                         SB_EXPLAIN_SOME, &copy, &explained);
    if (status == SB_OK)
        status = render(season, explained, curve, NULL, text);
    sb_plan_free(copy);
    return status;
}
