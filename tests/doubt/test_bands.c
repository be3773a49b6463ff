/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Quantiles by hand, and first-order indices against published ones. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/mem.h"
#include "doubt/bands.h"
#include "doubt/philox.h"

#define PI 3.14159265358979323846

static void assert_near(double value, double expected)
{
    assert_true(fabs(value - expected) <= 1e-12 * fmax(1, fabs(expected)));
}

/* 1, 2, 4, 8, 16: the 5 % quantile lies 0.2 of the way from the first to the second. */
static void bands_are_as_by_hand(void **state)
{
    (void)state;
    double values[] = {8, 1, 16, 4, 2};
    sb_band band = sb_band_of(3, values, 5);
    assert_near(band.central, 3);
    assert_near(band.p5, 1.2);
    assert_near(band.p50, 4);
    assert_near(band.p95, 14.4);
    assert_near(band.mean, 31.0 / 5);
    double one[] = {7};
    band = sb_band_of(7, one, 1);
    assert_near(band.p5, 7);
    assert_near(band.p95, 7);
}

/* sin x1 + 7 sin^2 x2 + 0.1 x3^4 sin x1, x uniform over (-pi, pi) (Ishigami & Homma 1990): the
 * first-order indices are published as 0.3139, 0.4424 and 0. */
static void indices_of_the_ishigami_function_are_the_published_ones(void **state)
{
    (void)state;
    enum { N = 20000 };
    static const double published[] = {0.3139, 0.4424, 0};
    double *x = sb_alloc(3 * N, sizeof *x), *y = sb_alloc(N, sizeof *y);
    for (size_t k = 0; k < N; k++) {
        for (size_t i = 0; i < 3; i++)
            x[i * N + k] = PI * (2 * sb_philox_unit(1, 0, k, (uint32_t)i) - 1);
        double a = x[k], b = x[N + k], c = x[2 * N + k];
        y[k] = sin(a) + 7 * sin(b) * sin(b) + 0.1 * pow(c, 4) * sin(a);
    }
    for (size_t i = 0; i < 3; i++) {
        sb_driver driver;
        assert_int_equal(sb_driver_of(x + i * N, y, N, &driver), SB_OK);
        assert_true(fabs(driver.first_order - published[i]) < 0.01);
    }
    sb_free(x);
    sb_free(y);
}

/* y = 3 x1 + 4 x2 of independent inputs of equal variance: 9/25 and 16/25. */
static void indices_of_a_sum_are_the_shares_of_its_variance(void **state)
{
    (void)state;
    enum { N = 20000 };
    double *x = sb_alloc(2 * N, sizeof *x), *y = sb_alloc(N, sizeof *y);
    for (size_t k = 0; k < N; k++) {
        x[k] = sb_philox_unit(3, 0, k, 0);
        x[N + k] = -sb_philox_unit(3, 0, k, 1);
        y[k] = 3 * x[k] + 4 * x[N + k];
    }
    sb_driver first, second;
    assert_int_equal(sb_driver_of(x, y, N, &first), SB_OK);
    assert_int_equal(sb_driver_of(x + N, y, N, &second), SB_OK);
    assert_true(fabs(first.first_order - 0.36) < 0.01);
    assert_true(fabs(second.first_order - 0.64) < 0.01);
    sb_free(x);
    sb_free(y);
}

/* Ranks 0..4 of x against 1, 0, 3, 2, 4 of y: 1 - 6 x 4 / (5 x 24) = 0.8. With ties, mean ranks. */
static void rank_correlation_is_as_by_hand(void **state)
{
    (void)state;
    const double x[] = {1, 2, 3, 4, 5}, y[] = {20, 10, 400, 300, 5000};
    sb_driver driver;
    assert_int_equal(sb_driver_of(x, y, 5, &driver), SB_OK);
    assert_near(driver.rank, 0.8);
    /* x: 0.5 0.5 2; y: 0 1 2; centred products 0.5 + 0 + 1, squares 1.5 and 2. */
    const double tied_x[] = {1, 1, 2}, tied_y[] = {1, 2, 3};
    assert_int_equal(sb_driver_of(tied_x, tied_y, 3, &driver), SB_OK);
    assert_near(driver.rank, 1.5 / sqrt(3));
    const double falling[] = {3, 2, 1};
    assert_int_equal(sb_driver_of(falling, tied_y, 3, &driver), SB_OK);
    assert_near(driver.rank, -1);
}

static void what_never_changes_drives_nothing(void **state)
{
    (void)state;
    const double same[] = {2, 2, 2, 2, 2, 2}, rising[] = {1, 2, 3, 4, 5, 6};
    sb_driver driver;
    assert_int_equal(sb_driver_of(same, rising, 6, &driver), SB_OK);
    assert_near(driver.first_order, 0);
    assert_near(driver.rank, 0);
    assert_int_equal(sb_driver_of(rising, same, 6, &driver), SB_OK);
    assert_near(driver.first_order, 0);
    assert_near(driver.rank, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bands_are_as_by_hand),
        cmocka_unit_test(indices_of_the_ishigami_function_are_the_published_ones),
        cmocka_unit_test(indices_of_a_sum_are_the_shares_of_its_variance),
        cmocka_unit_test(rank_correlation_is_as_by_hand),
        cmocka_unit_test(what_never_changes_drives_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
