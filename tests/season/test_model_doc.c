/* SPDX-License-Identifier: GPL-3.0-or-later */
/* docs/model.md prints every default: its tables are compared with the built-in season. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"
#include "season/setup.h"

#define MAX_CELLS 16
#define MAX_DOC 100000

static char doc[MAX_DOC];
static sb_setup setup;

static int read_doc(void **state)
{
    (void)state;
    const char *source = getenv("SEEDBREAK_SOURCE");
    sb_text path = {0};
    sb_text_addf(&path, "%s/docs/model.md", source != NULL ? source : ".");
    FILE *file = fopen(path.bytes, "r");
    sb_text_release(&path);
    if (file == NULL)
        return -1;
    size_t n = fread(doc, 1, sizeof doc - 1, file);
    doc[n] = '\0';
    fclose(file);
    if (n == 0 || n == sizeof doc - 1)
        return -1;
    return sb_setup_builtin(&setup) == SB_OK ? 0 : -1;
}

static int forget_doc(void **state)
{
    (void)state;
    sb_setup_release(&setup);
    return 0;
}

/* The cells of the row that begins with "| ID |" below a heading; fails when there is none. */
static size_t row(const char *heading, const char *id, char line[1024], char *cells[MAX_CELLS])
{
    sb_text start = {0};
    sb_text_addf(&start, "\n| %s |", id);
    const char *section = strstr(doc, heading);
    const char *at = section != NULL ? strstr(section, start.bytes) : NULL;
    sb_text_release(&start);
    if (at == NULL)
        fail_msg("no row '%s' under '%s'", id, heading);
    snprintf(line, 1024, "%.*s", (int)strcspn(at + 1, "\n"), at + 1);
    size_t n = 0;
    for (char *cell = strtok(line, "|"); cell != NULL && n < MAX_CELLS; cell = strtok(NULL, "|"))
        cells[n++] = sb_trim(cell);
    return n;
}

static void assert_same(const char *cell, double value)
{
    double printed = NAN;
    assert_true(sb_parse_double(cell, &printed));
    if (fabs(printed - value) > 1e-6 * fabs(value))
        fail_msg("the document says %s, the code %g", cell, value);
}

static void assert_row(const char *heading, const char *id, const double *values, size_t n)
{
    char line[1024], *cells[MAX_CELLS];
    assert_int_equal(row(heading, id, line, cells), n + 1);
    for (size_t i = 0; i < n; i++)
        assert_same(cells[i + 1], values[i]);
}

static void the_document_prints_the_weeds(void **state)
{
    (void)state;
    for (size_t w = 0; w < setup.n_weeds; w++) {
        const sb_weed *weed = &setup.weeds[w];
        char line[1024], *cells[MAX_CELLS];
        assert_int_equal(row("### Weeds", weed->id, line, cells), 11);
        const double values[] = {
            weed->seeds_per_plant, weed->retained,          weed->header_loss, NAN,
            weed->viability,       weed->emergence,         weed->survival,    weed->control,
            weed->cost_per_plant,  weed->crowding_plants_m2};
        for (size_t i = 0; i < 10; i++)
            if (i != 3)
                assert_same(cells[i + 1], values[i]);
        assert_string_equal(cells[4], weed->large_seed ? "large" : "small");
    }
}

static void the_document_prints_the_crops(void **state)
{
    (void)state;
    for (size_t c = 0; c < setup.n_crops; c++) {
        const sb_crop *crop = &setup.crops[c];
        const double values[] = {crop->yield_t_ha, crop->mog_per_grain, crop->price_per_t,
                                 crop->delay_per_day};
        assert_row("### Crops", crop->id, values, 4);
    }
}

static void the_document_prints_the_machine(void **state)
{
    (void)state;
    for (size_t s = 0; s < setup.n_sections; s++) {
        const sb_section *section = &setup.machines[0].sections[s];
        const double values[] = {
            section->kg,           section->lodged_share,     section->tau_loose_t,
            section->tau_lodged_t, section->tank_share_small, section->tank_share_large};
        assert_row("### The machine", section->id, values, 6);
    }
}

static void the_document_prints_the_cleanouts(void **state)
{
    (void)state;
    for (size_t l = 0; l < setup.n_cleanouts; l++) {
        const sb_cleanout *level = &setup.cleanouts[l];
        char line[1024], *cells[MAX_CELLS];
        assert_int_equal(row("### Cleanouts", level->id, line, cells), 4 + setup.n_sections);
        assert_same(cells[1], level->minutes);
        assert_same(cells[2], level->people);
        assert_same(cells[3], level->supplies_cost);
        for (size_t s = 0; s < setup.n_sections; s++) {
            char *slash = strchr(cells[4 + s], '/');
            assert_non_null(slash);
            *slash = '\0';
            assert_same(cells[4 + s], level->keep_loose[s]);
            assert_same(slash + 1, level->keep_lodged[s]);
        }
    }
}

static void the_document_prints_the_scales(void **state)
{
    (void)state;
    static const char *const names[] = {"density", "braun_blanquet", "domin", "horsfall_barratt",
                                        "rangeland_cover"};
    for (size_t n = 0; n < sizeof names / sizeof *names; n++) {
        sb_scale scale = {0};
        assert_int_equal(sb_scale_builtin(names[n], &scale), SB_OK);
        char line[1024], *cells[MAX_CELLS];
        assert_int_equal(row("### Scales", names[n], line, cells), 2);
        sb_text expected = {0};
        for (size_t i = 0; i < scale.n_classes; i++)
            sb_text_addf(&expected, "%s%s = %.6g", i > 0 ? ", " : "", scale.labels[i],
                         scale.density_plants_m2[i]);
        assert_string_equal(cells[1], expected.bytes);
        sb_text_release(&expected);
        sb_scale_release(&scale);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_document_prints_the_weeds),
        cmocka_unit_test(the_document_prints_the_crops),
        cmocka_unit_test(the_document_prints_the_machine),
        cmocka_unit_test(the_document_prints_the_cleanouts),
        cmocka_unit_test(the_document_prints_the_scales),
    };
    return cmocka_run_group_tests(tests, read_doc, forget_doc);
}
