/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Copies of a season, whole and in part, that share nothing with it. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "drafts.h"
#include "season/season.h"

#define SQUARE(name, west, east, data)                                                       \
    "<Placemark><name>" name "</name><ExtendedData>" data "</ExtendedData><Polygon>"         \
    "<outerBoundaryIs><LinearRing><coordinates>" west ",47 " east ",47 " east ",47.01 " west \
    ",47.01 " west ",47</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>\n"
#define DATA(name, value) "<Data name='" name "'><value>" value "</value></Data>"
#define POINT(name, lon, data)                                                     \
    "<Placemark><name>" name "</name><ExtendedData>" data "</ExtendedData><Point>" \
    "<coordinates>" lon ",47.005</coordinates></Point></Placemark>\n"

static const char FIELDS[] = "<kml><Document>\n" SQUARE(
    "A", "-100", "-99.99",
    DATA("grower", "Ash") DATA("crop", "wheat") DATA("weed:kochia", "4") DATA("worth", "2"))
    SQUARE("B", "-99.98", "-99.97",
           DATA("grower", "Birch") DATA("crop", "corn") DATA("weed:kochia", "1") DATA("after", "A"))
        SQUARE("C", "-99.96", "-99.95",
               DATA("grower", "Ash") DATA("weed:waterhemp", "2") DATA("after", "A;B")
                   DATA("limit:kochia", "50"))
            SQUARE("Old", "-99.94", "-99.93", DATA("role", "cut") DATA("weed:kochia", "5"))
                POINT("walk", "-99.975", DATA("role", "scout") DATA("weed:waterhemp", "3"))
                    POINT("Shop", "-100.01", DATA("role", "yard"))
                        POINT("Barn", "-99.9", DATA("role", "yard")) "</Document></kml>";

static const char SETUP[] =
    "<season xmlns='urn:seedbreak:season:1' currency='EUR'>\n"
    "<limits><grower name='Birch' loss='250'/></limits><calendar start='2026-08-01'><blocked "
    "date='2026-08-03'/></calendar>\n"
    "<scale id='own' name='Ours'><class label='0' plants_m2='0' low='0' high='0'/>"
    "<class label='1' plants_m2='0.01' low='0.001' high='0.1'/><class label='2' plants_m2='0.2' "
    "low='0.1' high='0.5'/><class label='3' plants_m2='1' low='0.5' high='2'/><class label='4' "
    "plants_m2='3' low='2' high='5'/><class label='5' plants_m2='9' low='5' high='20'/></scale>\n"
    "<machine id='one' yard='Shop'><start field='Old' cleanout='blowdown'/></machine>\n"
    "<machine id='two' yard='Barn' final_cleanout='deep'><rate crop='corn' ha_per_hour='2.5'/>"
    "<start><load weed='kochia' section='rock_trap' loose_seeds='10' lodged_seeds='20'/></start>"
    "</machine></season>";

static sb_season *read_season(void)
{
    char fields[SUPPORT_PATH_BYTES], setup[SUPPORT_PATH_BYTES];
    const char *paths[] = {support_file("fields.kml", FIELDS, strlen(FIELDS), fields),
                           support_file("season.xml", SETUP, strlen(SETUP), setup)};
    sb_report *report = sb_report_new();
    sb_season *season = NULL;
    sb_status status = sb_season_read(paths, 2, NULL, report, &season);
    for (size_t i = 0; status != SB_OK && i < sb_report_count(report); i++)
        print_message("%s\n", sb_report_get(report, i).text);
    assert_int_equal(status, SB_OK);
    sb_report_free(report);
    return season;
}

/* Everything that `check` prints of a season: text, then JSON. */
static void print_all(const sb_season *season, char *out, size_t size)
{
    sb_report *none = sb_report_new();
    FILE *stream = tmpfile();
    assert_int_equal(sb_print_check(season, none, stream), SB_OK);
    assert_int_equal(sb_print_check_json(season, none, stream), SB_OK);
    rewind(stream);
    size_t n = fread(out, 1, size - 1, stream);
    assert_true(n > 1000 && n < size - 1);
    out[n] = '\0';
    fclose(stream);
    sb_report_free(none);
}

static void a_whole_copy_outlives_its_season_and_prints_the_same(void **state)
{
    (void)state;
    static char before[1 << 16], after[1 << 16];
    sb_season *season = read_season(), *copy;
    print_all(season, before, sizeof before);
    assert_int_equal(sb_season_copy(season, NULL, NULL, &copy), SB_OK);
    sb_season_free(season);
    print_all(copy, after, sizeof after);
    assert_string_equal(before, after);
    assert_int_equal(copy->setup.cleanouts[3].n_counted, 3);
    assert_string_equal(copy->setup.cleanouts[3].counted[1].name, "wood pellets");
    assert_string_equal(copy->setup.cleanouts[3].counted[1].unit, "kg");
    assert_true(copy->setup.cleanouts[3].counted[1].amount == 11);
    assert_string_equal(copy->fields[0].file, copy->files.items[0]);
    assert_ptr_equal(copy->setup.machines[1].file, copy->files.items[1]);
    assert_ptr_equal(copy->setup.grower_caps[0].file, copy->files.items[1]);
    assert_ptr_equal(copy->setup.currency_at.file, copy->files.items[1]);
    assert_ptr_equal(copy->setup.blocked_at.file, copy->files.items[1]);
    assert_true(copy->grower_most[copy->fields[1].grower] == 250);
    assert_float_equal(copy->setup.machines[1].start_loads[0].lodged_seeds, 20, 0);
    assert_string_equal(copy->fields[1].points[0].name, "walk");
    sb_season_free(copy);
}

static void a_part_is_numbered_anew(void **state)
{
    (void)state;
    sb_season *season = read_season(), *copy;
    const bool fields[] = {false, true, true}, machines[] = {false, true};
    double b_to_c_km = sb_season_km(season, 1, 2);
    double barn_to_b_km = sb_season_km(season, sb_season_yard_place(season, 1), 1);
    assert_int_equal(sb_season_copy(season, fields, machines, &copy), SB_OK);
    assert_int_equal(copy->n_fields, 2);
    assert_int_equal(copy->setup.n_machines, 1);
    assert_string_equal(copy->fields[0].name, "B");
    assert_string_equal(copy->setup.machines[0].id, "two");
    assert_int_equal(copy->fields[0].n_after, 0); /* the rule went with A */
    assert_int_equal(copy->fields[1].n_after, 1);
    assert_int_equal(copy->fields[1].after[0], 0); /* B */
    assert_float_equal(sb_season_km(copy, 0, 1), b_to_c_km, 0);
    assert_float_equal(sb_season_km(copy, sb_season_yard_place(copy, 0), 0), barn_to_b_km, 0);
    assert_string_equal(copy->growers[copy->fields[0].grower], "Birch");
    assert_int_equal(copy->joins[0].final_cleanout, season->joins[1].final_cleanout);
    assert_memory_equal(copy->joins[0].start_seeds, season->joins[1].start_seeds,
                        sizeof copy->joins[0].start_seeds);
    assert_float_equal(sb_season_cutting_hours(copy, 0, 0), sb_season_cutting_hours(season, 1, 1),
                       0);
    sb_season_free(season);
    sb_season_free(copy);
}

static void nothing_kept_is_the_callers_mistake(void **state)
{
    (void)state;
    sb_season *season = read_season(), *copy = season;
    const bool no_machines[2] = {false};
    assert_int_equal(sb_season_copy(season, NULL, no_machines, &copy), SB_ERR_ARG);
    assert_null(copy);
    sb_season_free(season);
}

/* The machines may still have to go home. */
static void a_copy_may_have_no_field(void **state)
{
    (void)state;
    sb_season *season = read_season(), *copy;
    const bool no_fields[3] = {false};
    assert_int_equal(sb_season_copy(season, no_fields, NULL, &copy), SB_OK);
    assert_int_equal(copy->n_fields, 0);
    assert_int_equal(copy->setup.n_machines, season->setup.n_machines);
    for (size_t a = 0; a < season->n_yards; a++)
        for (size_t b = 0; b < season->n_yards; b++)
            assert_float_equal(
                sb_season_km(copy, (int)a, (int)b),
                sb_season_km(season, (int)(season->n_fields + a), (int)(season->n_fields + b)), 0);
    sb_season_free(copy);
    sb_season_free(season);
}

static void a_changed_copy_is_worked_out_anew(void **state)
{
    (void)state;
    sb_season *season = read_season(), *copy;
    assert_int_equal(sb_season_copy(season, NULL, NULL, &copy), SB_OK);
    int kochia = sb_find_weed(&copy->setup, "kochia");
    const sb_field *was = &season->fields[0];
    sb_field *now = &copy->fields[0];
    sb_season_derive(copy);
    assert_memory_equal(was->seeds_per_kg, now->seeds_per_kg, sizeof was->seeds_per_kg);
    assert_memory_equal(was->loss_per_seed, now->loss_per_seed, sizeof was->loss_per_seed);
    assert_float_equal(was->grain_t, now->grain_t, 0);
    assert_float_equal(was->delay_cost_per_day, now->delay_cost_per_day, 0);

    now->ratings[kochia].density_plants_m2 *= 3;
    now->yield_t_ha *= 2;
    copy->setup.weeds[kochia].cost_per_plant *= 5;
    double occupied = now->occupied[kochia];
    sb_season_derive(copy);
    assert_float_equal(now->seeds_per_kg[kochia], 1.5 * was->seeds_per_kg[kochia], 1e-9);
    assert_true(now->occupied[kochia] > occupied);
    assert_float_equal(now->loss_per_seed[kochia] / (1 - now->occupied[kochia]),
                       5 * was->loss_per_seed[kochia] / (1 - was->occupied[kochia]), 1e-12);
    assert_float_equal(now->grain_t, 2 * was->grain_t, 1e-9);
    sb_season_free(season);
    sb_season_free(copy);
}

static void no_memory_at_any_allocation_leaks_nothing(void **state)
{
    (void)state;
    sb_season *season = read_season(), *copy = season;
    const bool fields[] = {true, false, true};
    long live = sb_mem_live();
    sb_status status = SB_ERR_NOMEM;
    long budget = 0;
    for (; status == SB_ERR_NOMEM; budget++) {
        sb_mem_set_budget(budget);
        status = sb_season_copy(season, fields, NULL, &copy);
        sb_mem_set_budget(-1);
        if (status == SB_ERR_NOMEM) {
            assert_null(copy);
            assert_int_equal(sb_mem_live(), live);
        }
    }
    assert_int_equal(status, SB_OK);
    assert_true(budget > 100);
    sb_season_free(copy);
    assert_int_equal(sb_mem_live(), live);
    sb_season_free(season);
}

static int remove_files(void **state)
{
    (void)state;
    support_folder_remove();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_whole_copy_outlives_its_season_and_prints_the_same),
        cmocka_unit_test(a_part_is_numbered_anew),
        cmocka_unit_test(nothing_kept_is_the_callers_mistake),
        cmocka_unit_test(a_copy_may_have_no_field),
        cmocka_unit_test(a_changed_copy_is_worked_out_anew),
        cmocka_unit_test(no_memory_at_any_allocation_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, remove_files);
}
