/* SPDX-License-Identifier: GPL-3.0-or-later */
/** What must hold in every season, on random ones: superposition, conservation, monotonicity,
 * linearity. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/mem.h"
#include "carry/carry.h"
#include "seasons.h"

#define N_SEASONS 240
#define MAX_FIELDS 12
/* Rounding of a few dozen sums and products of positive numbers, with room. */
#define SAME 1e-12

/** A random season and a random plan for its machine. */
typedef struct story {
    sb_season *season;
    sb_visit visits[MAX_FIELDS];
    size_t n;
    support_random random;
} story;

static story story_new(uint64_t seed)
{
    story s = {.random = {seed}};
    support_options options = support_random_options(seed);
    s.n = 2 + support_random_below(&s.random, MAX_FIELDS - 1);
    s.season = support_random_season(seed, s.n, &options);
    int order[MAX_FIELDS];
    support_random_order(&s.random, order, s.n);
    for (size_t i = 0; i < s.n; i++)
        s.visits[i] =
            (sb_visit){order[i], (int)support_random_below(&s.random, s.season->setup.n_cleanouts)};
    return s;
}

static void follow(const story *s, sb_ledger *ledger, sb_stop_trace *traces)
{
    assert_int_equal(sb_ledger_init(ledger, s->season), SB_OK);
    assert_int_equal(sb_carry_follow(s->season, 0, s->visits, s->n,
                                     s->season->joins[0].final_cleanout, ledger, traces),
                     SB_OK);
}

static bool same(double a, double b)
{
    return fabs(a - b) <= SAME * fmax(fabs(a), fabs(b));
}

static size_t cell(const sb_ledger *ledger, size_t from, size_t to, size_t weed)
{
    return (from * ledger->n_fields + to) * ledger->n_weeds + weed;
}

static void every_seed_is_somewhere(void **state)
{
    (void)state;
    size_t carried = 0;
    for (uint64_t seed = 1; seed <= N_SEASONS; seed++) {
        story s = story_new(seed);
        sb_ledger ledger;
        follow(&s, &ledger, NULL);
        for (size_t from = 0; from <= s.n; from++)
            for (size_t w = 0; w < ledger.n_weeds; w++) {
                size_t i = from * ledger.n_weeds + w;
                double found = ledger.site[i] + ledger.left[i];
                for (size_t to = 0; to < s.n; to++)
                    found += ledger.ground[cell(&ledger, from, to, w)] +
                             ledger.tank[cell(&ledger, from, to, w)];
                assert_true(same(found, ledger.taken[i]));
                carried += found > 0;
            }
        sb_ledger_release(&ledger);
        sb_season_free(s.season);
    }
    assert_true(carried > N_SEASONS); /* the seasons were not all clean */
    assert_int_equal(sb_mem_live(), 0);
}

/** Takes away every seed that does not come from one origin (n_fields: the start load). */
static void leave_one_origin(sb_season *season, size_t origin)
{
    if (origin != season->n_fields)
        memset(season->joins[0].start_seeds, 0, sizeof season->joins[0].start_seeds);
    for (size_t i = 0; i < season->n_fields; i++)
        if (i != origin)
            memset(season->fields[i].seeds_per_kg, 0, sizeof season->fields[i].seeds_per_kg);
}

static void origins_add_up_and_each_alone_gives_its_own_row(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= N_SEASONS; seed++) {
        story s = story_new(seed);
        sb_ledger whole, alone;
        sb_stop_trace traces[MAX_FIELDS + 1];
        follow(&s, &whole, traces);
        for (size_t i = 0; i < s.n; i++)
            for (size_t w = 0; w < whole.n_weeds; w++)
                assert_true(same(traces[i].ground[w],
                                 sb_ledger_brought(&whole, s.visits[i].field, (int)w)));

        size_t origin = support_random_below(&s.random, s.n + 1);
        leave_one_origin(s.season, origin);
        follow(&s, &alone, NULL);
        for (size_t from = 0; from <= s.n; from++)
            for (size_t to = 0; to < s.n; to++)
                for (size_t w = 0; w < whole.n_weeds; w++) {
                    size_t i = cell(&whole, from, to, w);
                    assert_true(alone.ground[i] == (from == origin ? whole.ground[i] : 0));
                    assert_true(alone.tank[i] == (from == origin ? whole.tank[i] : 0));
                }
        sb_ledger_release(&whole);
        sb_ledger_release(&alone);
        sb_season_free(s.season);
    }
}

static void without_a_ledger_the_stops_are_the_same(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= N_SEASONS; seed++) {
        story s = story_new(seed);
        int last = s.season->joins[0].final_cleanout;
        sb_ledger ledger;
        sb_stop_trace with[MAX_FIELDS + 1], without[MAX_FIELDS + 1];
        follow(&s, &ledger, with);
        assert_int_equal(sb_carry_follow(s.season, 0, s.visits, s.n, last, NULL, without), SB_OK);
        for (size_t i = 0; i <= s.n; i++)
            for (size_t w = 0; w < ledger.n_weeds; w++) {
                assert_true(same(with[i].before_clean[w], without[i].before_clean[w]));
                assert_true(same(with[i].on_tarp[w], without[i].on_tarp[w]));
                assert_true(same(with[i].ground[w], without[i].ground[w]));
                assert_true(same(with[i].tank[w], without[i].tank[w]));
            }
        sb_ledger_release(&ledger);
        sb_season_free(s.season);
    }
}

static void a_more_thorough_cleanout_never_brings_more(void **state)
{
    (void)state;
    size_t fewer = 0;
    for (uint64_t seed = 1; seed <= N_SEASONS; seed++) {
        story s = story_new(seed);
        size_t stop = support_random_below(&s.random, s.n);
        size_t n_levels = s.season->setup.n_cleanouts;
        s.visits[stop].cleanout = (int)support_random_below(&s.random, n_levels - 1);
        sb_ledger before, after;
        follow(&s, &before, NULL);
        s.visits[stop].cleanout++;
        follow(&s, &after, NULL);
        for (size_t to = 0; to < s.n; to++)
            for (size_t w = 0; w < before.n_weeds; w++) {
                double had = sb_ledger_brought(&before, (int)to, (int)w);
                double has = sb_ledger_brought(&after, (int)to, (int)w);
                assert_true(has <= had * (1 + SAME));
                fewer += has < had;
            }
        sb_ledger_release(&before);
        sb_ledger_release(&after);
        sb_season_free(s.season);
    }
    assert_true(fewer > N_SEASONS / 2);
}

static void a_higher_rating_never_brings_less_and_scales_its_own_row(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= N_SEASONS; seed++) {
        story s = story_new(seed);
        size_t field = support_random_below(&s.random, s.n);
        size_t weed = support_random_below(&s.random, s.season->setup.n_weeds);
        double times = support_random_between(&s.random, 1, 100);
        sb_ledger before, after;
        follow(&s, &before, NULL);
        s.season->fields[field].seeds_per_kg[weed] *= times;
        follow(&s, &after, NULL);
        for (size_t to = 0; to < s.n; to++) {
            for (size_t w = 0; w < before.n_weeds; w++)
                assert_true(sb_ledger_brought(&after, (int)to, (int)w) >=
                            sb_ledger_brought(&before, (int)to, (int)w));
            for (size_t from = 0; from <= s.n; from++) {
                size_t i = cell(&before, from, to, weed);
                assert_true(same(after.ground[i], before.ground[i] * (from == field ? times : 1)));
            }
        }
        sb_ledger_release(&before);
        sb_ledger_release(&after);
        sb_season_free(s.season);
    }
}

static void a_shut_door_leaks_nothing(void **state)
{
    (void)state;
    story s = story_new(7);
    long live = sb_mem_live();
    for (long budget = 0;; budget++) {
        sb_ledger ledger = {0};
        sb_mem_set_budget(budget);
        sb_status status = sb_ledger_init(&ledger, s.season);
        if (status == SB_OK)
            status = sb_carry_follow(s.season, 0, s.visits, s.n, -1, &ledger, NULL);
        sb_mem_set_budget(-1);
        sb_ledger_release(&ledger);
        assert_int_equal(sb_mem_live(), live);
        if (status == SB_OK) {
            assert_int_equal(budget, 7) /* five for the ledger, two for the walk */;
            break;
        }
        assert_int_equal(status, SB_ERR_NOMEM);
    }
    sb_season_free(s.season);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_seed_is_somewhere),
        cmocka_unit_test(origins_add_up_and_each_alone_gives_its_own_row),
        cmocka_unit_test(without_a_ledger_the_stops_are_the_same),
        cmocka_unit_test(a_more_thorough_cleanout_never_brings_more),
        cmocka_unit_test(a_higher_rating_never_brings_less_and_scales_its_own_row),
        cmocka_unit_test(a_shut_door_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
