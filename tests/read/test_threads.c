/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Different handles from different threads at the same time: every thread reads the same season.
 * (Run it in a build with -Db_sanitize=thread to have every access watched.) */
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "drafts.h"
#include "season/season.h"

#define N_THREADS 4
#define N_TURNS 10

static const char season_text[] =
    "<season xmlns='urn:seedbreak:season:1'><crop id='flax' yield_t_ha='1.5'/>"
    "<field name='North' crop='flax'><rating weed='kochia' rating='3'/></field></season>";
static const char field_text[] =
    "<kml><Placemark><name>North</name><Polygon><outerBoundaryIs><LinearRing><coordinates>-100,47 "
    "-99.99,47 -99.99,47.01 -100,47.01 -100,47</coordinates></LinearRing></outerBoundaryIs>"
    "</Polygon></Placemark></kml>";

static char paths[2][SUPPORT_PATH_BYTES];

/* cmocka's asserts are not for threads: what went wrong comes back as a number. */
static void *read_over_and_over(void *context)
{
    size_t *wrong = context;
    for (int turn = 0; turn < N_TURNS; turn++) {
        const char *both[] = {paths[0], paths[1]};
        sb_report *report = sb_report_new();
        sb_season *season = NULL;
        sb_status status = sb_season_read(both, 2, NULL, report, &season);
        if (status != SB_OK || sb_season_field_count(season) != 1 ||
            strcmp(season->setup.crops[season->fields[0].crop].id, "flax") != 0)
            ++*wrong;
        sb_season_free(season);
        sb_report_free(report);
    }
    return NULL;
}

static void threads_read_side_by_side(void **state)
{
    (void)state;
    support_file("season.xml", season_text, sizeof season_text - 1, paths[0]);
    support_file("field.kml", field_text, sizeof field_text - 1, paths[1]);
    pthread_t threads[N_THREADS];
    size_t wrong[N_THREADS] = {0};
    for (int i = 0; i < N_THREADS; i++)
        assert_int_equal(pthread_create(&threads[i], NULL, read_over_and_over, &wrong[i]), 0);
    for (int i = 0; i < N_THREADS; i++) {
        assert_int_equal(pthread_join(threads[i], NULL), 0);
        assert_int_equal(wrong[i], 0);
    }
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
        cmocka_unit_test(threads_read_side_by_side),
    };
    return cmocka_run_group_tests(tests, NULL, tidy);
}
