/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Random numbers by counter against the generator's published vectors, and the normal quantile
 * against the distribution. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "doubt/philox.h"
#include "doubt/spreads.h"

/* The known answers that come with Random123, the authors' own code, for philox4x32 with 10 rounds
 * (from memory). */
static void the_generator_gives_the_published_words(void **state)
{
    (void)state;
    static const struct {
        uint32_t counter[4], key[2], out[4];
    } known[] = {
        {{0, 0, 0, 0}, {0, 0}, {0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}},
        {{0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff},
         {0xffffffff, 0xffffffff},
         {0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd}},
        {{0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344},
         {0xa4093822, 0x299f31d0},
         {0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}},
    };
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        uint32_t out[4];
        sb_philox(known[i].counter, known[i].key, out);
        assert_memory_equal(out, known[i].out, sizeof out);
    }
}

static void every_part_of_the_counter_counts(void **state)
{
    (void)state;
    double u = sb_philox_unit(1, 0, 1, 0);
    assert_true(u == sb_philox_unit(1, 0, 1, 0));
    assert_true(u != sb_philox_unit(2, 0, 1, 0));
    assert_true(u != sb_philox_unit((uint64_t)1 << 32 | 1, 0, 1, 0));
    assert_true(u != sb_philox_unit(1, 1, 1, 0));
    assert_true(u != sb_philox_unit(1, 0, 2, 0));
    assert_true(u != sb_philox_unit(1, 0, (uint64_t)1 << 32 | 1, 0));
    assert_true(u != sb_philox_unit(1, 0, 1, 1));
}

/* Mean 1/2 and variance 1/12, and neighbours that know nothing of each other, within five standard
 * errors of 40,000 numbers. */
static void numbers_are_even_and_know_nothing_of_their_neighbours(void **state)
{
    (void)state;
    enum { N = 40000 };
    double sum = 0, squares = 0, products = 0, last = 0;
    for (uint64_t k = 0; k < N; k++) {
        double off = sb_philox_unit(7, 0, k, 3) - 0.5;
        sum += off;
        squares += off * off;
        products += off * last;
        last = off;
    }
    assert_true(fabs(sum / N) < 5 * sqrt(1.0 / 12 / N));
    assert_true(fabs(squares / N - 1.0 / 12) < 5 * sqrt(1.0 / 180 / N));
    assert_true(fabs(products / N) < 5 * (1.0 / 12) / sqrt(N));
}

static void the_normal_quantile_undoes_the_distribution(void **state)
{
    (void)state;
    for (double p = 1e-9; p < 1; p = p < 0.001 ? p * 3 : p + 0.00731) {
        double z = sb_normal_quantile(p);
        double back = 0.5 * erfc(-z / sqrt(2));
        assert_true(fabs(back - p) < 1e-8 * fmin(p, 1 - p) * (1 + z * z) + 1e-15);
        assert_true(fabs(sb_normal_quantile(1 - p) + z) < 1e-6);
    }
    assert_true(fabs(sb_normal_quantile(0.975) - 1.959963984540054) < 1e-8);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_generator_gives_the_published_words),
        cmocka_unit_test(every_part_of_the_counter_counts),
        cmocka_unit_test(numbers_are_even_and_know_nothing_of_their_neighbours),
        cmocka_unit_test(the_normal_quantile_undoes_the_distribution),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
