/* SPDX-License-Identifier: GPL-3.0-or-later */
/* season.html: well-formed, self-contained, harmless whatever names say, and complete. */
#define _POSIX_C_SOURCE 200809L
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <libxml/HTMLparser.h>
#include <libxml/xpath.h>

#include "base/mem.h"
#include "machines.h"
#include "plan/load_curve.h"
#include "plans.h"
#include "seasons.h"
#include "write/cautions.h"
#include "write/first_pass.h"
#include "write/map_ways.h"
#include "write/page.h"
#include "write/palette.h"
#include "write/receipts.h"
#include "write/words.h"
#include "write/write.h"

typedef struct document {
    sb_text text;
    htmlDocPtr doc;
    xmlXPathContextPtr context;
} document;

/* libxml2's HTML parser is older than <svg> and <section>: their names are all it may object to. */
static void count_errors(void *context, xmlErrorPtr error)
{
    if (error->code != XML_HTML_UNKNOWN_TAG) {
        print_error("line %d: %s", error->line, error->message);
        ++*(int *)context;
    }
}

static document read_html(document p)
{
    int errors = 0;
    xmlSetStructuredErrorFunc(&errors, count_errors);
    p.doc = htmlReadMemory(p.text.bytes, (int)p.text.count, NULL, "UTF-8", HTML_PARSE_NONET);
    xmlSetStructuredErrorFunc(NULL, NULL);
    assert_non_null(p.doc);
    assert_int_equal(errors, 0);
    p.context = xmlXPathNewContext(p.doc);
    return p;
}

static document rendered(const sb_season *season, const sb_plan *plan)
{
    document p = {0};
    assert_int_equal(sb_render_season_html(season, plan, &p.text), SB_OK);
    return read_html(p);
}

/* One part of the page by itself: those that travel packed are read so. */
static document part_of(const sb_season *season, const sb_plan *plan,
                        sb_status (*draw)(const sb_page *page, sb_text *text))
{
    document p = {0};
    sb_page page;
    assert_int_equal(sb_page_init(&page, season, plan), SB_OK);
    sb_text_addf(&p.text, "<!DOCTYPE html>\n<title>Part</title>");
    assert_int_equal(draw(&page, &p.text), SB_OK);
    sb_page_release(&page);
    return read_html(p);
}

static void release(document *p)
{
    xmlXPathFreeContext(p->context);
    xmlFreeDoc(p->doc);
    sb_text_release(&p->text);
}

static int count(const document *p, const char *expression)
{
    xmlXPathObjectPtr found = xmlXPathEvalExpression(BAD_CAST expression, p->context);
    assert_non_null(found);
    int n = found->nodesetval != NULL ? found->nodesetval->nodeNr : 0;
    xmlXPathFreeObject(found);
    return n;
}

static sb_season *shaped_season(size_t n_fields)
{
    support_options options = support_every_rule();
    options.missing_ways = false;
    sb_season *season = support_random_season(6, n_fields, &options);
    support_add_shapes(season);
    return season;
}

static const char *const hostile[] = {
    "<script>alert(1)</script>",
    "\" onload=\"alert(1)",
    "' onmouseover='alert(1)",
    "</title></svg><img src=x onerror=alert(1)>",
    "]]>--><!-- &amp; &lt;script&gt;",
    "</style><script>alert(1)</script>",
    "\xE2\x80\xAE"
    "gnp.exe \xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D",
    "javascript:alert(1)",
};
#define N_HOSTILE (sizeof hostile / sizeof *hostile)

static void replace(char **text, const char *with)
{
    sb_free(*text);
    *text = sb_strdup(with);
}

static void give_supply(sb_cleanout *cleanout, const char *name, const char *unit, double amount)
{
    cleanout->counted =
        sb_resize(cleanout->counted, cleanout->n_counted + 1, sizeof *cleanout->counted);
    assert_non_null(cleanout->counted);
    cleanout->counted[cleanout->n_counted++] =
        (sb_supply){sb_strdup(name), sb_strdup(unit), amount};
}

/* Every word that a file may bring. */
static void make_hostile(sb_season *season, const char *name)
{
    for (size_t f = 0; f < season->n_fields; f++)
        support_name_field(season, f, name);
    replace(&season->growers[0], name);
    replace(&season->yards[0].name, name);
    replace(&season->setup.currency, name);
    replace(&season->setup.machines[0].name, name);
    replace(&season->setup.machines[0].sections[0].name, name);
    replace(&season->setup.scale.labels[0], name);
    replace(&season->setup.scale.labels[3], name);
    replace(&season->setup.weeds[0].name, name);
    replace(&season->setup.crops[0].name, name);
    replace(&season->setup.cleanouts[1].name, name);
    replace(&season->setup.cleanouts[1].supplies, name);
    give_supply(&season->setup.cleanouts[1], name, name, 2);
    replace(&season->setup.cleanouts[1].steps[0].text, name);
}

static void hostile_words_do_no_harm(void **state)
{
    (void)state;
    for (size_t i = 0; i < N_HOSTILE; i++) {
        sb_season *season = shaped_season(5);
        make_hostile(season, hostile[i]);
        sb_plan *plan = support_plan(season);
        document p = rendered(season, plan);
        /* One script, ours, at the end; what else stands in script elements is data. */
        assert_int_equal(count(&p, "//script[not(@type='text/plain')]"), 1);
        assert_int_equal(count(&p, "/html/body/script[not(@type)][not(following::*)]"), 1);
        assert_int_equal(count(&p, "//img | //iframe | //object | //link | //embed | //comment()"),
                         0);
        assert_int_equal(count(&p, "//@*[starts-with(name(), 'on')] | //@style | //@src"), 0);
        assert_int_equal(count(&p, "//@href[not(starts-with(., '#'))]"), 0);
        assert_int_equal(count(&p, "//article"), 6);
        /* The name is there, as it was given. */
        xmlXPathObjectPtr found =
            xmlXPathEvalExpression(BAD_CAST "//article[@id='s1-1']//h4", p.context);
        xmlChar *name = xmlXPathCastToString(found);
        assert_string_equal(name, hostile[i]);
        xmlFree(name);
        xmlXPathFreeObject(found);
        release(&p);
        sb_plan_free(plan);
        sb_season_free(season);
    }
}

static void names_of_200_characters_are_kept_whole_in_the_list(void **state)
{
    (void)state;
    char name[201];
    memset(name, 'W', sizeof name - 1);
    name[200] = '\0';
    sb_season *season = shaped_season(4);
    support_name_field(season, 2, name);
    sb_plan *plan = support_plan(season);
    document p = rendered(season, plan);
    char expression[300];
    snprintf(expression, sizeof expression, "//article[@id='s1-3']//h4[. = '%s']", name);
    assert_int_equal(count(&p, expression), 1);
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void the_page_fetches_and_runs_nothing(void **state)
{
    (void)state;
    sb_season *season = shaped_season(6);
    sb_plan *plan = support_plan(season);
    document p = rendered(season, plan);
    assert_int_equal(
        count(&p, "//meta[@http-equiv='Content-Security-Policy'][starts-with(@content, "
                  "\"default-src 'none'; style-src 'sha256-\")][contains(@content, \"; script-src "
                  "'sha256-\")][not(contains(@content, 'unsafe-inline'))]"),
        1);
    /* "<" begins a tag and nothing else: browsers forgive "<0.1", readers of the page need not. */
    const char *script = strstr(p.text.bytes, "<script>");
    assert_non_null(script);
    for (const char *at = p.text.bytes; (at = strchr(at, '<')) != NULL && at < script; at++)
        assert_true(at[1] == '/' || at[1] == '!' || (at[1] >= 'a' && at[1] <= 'z'));
    assert_null(strstr(p.text.bytes, "http://"));
    assert_null(strstr(p.text.bytes, "https://"));
    assert_null(strstr(p.text.bytes, "@import"));
    for (const char *at = p.text.bytes; (at = strstr(at, "url(")) != NULL; at++)
        assert_true(at[4] == '#');
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void every_link_and_texture_has_its_target_and_ids_are_unique(void **state)
{
    (void)state;
    sb_season *season = shaped_season(8);
    sb_plan *plan = support_plan(season);
    document p = rendered(season, plan);
    assert_int_equal(count(&p, "//@href[not(substring(., 2) = //@id)][. != '#by-hand']"), 0);
    assert_int_equal(count(&p, "//@fill[starts-with(., 'url(#')][not(substring-before(substring("
                               "., 6), ')') = //@id)]"),
                     0);
    assert_int_equal(count(&p, "//*[@id][@id = preceding::*/@id or @id = ancestor::*/@id]"), 0);
    assert_int_equal(count(&p, "//svg[@role][not(@aria-labelledby)]"), 0);
    assert_int_equal(count(&p, "//table[not(caption)]"), 0);
    assert_int_equal(count(&p, "//th[not(@scope)]"), 0);
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void every_cleaning_job_has_its_cautions_and_its_steps(void **state)
{
    (void)state;
    sb_season *season = shaped_season(8);
    sb_plan *plan = support_plan(season);
    plan->routes[0].final_cleanout = 3;
    document p = rendered(season, plan);
    int jobs = 1;
    size_t steps = season->setup.cleanouts[3].n_steps;
    for (size_t i = 0; i < plan->routes[0].n_stops; i++) {
        int level = plan->routes[0].stops[i].cleanout;
        jobs += level > 0;
        steps += season->setup.cleanouts[level].n_steps;
    }
    assert_true(jobs > 3);
    assert_int_equal(count(&p, "//*[@class='job']"), jobs);
    assert_int_equal(count(&p, "//*[@class='job']//*[@class='care']"), jobs);
    /* Three more boxes to tick a job: where to park, the debris, and the second person. */
    assert_int_equal(count(&p, "//*[@class='job']//*[@class='ticks']/li"), (int)steps + 3 * jobs);
    int in_yard = plan->routes[0].stops[0].cleanout > 0 ? 2 : 1;
    assert_int_equal(count(&p, "//li[contains(., 'done in the yard, Shop')]"), in_yard);
    assert_int_equal(count(&p, "//li[contains(., 'Park in the field just cut, Field ')]"),
                     jobs - in_yard);
    for (size_t i = 0; i < sb_n_cautions; i++) {
        char expression[300];
        snprintf(expression, sizeof expression, "//*[@class='care'][contains(., \"%s\")]",
                 sb_cautions[i]);
        assert_int_equal(count(&p, expression), jobs);
    }
    assert_int_equal(count(&p, "//*[@class='job'][contains(., 'Expected on the tarp')]"), jobs);
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* What the crew must be told beside a cleaning job; the sources stand in cautions.c. */
static void expect_text(const document *p, const char *expression, const char *expected)
{
    xmlXPathObjectPtr found = xmlXPathEvalExpression(BAD_CAST expression, p->context);
    xmlChar *text = xmlXPathCastToString(found);
    assert_string_equal(text, expected);
    xmlFree(text);
    xmlXPathFreeObject(found);
}

/* Levels 1, 2, 3, none, 1 and 2 before the stops, and none at the end: two blow-downs with 2 bags
 * and half a bale, two thorough cleans with 3 bags, one deep clean with 3 bales. */
static void supplies_of_the_season_are_added_up_by_name_and_unit(void **state)
{
    (void)state;
    sb_season *season = shaped_season(6);
    sb_cleanout *levels = season->setup.cleanouts;
    for (size_t l = 1; l <= 3; l++) {
        sb_cleanout_drop_counted(&levels[l]);
        replace(&levels[l].supplies, l == 3 ? "" : "a <brush>");
    }
    give_supply(&levels[1], "bags", "", 2);
    give_supply(&levels[1], "straw", "bales", .5);
    give_supply(&levels[2], "bags", "", 3);
    give_supply(&levels[3], "straw", "bales", 3);
    give_supply(&levels[3], "straw", "kg", 7);
    sb_plan *plan = support_plan(season);
    for (size_t i = 0; i < 6; i++)
        plan->routes[0].stops[i].cleanout = (int)((i + 1) % 4);
    plan->routes[0].final_cleanout = -1;
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    document p = part_of(season, plan, sb_draw_supplies);
    assert_int_equal(count(&p, "//ul[@class='ticks']/li"), 4);
    expect_text(&p, "normalize-space(//ul/li[1])", "10 bags");
    expect_text(&p, "normalize-space(//ul/li[2])", "4 bales of straw");
    expect_text(&p, "normalize-space(//ul/li[3])", "7 kg of straw");
    expect_text(&p, "normalize-space(//ul/li[4])", "4 x a <brush>");
    expect_text(&p, "string(//tbody/tr[1]/td[4])", "2 bags, 0.5 bales of straw, a <brush>");
    expect_text(&p, "string(//tbody/tr[3]/td[4])", "3 bales of straw, 7 kg of straw");
    expect_text(&p, "string(//tfoot/tr/td[1])", "5");
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void the_cautions_name_every_danger(void **state)
{
    (void)state;
    static const char *const words[] = {"Engine off",
                                        "key out",
                                        "safety lock",
                                        "blocked",
                                        "Lock-out",
                                        "rock trap",
                                        "tank",
                                        "15 m (50 ft)",
                                        "N95",
                                        "P100",
                                        "eye and ear",
                                        "gloves",
                                        "loose",
                                        "Two people",
                                        "cool",
                                        "extinguishers",
                                        "away from the crop",
                                        "Shields"};
    sb_text all = {0};
    for (size_t i = 0; i < sb_n_cautions; i++)
        sb_text_addf(&all, "%s\n", sb_cautions[i]);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strstr(all.bytes, words[i]) == NULL)
            fail_msg("no caution says '%s'", words[i]);
    sb_text_release(&all);
    assert_non_null(strstr(sb_caution_first, "manual"));
    assert_non_null(strstr(sb_step_caution("tank"), "while the auger can run"));
    assert_non_null(strstr(sb_step_caution("header"), "blocked"));
    assert_null(sb_step_caution("no such section"));
}

/* The value of an attribute of the first element that an expression finds. */
static void attribute(const document *p, const char *expression, char *out, size_t size)
{
    xmlXPathObjectPtr found = xmlXPathEvalExpression(BAD_CAST expression, p->context);
    assert_non_null(found);
    xmlChar *value = xmlXPathCastToString(found);
    snprintf(out, size, "%s", (const char *)value);
    xmlFree(value);
    xmlXPathFreeObject(found);
}

static void the_matrix_holds_the_ledger(void **state)
{
    (void)state;
    sb_season *season = support_season_new(4, 1);
    support_set_density(season, 0, 0, 1);
    support_set_density(season, 2, 0, 0.1);
    support_add_shapes(season);
    sb_plan *plan = support_plan(season);
    document p = part_of(season, plan, sb_draw_matrix);
    char seeds[400], rows[40];
    attribute(&p, "//*[@class='grid']/@data-seeds", seeds, sizeof seeds);
    attribute(&p, "//*[@class='grid']/@data-rows", rows, sizeof rows);
    /* Two givers, the first field and the third; neither gives to itself or to what was cut before.
     */
    assert_string_equal(rows, "1-1 1-3");
    size_t n = 0;
    for (char *entry = strtok(seeds, ";"); entry != NULL; entry = strtok(NULL, ";"), n++) {
        unsigned row, column;
        double value;
        assert_int_equal(sscanf(entry, "%u,%u,%lf", &row, &column, &value), 3);
        assert_true(column > 2 * row && column < 4);
        double given = sb_given(&plan->ledger, 2 * row, (int)column, 0);
        assert_true(fabs(value - given) <= 0.005 * given);
    }
    assert_int_equal(n, 4);
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void a_card_names_whom_it_gives_to_and_gets_from(void **state)
{
    (void)state;
    sb_season *season = support_season_new(3, 1);
    support_set_density(season, 0, 0, 1);
    support_add_shapes(season);
    sb_plan *plan = support_plan(season);
    document p = rendered(season, plan);
    assert_int_equal(count(&p, "//article[@id='s1-1'][@data-gives='1-2 1-3'][@data-gets='']"), 1);
    assert_int_equal(count(&p, "//article[@id='s1-3'][@data-gives=''][@data-gets='1-1']"), 1);
    assert_int_equal(count(&p, "//article[@id='s1-4'][@data-gets]"), 0);
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void a_stop_stands_under_the_day_of_its_cut(void **state)
{
    (void)state;
    sb_season *season = support_season_new(3, 1); /* 10 hours a day from Saturday 2026-08-01 */
    sb_plan *plan = support_plan(season);
    sb_stop *second = &plan->routes[0].stops[1];
    const sb_route *route = &plan->routes[0];
    int first = season->setup.calendar.start_day;
    /* A field takes 5 h and a way a quarter: the second ends on the first day after 10 h 37 min. */
    assert_int_equal(sb_sheet_day(season, route, 0), first);
    assert_int_equal(sb_sheet_day(season, route, 1), first);
    assert_int_equal(sb_sheet_day(season, route, 2), first + 1);
    assert_int_equal(sb_sheet_day(season, route, 3), first + 1);
    /* Reached with the last hour of the first day, cut from the next morning on. */
    second->leave_h = 9.5;
    second->arrive_h = 10;
    assert_int_equal(sb_sheet_day(season, route, 1), first + 1);
    second->arrive_h = INFINITY;
    assert_int_equal(sb_sheet_day(season, route, 1), SB_NO_DAY);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Issue: a machine that drives off on Wednesday evening was on Wednesday's sheet, though it cuts
 * on Thursday. */
static void what_is_done_the_evening_before_says_so(void **state)
{
    (void)state;
    sb_season *season = support_season_new(3, 1);
    sb_plan *plan = support_plan(season);
    sb_stop *second = &plan->routes[0].stops[1];
    document p = rendered(season, plan);
    assert_int_equal(count(&p, "//section[@class='day']"), 2);
    assert_int_equal(count(&p, "//p[@class='ahead']"), 0);
    release(&p);
    second->leave_h = 9.5;
    second->arrive_h = 10;
    p = rendered(season, plan);
    assert_int_equal(count(&p, "//section[@class='day'][1]//article"), 1);
    assert_int_equal(count(&p, "//section[@class='day'][2]//article[@id='s1-2']"), 1);
    assert_int_equal(
        count(
            &p,
            "//section[@class='day'][1]/p[@class='ahead'][contains(., '2 Aug')]/a[@href='#s1-2']"),
        1);
    assert_int_equal(count(&p, "//article[@id='s1-2']//dd[contains(., ', the evening before')]"),
                     1);
    assert_int_equal(count(&p, "//dd[contains(., 'before')]"), 1);
    release(&p);
    second->leave_h = 1;
    p = rendered(season, plan);
    assert_int_equal(count(&p, "//article[@id='s1-2']//dd[contains(., ', the day before')]"), 1);
    release(&p);
    second->cleanout = 1;
    second->clean_h = 1;
    second->leave_h = 29;
    second->arrive_h = 30;
    p = rendered(season, plan);
    assert_int_equal(count(&p, "//article[@id='s1-2']//h5[contains(., ', begun on Sat')]"), 1);
    assert_int_equal(count(&p, "//div[@class='truck']/p[contains(., ', begun on Sat')]"), 1);
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* A job that begins minutes before the evening goes on next morning: the crew is told so. */
static void a_cleaning_job_says_when_it_begins_and_goes_on(void **state)
{
    (void)state;
    sb_season *season = support_season_new(3, 1); /* 9 to 19 o'clock from Saturday 2026-08-01 */
    support_add_shapes(season);
    sb_plan *plan = support_plan(season);
    /* A quarter hour on the road and 5 h in the first field. */
    document p = rendered(season, plan);
    assert_int_equal(count(&p,
                           "//article[@id='s1-2']//p[contains(., '. Begin Sat  1 Aug 14:15, done "
                           "Sat  1 Aug 14:37.')]"),
                     1);
    release(&p);
    season->setup.cleanouts[1].minutes = 600;
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    p = rendered(season, plan);
    assert_int_equal(count(&p,
                           "//article[@id='s1-2']//p[contains(., '. Begin Sat  1 Aug 14:15, go on "
                           "Sun  2 Aug 09:00, done Sun  2 Aug 14:15.')]"),
                     1);
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* The head once named the first field's cutting, half a day after the machine drives off. */
static void the_head_begins_when_the_crew_does(void **state)
{
    (void)state;
    sb_season *season = support_season_new(2, 1);
    support_add_shapes(season);
    sb_plan *plan = support_plan(season);
    document p = rendered(season, plan);
    assert_int_equal(count(&p, "//header/p/span[1][. = 'Sat  1 Aug 09:00']"), 1);
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* As a machine does that was on its way when the season was planned anew. */
static void the_head_says_where_the_machine_sets_out(void **state)
{
    (void)state;
    sb_season *season = support_season_new(2, 1);
    support_add_machine(season);
    season->joins[0].start = season->joins[1].yard;
    support_add_shapes(season);
    sb_plan *plan = support_plan(season);
    document p = rendered(season, plan);
    assert_int_equal(count(&p, "//header/p[contains(., ', from Shop 2:')]"), 1);
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Both ribbons are torn where the machine waits for days, not where it only passes a blocked one.
 */
static void a_ribbon_is_torn_by_days_of_waiting_only(void **state)
{
    (void)state;
    sb_season *season = support_season_new(3, 1); /* 10 hours a day; a field takes 5 */
    int start = season->setup.calendar.start_day;
    assert_true(sb_calendar_block(&season->setup.calendar, start + 1));
    assert_true(sb_calendar_block(&season->setup.calendar, start + 4));
    season->fields[2].ready_day = start + 7;
    support_add_shapes(season);
    sb_plan *plan = support_plan(season);
    document p = rendered(season, plan);
    /* Two fields and the ways take the first day and part of the third; from the fourth to the
     * sixth it waits, and drives on the evening before the ready day. */
    assert_int_equal(count(&p, "//*[@class='tear'][title]"), 1);
    assert_int_equal(count(&p, "//*[@class='tear'][text = '3 days']"), 1);
    assert_int_equal(count(&p, "//li[@class='tear'][small[starts-with(., '3 days waiting for "
                               "Field 3 to ripen (')]]"),
                     1);
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

static const char *money(const sb_season *season, double amount)
{
    static char said[60];
    sb_text text = {0};
    sb_words_money(&text, season, amount);
    snprintf(said, sizeof said, "%s", sb_text_get(&text));
    sb_text_release(&text);
    return said;
}

static void assert_cell(const document *p, int row, int column, const char *said)
{
    char expression[160];
    snprintf(expression, sizeof expression,
             "//table[contains(@class, 'losses')]/tbody/tr[%d]/*[%d][. = '%s']", row, column, said);
    if (count(p, expression) != 1)
        fail_msg("no %s in row %d, column %d", said, row, column);
}

/* Two growers in turn, weeds in the first one's first field alone. */
static sb_season *two_growers(void)
{
    sb_season *season = support_season_new(4, 1);
    support_set_density(season, 0, 0, 1);
    for (int f = 0; f < 4; f++)
        season->fields[f].grower = f % 2;
    support_add_shapes(season);
    return season;
}

static void the_page_says_what_each_grower_loses_of_what_it_may(void **state)
{
    (void)state;
    sb_season *season = two_growers();
    sb_plan *plan = support_plan(season);
    const sb_stop *stops = plan->routes[0].stops;
    double first = stops[2].loss, second = stops[1].loss + stops[3].loss;
    assert_true(first > 0 && second > first);
    document p = part_of(season, plan, sb_draw_matrix);
    assert_cell(&p, 1, 1, "Grower 1");
    assert_cell(&p, 1, 2, money(season, first));
    assert_cell(&p, 1, 3, money(season, 0));
    assert_cell(&p, 2, 2, money(season, second));
    assert_cell(&p, 2, 3, money(season, second));
    assert_int_equal(count(&p, "//*[@class='broken' or @class='kept']"), 0);
    release(&p);
    season->setup.limits.loss_per_grower = (first + second) / 2;
    p = part_of(season, plan, sb_draw_matrix);
    char said[80];
    snprintf(said, sizeof said, "%s left", money(season, (second - first) / 2));
    assert_cell(&p, 1, 4, said);
    snprintf(said, sizeof said, "%s too much", money(season, (second - first) / 2));
    assert_cell(&p, 2, 4, said);
    release(&p);
    /* A cap that names one of them: each line says of which it is. */
    season->grower_most = sb_alloc(2, sizeof *season->grower_most);
    assert_non_null(season->grower_most);
    season->grower_most[0] = first / 2;
    season->grower_most[1] = INFINITY;
    p = part_of(season, plan, sb_draw_matrix);
    snprintf(said, sizeof said, "%s too much, of ", money(season, first / 2));
    strcat(said, money(season, first / 2));
    assert_cell(&p, 1, 4, said);
    snprintf(said, sizeof said, "%s too much, of ", money(season, (second - first) / 2));
    strcat(said, money(season, (first + second) / 2));
    assert_cell(&p, 2, 4, said);
    release(&p);
    season->setup.limits.loss_per_grower = INFINITY;
    p = part_of(season, plan, sb_draw_matrix);
    assert_cell(&p, 2, 4, "any");
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

static void the_page_says_what_the_rule_on_losses_costs(void **state)
{
    (void)state;
    sb_season *season = two_growers();
    sb_plan *plan = support_plan(season);
    document p = rendered(season, plan);
    assert_int_equal(count(&p, "//p[contains(., 'without the rule')]"), 0);
    release(&p);
    sb_fairness *fairness = &plan->fairness;
    fairness->takers = sb_alloc(2, sizeof *fairness->takers);
    assert_non_null(fairness->takers);
    fairness->n_takers = 2;
    fairness->most = 123456;
    fairness->takers[0] = (sb_taker){.grower = 0, .most = 123456, .free_loss = 777};
    fairness->takers[1] =
        (sb_taker){.grower = 1, .most = 123456, .free_loss = 888, .free_from_others = 555};
    fairness->free_cost = sb_plan_weighed_cost(plan) - 42;
    p = rendered(season, plan);
    assert_int_equal(count(&p, "//p[starts-with(., 'To let no grower lose more than 123,456 USD "
                               "costs 42.00 USD more than the cheapest plan')]"),
                     1);
    release(&p);
    p = part_of(season, plan, sb_draw_matrix);
    assert_cell(&p, 1, 5, "777 USD");
    assert_cell(&p, 2, 5, "888 USD");
    assert_cell(&p, 2, 6, "555 USD");
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

static bool apart(const sb_map_box *a, const sb_map_box *b)
{
    return a->right <= b->left || b->right <= a->left || a->bottom <= b->top || b->bottom <= a->top;
}

/* Is a point of the line in the box? Looked for at many points of each piece. */
static bool runs_through(const sb_map_line *line, const sb_map_box *box)
{
    for (int i = 0; i < SB_LINE_PIECES * 50; i++) {
        const sb_point *a = &line->points[i / 50], *b = a + 1;
        double x = a->x + (b->x - a->x) * (i % 50) / 50, y = a->y + (b->y - a->y) * (i % 50) / 50;
        if (x > box->left && x < box->right && y > box->top && y < box->bottom)
            return true;
    }
    return false;
}

/* Clusters of fields far from each other, where everything once was printed over everything. */
static sb_season *clustered_season(void)
{
    sb_season *season = shaped_season(85);
    for (size_t f = 0; f < season->n_fields; f++) {
        season->fields[f].place.lon_deg += f % 3 == 0 ? 0.8 : 0;
        season->fields[f].place.lat_deg += f % 3 == 1 ? 0.6 : 0;
    }
    return season;
}

static void no_name_or_number_on_the_map_lies_on_another_or_on_a_move(void **state)
{
    (void)state;
    sb_season *season = clustered_season();
    sb_plan *plan = support_plan(season);
    sb_page page;
    assert_int_equal(sb_page_init(&page, season, plan), SB_OK);
    sb_projection projection = sb_projection_fit(season, 920, 652, 30);
    sb_map_room room = sb_map_room_new(projection.width, projection.height);
    sb_map_marks marks;
    assert_int_equal(sb_map_marks_init(&page, &projection, &room, &marks), SB_OK);
    assert_true(sb_map_ways_lay(&marks, &projection, &room));
    assert_true(sb_map_marks_settle(&marks, &projection));
    assert_true(sb_map_ways_lay(&marks, &projection, &room));
    assert_true(sb_map_marks_name(&marks));
    size_t shown = 0, named = 0;
    for (size_t i = 0; i < room.taken.count; i++)
        for (size_t j = 0; j < i; j++)
            assert_true(apart(&room.taken.items[i], &room.taken.items[j]));
    for (size_t m = 0; m < marks.n_marks; m++) {
        const sb_map_box *label = &marks.marks[m].label.box;
        shown += marks.marks[m].n_stops;
        named += label->right > label->left;
        for (size_t i = 0; label->right > label->left && i < room.lines.count; i++)
            assert_false(runs_through(&room.lines.items[i], label));
    }
    assert_int_equal(shown, 85);
    assert_true(named > 0 && named < 85);
    assert_true(room.lines.count > 3);
    sb_map_marks_release(&marks);
    sb_map_room_release(&room);
    sb_page_release(&page);
    document p = rendered(season, plan);
    /* Every field has its name on the map or in the list, on a phone as on a wide screen. */
    static const char *const widths[][2] = {{"wide-only", "narrow-only"},
                                            {"narrow-only", "wide-only"}};
    for (size_t w = 0; w < 2; w++) {
        char on_map[200], listed[100];
        snprintf(on_map, sizeof on_map,
                 "//*[contains(@class, '%s')]/svg[@class='map']"
                 "//text[starts-with(@class, 'halo')][starts-with(., 'Field ')]",
                 widths[w][0]);
        snprintf(listed, sizeof listed, "//*[@class='places']/li[not(@class='%s')]", widths[w][1]);
        assert_true(count(&p, on_map) > 0 && count(&p, listed) > 0);
        assert_int_equal(count(&p, on_map) + count(&p, listed), 85);
    }
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* The map as a wide screen shows it. */
#define MAP "//*[contains(@class, 'wide-only')]/svg[@class='map']"

static void a_map_with_room_shows_every_name(void **state)
{
    (void)state;
    sb_season *season = support_season_new(4, 1);
    support_set_density(season, 1, 0, 1);
    season->fields[1].ratings[0].source = SB_RATING_DENSITY;
    season->fields[1].ratings[0].class_index = 3;
    support_add_shapes(season);
    sb_plan *plan = support_plan(season);
    document p = rendered(season, plan);
    for (int i = 1; i <= 4; i++) {
        char expression[200];
        snprintf(expression, sizeof expression,
                 MAP "//text[starts-with(@class, 'halo')][. = 'Field %d']", i);
        assert_int_equal(count(&p, expression), 1);
    }
    assert_int_equal(count(&p, MAP "//text[contains(@class, 'rate')][. = 'Waterhemp 3']"), 1);
    assert_int_equal(count(&p, "//*[@class='places']/li[not(@class='narrow-only')]"), 0);
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

/* The ribbon draws the same seeds that the model counts. */
static void the_curve_meets_the_traces_at_every_entry(void **state)
{
    (void)state;
    sb_season *season = shaped_season(7);
    sb_plan *plan = support_plan(season);
    sb_held curve[7 * SB_CURVE_POINTS];
    sb_load_curve(season, &plan->routes[0], curve);
    for (size_t i = 0; i < 7; i++)
        for (size_t k = 0; k < season->setup.n_weeds; k++) {
            const sb_stop_trace *trace = &plan->routes[0].stops[i].trace;
            const sb_held *entry = &curve[i * SB_CURVE_POINTS];
            double seeds = trace->loose_in[k] + trace->lodged_in[k];
            assert_true(fabs(entry->loose[k] + entry->lodged[k] - seeds) <= 1e-9 * seeds + 1e-9);
            if (i + 1 == 7)
                continue;
            const sb_held *leave = &curve[(i + 1) * SB_CURVE_POINTS - 1];
            seeds = plan->routes[0].stops[i + 1].trace.before_clean[k];
            assert_true(fabs(leave->loose[k] + leave->lodged[k] - seeds) <= 1e-9 * seeds + 1e-9);
        }
    sb_plan_free(plan);
    sb_season_free(season);
}

/* Superposition: every seed aboard came from one field, for there is no start load here. */
static void the_curves_of_all_origins_add_up_to_the_load(void **state)
{
    (void)state;
    enum { FIELDS = 7 };
    support_options options = support_every_rule();
    options.missing_ways = options.start_load = false;
    sb_season *season = support_random_season(6, FIELDS, &options);
    sb_plan *plan = support_plan(season);
    const sb_route *route = &plan->routes[0];
    sb_passage passages[FIELDS];
    double sums[FIELDS][SB_MAX_WEEDS] = {{0}};
    for (size_t i = 0; i < FIELDS; i++)
        sb_passage_of(season, 0, route->stops[i].field, &passages[i]);
    for (size_t from = 0; from < FIELDS; from++) {
        double curve[FIELDS * SB_ORIGIN_POINTS][SB_MAX_WEEDS];
        sb_origin_curve(season, route, from, passages, curve);
        for (size_t i = from; i < FIELDS; i++)
            for (size_t k = 0; k < season->setup.n_weeds; k++)
                sums[i][k] += curve[(i - from) * SB_ORIGIN_POINTS][k];
    }
    for (size_t i = 0; i < FIELDS; i++)
        for (size_t k = 0; k < season->setup.n_weeds; k++) {
            double seeds = route->stops[i].trace.loose_in[k] + route->stops[i].trace.lodged_in[k];
            assert_true(fabs(sums[i][k] - seeds) <= 1e-9 * seeds + 1e-9);
        }
    sb_plan_free(plan);
    sb_season_free(season);
}

/* The first pass is as long as the model says and lies on the edge, nearest corner first. */
static void the_first_pass_follows_the_edge(void **state)
{
    (void)state;
    sb_season *season = support_season_new(1, 1);
    support_add_shapes(season);
    sb_projection projection = sb_projection_fit(season, 400, 400, 20);
    const sb_ring *ring = &season->fields[0].parts[0].outer;
    double side =
        sb_project(&projection, ring->items[1]).x - sb_project(&projection, ring->items[0]).x;
    sb_text text = {0};
    sb_lonlat from = ring->items[2];
    from.lon_deg += 1;
    from.lat_deg += 1;
    sb_field_shape shape = sb_field_shape_on(&projection, &season->fields[0]);
    sb_first_pass(&season->fields[0], &shape, &projection, from,
                  1.5 * side / projection.units_per_m, &text);
    sb_point corner = sb_project(&projection, ring->items[2]);
    double x, y, first, second;
    char across[2], along[2];
    assert_int_equal(sscanf(sb_text_get(&text), "M%lf %lf%1[hv]%lf%1[hv]%lf", &x, &y, across,
                            &first, along, &second),
                     6);
    assert_true(fabs(x - corner.x) < 0.06 && fabs(y - corner.y) < 0.06);
    assert_true(across[0] != along[0]); /* round the corner */
    assert_true(fabs(fabs(first) - side) < 0.11);
    assert_true(fabs(fabs(first) + fabs(second) - 1.5 * side) < 0.11);
    sb_text_clear(&text);
    sb_first_pass(&season->fields[0], &shape, &projection, from, 0, &text);
    assert_int_equal(text.count, 0);
    sb_text_release(&text);
    sb_season_free(season);
}

/* On a small map a field grows about its own middle, in its own proportions; on a large one it is
 * as large as it is. */
static void a_field_too_small_to_see_is_drawn_larger(void **state)
{
    (void)state;
    sb_season *season = support_season_new(6, 1);
    support_add_shapes(season);
    for (int small = 0; small < 2; small++) {
        double size = small ? 24 : 4000;
        sb_projection projection = sb_projection_fit(season, size, size, 1);
        const sb_ring *ring = &season->fields[0].parts[0].outer;
        sb_field_shape shape = sb_field_shape_on(&projection, &season->fields[0]);
        double width = shape.box.right - shape.box.left, height = shape.box.bottom - shape.box.top;
        sb_map_box corners = sb_map_box_around(shape.middle, 0, 0);
        for (size_t i = 0; i < ring->count; i++)
            sb_map_box_add(&corners, sb_shape_corner(&shape, &projection, ring->items[i]));
        assert_true(small ? shape.grown > 1 : shape.grown == 1);
        assert_true(fmax(width, height) > 10.9);
        assert_true(fabs(corners.right - corners.left - width) < 1e-6);
        assert_true(fabs(corners.bottom - corners.top - height) < 1e-6);
    }
    sb_season_free(season);
}

/* Relative luminance as WCAG 2.1 defines it. */
static double luminance(sb_colour c)
{
    const unsigned char channels[] = {c.red, c.green, c.blue};
    static const double weights[] = {0.2126, 0.7152, 0.0722};
    double sum = 0;
    for (int i = 0; i < 3; i++) {
        double s = channels[i] / 255.0;
        sum += weights[i] * (s <= 0.04045 ? s / 12.92 : pow((s + 0.055) / 1.055, 2.4));
    }
    return sum;
}

static void worse_ratings_are_darker_so_that_grey_print_tells(void **state)
{
    (void)state;
    for (size_t n = 2; n <= 11; n++)
        for (int i = 1; i < (int)n; i++)
            assert_true(luminance(sb_palette_class(i, n)) < luminance(sb_palette_class(i - 1, n)));
}

static void a_page_of_60_fields_is_small_enough_to_send(void **state)
{
    (void)state;
    sb_season *season = shaped_season(60);
    sb_plan *plan = support_plan(season);
    for (size_t i = 0; i < 60; i++)
        plan->routes[0].stops[i].cleanout = i % 4 == 3 ? 1 : 0;
    assert_int_equal(sb_plan_price(season, plan), SB_OK);
    assert_int_equal(sb_plan_explain(season, plan), SB_OK);
    document p = rendered(season, plan);
    print_message("60 fields: %zu bytes\n", p.text.count);
    assert_true(p.text.count < 480 * 1000); /* of 500: room to grow */
    release(&p);
    sb_plan_free(plan);
    sb_season_free(season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hostile_words_do_no_harm),
        cmocka_unit_test(names_of_200_characters_are_kept_whole_in_the_list),
        cmocka_unit_test(the_page_fetches_and_runs_nothing),
        cmocka_unit_test(every_link_and_texture_has_its_target_and_ids_are_unique),
        cmocka_unit_test(every_cleaning_job_has_its_cautions_and_its_steps),
        cmocka_unit_test(supplies_of_the_season_are_added_up_by_name_and_unit),
        cmocka_unit_test(the_cautions_name_every_danger),
        cmocka_unit_test(the_matrix_holds_the_ledger),
        cmocka_unit_test(a_card_names_whom_it_gives_to_and_gets_from),
        cmocka_unit_test(a_stop_stands_under_the_day_of_its_cut),
        cmocka_unit_test(what_is_done_the_evening_before_says_so),
        cmocka_unit_test(a_cleaning_job_says_when_it_begins_and_goes_on),
        cmocka_unit_test(the_head_begins_when_the_crew_does),
        cmocka_unit_test(the_head_says_where_the_machine_sets_out),
        cmocka_unit_test(a_ribbon_is_torn_by_days_of_waiting_only),
        cmocka_unit_test(the_page_says_what_each_grower_loses_of_what_it_may),
        cmocka_unit_test(the_page_says_what_the_rule_on_losses_costs),
        cmocka_unit_test(no_name_or_number_on_the_map_lies_on_another_or_on_a_move),
        cmocka_unit_test(a_map_with_room_shows_every_name),
        cmocka_unit_test(the_curve_meets_the_traces_at_every_entry),
        cmocka_unit_test(the_curves_of_all_origins_add_up_to_the_load),
        cmocka_unit_test(the_first_pass_follows_the_edge),
        cmocka_unit_test(a_field_too_small_to_see_is_drawn_larger),
        cmocka_unit_test(worse_ratings_are_darker_so_that_grey_print_tells),
        cmocka_unit_test(a_page_of_60_fields_is_small_enough_to_send),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
