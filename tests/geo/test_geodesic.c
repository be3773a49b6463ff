/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "geo/geo.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* Half of the last digit that the values below are given with. */
#define SAME_M 5e-7
#define assert_metres(found, expected) assert_true(fabs((found) - (expected)) <= SAME_M)
#define assert_relative(found, expected, tolerance) \
    assert_true(fabs((found) - (expected)) <= (tolerance)*fabs(expected))

static sb_ring ring_of(sb_lonlat *vertices, size_t count)
{
    return (sb_ring){.items = vertices, .count = count, .capacity = count};
}

static double area_m2_of(sb_lonlat *vertices, size_t count)
{
    sb_ring ring = ring_of(vertices, count);
    return sb_ring_area_m2(&ring);
}

static void distances_match_published_values(void **state)
{
    (void)state;
    /* JFK to LHR: the example of C. F. F. Karney, J. Geodesy 87 (2013) 43-55, and of the GeodSolve
     * documentation of GeographicLib, there to the metre: 5551759.400 m. */
    assert_metres(sb_distance_m((sb_lonlat){-73.8, 40.6}, (sb_lonlat){-0.5, 51.6}), 5551759.400319);
    /* JFK to Singapore: GeodSolve man page, "15347628". */
    double jfk_to_sin_m =
        sb_distance_m((sb_lonlat){-73 - 46.0 / 60 - 44.0 / 3600, 40 + 38.0 / 60 + 23.0 / 3600},
                      (sb_lonlat){103 + 59.0 / 60 + 22.0 / 3600, 1 + 21.0 / 60 + 33.0 / 3600});
    assert_true(fabs(jfk_to_sin_m - 15347628) <= 0.5);
    /* Quarter meridian and one degree of the equator of WGS84 (NGA.STND.0036). */
    assert_metres(sb_distance_m((sb_lonlat){0, 0}, (sb_lonlat){0, 90}), 10001965.729313);
    assert_metres(sb_distance_m((sb_lonlat){0, 0}, (sb_lonlat){1, 0}), 111319.490793);
}

static void distance_does_not_depend_on_direction_or_turns(void **state)
{
    (void)state;
    sb_lonlat a = {179.99, 10}, b = {-179.98, 10.01};
    assert_metres(sb_distance_m(a, b), sb_distance_m(b, a));
    assert_metres(sb_distance_m(a, b),
                  sb_distance_m((sb_lonlat){-0.01, 10}, (sb_lonlat){0.02, 10.01}));
    assert_true(sb_distance_m(a, a) == 0);
}

static void areas_match_published_values(void **state)
{
    (void)state;
    /* Antarctica: example of the Planimeter documentation of GeographicLib (C. F. F. Karney). */
    sb_lonlat antarctica[] = {
        {-58, -63.1}, {-74, -72.9}, {-102, -71.9}, {-102, -74.9}, {-131, -74.3}, {-163, -77.5},
        {163, -77.4}, {172, -71.7}, {140, -65.9},  {113, -65.7},  {88, -66.6},   {59, -66.9},
        {25, -69.8},  {-4, -70.0},  {-14, -71.0},  {-33, -77.3},  {-46, -77.9},  {-61, -74.7}};
    assert_relative(area_m2_of(antarctica, COUNT(antarctica)), 13662703680020.09, 1e-9);
    sb_ring coast = ring_of(antarctica, COUNT(antarctica));
    assert_true(fabs(sb_ring_perimeter_m(&coast) - 16831067.892791) <= 1e-5);
    /* An eighth of WGS84: 510065621724088.4 m2 (NGA.STND.0036: 510065621.7 km2) / 8. */
    sb_lonlat octant[] = {{0, 0}, {90, 0}, {0, 90}};
    assert_relative(area_m2_of(octant, COUNT(octant)), 510065621724088.4 / 8, 1e-12);
}

static void cell_areas_match_geographiclib(void **state)
{
    (void)state;
    /* One-degree cells with geodesic edges, computed with GeographicLib 2.1.2 Planimeter. */
    static const struct {
        double lat_deg, area_m2;
    } cells[] = {{0, 12308778361.469452}, {45, 8686379301.739502}, {60, 6122943163.071411}};
    for (size_t i = 0; i < COUNT(cells); i++) {
        double south = cells[i].lat_deg, north = south + 1;
        sb_lonlat cell[] = {{10, south}, {11, south}, {11, north}, {10, north}};
        assert_relative(area_m2_of(cell, COUNT(cell)), cells[i].area_m2, 1e-11);
    }
    sb_lonlat small[] = {{5, 52}, {5.01, 52}, {5.01, 52.01}, {5, 52.01}};
    assert_relative(area_m2_of(small, COUNT(small)), 764077.618251, 1e-9);
    sb_ring ring = ring_of(small, COUNT(small));
    assert_true(fabs(sb_ring_perimeter_m(&ring) - 3598.756246) <= 1e-6);
}

static void area_depends_on_neither_start_nor_winding_nor_meridian(void **state)
{
    (void)state;
    double at_5_east = 0;
    for (size_t turn = 0; turn < 4; turn++) {
        sb_lonlat square[] = {{5, 52}, {5.01, 52}, {5.01, 52.01}, {5, 52.01}};
        sb_lonlat turned[4], reversed[4];
        for (size_t i = 0; i < 4; i++) {
            turned[i] = square[(i + turn) % 4];
            reversed[3 - i] = turned[i];
        }
        sb_ring forward = ring_of(turned, 4), backward = ring_of(reversed, 4);
        if (turn == 0)
            at_5_east = sb_ring_area_m2(&forward);
        assert_relative(sb_ring_area_m2(&forward), at_5_east, 1e-12);
        assert_relative(sb_ring_area_m2(&backward), at_5_east, 1e-12);
        assert_int_equal(sb_ring_winding(&forward), 1);
        assert_int_equal(sb_ring_winding(&backward), -1);
    }
    sb_lonlat across[] = {{179.995, 52}, {-179.995, 52}, {-179.995, 52.01}, {179.995, 52.01}};
    assert_relative(area_m2_of(across, 4), at_5_east, 1e-9);
}

static void holes_are_taken_off(void **state)
{
    (void)state;
    sb_lonlat outer[] = {{5, 52}, {5.01, 52}, {5.01, 52.01}, {5, 52.01}};
    /* Same winding as the outer ring: a hole is a hole whichever way it runs. */
    sb_lonlat hole[] = {{5.002, 52.002}, {5.004, 52.002}, {5.004, 52.004}, {5.002, 52.004}};
    sb_ring holes[] = {ring_of(hole, 4)};
    sb_part part = {.outer = ring_of(outer, 4), .holes = holes, .n_holes = 1};
    /* GeographicLib 2.1.2 Planimeter: 764077.618 - 30564.457 m2. */
    assert_true(fabs(sb_part_area_m2(&part) - (764077.618251 - 30564.457)) <= 0.001);
}

static void fewer_than_three_vertices_have_no_area(void **state)
{
    (void)state;
    sb_lonlat two[] = {{5, 52}, {5.01, 52}};
    assert_true(area_m2_of(two, 2) == 0);
    assert_true(area_m2_of(two, 0) == 0);
    sb_ring ring = ring_of(two, 2);
    assert_int_equal(sb_ring_winding(&ring), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(distances_match_published_values),
        cmocka_unit_test(distance_does_not_depend_on_direction_or_turns),
        cmocka_unit_test(areas_match_published_values),
        cmocka_unit_test(cell_areas_match_geographiclib),
        cmocka_unit_test(area_depends_on_neither_start_nor_winding_nor_meridian),
        cmocka_unit_test(holes_are_taken_off),
        cmocka_unit_test(fewer_than_three_vertices_have_no_area),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
