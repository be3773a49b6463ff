/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "geo/geo.h"

#define RING(...)                                                       \
    {                                                                   \
        .items = (sb_lonlat[]){__VA_ARGS__},                            \
        .count = sizeof((sb_lonlat[]){__VA_ARGS__}) / sizeof(sb_lonlat) \
    }
#define SQUARE RING({5, 52}, {5.01, 52}, {5.01, 52.01}, {5, 52.01})

static sb_flaw flaw_of(sb_part part)
{
    sb_flaw flaw;
    assert_int_equal(sb_parts_flaw(&part, 1, &flaw), SB_OK);
    return flaw;
}

static void assert_flaw(sb_part part, const char *reason, double lon_deg, double lat_deg)
{
    sb_flaw flaw = flaw_of(part);
    assert_true(flaw.found);
    assert_string_equal(flaw.reason, reason);
    assert_true(fabs(flaw.where.lon_deg - lon_deg) < 1e-9);
    assert_true(fabs(flaw.where.lat_deg - lat_deg) < 1e-9);
}

static void a_square_with_a_hole_is_sound(void **state)
{
    (void)state;
    sb_ring holes[] = {RING({5.002, 52.002}, {5.004, 52.002}, {5.004, 52.004})};
    assert_false(flaw_of((sb_part){.outer = SQUARE, .holes = holes, .n_holes = 1}).found);
}

static void a_ring_that_crosses_itself_is_named_with_the_place(void **state)
{
    (void)state;
    sb_part bowtie = {.outer = RING({5, 52}, {5.01, 52.01}, {5.01, 52}, {5, 52.01})};
    assert_flaw(bowtie, "ring crosses itself", 5.005, 52.005);
    assert_false(flaw_of(bowtie).touches_only);
    sb_part across = {.outer =
                          RING({179.995, 52}, {-179.995, 52.01}, {-179.995, 52}, {179.995, 52.01})};
    sb_flaw flaw = flaw_of(across);
    assert_string_equal(flaw.reason, "ring crosses itself");
    assert_true(fabs(fabs(flaw.where.lon_deg) - 180) < 1e-9);
}

static void a_ring_that_only_touches_itself_is_doubtful(void **state)
{
    (void)state;
    /* A notch whose tip reaches back to a vertex of the far edge. */
    sb_part notch = {.outer = RING({5, 52}, {5.005, 52}, {5.01, 52}, {5.01, 52.01}, {5.006, 52.01},
                                   {5.007, 52.005}, {5.005, 52}, {5.003, 52.005}, {5.004, 52.01},
                                   {5, 52.01})};
    sb_flaw flaw = flaw_of(notch);
    assert_true(flaw.found);
    assert_string_equal(flaw.reason, "ring pinches the area into separate pieces");
    /* A hole drawn as part of the outer ring: it leaves and comes back to one vertex. */
    sb_part inverted = {.outer = RING({5, 52}, {5.01, 52}, {5.01, 52.01}, {5, 52.01}, {5, 52.005},
                                      {5.004, 52.007}, {5.004, 52.003}, {5, 52.005})};
    flaw = flaw_of(inverted);
    assert_true(flaw.found);
    assert_true(flaw.touches_only);
    assert_string_equal(flaw.reason, "ring touches itself");
    sb_part both[] = {inverted, {.outer = RING({5.01, 52}, {5.02, 52}, {5.02, 52.01})}};
    assert_int_equal(sb_parts_flaw(both, 2, &flaw), SB_OK);
    assert_true(flaw.touches_only);
}

static void holes_and_parts_out_of_place_are_found(void **state)
{
    (void)state;
    sb_ring outside[] = {RING({6, 52}, {6.004, 52}, {6.004, 52.004})};
    assert_string_equal(flaw_of((sb_part){.outer = SQUARE, .holes = outside, .n_holes = 1}).reason,
                        "hole lies outside its outer ring");
    sb_part parts[] = {{.outer = SQUARE},
                       {.outer = RING({5.002, 52.002}, {5.004, 52.002}, {5.004, 52.004})}};
    sb_flaw flaw;
    assert_int_equal(sb_parts_flaw(parts, 2, &flaw), SB_OK);
    assert_string_equal(flaw.reason, "part overlaps another part");
}

static void parts_may_share_a_fence_but_no_land(void **state)
{
    (void)state;
    sb_part parts[] = {{.outer = SQUARE},
                       {.outer = RING({5.01, 52}, {5.02, 52}, {5.02, 52.02}, {5.01, 52.02})}};
    sb_flaw flaw;
    assert_int_equal(sb_parts_flaw(parts, 2, &flaw), SB_OK);
    assert_false(flaw.found);
    parts[1].outer.items[0].lon_deg = parts[1].outer.items[3].lon_deg = 5.009;
    assert_int_equal(sb_parts_flaw(parts, 2, &flaw), SB_OK);
    assert_string_equal(flaw.reason, "part overlaps another part");
    assert_false(flaw.touches_only);
    assert_true(fabs(flaw.where.lon_deg - 5.0095) <= 0.0006 && flaw.where.lat_deg <= 52.011);
}

static void a_ring_round_a_pole_or_too_short_is_found(void **state)
{
    (void)state;
    assert_flaw((sb_part){.outer = RING({0, 89}, {90, 89}, {180, 89}, {-90, 89})},
                "ring goes round a pole", 0, 89);
    assert_flaw((sb_part){.outer = RING({5, 52}, {6, 52})}, "ring has fewer than 3 vertices", 5,
                52);
}

static void no_memory_is_reported_and_nothing_is_leaked(void **state)
{
    (void)state;
    sb_part part = {.outer = SQUARE};
    sb_flaw flaw;
    sb_lonlat place;
    long live = sb_mem_live();
    for (long budget = 0; budget < 2; budget++) {
        sb_mem_set_budget(budget);
        assert_int_equal(sb_parts_flaw(&part, 1, &flaw), SB_ERR_NOMEM);
        sb_mem_set_budget(budget);
        assert_int_equal(sb_parts_place(&part, 1, &place), SB_ERR_NOMEM);
        sb_mem_set_budget(-1);
        assert_int_equal(sb_mem_live(), live);
    }
}

static void places_inside_and_outside_are_told_apart(void **state)
{
    (void)state;
    sb_ring holes[] = {RING({5.002, 52.002}, {5.004, 52.002}, {5.004, 52.004}, {5.002, 52.004})};
    sb_part part = {.outer = SQUARE, .holes = holes, .n_holes = 1};
    assert_true(sb_part_contains(&part, (sb_lonlat){5.001, 52.001}));
    assert_false(sb_part_contains(&part, (sb_lonlat){5.003, 52.003}));
    assert_false(sb_part_contains(&part, (sb_lonlat){5.011, 52.005}));
    assert_false(sb_part_contains(&part, (sb_lonlat){5.005, 52.011}));
    sb_part across = {.outer =
                          RING({179.995, 52}, {-179.995, 52}, {-179.995, 52.01}, {179.995, 52.01})};
    assert_true(sb_part_contains(&across, (sb_lonlat){-179.999, 52.005}));
    assert_true(sb_part_contains(&across, (sb_lonlat){180, 52.005}));
    assert_false(sb_part_contains(&across, (sb_lonlat){0, 52.005}));
    assert_false(sb_part_contains(&(sb_part){0}, (sb_lonlat){0, 0}));
}

static void the_place_of_a_field_is_its_centroid(void **state)
{
    (void)state;
    sb_part parts[] = {{.outer = RING({4, 52}, {4.001, 52}, {4.001, 52.001})}, {.outer = SQUARE}};
    sb_lonlat place;
    assert_int_equal(sb_parts_place(parts, 2, &place), SB_OK);
    assert_true(fabs(place.lon_deg - 5.005) < 1e-9);
    assert_true(fabs(place.lat_deg - 52.005) < 1e-9);
    sb_part across = {.outer =
                          RING({179.995, 52}, {-179.995, 52}, {-179.995, 52.01}, {179.995, 52.01})};
    assert_int_equal(sb_parts_place(&across, 1, &place), SB_OK);
    assert_true(fabs(fabs(place.lon_deg) - 180) < 1e-9);
}

static void the_place_of_a_hooked_field_still_lies_inside(void **state)
{
    (void)state;
    sb_part hook = {.outer = RING({5, 52}, {5.03, 52}, {5.03, 52.03}, {5, 52.03}, {5, 52.029},
                                  {5.029, 52.029}, {5.029, 52.001}, {5, 52.001})};
    sb_lonlat place;
    assert_int_equal(sb_parts_place(&hook, 1, &place), SB_OK);
    assert_true(sb_part_contains(&hook, place));
}

static void an_outline_without_inside_still_has_a_place(void **state)
{
    (void)state;
    sb_part flat = {.outer = RING({5, 52}, {5.01, 52}, {5.02, 52})};
    sb_lonlat place;
    assert_int_equal(sb_parts_place(&flat, 1, &place), SB_OK);
    assert_true(place.lat_deg == 52 && place.lon_deg >= 5 && place.lon_deg <= 5.02);
    assert_int_equal(sb_parts_place(NULL, 0, &place), SB_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_square_with_a_hole_is_sound),
        cmocka_unit_test(a_ring_that_crosses_itself_is_named_with_the_place),
        cmocka_unit_test(a_ring_that_only_touches_itself_is_doubtful),
        cmocka_unit_test(holes_and_parts_out_of_place_are_found),
        cmocka_unit_test(parts_may_share_a_fence_but_no_land),
        cmocka_unit_test(a_ring_round_a_pole_or_too_short_is_found),
        cmocka_unit_test(no_memory_is_reported_and_nothing_is_leaked),
        cmocka_unit_test(places_inside_and_outside_are_told_apart),
        cmocka_unit_test(the_place_of_a_field_is_its_centroid),
        cmocka_unit_test(the_place_of_a_hooked_field_still_lies_inside),
        cmocka_unit_test(an_outline_without_inside_still_has_a_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
