/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `check` lists as assumed: each number that the answer uses and no file states, none that one
 * states, be it the built-in one or not. Read from files, as users have them. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "base/report.h"
#include "drafts.h"
#include "season/season.h"

/* One field with kochia that loses grain by standing. */
static const char field[] =
    "<kml xmlns='http://www.opengis.net/kml/2.2'><Document><Placemark><name>Long Acre</name>"
    "<ExtendedData><Data name='crop'><value>wheat</value></Data>"
    "<Data name='best_before'><value>2026-08-20</value></Data>"
    "<Data name='entry'><value>thorough</value></Data>"
    "<Data name='weed:kochia'><value>3</value></Data></ExtendedData>"
    "<Polygon><outerBoundaryIs><LinearRing><coordinates>10.00,52.00 10.01,52.00 10.01,52.01 "
    "10.00,52.01 10.00,52.00</coordinates></LinearRing></outerBoundaryIs></Polygon>"
    "</Placemark></Document></kml>";

static sb_report *report;
static sb_season *season;

static int begin(void **state)
{
    (void)state;
    report = sb_report_new();
    return report == NULL;
}

static int end(void **state)
{
    (void)state;
    sb_season_free(season);
    season = NULL;
    sb_report_free(report);
    support_folder_remove();
    return sb_mem_live() == 0 ? 0 : -1;
}

/* The field with a season file of this content, and a file of what was learned (NULL: none). */
static void read_with(const char *attributes, const char *content, const char *learned)
{
    char paths[3][SUPPORT_PATH_BYTES], text[4096];
    snprintf(text, sizeof text, "<season xmlns='urn:seedbreak:season:1' %s>\n%s</season>",
             attributes, content);
    const char *files[] = {support_file("f.kml", field, sizeof field - 1, paths[0]),
                           support_file("s.xml", text, strlen(text), paths[1]), NULL};
    if (learned != NULL)
        files[2] = support_file("l.xml", learned, strlen(learned), paths[2]);
    if (sb_season_read(files, learned != NULL ? 3 : 2, NULL, report, &season) != SB_OK)
        fail_msg("%s", sb_report_get(report, sb_report_count(report) - 1).text);
}

/* The line of that head, "" when there is none. */
static const char *assumed(const char *head)
{
    for (size_t i = 0; i < season->assumptions.count; i++)
        if (strncmp(season->assumptions.items[i].text, head, strlen(head)) == 0)
            return season->assumptions.items[i].text;
    return "";
}

static const char *source_of(const char *head)
{
    for (size_t i = 0; i < season->assumptions.count; i++)
        if (strncmp(season->assumptions.items[i].text, head, strlen(head)) == 0)
            return season->assumptions.items[i].source;
    return "";
}

/* The warning about the currency, NULL when there is none. */
static const sb_message *currency_doubted(void)
{
    static sb_message message;
    for (size_t i = 0; i < sb_report_count(report); i++) {
        message = sb_report_get(report, i);
        if (strncmp(message.text, "the currency is ", 16) == 0)
            return &message;
    }
    return NULL;
}

/* ---- Stated or not ---- */

/* Once the values were compared, and these were all called assumed. */
static void a_stated_number_is_not_assumed_though_it_is_the_built_in_one(void **state)
{
    (void)state;
    read_with("",
              "<weed id='kochia' viability='0.9' cost_per_plant='5'/>"
              "<crop id='wheat' price_per_t='220' delay_per_day='0.006'/>"
              "<costs wage_per_hour='25'/><travel detour='1.3' road_km_h='25'/>"
              "<calendar hours_per_day='10'/>",
              NULL);
    assert_string_equal(assumed("Kochia: "),
                        "Kochia: seeds per plant 20000, retained 0.9, header loss 0.25, emergence "
                        "0.14, survival 0.9, control 0.95, crowding plants/m2 1");
    assert_string_equal(assumed("Wheat: "), "Wheat: 3 t/ha where no yield is stated, 0.9 kg other "
                                            "material per kg grain");
    assert_string_equal(assumed("a person cleaning"), "");
    assert_string_equal(assumed("machine time"), "machine time lost to cleaning: 100 USD per hour");
    assert_string_equal(assumed("roads"), "");
    assert_string_equal(assumed("working day"), "working day: from 9 o'clock");
    assert_string_equal(assumed("Combine: "),
                        "Combine: 3.2 ha/h, header 9.14 m, 2 USD/km, 60 USD per road hour");
}

/* Once the whole line went as soon as one of its numbers was stated. */
static void one_stated_number_leaves_the_rest_of_its_line(void **state)
{
    (void)state;
    read_with("",
              "<cleanout id='blowdown' minutes='30'><keep section='header' lodged='0.7'/>"
              "<keep section='tank' loose='0.5'/></cleanout>"
              "<machine id='m'><section id='header' kg='7' tank_share_small='0.03'/></machine>",
              NULL);
    assert_string_equal(assumed("Blow down: "),
                        "Blow down: 2 at work, 5 USD of supplies; kept of loose seed in header "
                        "0.25, rock_trap 0.15, threshing 0.6, shoe 0.45, chopper 0.3; of lodged "
                        "seed in rock_trap 0.5, threshing 0.95, shoe 0.9, tank 0.95, chopper 0.8");
    assert_string_equal(assumed("m, material held: "),
                        "m, material held: kg in rock_trap 14.84, threshing 6.72, shoe 7.28, tank "
                        "14, chopper 6.44; lodged share in header 0.3, rock_trap 0.7, threshing "
                        "0.45, shoe 0.45, tank 0.35, chopper 0.5; purge constant of loose seed, t "
                        "grain, in header 0.06, rock_trap 0.15, threshing 0.06, shoe 0.1, tank "
                        "0.12, chopper 0.06; of lodged seed in header 40, rock_trap 90, threshing "
                        "50, shoe 60, tank 100, chopper 40");
    assert_string_equal(assumed("m, share to the grain tank: "),
                        "m, share to the grain tank: of small seed shed in rock_trap 0.03, "
                        "threshing 0.03, shoe 0.05, tank 1, chopper 0; of large seed in header "
                        "0.5, rock_trap 0.5, threshing 0.5, shoe 0.5, tank 1, chopper 0");
}

/* `travel` speaks for every machine; a rate for each crop leaves the general one without use. */
static void what_is_stated_elsewhere_or_not_used_is_not_assumed(void **state)
{
    (void)state;
    read_with("",
              "<machine id='m' name='Mine' cost_per_km='2'><rate crop='wheat' ha_per_hour='3'/>"
              "<start/></machine><travel cost_per_hour='60'/>",
              NULL);
    assert_string_equal(assumed("Mine: "), "Mine: header 9.14 m, 25 km/h on the road");
    assert_string_equal(assumed("starts clean"), "");
    sb_season_free(season);
    read_with("", "<machine id='m' name='Mine'><rate crop='corn' ha_per_hour='3'/></machine>",
              NULL);
    assert_string_equal(assumed("Mine: "), "Mine: 3.2 ha/h, header 9.14 m, 25 km/h on the road, 2 "
                                           "USD/km, 60 USD per road hour");
    assert_string_equal(assumed("starts clean"),
                        "starts clean, no cleanout on record for entry rules: Mine");
}

static void what_a_new_thing_need_not_state_is_assumed(void **state)
{
    (void)state;
    read_with("",
              "<weed id='brome' name='Brome' seeds_per_plant='200' retained='0.75' "
              "header_loss='0.2' viability='0.95' emergence='0.6' cost_per_plant='0.3' "
              "control='0.95'/><crop id='rye' name='Rye' yield_t_ha='4'/>"
              "<cleanout id='vacuum' name='Vacuum' minutes='40' supplies_cost='4'>"
              "<keep section='header' loose='0.05'/></cleanout>"
              "<field name='Long Acre' crop='rye'><rating weed='brome' rating='2'/></field>",
              NULL);
    assert_string_equal(assumed("Brome: "), "Brome: survival 0.9, crowding plants/m2 1");
    assert_string_equal(source_of("Brome: "),
                        "assumed: what a new one has unless its element says otherwise");
    assert_string_equal(assumed("Rye: "), "Rye: 1 kg other material per kg grain, 0 USD/t, 0 % "
                                          "lost a day after best_before");
    assert_string_equal(assumed("Wheat: "), "");
    assert_string_equal(assumed("Vacuum: "),
                        "Vacuum: 1 at work; kept of loose seed in rock_trap 1, threshing 1, shoe "
                        "1, tank 1, chopper 1; of lodged seed in header 1, rock_trap 1, threshing "
                        "1, shoe 1, tank 1, chopper 1");
}

static void what_was_learned_is_told_once(void **state)
{
    (void)state;
    read_with("", "",
              "<learned xmlns='urn:seedbreak:learned:1' log='then.log'>"
              "<number name='seeds_per_plant' weed='kochia' used='20000' times='1.5'/>"
              "<number name='kg' times='1.1'/></learned>");
    assert_string_equal(assumed("Kochia: "), "Kochia: retained 0.9, header loss 0.25, viability "
                                             "0.9, emergence 0.14, survival 0.9, control 0.95, "
                                             "cost per plant 5 USD, crowding plants/m2 1");
    assert_string_equal(assumed("Kochia: seeds"), "Kochia: seeds per plant 30000 instead of 20000");
    assert_non_null(strstr(assumed("Combine, material held: "), "held: lodged share in header"));
}

static void an_own_scale_is_not_assumed_whatever_its_id(void **state)
{
    (void)state;
    read_with("", "", NULL);
    assert_string_not_equal(assumed("rating scale"), "");
    sb_season_free(season);
    read_with("",
              "<scale id='density'><class label='0' plants_m2='0'/>"
              "<class label='3' plants_m2='0.3'/></scale>",
              NULL);
    assert_string_equal(assumed("rating scale"), "");
}

/* ---- Currency ---- */

static void built_in_prices_in_another_currency_are_doubted(void **state)
{
    (void)state;
    read_with("\n currency='EUR'",
              "<crop id='wheat' price_per_t='220'/><costs wage_per_hour='25'/>"
              "<machine id='m1' cost_per_km='2'/><cleanout id='deep' supplies_cost='40'/>",
              NULL);
    const sb_message *doubt = currency_doubted();
    assert_non_null(doubt);
    assert_int_equal(doubt->severity, SB_WARNING);
    assert_string_equal(strrchr(doubt->file, '/'), "/s.xml");
    assert_string_equal(doubt->text,
                        "the currency is EUR, but these prices are built in: they are US dollars "
                        "and count as so many EUR. State your own in the season file (element: "
                        "attribute): weed kochia: cost_per_plant 5; machine m1: cost_per_hour 60; "
                        "cleanout blowdown: supplies_cost 5; cleanout thorough: supplies_cost 15; "
                        "costs: lost_time_per_hour 100");
}

/* The built-in machine cannot be named in a season file; `travel` states what it costs. */
static void prices_of_the_built_in_machine_are_stated_by_travel(void **state)
{
    (void)state;
    read_with("currency='EUR'", "<costs lost_time_per_hour='90'/>", NULL);
    assert_non_null(strstr(currency_doubted()->text,
                           "; travel: cost_per_km 2, cost_per_hour 60; cleanout blowdown: "));
    assert_non_null(strstr(currency_doubted()->text, "; costs: wage_per_hour 25"));
    assert_null(strstr(currency_doubted()->text, "lost_time_per_hour"));
}

static void dollars_and_own_prices_are_not_doubted(void **state)
{
    (void)state;
    read_with("currency='usd'", "", NULL);
    assert_null(currency_doubted());
    sb_season_free(season);
    read_with("currency='EUR'",
              "<crop id='wheat' price_per_t='200'/><weed id='kochia' cost_per_plant='4'/>"
              "<costs wage_per_hour='22' lost_time_per_hour='90'/>"
              "<travel cost_per_km='2' cost_per_hour='55'/>"
              "<cleanout id='blowdown' supplies_cost='4'/>"
              "<cleanout id='thorough' supplies_cost='12'/><cleanout id='deep' supplies_cost='0'/>",
              NULL);
    assert_null(currency_doubted());
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(a_stated_number_is_not_assumed_though_it_is_the_built_in_one),
        TEST(one_stated_number_leaves_the_rest_of_its_line),
        TEST(what_is_stated_elsewhere_or_not_used_is_not_assumed),
        TEST(what_a_new_thing_need_not_state_is_assumed),
        TEST(what_was_learned_is_told_once),
        TEST(an_own_scale_is_not_assumed_whatever_its_id),
        TEST(built_in_prices_in_another_currency_are_doubted),
        TEST(prices_of_the_built_in_machine_are_stated_by_travel),
        TEST(dollars_and_own_prices_are_not_doubted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
