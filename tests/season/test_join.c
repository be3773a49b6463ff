/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A draft becomes a season: what is joined, worked out and assumed. */
#include <limits.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "base/report.h"
#include "made_features.h"
#include "season/season.h"

static sb_draft draft;
static sb_report *report;
static sb_season *season;

static int begin(void **state)
{
    (void)state;
    report = sb_report_new();
    return sb_draft_init(&draft) == SB_OK && report != NULL ? 0 : -1;
}

static int end(void **state)
{
    (void)state;
    sb_season_free(season);
    season = NULL;
    sb_draft_release(&draft);
    sb_report_free(report);
    return sb_mem_live() == 0 ? 0 : -1;
}

static void join(void)
{
    sb_status status = sb_season_join(&draft, report, &season);
    for (size_t i = 0; status != SB_OK && i < sb_report_count(report); i++)
        print_message("%s\n", sb_report_get(report, i).text);
    assert_int_equal(status, SB_OK);
    assert_non_null(season);
}

/* Is there a message with exactly this place and text? */
static bool said(sb_severity severity, const char *file, size_t line, const char *text)
{
    for (size_t i = 0; i < sb_report_count(report); i++) {
        sb_message m = sb_report_get(report, i);
        bool same_file =
            (m.file == NULL) == (file == NULL) && (file == NULL || strcmp(m.file, file) == 0);
        if (m.severity == severity && same_file && m.line == line && strcmp(m.text, text) == 0)
            return true;
    }
    for (size_t i = 0; i < sb_report_count(report); i++) {
        sb_message m = sb_report_get(report, i);
        print_message("%d %s:%zu: %s\n", m.severity, m.file ? m.file : "-", m.line, m.text);
    }
    return false;
}

static const sb_assumption *assumed(const char *head)
{
    for (size_t i = 0; i < season->assumptions.count; i++)
        if (strncmp(season->assumptions.items[i].text, head, strlen(head)) == 0)
            return &season->assumptions.items[i];
    return NULL;
}

static int date(const char *text)
{
    int day = 0;
    assert_true(sb_date_parse(text, &day));
    return day;
}

/* ---- Fields ---- */

static void a_field_takes_what_its_attributes_say(void **state)
{
    (void)state;
    sb_feature *feature = support_add_square(&draft, "North", -98, 46, 0.01, 10);
    support_say(feature, "crop", "wheat");
    support_say(feature, "yield_t_ha", "4");
    support_say(feature, "grower", "Ada");
    support_say(feature, "ready", "2026-08-03");
    support_say(feature, "latest", "2026-08-20");
    support_say(feature, "best_before", "2026-08-10");
    support_say(feature, "worth", "2.5");
    support_say(feature, "entry", "thorough");
    support_say(feature, "limit:kochia", "500");
    support_say(feature, "tank_limit_seeds_kg", "22");
    support_say(feature, "weed:kochia", "3");
    join();
    const sb_field *field = &season->fields[0];
    assert_string_equal(field->name, "North");
    assert_int_equal(field->crop, sb_find_crop(&season->setup, "wheat"));
    assert_false(field->crop_assumed);
    assert_float_equal(field->yield_t_ha, 4, 0);
    assert_string_equal(season->growers[field->grower], "Ada");
    assert_int_equal(field->ready_day, date("2026-08-03"));
    assert_int_equal(field->latest_day, date("2026-08-20"));
    assert_int_equal(field->best_before_day, date("2026-08-10"));
    assert_float_equal(field->worth, 2.5, 0);
    assert_int_equal(field->entry, 2);
    assert_float_equal(field->limit_seeds_ha[1], 500, 0);
    assert_true(isinf(field->limit_seeds_ha[0]));
    assert_float_equal(field->tank_limit_seeds_kg, 22, 0);
    /* 0.01 x 0.01 degree at 46 N is some 86 ha. */
    assert_true(field->area_ha > 80 && field->area_ha < 90);
    assert_float_equal(field->grain_t, 4 * field->area_ha, 1e-9);
    assert_float_equal(field->material_kg_ha, 7600, 1e-9);
    assert_float_equal(field->delay_cost_per_day, field->grain_t * 220 * 0.006, 1e-9);
    assert_int_equal(season->setup.calendar.start_day, date("2026-08-03"));
    assert_int_equal(field->line, 10);
    assert_string_equal(field->file, "fields.kml");
}

static void what_is_laid_over_later_wins_and_after_lists_add_up(void **state)
{
    (void)state;
    support_add_square(&draft, "A", -98, 46, 0.01, 10);
    support_add_square(&draft, "B", -98.1, 46, 0.01, 20);
    support_add_square(&draft, "C", -98.2, 46, 0.01, 30);
    sb_feature *feature = support_add_square(&draft, "D", -98.3, 46, 0.01, 40);
    support_say(feature, "crop", "corn");
    support_say(feature, "after", "A; B");
    support_say(feature, "crop", "oats");
    support_say(feature, "crop", ""); /* an empty cell says nothing */
    support_say(feature, "after", "C;A");
    join();
    const sb_field *field = &season->fields[3];
    assert_string_equal(season->setup.crops[field->crop].id, "oats");
    assert_int_equal(field->n_after, 3);
    assert_int_equal(field->after[0], 0);
    assert_int_equal(field->after[1], 1);
    assert_int_equal(field->after[2], 2);
}

static void after_lists_may_be_one_name_or_split_at_commas_or_blanks(void **state)
{
    (void)state;
    support_add_square(&draft, "North, upper", -98, 46, 0.01, 10);
    support_add_square(&draft, "B", -98.1, 46, 0.01, 20);
    support_add_square(&draft, "C", -98.2, 46, 0.01, 30);
    support_say(support_add_square(&draft, "D", -98.3, 46, 0.01, 40), "after", "North, upper");
    support_say(support_add_square(&draft, "E", -98.4, 46, 0.01, 50), "after", "B, C");
    support_say(support_add_square(&draft, "F", -98.5, 46, 0.01, 60), "after", "C B");
    join();
    assert_int_equal(season->fields[3].n_after, 1);
    assert_int_equal(season->fields[3].after[0], 0);
    assert_int_equal(season->fields[4].n_after, 2);
    assert_int_equal(season->fields[5].n_after, 2);
    assert_int_equal(season->fields[5].after[0], 2);
}

static void growers_come_from_the_outermost_folder(void **state)
{
    (void)state;
    sb_feature *feature = support_add_square(&draft, "A", -98, 46, 0.01, 10);
    feature->folder = sb_strdup("Berit/Home/North");
    feature = support_add_square(&draft, "B", -98.1, 46, 0.01, 20);
    feature->folder = sb_strdup("Berit");
    feature = support_add_square(&draft, "C", -98.2, 46, 0.01, 30);
    feature->folder = sb_strdup("Berit");
    support_say(feature, "grower", "Carl");
    support_add_square(&draft, "D", -98.3, 46, 0.01, 40);
    join();
    assert_int_equal(season->n_growers, 2);
    assert_string_equal(season->growers[season->fields[0].grower], "Berit");
    assert_int_equal(season->fields[1].grower, season->fields[0].grower);
    assert_string_equal(season->growers[season->fields[2].grower], "Carl");
    assert_int_equal(season->fields[3].grower, -1);
}

static void a_point_with_an_area_is_a_field(void **state)
{
    (void)state;
    support_say(support_add_waypoint(&draft, "Far plot", -98, 46, 5), "area_ha", "12.5");
    join();
    assert_int_equal(season->n_fields, 1);
    assert_float_equal(season->fields[0].area_ha, 12.5, 0);
    assert_int_equal(season->fields[0].n_parts, 0);
    assert_float_equal(season->fields[0].place.lon_deg, -98, 0);
}

static void nameless_fields_get_numbers_that_are_free(void **state)
{
    (void)state;
    support_add_square(&draft, "Field 2", -98, 46, 0.01, 10);
    support_add_square(&draft, NULL, -98.1, 46, 0.01, 20);
    support_add_square(&draft, NULL, -98.2, 46, 0.01, 30);
    join();
    assert_string_equal(season->fields[1].name, "Field 3");
    assert_string_equal(season->fields[2].name, "Field 4");
    assert_true(said(SB_NOTE, "fields.kml", 20, "a field without a name is called 'Field 3'"));
}

/* ---- Ratings ---- */

static void scouting_points_give_mean_spread_and_extremes(void **state)
{
    (void)state;
    sb_feature *feature = support_add_square(&draft, "A", -98, 46, 0.01, 10);
    support_say(feature, "weed:kochia", "1");
    support_add_square(&draft, "B", -98.1, 46, 0.01, 20);
    static const char *const densities[] = {"0.2", "0.8", "2", "1"};
    for (size_t i = 0; i < 4; i++) {
        feature = support_add_waypoint(&draft, "P", -97.998 + 0.002 * (double)i, 46.005, 100 + i);
        support_say(feature, "weed:kochia:plants_m2", densities[i]);
    }
    /* Rated for another weed only: no part of kochia's mean. */
    support_say(support_add_waypoint(&draft, "Q", -97.995, 46.004, 110), "weed:waterhemp", "2");
    join();
    const sb_rating *kochia = &season->fields[0].ratings[1];
    assert_int_equal(kochia->source, SB_RATING_SCOUTED);
    assert_int_equal(kochia->n_points, 4);
    assert_float_equal(kochia->density_plants_m2, 1.0, 1e-12);
    /* Deviations -0.8, -0.2, 1, 0: squares add to 1.68, over n - 1 = 3. */
    assert_float_equal(kochia->sd, sqrt(0.56), 1e-12);
    assert_float_equal(kochia->low, 0.2, 0);
    assert_float_equal(kochia->high, 2, 0);
    assert_int_equal(kochia->class_index, 4);
    const sb_rating *waterhemp = &season->fields[0].ratings[0];
    assert_int_equal(waterhemp->n_points, 1);
    assert_float_equal(waterhemp->density_plants_m2, sqrt(0.01 * 0.1), 1e-12);
    assert_float_equal(waterhemp->sd, 0, 0);
    assert_int_equal(waterhemp->class_index, 2);
    assert_int_equal(season->fields[0].n_points, 5);
    assert_int_equal(season->fields[1].ratings[1].source, SB_RATING_NONE);
    assert_true(said(SB_WARNING, "fields.kml", 10,
                     "kochia in field 'A' is rated both for the field and by 4 scouting points: "
                     "the points are used"));
    assert_true(
        said(SB_WARNING, "fields.kml", 20, "field 'B' has no rating for any weed: taken as clean"));
}

static void densities_find_their_class(void **state)
{
    (void)state;
    static const struct {
        const char *density;
        int class_index;
    } rows[] = {{"0", 0},    {"0.0002", 1}, {"0.001", 1}, {"0.0099", 1},
                {"0.01", 2}, {"1", 4},      {"99", 5},    {"5000", 5}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char name[2] = {(char)('A' + i), '\0'};
        support_say(support_add_square(&draft, name, -98 + 0.1 * (double)i, 46, 0.01, 10),
                    "weed:ryegrass:plants_m2", rows[i].density);
    }
    join();
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_int_equal(season->fields[i].ratings[2].class_index, rows[i].class_index);
}

/* Soybean 3.4 t/ha, as much other material as grain; 100 plants/ha of 100,000 seeds, 60 % of them
 * retained, a quarter of those lost at the header: 4.5e6 seeds/ha in 6,800 kg/ha are 661.8 seeds
 * per kg. The chain of numbers is that of the extension sheets (planning value of 100,000 seeds;
 * header loss 22-40 %, Winans et al. 2023); the division is arithmetic. */
static void seeds_per_kg_follow_from_the_density(void **state)
{
    (void)state;
    sb_feature *feature = support_add_square(&draft, "A", -98, 46, 0.01, 10);
    support_say(feature, "crop", "soybean");
    support_say(feature, "yield_t_ha", "3.4");
    support_say(feature, "weed:waterhemp:plants_m2", "0.01");
    join();
    assert_float_equal(season->fields[0].seeds_per_kg[0], 4.5e6 / 6800, 1e-9);
    assert_float_equal(season->fields[0].seeds_per_kg[0], 661.8, 0.05);
    assert_float_equal(season->fields[0].seeds_per_kg[1], 0, 0);
}

/* Marginal loss on YL = I D / (1 + I D / A), I = 136 % per plant/m2 and A = 90 % (Harrison,
 * Regnier, Schmoll & Webb 2001, giant ragweed in corn), by a difference quotient: what a newcomer
 * still costs beside what the first plant cost is 1 - occupied. */
static void occupied_is_the_slope_of_the_published_hyperbola(void **state)
{
    (void)state;
    static const char *const densities[] = {"0", "0.17", "0.69", "1.38"};
    for (size_t i = 0; i < 4; i++) {
        char name[2] = {(char)('A' + i), '\0'};
        support_say(support_add_square(&draft, name, -98 + 0.1 * (double)i, 46, 0.01, 10),
                    "weed:giant_ragweed:plants_m2", densities[i]);
    }
    join();
    for (size_t i = 0; i < 4; i++) {
        double d = season->fields[i].ratings[4].density_plants_m2, h = 1e-6;
        double here = 136 * d / (1 + 136 * d / 90);
        double more = 136 * (d + h) / (1 + 136 * (d + h) / 90);
        assert_float_equal(1 - season->fields[i].occupied[4], (more - here) / h / 136, 1e-5);
    }
    assert_float_equal(season->fields[0].occupied[4], 0, 0);
}

/* 22,072 seeds x 0.9 viable x 0.14 emerging x 0.9 surviving are 2,503 plants untreated (viability:
 * Meadows & Yadav 2024; emergence: Hartzler & Buhler; survival: Hartzler, Battles & Nordby 2004);
 * 5 % of them escape control and cost 10 each. */
static void loss_per_seed_is_the_chain_from_seed_to_money(void **state)
{
    (void)state;
    sb_feature *feature = support_add_square(&draft, "A", -98, 46, 0.01, 10);
    support_say(feature, "weed:kochia", "0");
    support_say(feature, "worth", "3");
    feature = support_add_square(&draft, "B", -98.1, 46, 0.01, 20);
    support_say(feature, "weed:waterhemp:plants_m2", "1");
    join();
    assert_float_equal(22072 * season->fields[0].loss_per_seed[0] / 3, 2503 * 0.05 * 10, 0.5);
    /* At the crowding density three quarters of the harm is done. */
    assert_float_equal(season->fields[1].occupied[0], 0.75, 1e-12);
    assert_float_equal(season->fields[1].loss_per_seed[0],
                       season->fields[0].loss_per_seed[0] / 3 / 4, 1e-12);
}

/* ---- Yards, machines, distances ---- */

static void yards_and_distances_follow_from_the_points(void **state)
{
    (void)state;
    support_add_square(&draft, "A", -98.005, 45.995, 0.01, 10);
    support_say(support_add_waypoint(&draft, "Shop", -98, 47, 50), "role", "yard");
    join();
    assert_int_equal(season->n_yards, 1);
    assert_string_equal(season->yards[0].name, "Shop");
    assert_int_equal(season->n_places, 2);
    /* One degree of the meridian from 46 N: 111.16 km (111,132.954 - 559.822 cos 2 lat +
     * 1.175 cos 4 lat at 46.5: the usual series for WGS84, from memory). */
    assert_float_equal(sb_season_km(season, 0, 1), 1.3 * 111.161, 0.01);
    assert_float_equal(sb_season_km(season, 1, 0), sb_season_km(season, 0, 1), 0);
    assert_float_equal(sb_season_km(season, 0, 0), 0, 0);
    assert_int_equal(sb_season_yard_place(season, 0), 1);
}

static void without_a_yard_the_centre_of_the_fields_serves(void **state)
{
    (void)state;
    support_add_square(&draft, "A", 179.98, 46, 0.01, 10);
    support_add_square(&draft, "B", -179.99, 46.02, 0.01, 20);
    join();
    assert_int_equal(season->n_yards, 1);
    assert_float_equal(fabs(season->yards[0].place.lon_deg), 180, 0.01);
    assert_float_equal(season->yards[0].place.lat_deg, 46.015, 0.001);
    assert_true(sb_season_km(season, 0, 1) < 10);
    assert_true(said(SB_NOTE, NULL, 0,
                     "no yard is given: the machine starts from and returns to the centre of the "
                     "fields"));
    assert_non_null(assumed("yard: the centre of the fields"));
}

static void a_large_season_measures_when_asked(void **state)
{
    (void)state;
    for (int i = 0; i < SB_MAX_KM_PLACES; i++)
        support_add_square(&draft, NULL, -98 + 0.02 * (i % 16), 46 + 0.02 * (i / 16), 0.01, 10);
    join();
    assert_null(season->km);
    double km = sb_season_km(season, 0, 17);
    assert_float_equal(
        km, 1.3 * sb_distance_m(season->fields[0].place, season->fields[17].place) / 1000, 1e-12);
    assert_float_equal(sb_season_km(season, 17, 0), km, 0);
    assert_float_equal(sb_season_km(season, 3, 3), 0, 0);
}

static void set_table(size_t n, const char *const *names, const double *km)
{
    draft.travel.file = sb_draft_file(&draft, "roads.csv");
    draft.travel.n = n;
    draft.travel.names = sb_alloc(n, sizeof(char *));
    draft.travel.km = sb_alloc(n * n, sizeof(double));
    for (size_t i = 0; i < n; i++)
        draft.travel.names[i] = sb_strdup(names[i]);
    memcpy(draft.travel.km, km, n * n * sizeof *km);
}

static void a_travel_table_replaces_the_straight_line(void **state)
{
    (void)state;
    support_add_square(&draft, "A", -98, 46, 0.01, 10);
    support_add_square(&draft, "B", -98.1, 46, 0.01, 20);
    support_say(support_add_waypoint(&draft, "Shop", -98, 47, 50), "role", "yard");
    set_table(4, (const char *const[]){"Shop", "B", "Elsewhere", "A"},
              (const double[]){0, 12, 1, 10, 13, 0, 1, NAN, 1, 1, 0, 1, 11, 4, 1, 0});
    join();
    assert_true(season->km_from_table);
    assert_float_equal(sb_season_km(season, 0, 1), 4, 0); /* A to B */
    assert_true(isnan(sb_season_km(season, 1, 0)));       /* no way back */
    assert_float_equal(sb_season_km(season, 2, 0), 10, 0);
    assert_float_equal(sb_season_km(season, 0, 2), 11, 0);
    assert_null(assumed("roads"));
}

static void a_machine_may_start_from_a_field_already_cut(void **state)
{
    (void)state;
    support_add_square(&draft, "A", -98, 46, 0.01, 10);
    sb_feature *feature = support_add_square(&draft, "Old", -98.1, 46, 0.01, 20);
    support_say(feature, "role", "cut");
    support_say(feature, "crop", "soybean");
    support_say(feature, "weed:waterhemp:plants_m2", "0.01");
    sb_machine *machine = &draft.setup.machines[0];
    machine->start = SB_START_FIELD;
    machine->start_field = sb_strdup("Old");
    machine->start_cleanout = sb_strdup("blowdown");
    join();
    assert_int_equal(season->n_fields, 1);
    const struct sb_machine_join *joined = &season->joins[0];
    assert_int_equal(joined->start_cleanout, 1);
    assert_int_equal(joined->final_cleanout, -1);
    /* Lodged pool of the tank: 14 kg x 0.35 x 661.8 seeds/kg x (1 - exp(-T/100)) x 0.95 kept. */
    double grain_t = 86.0 * 3.4; /* about */
    double expected = 14 * 0.35 * 661.76 * (1 - exp(-grain_t / 100)) * 0.95;
    double held = joined->start_seeds[sb_pool(4, true) * SB_MAX_WEEDS];
    assert_float_equal(held / expected, 1, 0.01);
    /* Loose pool of the header, long saturated: 6.72 x 0.7 x 661.8 x 0.25. */
    held = joined->start_seeds[sb_pool(0, false) * SB_MAX_WEEDS];
    assert_float_equal(held, 6.72 * 0.7 * (4.5e6 / 6800) * 0.25, 1e-6);
}

static void a_machine_may_start_with_a_known_load(void **state)
{
    (void)state;
    support_add_square(&draft, "A", -98, 46, 0.01, 10);
    sb_machine *machine = &draft.setup.machines[0];
    machine->start = SB_START_LOAD;
    machine->start_loads = sb_alloc(1, sizeof *machine->start_loads);
    machine->n_start_loads = 1;
    machine->start_loads[0] =
        (sb_known_load){sb_strdup("rock_trap"), sb_strdup("kochia"), 1000, 20000, 7};
    machine->final_cleanout = sb_strdup("deep");
    join();
    const double *seeds = season->joins[0].start_seeds;
    assert_float_equal(seeds[sb_pool(1, false) * SB_MAX_WEEDS + 1], 1000, 0);
    assert_float_equal(seeds[sb_pool(1, true) * SB_MAX_WEEDS + 1], 20000, 0);
    assert_int_equal(season->joins[0].final_cleanout, 3);
    assert_non_null(assumed("Kochia: seeds per plant 20000"));
}

/* ---- What is assumed ---- */

static void standing_ripe_at_no_price_is_told(void **state)
{
    (void)state;
    support_add_square(&draft, "A", -98, 46, 0.01, 10);
    support_say(support_add_square(&draft, "B", -98.1, 46, 0.01, 20), "best_before", "2026-08-20");
    support_add_square(&draft, "C", -98.2, 46, 0.01, 30);
    join();
    assert_string_equal(assumed("no best_before")->text,
                        "no best_before date, standing ripe costs nothing: A, C");
}

static void every_field_standing_at_no_price_is_one_line(void **state)
{
    (void)state;
    support_add_square(&draft, "A", -98, 46, 0.01, 10);
    support_add_square(&draft, "B", -98.1, 46, 0.01, 20);
    join();
    assert_string_equal(assumed("no best_before")->text,
                        "no best_before date, standing ripe costs nothing: all 2 fields");
}

static void only_what_the_answer_uses_is_listed(void **state)
{
    (void)state;
    sb_feature *feature = support_add_square(&draft, "A", -98, 46, 0.01, 10);
    support_say(feature, "crop", "wheat");
    support_say(feature, "yield_t_ha", "4");
    support_say(feature, "weed:kochia", "3");
    support_add_square(&draft, "B", -98.1, 46, 0.01, 20);
    draft.setup.weeds[1].control = 0.99;
    draft.setup.weeds[1].given = SB_GIVEN_BIT(offsetof(sb_weed, control));
    join();
    const sb_assumption *kochia = assumed("Kochia: ");
    assert_non_null(kochia);
    assert_null(strstr(kochia->text, "control"));
    assert_non_null(strstr(kochia->source, "Burton et al. 2017"));
    assert_null(assumed("Waterhemp: "));
    assert_string_equal(assumed("Wheat: ")->text, "Wheat: 0.9 kg other material per kg grain");
    assert_string_equal(assumed("Soybean: ")->text,
                        "Soybean: 3.4 t/ha where no yield is stated, 1 kg other material per kg "
                        "grain");
    assert_null(assumed("Corn: "));
    assert_string_equal(assumed("crop: ")->text, "crop: Soybean in the 1 field that names none");
    assert_string_equal(assumed("taken as clean")->text,
                        "taken as clean because unrated: Kochia in 1 of 2 fields");
    assert_string_equal(assumed("calendar: ")->text, "calendar: starts on 2026-08-01");
    assert_non_null(strstr(assumed("calendar: ")->source, "neither a start nor a `ready` day"));
    assert_string_equal(assumed("working day: ")->text, "working day: 10 hours, from 9 o'clock");
    assert_string_equal(assumed("working day: ")->source, "assumed: dew has to dry first");
    assert_non_null(assumed("Blow down: "));
    assert_null(assumed("No cleanout: "));
}

/* ---- Out of memory ---- */

static void fill_draft(void)
{
    sb_feature *feature = support_add_square(&draft, "A", -98, 46, 0.01, 10);
    support_say(feature, "weed:kochia", "3");
    feature->folder = sb_strdup("Ada");
    support_say(support_add_square(&draft, NULL, -98.1, 46, 0.01, 20), "after", "A");
    support_say(support_add_waypoint(&draft, "P", -97.995, 46.005, 30), "weed:kochia", "2");
    support_say(support_add_waypoint(&draft, "Shop", -98, 46.1, 40), "role", "yard");
}

static void a_shut_allocation_door_leaves_nothing_behind(void **state)
{
    (void)state;
    sb_draft_release(&draft);
    long live = sb_mem_live();
    for (long budget = 0;; budget++) {
        assert_int_equal(sb_draft_init(&draft), SB_OK);
        fill_draft();
        sb_mem_set_budget(budget);
        sb_status status = sb_season_join(&draft, NULL, &season);
        sb_mem_set_budget(-1);
        if (status == SB_OK) {
            assert_true(budget > 100);
            break;
        }
        assert_int_equal(status, SB_ERR_NOMEM);
        assert_null(season);
        assert_int_equal(sb_mem_live(), live);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
        TEST(a_field_takes_what_its_attributes_say),
        TEST(what_is_laid_over_later_wins_and_after_lists_add_up),
        TEST(after_lists_may_be_one_name_or_split_at_commas_or_blanks),
        TEST(growers_come_from_the_outermost_folder),
        TEST(a_point_with_an_area_is_a_field),
        TEST(nameless_fields_get_numbers_that_are_free),
        TEST(scouting_points_give_mean_spread_and_extremes),
        TEST(densities_find_their_class),
        TEST(seeds_per_kg_follow_from_the_density),
        TEST(occupied_is_the_slope_of_the_published_hyperbola),
        TEST(loss_per_seed_is_the_chain_from_seed_to_money),
        TEST(yards_and_distances_follow_from_the_points),
        TEST(without_a_yard_the_centre_of_the_fields_serves),
        TEST(a_large_season_measures_when_asked),
        TEST(a_travel_table_replaces_the_straight_line),
        TEST(a_machine_may_start_from_a_field_already_cut),
        TEST(a_machine_may_start_with_a_known_load),
        TEST(standing_ripe_at_no_price_is_told),
        TEST(every_field_standing_at_no_price_is_one_line),
        TEST(only_what_the_answer_uses_is_listed),
        TEST(a_shut_allocation_door_leaves_nothing_behind),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
