/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "drafts.h"
#include "read/travel_csv.h"

typedef struct travel_reading {
    sb_draft draft;
    sb_report *report;
    sb_status status;
} travel_reading;

static travel_reading read_table(const char *text, size_t n)
{
    char path[SUPPORT_PATH_BYTES];
    travel_reading reading = {.report = sb_report_new()};
    assert_int_equal(sb_draft_init(&reading.draft), SB_OK);
    support_file("travel.csv", text, n, path);
    reading.status = sb_travel_read(&reading.draft, path, reading.report);
    return reading;
}

static void release(travel_reading *reading)
{
    sb_report_free(reading->report);
    sb_draft_release(&reading->draft);
}

static double km(const sb_travel_table *table, size_t from, size_t to)
{
    return table->km[from * table->n + to];
}

static void a_table_is_read_by_name_whatever_the_order(void **state)
{
    (void)state;
    static const char text[] = "\xEF\xBB\xBFkm,Shop,\"Hill, East\",Slough\r\n"
                               "Slough, 3.5 ,,0\r\n"
                               "\"Hill, East\",12.25,,7\r\n"
                               "\r\n"
                               "Shop,0,10,4\r\n";
    travel_reading reading = read_table(text, sizeof text - 1);
    assert_int_equal(reading.status, SB_OK);
    const sb_travel_table *table = &reading.draft.travel;
    assert_int_equal(table->n, 3);
    assert_string_equal(table->names[1], "Hill, East");
    assert_true(km(table, 0, 1) == 10); /* Shop to Hill: not the same as back */
    assert_true(km(table, 1, 0) == 12.25);
    assert_true(km(table, 2, 0) == 3.5);
    assert_true(isnan(km(table, 2, 1))); /* empty: no way */
    assert_true(km(table, 1, 1) == 0);   /* empty diagonal */
    release(&reading);
}

static void a_table_from_a_european_spreadsheet_is_read(void **state)
{
    (void)state;
    /* windows-1252, semicolons, decimal commas. */
    static const char text[] = "km;S\xF6"
                               "der;Shop\r\nS\xF6"
                               "der;0;3,5\r\nShop;4,25;0\r\n";
    travel_reading reading = read_table(text, sizeof text - 1);
    assert_int_equal(reading.status, SB_OK);
    assert_int_equal(sb_report_count(reading.report), 1);
    assert_string_equal(sb_report_get(reading.report, 0).text,
                        "bytes that are not UTF-8, expected UTF-8: read as windows-1252");
    const sb_travel_table *table = &reading.draft.travel;
    assert_string_equal(table->names[0], "S\u00f6der");
    assert_true(km(table, 0, 1) == 3.5 && km(table, 1, 0) == 4.25);
    release(&reading);
}

static void bad_tables_are_told_with_their_line(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        size_t line;
        const char *message;
    } cases[] = {
        {"", 0, "empty file, expected a travel table"},
        {"km\n", 1, "no places in the first row, expected their names"},
        {"km,A,\nA,0,1\n", 1, "column 3 without a name, expected the name of a place"},
        {"km,A,A\nA,0,1\n", 1, "a second column 'A', expected names that differ"},
        {"km,A,B\nA,0,1\nA,0,1\n", 3, "a second row 'A', expected names that differ"},
        {"km,A,B\nA,0,1\nC,0,1\n", 3,
         "row 'C' has no column of that name, expected rows and columns for the same places"},
        {"km,A,B\nA,0,1\n", 3,
         "column 'B' has no row of that name, expected rows and columns for the same places"},
        {"km,A,B\nA,0,nan\nB,1,0\n", 2,
         "distance 'nan' to 'B', expected km of 0 or more or an empty cell"},
        {"km,A,B\nA,0,-3\nB,1,0\n", 2,
         "distance '-3' to 'B', expected km of 0 or more or an empty cell"},
        {"km,A,B\nA,0,\"3,5\"\nB,1,0\n", 2,
         "distance '3,5' to 'B', expected km of 0 or more or an empty cell"},
        {"km,A,B\nA,0\nB,1,0\n", 2, "row with 1 cells, expected one for each of the 2 columns"},
        {"km,A,B\nA,0,1,9\nB,1,0\n", 2,
         "row with more than 2 cells, expected one for each named column"},
        {"km,A,B\nA,0,\"1\nB,1,0\n", 4,
         "broken CSV (error parsing data while strict checking enabled), expected cells parted by "
         "commas"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        travel_reading reading = read_table(cases[i].text, strlen(cases[i].text));
        assert_int_equal(reading.status, SB_ERR_INPUT);
        assert_int_equal(sb_report_count(reading.report), 1);
        sb_message message = sb_report_get(reading.report, 0);
        assert_string_equal(message.text, cases[i].message);
        assert_int_equal(message.line, cases[i].line);
        assert_null(reading.draft.travel.names);
        release(&reading);
    }
}

static void a_missing_table_is_a_system_error(void **state)
{
    (void)state;
    sb_draft draft;
    assert_int_equal(sb_draft_init(&draft), SB_OK);
    sb_report *report = sb_report_new();
    assert_int_equal(sb_travel_read(&draft, "no/such/table.csv", report), SB_ERR_SYSTEM);
    assert_string_equal(sb_report_get(report, 0).text, "cannot read: No such file or directory");
    assert_int_equal(sb_travel_read(&draft, support_folder(), report), SB_ERR_INPUT);
    sb_report_free(report);
    sb_draft_release(&draft);
}

static int tidy(void **state)
{
    (void)state;
    support_folder_remove();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_table_is_read_by_name_whatever_the_order),
        cmocka_unit_test(a_table_from_a_european_spreadsheet_is_read),
        cmocka_unit_test(bad_tables_are_told_with_their_line),
        cmocka_unit_test(a_missing_table_is_a_system_error),
    };
    return cmocka_run_group_tests(tests, NULL, tidy);
}
