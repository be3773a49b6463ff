/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The Shapley value on games whose value is published. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "random.h"
#include "settle/shapley.h"

#define EXACT 1e-12

/* The airport game: a coalition needs the runway of its largest aircraft. S. C. Littlechild & G.
 * Owen, "A simple expression for the Shapley value in a special case", Management Science 20 (3),
 * 1973: each length of runway is shared by those who need it. (Cited from memory.) */
static double runway(const void *context, uint64_t members)
{
    const double *length = context;
    double longest = 0;
    for (int i = 0; i < SB_MAX_PLAYERS; i++)
        if (members >> i & 1)
            longest = fmax(longest, length[i]);
    return longest;
}

static void tabulate(int n, sb_coalition_cost *cost, const void *context, double *table)
{
    for (uint64_t members = 0; members < UINT64_C(1) << n; members++)
        table[members] = cost(context, members);
}

static void littlechild_and_owen_1973_share_each_length_of_runway(void **state)
{
    (void)state;
    const double length[] = {6, 1, 10, 3, 3, 8}; /* in no order */
    static double table[1 << 6];
    double share[6], all = 0;
    tabulate(6, runway, length, table);
    sb_shapley(6, table, share);
    for (int i = 0; i < 6; i++) {
        /* Lengths in steps 0-1, 1-3, 3-6, 6-8, 8-10, needed by 6, 5, 3, 2, 1 aircraft. */
        const double ends[] = {1, 3, 6, 8, 10}, users[] = {6, 5, 3, 2, 1};
        double expected = 0, from = 0;
        for (int step = 0; step < 5 && ends[step] <= length[i]; from = ends[step++])
            expected += (ends[step] - from) / users[step];
        assert_float_equal(share[i], expected, EXACT);
        all += share[i];
    }
    assert_float_equal(all, 10, EXACT);
}

/* The glove game, one left glove and two right ones; a pair is worth 1. Textbook, from memory:
 * (2/3, 1/6, 1/6). */
static double pairs_of_gloves(const void *context, uint64_t members)
{
    (void)context;
    return (members & 1) && (members & 6) ? 1 : 0;
}

static void the_scarce_glove_gets_two_thirds(void **state)
{
    (void)state;
    double table[8], share[3];
    tabulate(3, pairs_of_gloves, NULL, table);
    sb_shapley(3, table, share);
    assert_float_equal(share[0], 2.0 / 3, EXACT);
    assert_float_equal(share[1], 1.0 / 6, EXACT);
    assert_float_equal(share[2], 1.0 / 6, EXACT);
}

typedef struct vote {
    int n;
    double quota;
    const double *weight;
} vote;

static double passes(const void *context, uint64_t members)
{
    const vote *v = context;
    double weight = 0;
    for (int i = 0; i < v->n; i++)
        weight += members >> i & 1 ? v->weight[i] : 0;
    return weight >= v->quota ? 1 : 0;
}

/* The United Nations Security Council since 1965: 9 of 15 votes and no veto by one of the five,
 * which is [39; 7 x 5, 1 x 10]. Shapley-Shubik indices 421/2145 and 4/2145 (L. S. Shapley & M.
 * Shubik, "A method for evaluating the distribution of power in a committee system", 1954, defined
 * them; these values of the council of 15 are from memory). */
static void a_veto_in_the_security_council_weighs_a_hundredfold(void **state)
{
    (void)state;
    const double weight[] = {7, 7, 7, 7, 7, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1};
    const vote council = {15, 39, weight};
    double *table = malloc((1 << 15) * sizeof *table), share[15];
    assert_non_null(table);
    tabulate(15, passes, &council, table);
    sb_shapley(15, table, share);
    for (int i = 0; i < 15; i++)
        assert_float_equal(share[i], (i < 5 ? 421.0 : 4.0) / 2145, EXACT);
    free(table);
}

/* The council of the six in the European Economic Community of 1958, [12; 4, 4, 4, 2, 2, 1]:
 * 14/60, 9/60 and nothing for Luxembourg (S. J. Brams & P. J. Affuso, "New paradoxes of voting
 * power on the EC Council of Ministers", Electoral Studies 4, 1985; from memory). */
static void luxembourg_never_decided_in_1958(void **state)
{
    (void)state;
    const double weight[] = {4, 4, 4, 2, 2, 1}, expected[] = {14, 14, 14, 9, 9, 0};
    const vote council = {6, 12, weight};
    double table[1 << 6], share[6];
    tabulate(6, passes, &council, table);
    sb_shapley(6, table, share);
    for (int i = 0; i < 6; i++)
        assert_float_equal(share[i], expected[i] / 60, EXACT);
}

/* No game is published with random costs; the definition itself, over all orders, is the check. */
static void random_games_agree_with_all_orders_written_out(void **state)
{
    (void)state;
    support_random random = {7};
    double table[1 << 4], share[4];
    for (int game = 0; game < 20; game++) {
        double expected[4] = {0};
        for (int i = 1; i < 16; i++)
            table[i] = support_random_between(&random, -5, 5);
        table[0] = 2;
        for (int order = 0; order < 256; order++) {
            int set = 0;
            const int come[] = {order & 3, order >> 2 & 3, order >> 4 & 3, order >> 6};
            for (int i = 0; i < 4; i++)
                set |= 1 << come[i];
            if (set != 15)
                continue; /* not each of the four once */
            for (int i = 0, before = 0; i < 4; before |= 1 << come[i++])
                expected[come[i]] += (table[before | 1 << come[i]] - table[before]) / 24;
        }
        sb_shapley(4, table, share);
        for (int i = 0; i < 4; i++)
            assert_float_equal(share[i], expected[i], EXACT);
    }
}

static void one_player_pays_all(void **state)
{
    (void)state;
    const double table[] = {1, 8};
    double share;
    sb_shapley(1, table, &share);
    assert_float_equal(share, 7, EXACT);
}

static void orders_are_permutations_in_pairs_and_repeat_with_their_seed(void **state)
{
    (void)state;
    int order[13], back[13], again[13], other[13];
    for (long k = 0; k < 40; k += 2) {
        sb_shapley_order(13, 5, k, order);
        sb_shapley_order(13, 5, k + 1, back);
        sb_shapley_order(13, 5, k, again);
        unsigned seen = 0;
        for (int i = 0; i < 13; i++) {
            seen |= 1u << order[i];
            assert_int_equal(order[i], back[12 - i]);
        }
        assert_int_equal(seen, (1u << 13) - 1);
        assert_memory_equal(order, again, sizeof order);
    }
    sb_shapley_order(13, 6, 0, other);
    sb_shapley_order(13, 5, 0, order);
    assert_memory_not_equal(order, other, sizeof order);
}

/* The first place of an order falls on each player about as often. */
static void orders_favour_nobody(void **state)
{
    (void)state;
    int first[5] = {0}, order[5];
    for (long k = 0; k < 20000; k++) {
        sb_shapley_order(5, 11, k, order);
        first[order[0]]++;
    }
    /* 4000 expected, standard deviation below 57: a false alarm once in some thousand seeds. */
    for (int i = 0; i < 5; i++)
        assert_in_range(first[i], 3770, 4230);
}

static void a_sample_lies_within_its_stated_error(void **state)
{
    (void)state;
    double length[12], table[1 << 12], exact[12], share[12], deviation[12];
    for (int i = 0; i < 12; i++)
        length[i] = 1 + i * i;
    tabulate(12, runway, length, table);
    sb_shapley(12, table, exact);
    int within_one = 0, within_two = 0, all = 0;
    double before = INFINITY;
    for (uint64_t seed = 1; seed <= 30; seed++) {
        double sum = 0;
        sb_shapley_sampled(12, seed, 200, runway, length, share, deviation);
        for (int i = 0; i < 12; i++, all++) {
            double off = fabs(share[i] - exact[i]);
            assert_true(deviation[i] > 0 && off < 6 * deviation[i]);
            within_one += off <= deviation[i];
            within_two += off <= 2 * deviation[i];
            sum += share[i];
        }
        assert_float_equal(sum, 122, 1e-9);
    }
    /* 68 and 95 % of a normal distribution; sums of few rare steps scatter a little more. */
    assert_in_range(100 * within_one / all, 58, 78);
    assert_in_range(100 * within_two / all, 90, 99);
    /* Four times as many orders, half the error. */
    for (long n = 100; n <= 6400; n *= 4) {
        sb_shapley_sampled(12, 3, n, runway, length, share, deviation);
        assert_true(deviation[11] < 0.75 * before);
        before = deviation[11];
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(littlechild_and_owen_1973_share_each_length_of_runway),
        cmocka_unit_test(the_scarce_glove_gets_two_thirds),
        cmocka_unit_test(a_veto_in_the_security_council_weighs_a_hundredfold),
        cmocka_unit_test(luxembourg_never_decided_in_1958),
        cmocka_unit_test(random_games_agree_with_all_orders_written_out),
        cmocka_unit_test(one_player_pays_all),
        cmocka_unit_test(orders_are_permutations_in_pairs_and_repeat_with_their_seed),
        cmocka_unit_test(orders_favour_nobody),
        cmocka_unit_test(a_sample_lies_within_its_stated_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
